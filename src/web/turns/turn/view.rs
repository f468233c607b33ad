//! The pages of turns, as text ready to print.

use super::starts::Starts;
use crate::calc::turns::starts::{Day, span_words};
use crate::calc::turns::turn_cane::{Expected, Yields};
use crate::facts::turns::room::day_of;
use crate::facts::turns::turn::{TurnFacts, Undo, undo, when};
use crate::store::people::members::MemberLine;
use crate::store::turns::press_days::PressDay;
use crate::store::turns::turn::Turn;
use crate::store::turns::turn_events::{TurnEvent, What};
use crate::units::{Units, UtcSecond, Zone};
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
    pub(super) starts: Starts,
}

/// How far the turn is.
#[derive(Default)]
pub(super) struct Step {
    /// Where the amount was filled in from; empty: from nowhere.
    pub(super) remembered: String,
    /// Nothing was asked yet.
    pub(super) first: bool,
    /// The correction is far off: whether it is so is asked.
    pub(super) doubted: bool,
    /// What was asked reads, and this is what it comes to.
    pub(super) offer: Option<Offer>,
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
    ways: Vec<Choice>,
    correction: &'static str,
    hint: &'static str,
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
            everybody: member_choices(everybody),
            ways: ways_of_telling(),
            correction: correction(units),
            hint: hint(units),
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

fn hint(units: Units) -> &'static str {
    match units {
        Units::Us => {
            "Pounds, feet of row, or a number of stalks. Other units may be written out, like 90 m."
        }
        Units::Metric => {
            "Kilograms, metres of row, or a number of stalks. Other units may be written out, like 300 ft."
        }
    }
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

fn member_choices(everybody: &[MemberLine]) -> Vec<Choice> {
    if everybody.is_empty() {
        return Vec::new();
    }
    let mut choices = vec![Choice::new("", "Choose a member")];
    choices.extend(
        everybody
            .iter()
            .filter(|m| !m.left)
            .map(|m| Choice::new(m.id.to_string(), format!("{} ({})", m.name, m.number))),
    );
    choices
}

/// One line of a turn's history.
struct EventRow {
    at: String,
    what: String,
    why: String,
    by: String,
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
    state: String,
    about: String,
    queue: String,
    coming: WayThere,
    confirm: String,
    missed: String,
    no_show: bool,
    move_href: String,
    cancel: String,
    /// Undoes what was done last; empty: nothing, or no more.
    undo: String,
    undo_words: String,
    ticket: String,
    weigh_in: String,
    ics: String,
    calendar: &'static str,
    book: String,
}

impl TurnPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        me: &Me,
        facts: &TurnFacts,
        sheet: Sheet,
    ) -> Result<Self, PageError> {
        let units = visit.units();
        let zone = visit.zone()?;
        let (turn, day) = (&facts.turn, &facts.day);
        let reckoned = day_of(day, zone);
        let open = turn.held && facts.limits.ticket.is_none();
        let looked = when(turn, zone, visit.at);
        let undo = undo(&facts.events, me.id, visit.at).filter(|_| open);
        let span = span_words(&reckoned.clock, turn.start, turn.minutes);
        let title = format!("Turn on {} at {}", turn.date.show(), turn.start.show());
        let more = format!("{}, {span}", turn.date.show());
        Ok(Self {
            shell: Shell::new(app, visit, title).with_more_said(&more),
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
            events: facts
                .events
                .iter()
                .map(|e| event(e, turn, visit))
                .collect::<Result<_, _>>()?,
            may_change: facts
                .limits
                .allow_change(turn, zone, asker(visit, me))
                .is_ok(),
            state: state_sentence(facts, me, zone, visit.at),
            about: facts.about.clone().unwrap_or_default(),
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
            undo_words: undo.map_or_else(String::new, undo_words),
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

/// What the button says that undoes it.
fn undo_words(what: Undo) -> String {
    match what {
        Undo::Booking => "Undo: give the turn up again".to_owned(),
        Undo::Move { date, start, .. } => {
            format!("Undo: back to {}, {}", date.show(), start.show())
        }
    }
}

/// What its minutes come to; a day that was changed since would make others of it.
fn minutes_sum(day: &Day, turn: &Turn, units: Units) -> String {
    match day.minutes_for(turn.cane, units) {
        Ok(minutes) if minutes == turn.minutes => day.minutes_words(turn.cane, minutes, units),
        _ => format!(
            "{}, as the day stood when the turn was taken; its mill rate, change-over or hours were changed since",
            turn.minutes.show()
        ),
    }
}

/// How a turn stands, in a sentence; what a member can do no more about it is said, too.
fn state_sentence(facts: &TurnFacts, me: &Me, zone: &Zone, at: UtcSecond) -> String {
    let turn = &facts.turn;
    if !turn.held || facts.limits.ticket.is_some() {
        return String::new();
    }
    let looked = when(turn, zone, at);
    let mut said = match (turn.no_show_at, turn.confirmed_at) {
        (Some(noted), _) => format!("Nobody came: noted {}.", zone.show(noted)),
        (None, Some(confirmed)) => {
            let by = turn.confirmed_by.as_ref().filter(|by| **by != turn.member);
            let by = by.map_or_else(String::new, |by| format!(" by {by}"));
            format!("Confirmed {}{by}.", zone.show(confirmed))
        }
        (None, None) if looked.to_confirm() => {
            "Not confirmed yet: please confirm that the cane will come.".to_owned()
        }
        (None, None) if looked.begun() => "Not confirmed.".to_owned(),
        (None, None) => "You can confirm it from two days before.".to_owned(),
    };
    if !me.is_crew()
        && let Err(unmet) = looked.before_cutoff(facts.limits.cutoff_h)
    {
        said = format!("{said} {unmet}");
    }
    said
}

fn cane_sum(turn: &Turn, yields: Yields, units: Units) -> String {
    // Taken already: whatever it was, it was sure.
    Expected::reckon(turn.told, yields, None, true, units).map_or_else(
        |_| turn.cane.show(units),
        |told| {
            let stands = Expected {
                cane: turn.cane,
                ..told
            };
            stands.words(yields, units)
        },
    )
}

fn event(event: &TurnEvent, turn: &Turn, visit: &Visit) -> Result<EventRow, PageError> {
    let zone = visit.zone()?;
    let span = span_words(&zone.clock(event.date), event.start, event.minutes);
    let place = format!("{}, {span}", event.date.show());
    Ok(EventRow {
        at: zone.show(event.at),
        what: match event.what {
            What::Made => format!("Booked: {place}"),
            What::Moved => format!("Moved to {place}"),
            What::Cancelled => format!("Cancelled: {place} is free again"),
        },
        why: event.why.clone(),
        by: if event.by_id == turn.member_id {
            event.by.to_string()
        } else {
            format!("{}, for the card of {}", event.by, turn.member)
        },
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
}

impl MovePage {
    pub(super) fn new(
        app: &App,
        (visit, zone): (&Visit, &Zone),
        turn: &Turn,
        sheet: Sheet,
        days: &[PressDay],
        starts: Option<Starts>,
    ) -> Self {
        let chosen = days
            .iter()
            .find(|day| sheet.has("day", &day.date.to_string()));
        Self {
            shell: Shell::new(app, visit, format!("Move the turn of {}", turn.member)),
            action: paths::move_turn(turn.id),
            place: format!(
                "{}, {}",
                turn.date.show(),
                span_words(&zone.clock(turn.date), turn.start, turn.minutes)
            ),
            back: paths::turn(turn.id),
            chosen: chosen.map_or_else(String::new, |day| day.date.show()),
            days: days
                .iter()
                .map(|day| Choice::new(day.date.to_string(), day.date.show()))
                .collect(),
            sheet,
            starts,
        }
    }
}
