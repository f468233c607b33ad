//! The pages of turns, as text ready to print.

use super::says::{
    EventRow, State, cane_sum, event, few_words, given_up, minutes_sum, state, undo_words,
};
use super::starts::Starts;
use super::waits::Waits;
use crate::calc::turns::starts::span_words;
use crate::facts::turns::room::day_of;
use crate::facts::turns::turn::{TurnFacts, Undo, undo, undo_ends, undo_overtaken, when};
use crate::store::people::members::MemberLine;
use crate::store::turns::press_days::PressDay;
use crate::store::turns::turn::Turn;
use crate::units::{MemberId, Units, UtcSecond, Zone};
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::session::{Me, Visit};
use crate::web::shell::Shell;
use crate::web::turns::asked::asker;
use crate::web::way_there::WayThere;
use crate::web::{App, only_if, paths};
use askama::Template;

#[cfg(test)]
#[path = "view_samples.rs"]
mod view_samples;
#[cfg(test)]
pub(in crate::web) use view_samples::samples;

/// What the cane comes to, and where a turn for it finds room.
pub(super) struct Offer {
    pub(super) cane: String,
    pub(super) minutes: String,
    pub(super) pan: String,
    /// Sentence on how late the mill runs; empty: it does not.
    pub(super) late: String,
    pub(super) starts: Starts,
    /// The day's hours are past.
    pub(super) over: bool,
}

/// How far the booking of a turn has come.
#[derive(Default)]
pub(super) struct Step {
    /// Sentence on where the amount was filled in from; empty: from nowhere.
    pub(super) remembered: String,
    /// Name of the member whose amount it was, for somebody who acts for several cards; else empty.
    pub(super) remembered_of: String,
    /// That card's id, to know it again when another is chosen; else empty.
    pub(super) filled_for: String,
    /// Whether nothing was asked yet.
    pub(super) first: bool,
    /// The correction is far off: whether it is so is asked.
    pub(super) doubted: bool,
    /// What the cane comes to, once what was asked can be read.
    pub(super) offer: Option<Offer>,
    /// The place on the day's waiting list that the member has already.
    pub(super) waits: Option<Waits>,
}

/// Booking a turn, both steps.
#[derive(Template)]
#[template(path = "turns/turn/book.html")]
pub(super) struct BookPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    wait: String,
    hours: String,
    note: String,
    crew: bool,
    everybody: Vec<Choice>,
    /// Name of the member whose place on the waiting list it would be; empty: the reader's own, or the crew's choice.
    whose: String,
    ways: Vec<Choice>,
    correction: &'static str,
    hints: Vec<Choice>,
    corrects: bool,
    step: Step,
}

impl BookPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        me: &Me,
        day: &PressDay,
        sheet: Sheet,
        everybody: &[MemberLine],
        step: Step,
    ) -> Self {
        let units = visit.units();
        Self {
            shell: Shell::new(app, visit, format!("Book a turn on {}", day.date.show())),
            action: paths::book(day.date),
            wait: paths::day_waiting(day.date),
            hours: format!("{} to {}", day.opens.show(), day.closes.show()),
            note: day.note.clone(),
            crew: me.is_crew(),
            whose: named(everybody, &sheet)
                .filter(|one| !me.is_crew() && one.id != me.id)
                .map_or_else(String::new, |one| one.name.to_string()),
            everybody: member_choices(everybody, me.is_crew()),
            ways: ways_of_telling(),
            correction: correction(units),
            hints: hints(units),
            corrects: !step.first && !sheet.has("told", "weight"),
            sheet,
            step,
        }
    }
}

fn correction(units: Units) -> &'static str {
    match units {
        Units::Us => "Weight in pounds, if you know your field better",
        Units::Metric => "Weight in kilograms, if you know your field better",
    }
}

/// What is written into the box of the amount, by the way of telling it.
fn hints(units: Units) -> Vec<Choice> {
    let (weight, row) = match units {
        Units::Us => (
            "In pounds, like 350. Other units are written out, like 160 kg.",
            "In feet, like 300. Other units are written out, like 90 m.",
        ),
        Units::Metric => (
            "In kilograms, like 160. Other units are written out, like 350 lb.",
            "In metres, like 90. Other units are written out, like 300 ft.",
        ),
    };
    vec![
        Choice::new("weight", weight),
        Choice::new("row", row),
        Choice::new("stalks", "How many stalks, like 500."),
    ]
}

fn ways_of_telling() -> Vec<Choice> {
    [
        ("weight", "By its weight, leaves and heads off"),
        ("row", "By the length of row"),
        ("stalks", "By the number of stalks"),
    ]
    .into_iter()
    .map(|(value, words)| Choice::new(value, words))
    .collect()
}

/// The member that the form names.
pub(super) fn named<'a>(everybody: &'a [MemberLine], sheet: &Sheet) -> Option<&'a MemberLine> {
    let id = MemberId::parse(sheet.typed("member"))?;
    everybody.iter().find(|one| one.id == id)
}

/// The choices of whose cane it is: the crew must choose, whoever acts for several cards finds one chosen.
fn member_choices(everybody: &[MemberLine], crew: bool) -> Vec<Choice> {
    let first = (crew && !everybody.is_empty()).then(|| Choice::new("", "Choose a member"));
    let members = everybody
        .iter()
        .filter(|m| !m.left)
        .map(|m| Choice::new(m.id.to_string(), format!("{} ({})", m.name, m.number)));
    first.into_iter().chain(members).collect()
}

/// One turn.
#[derive(Template)]
#[template(path = "turns/turn/show.html")]
pub(super) struct TurnPage {
    shell: Shell,
    sheet: Sheet,
    held: bool,
    member: String,
    member_href: String,
    date: String,
    day_href: String,
    span: String,
    takes: String,
    cane: String,
    cane_sum: String,
    minutes_sum: String,
    pan_sum: String,
    events: Vec<EventRow>,
    may_change: bool,
    state: State,
    about: String,
    /// Sentence on hours of the turn in which fewer than two people are down for the rollers; empty: there are none.
    few: String,
    queue: String,
    coming: WayThere,
    confirm: String,
    missed: String,
    no_show: bool,
    move_href: String,
    cancel: String,
    /// Undoes what was done last; empty: nothing, or no more.
    undo: String,
    /// What became of it, if it is not held.
    given_up: &'static str,
    /// The place on the waiting list that stands again since taking the turn was undone.
    waits_again: Option<Waits>,
    undo_words: String,
    /// Until when that is possible, as a sentence.
    undo_until: String,
    /// What somebody else did to it since, so that what was done before is not undone any more: "08:04 today"; empty: nothing.
    overtaken: String,
    overtaken_by: String,
    ticket: String,
    weigh_in: String,
    ics: String,
    calendar: &'static str,
    book: String,
}

/// The frame, with what was just done to the turn.
fn shell(app: &App, (visit, me): (&Visit, &Me), turn: &Turn, span: &str) -> Shell {
    let title = format!("Turn on {} at {}", turn.date.show(), turn.start.show());
    let more = format!("{}, {span}", turn.date.show());
    Shell::new(app, visit, title)
        .said_of_card(me, turn.member_id, turn.member.as_str())
        .with_more_said(&more)
}

impl TurnPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        me: &Me,
        (facts, few): (&TurnFacts, &[(i64, i64)]),
        sheet: Sheet,
    ) -> Result<Self, PageError> {
        let (units, zone) = (visit.units(), visit.zone()?);
        let (turn, day) = (&facts.turn, &facts.day);
        let reckoned = day_of(day, zone);
        let open = turn.held && facts.limits.ticket.is_none();
        let looked = when(turn, zone, visit.at);
        let undo = undo(&facts.events, me.id, visit.at).filter(|_| open);
        let since = undo_overtaken(&facts.events, me.id, visit.at).filter(|_| open);
        let allowed = facts.limits.allow_change(turn, zone, asker(visit, me));
        let span = span_words(&reckoned.clock, turn.start, turn.minutes);
        Ok(Self {
            shell: shell(app, (visit, me), turn, &span),
            sheet,
            held: turn.held,
            member: turn.member.to_string(),
            member_href: paths::member(turn.member_id),
            date: turn.date.show(),
            day_href: paths::day(turn.date),
            span,
            takes: turn.minutes.show(),
            cane: turn.cane.show(units),
            cane_sum: cane_sum(turn, facts.yields, units),
            minutes_sum: minutes_sum(&reckoned, turn, units),
            pan_sum: facts.boiling.words(turn.cane, units),
            events: history(facts, visit)?,
            may_change: allowed.is_ok(),
            state: state(facts, me, zone, visit.at),
            about: facts.about.as_ref().map_or_else(String::new, |about| {
                about.words(me.id == turn.member_id).to_owned()
            }),
            few: few_words(few),
            queue: paths::queue(turn.date),
            coming: WayThere::of_turn(visit.coop()?, open),
            confirm: only_if(
                open && turn.confirmed_at.is_none() && looked.to_confirm(),
                paths::confirm_turn(turn.id),
            ),
            missed: only_if(
                open && me.is_crew() && (looked.begun() || turn.no_show_at.is_some()),
                paths::miss_turn(turn.id),
            ),
            no_show: turn.no_show_at.is_some(),
            move_href: paths::move_turn(turn.id),
            cancel: paths::cancel_turn(turn.id),
            undo: only_if(undo.is_some(), paths::undo_turn(turn.id)),
            undo_words: undo.map_or_else(String::new, |what| undo_words(what, facts)),
            given_up: given_up(facts, zone, visit.at),
            waits_again: waits_again(facts, me, visit.at),
            undo_until: undo_until(facts, undo, zone, visit.at),
            overtaken: since.map_or_else(String::new, |e| zone.show_by(e.at, visit.at)),
            overtaken_by: since.map_or_else(String::new, |e| e.by.to_string()),
            ticket: facts.limits.ticket.map_or_else(String::new, paths::ticket),
            weigh_in: only_if(
                me.is_crew() && open && day.closed_at.is_none(),
                paths::new_ticket_for(turn.date, turn.id),
            ),
            ics: paths::turn_ics(turn.id),
            calendar: paths::CALENDAR,
            book: paths::book(turn.date),
        })
    }
}

fn history(facts: &TurnFacts, visit: &Visit) -> Result<Vec<EventRow>, PageError> {
    let events = facts.events.iter();
    events.map(|e| event(e, &facts.turn, visit)).collect()
}

/// The place on a waiting list that its member has instead: of a turn that found no room any more, or once the booking is undone.
fn waits_again(facts: &TurnFacts, me: &Me, at: UtcSecond) -> Option<Waits> {
    let turn = &facts.turn;
    if let Some(entry) = facts.instead.as_ref().filter(|_| !turn.held) {
        return Some(Waits::instead(entry, me));
    }
    let undone = !turn.held && facts.booking_undone();
    undone
        .then(|| Waits::of((&facts.list, &facts.offers), me, at, turn.member_id))
        .flatten()
        .map(Waits::again)
}

/// Until when the last change of a turn can be undone, in words; what was undone already is done again.
fn undo_until(facts: &TurnFacts, what: Option<Undo>, zone: &Zone, at: UtcSecond) -> String {
    let can = match what {
        Some(Undo::Move { again: true, .. }) => "do that",
        _ => "undo this",
    };
    let ends = undo_ends(&facts.events);
    ends.map_or_else(String::new, |ends| {
        format!("You can {can} until {}.", zone.show_by(ends, at))
    })
}

/// Moving a turn.
#[derive(Template)]
#[template(path = "turns/turn/move.html")]
pub(super) struct MovePage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    place: String,
    back: String,
    chosen: String,
    days: Vec<Choice>,
    starts: Option<Starts>,
    /// Where to wait for the day that was chosen, on which no start is free; empty: a start is free, it is the turn's own day, or the member waits for it.
    wait: String,
    /// The member's place on the list of that day.
    waits: Option<Waits>,
}

impl MovePage {
    pub(super) fn new(
        app: &App,
        (visit, zone): (&Visit, &Zone),
        turn: &Turn,
        sheet: Sheet,
        (chosen, days): (Option<&PressDay>, Vec<Choice>),
        (starts, waits): (Option<Starts>, Option<Waits>),
    ) -> Self {
        Self {
            shell: Shell::new(app, visit, format!("Move the turn of {}", turn.member)),
            action: paths::move_turn(turn.id),
            place: format!(
                "{}, {}",
                turn.date.show(),
                span_words(&zone.clock(turn.date), turn.start, turn.minutes)
            ),
            back: paths::turn(turn.id),
            wait: chosen
                .filter(|day| day.id != turn.press_day_id)
                .filter(|_| starts.as_ref().is_some_and(Starts::none_free) && waits.is_none())
                .map_or_else(String::new, |day| {
                    let cane = turn.cane.typed(visit.units());
                    paths::book_weight(day.date, turn.member_id, &cane)
                }),
            chosen: chosen.map_or_else(String::new, |day| day.date.show()),
            days,
            waits,
            sheet,
            starts,
        }
    }
}
