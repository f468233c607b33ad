//! The pages of press days for everybody: the list, a member's day, the forms. As text ready to
//! print.

use super::changes::{self, ChangeLine};
use crate::calc::turns::day_board::is_over;
use crate::calc::turns::day_room::{Limit, Room};
use crate::calc::turns::starts::span_words;
use crate::calc::turns::turn_habit::{TurnHabit, pace_words};
use crate::facts::turns::press_days::DayFacts;
use crate::facts::turns::waiting::place_of;
use crate::store::season::seasons::Season;
use crate::store::turns::day_board::{DayLine, TurnLine};
use crate::store::turns::press_days::PressDay;
use crate::store::turns::waiting::Entry;
use crate::units::{DayClock, MemberId, MemberName, PressDate, Units};
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::season::rules_lacking::rules_of;
use crate::web::session::{Me, Visit};
use crate::web::shell::Shell;
use crate::web::turns::asked::today;
use crate::web::{App, only_if, paths};
use askama::Template;
use std::collections::BTreeMap;

/// The state of a press day in a word.
pub(super) fn state(closed: bool, date: PressDate, today: PressDate) -> &'static str {
    if closed {
        "closed"
    } else if date == today {
        "today"
    } else if date < today {
        "not closed yet"
    } else {
        "open for turns"
    }
}

/// A link to another season.
struct Other {
    words: String,
    href: String,
}

/// One day of the list.
struct DayRow {
    date: String,
    href: String,
    hours: String,
    turns: i64,
    room: String,
    limit: String,
    state: &'static str,
    good: bool,
    note: String,
    book: String,
    /// No start is free: one can wait.
    full: bool,
}

/// The press days of a season.
#[derive(Template)]
#[template(path = "turns/press_days/list.html")]
pub(super) struct ListPage {
    shell: Shell,
    steward: bool,
    season: bool,
    plan: &'static str,
    can_come: String,
    seasons: &'static str,
    rows: Vec<DayRow>,
    others: Vec<Other>,
}

impl ListPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        me: &Me,
        season: Option<&Season>,
        seasons: &[Season],
        (days, rooms): (&[DayLine], &BTreeMap<PressDate, Room>),
    ) -> Result<Self, PageError> {
        let (today, units) = (today(visit)?, visit.units());
        let title = season.map_or_else(
            || "Press days".to_owned(),
            |s| format!("Press days of {}", s.year),
        );
        let year = season.map(|s| s.year);
        Ok(Self {
            shell: Shell::new(app, visit, title),
            steward: me.is_steward(),
            season: season.is_some(),
            plan: paths::NEW_DAY,
            can_come: paths::can_come(me.id),
            seasons: paths::SEASONS,
            rows: days
                .iter()
                .map(|day| day_row(day, rooms.get(&day.date).copied(), today, units))
                .collect(),
            others: seasons
                .iter()
                .filter(|s| Some(s.year) != year)
                .map(|s| Other {
                    words: format!("Press days of {}", s.year),
                    href: paths::days_of(s.year),
                })
                .collect(),
        })
    }
}

/// "the pan: a turn of up to 412 lb", said only where not the mill alone limits; of a full day, what
/// fills it.
pub(super) fn limit_words(room: Option<Room>, units: Units) -> String {
    match room {
        Some(room) if room.limit != Limit::Mill || room.is_full() => room.words(units),
        _ => String::new(),
    }
}

fn day_row(day: &DayLine, left: Option<Room>, today: PressDate, units: Units) -> DayRow {
    let bookable = !is_over((day.date, day.closed_at.is_some()), today);
    let full = left.is_none_or(Room::is_full);
    DayRow {
        date: day.date.show(),
        href: paths::day(day.date),
        hours: format!("{}–{}", day.opens.show(), day.closes.show()),
        turns: day.turns,
        room: match left.filter(|_| bookable) {
            None => "–".to_owned(),
            Some(_) if full => "full".to_owned(),
            Some(left) => left.left.show(),
        },
        limit: limit_words(left, units),
        state: state(day.closed_at.is_some(), day.date, today),
        good: bookable,
        note: day.note.clone(),
        book: if bookable {
            paths::book(day.date)
        } else {
            String::new()
        },
        full,
    }
}

/// One of a member's own turns, or of a card acted for.
struct OwnTurn {
    /// Name of the member whose it is, of a card acted for; empty: the reader's own.
    name: String,
    time: String,
    cane: String,
    /// Empty: its cane has come, nobody came, or the day is over.
    then: &'static str,
    href: String,
}

/// One of a member's own tickets, or of a card acted for.
struct OwnTicket {
    /// Name of the member whose it is, of a card acted for; empty: the reader's own.
    name: String,
    number: i64,
    net: String,
    href: String,
}

/// A member's own place on the waiting list, or that of a card acted for.
struct OwnPlace {
    /// Name of the member whose it is, of a card acted for; empty: the reader's own.
    name: String,
    words: String,
    href: String,
}

/// A press day as a member sees it.
#[derive(Template)]
#[template(path = "turns/press_days/show.html")]
pub(super) struct DayPage {
    shell: Shell,
    hours: String,
    turns: usize,
    /// Empty: the day is over.
    room: String,
    limit: String,
    note: String,
    state: &'static str,
    own: Vec<OwnTurn>,
    /// Turns of cards acted for.
    others: Vec<OwnTurn>,
    /// Whether the cane of one of these turns is still to come.
    ahead: bool,
    tickets: Vec<OwnTicket>,
    /// Whether one of the tickets is the reader's own.
    own_cane: bool,
    /// Whether the reader is on the list.
    waiting: bool,
    waits: usize,
    places: Vec<OwnPlace>,
    wait: String,
    changes: Vec<ChangeLine>,
    book: String,
    queue: String,
    rules: String,
    help: String,
    /// The mill's number; empty: nobody is named.
    phone: String,
    back: &'static str,
}

impl DayPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        me: &Me,
        day: &PressDay,
        facts: &DayFacts,
    ) -> Result<Self, PageError> {
        let (today, zone, units) = (today(visit)?, visit.zone()?, visit.units());
        let (turns, tickets, left) = (&facts.turns, &facts.tickets, facts.left);
        let bookable = left.is_some_and(|left| !left.is_full());
        let clock = zone.clock(day.date);
        let over = is_over((day.date, day.closed_at.is_some()), today);
        Ok(Self {
            shell: Shell::new(app, visit, format!("Press day {}", day.date.show())),
            hours: format!("{}–{}", day.opens.show(), day.closes.show()),
            turns: turns.len(),
            room: left.map_or_else(String::new, |left| left.left.show()),
            limit: limit_words(left, units),
            note: day.note.clone(),
            state: state(day.closed_at.is_some(), day.date, today),
            own: own_turns(me, turns, |whose| whose == me.id, (&clock, units, over)),
            others: own_turns(me, turns, |whose| whose != me.id, (&clock, units, over)),
            ahead: turns
                .iter()
                .any(|turn| me.is_theirs(turn.member_id) && !then_words(turn, over).is_empty()),
            tickets: tickets
                .iter()
                .filter(|ticket| me.is_theirs(ticket.member_id))
                .map(|ticket| OwnTicket {
                    name: name_of(me, ticket.member_id, &ticket.name),
                    number: ticket.ticket,
                    net: ticket.net.show(units),
                    href: paths::ticket(ticket.id),
                })
                .collect(),
            own_cane: tickets.iter().any(|ticket| ticket.member_id == me.id),
            waiting: own_places(me, facts).any(|entry| entry.member_id == me.id),
            waits: facts.waits(),
            places: own_places(me, facts)
                .map(|entry| OwnPlace {
                    name: name_of(me, entry.member_id, &entry.member),
                    words: match place_of(&facts.list, entry) {
                        place if place.is_empty() => "not asked any more".to_owned(),
                        place => place,
                    },
                    href: paths::waiting(entry.id),
                })
                .collect(),
            wait: if left.is_some() && !bookable {
                paths::book(day.date)
            } else {
                String::new()
            },
            changes: changes::lines(&facts.changes, zone, false),
            book: if bookable {
                paths::book(day.date)
            } else {
                String::new()
            },
            queue: only_if(!over, paths::queue(day.date)),
            rules: rules_of(day.date),
            help: paths::roster(day.date),
            phone: visit.coop()?.contact_phone.clone(),
            back: paths::DAYS,
        })
    }
}

/// The name of whose something is, where that is not the reader.
fn name_of(me: &Me, member: MemberId, name: &MemberName) -> String {
    only_if(member != me.id, name.to_string())
}

/// The places on a day's list that are the reader's to look after.
fn own_places<'a>(me: &'a Me, facts: &'a DayFacts) -> impl Iterator<Item = &'a Entry> {
    let theirs = |entry: &&Entry| me.is_theirs(entry.member_id) && entry.state.on_list();
    facts.list.iter().filter(theirs)
}

/// The turns that are the reader's to look after, of some of the cards.
fn own_turns(
    me: &Me,
    turns: &[TurnLine],
    of: impl Fn(MemberId) -> bool,
    (clock, units, over): (&DayClock, Units, bool),
) -> Vec<OwnTurn> {
    let theirs = |turn: &&TurnLine| me.is_theirs(turn.member_id) && of(turn.member_id);
    let turns = turns.iter().filter(theirs).map(|turn| OwnTurn {
        name: name_of(me, turn.member_id, &turn.name),
        time: span_words(clock, turn.start, turn.minutes),
        cane: turn.cane.show(units),
        then: then_words(turn, over),
        href: paths::turn(turn.id),
    });
    turns.collect()
}

/// What can still be done about a turn; empty: its cane has come, nobody came, or the day is over.
const fn then_words(turn: &TurnLine, over: bool) -> &'static str {
    if over || turn.ticket.is_some() || turn.no_show_at.is_some() {
        ""
    } else {
        "Its page says what can still be changed."
    }
}

/// The form of a press day, new or changed.
#[derive(Template)]
#[template(path = "turns/press_days/form.html")]
pub(super) struct FormPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    back: String,
    words: &'static str,
    fixed: bool,
    /// The seasons that a day of the winter may be of; empty where there is only one.
    seasons: Vec<Choice>,
    rate_label: &'static str,
    rate_hint: String,
}

impl FormPage {
    pub(super) fn planning(
        (app, visit): (&App, &Visit),
        sheet: Sheet,
        habit: &TurnHabit,
        seasons: &[Season],
    ) -> Self {
        let years = seasons.iter().take(2).map(|season| season.year.to_string());
        Self {
            seasons: match seasons {
                [_, _, ..] => years.map(|year| Choice::new(year.clone(), year)).collect(),
                _ => Vec::new(),
            },
            shell: Shell::new(app, visit, "Plan a press day"),
            sheet,
            action: paths::NEW_DAY.to_owned(),
            back: paths::DAYS.to_owned(),
            words: "Plan the day",
            fixed: false,
            rate_label: rate_label(visit.units()),
            rate_hint: rate_hint(habit, visit.units()),
        }
    }

    pub(super) fn changing(
        app: &App,
        visit: &Visit,
        date: PressDate,
        sheet: Sheet,
        habit: &TurnHabit,
    ) -> Self {
        Self {
            seasons: Vec::new(),
            shell: Shell::new(app, visit, format!("Change {}", date.show())),
            sheet,
            action: paths::edit_day(date),
            back: paths::day(date),
            words: "Save the day",
            fixed: true,
            rate_label: rate_label(visit.units()),
            rate_hint: rate_hint(habit, visit.units()),
        }
    }
}

fn rate_label(units: Units) -> &'static str {
    match units {
        Units::Us => "Cane the mill takes in an hour, lb",
        Units::Metric => "Cane the mill takes in an hour, kg",
    }
}

/// What the rate is for and, once turns have taught it, what the mill did: the steward decides.
fn rate_hint(habit: &TurnHabit, units: Units) -> String {
    let use_of = "Minutes of a turn follow from this and the cane expected.";
    match pace_words(habit.min_per_100kg, units) {
        Some(pace) => format!(
            "{use_of} So far: {pace}. Write the rate without the change-over: that has its own box."
        ),
        None => use_of.to_owned(),
    }
}

#[cfg(test)]
#[path = "view_samples.rs"]
mod view_samples;
#[cfg(test)]
pub(super) use view_samples::samples;
