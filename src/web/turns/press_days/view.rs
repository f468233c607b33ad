//! The pages of press days for everybody: the list, a member's day, the forms. As text ready to
//! print.

use super::changes::{self, ChangeLine};
use super::today;
use crate::actions::turns::turn::day_of;
use crate::calc::turns::day_board::room;
use crate::calc::turns::day_room::{Limit, Room};
use crate::calc::turns::starts::span_words;
use crate::calc::turns::turn_habit::{Habit, pace_words};
use crate::store::season::seasons::Season;
use crate::store::turns::day_board::{DayLine, TicketLine, TurnLine};
use crate::store::turns::day_changes::DayChange;
use crate::store::turns::press_days::PressDay;
use crate::store::turns::waiting::Entry;
use crate::units::{Grams, Minutes, PressDate, Units, Zone};
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::session::{Me, Visit};
use crate::web::shell::Shell;
use crate::web::turns::waiting::place_of;
use crate::web::{App, paths};
use askama::Template;
use std::collections::BTreeMap;

/// How a day stands, in a word.
pub(super) fn state(closed: bool, date: PressDate, today: PressDate) -> &'static str {
    if closed {
        "closed"
    } else if date == today {
        "today"
    } else if date < today {
        "past"
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
struct Row {
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
    seasons: &'static str,
    rows: Vec<Row>,
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
        let (today, zone, units) = (today(visit)?, visit.zone()?, visit.units());
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
            seasons: paths::SEASONS,
            rows: days
                .iter()
                .map(|day| row(day, rooms.get(&day.date).copied(), (today, zone), units))
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
        Some(room) if room.limit != Limit::Mill || room.most == Grams::ZERO => room.words(units),
        _ => String::new(),
    }
}

fn row(day: &DayLine, left: Option<Room>, (today, zone): (PressDate, &Zone), units: Units) -> Row {
    let clock = zone.clock(day.date);
    let open = clock.closes(day.closes).get() - clock.opens(day.opens).get();
    let minutes = room(Minutes::new(open), day.taken);
    let bookable = day.closed_at.is_none() && day.date >= today;
    let full = left.is_none_or(|left| left.most == Grams::ZERO);
    Row {
        date: day.date.show(),
        href: paths::day(day.date),
        hours: format!("{}–{}", day.opens.show(), day.closes.show()),
        turns: day.turns,
        room: match (bookable, full) {
            (false, _) => "–".to_owned(),
            (true, true) => "full".to_owned(),
            (true, false) => minutes.show(),
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

/// What the store says of a day to everybody.
pub(super) struct Seen {
    /// Held turns.
    pub(super) turns: Vec<TurnLine>,
    /// Tickets.
    pub(super) tickets: Vec<TicketLine>,
    /// What was done to its turns together.
    pub(super) changes: Vec<DayChange>,
    /// What there is room for; none: it takes no turns.
    pub(super) left: Option<Room>,
    /// Minutes that turns hold and that are on offer.
    pub(super) taken: Minutes,
    /// Its waiting list, by rank.
    pub(super) list: Vec<Entry>,
}

impl Seen {
    /// How many are on the waiting list.
    pub(super) fn waits(&self) -> usize {
        self.list.iter().filter(|e| e.state.on_list()).count()
    }
}

/// One of a member's own turns.
struct OwnTurn {
    time: String,
    cane: String,
    href: String,
}

/// One of a member's own tickets.
struct OwnTicket {
    number: i64,
    net: String,
    href: String,
}

/// A member's own place on the waiting list.
struct OwnPlace {
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
    room: String,
    limit: String,
    note: String,
    state: &'static str,
    own: Vec<OwnTurn>,
    tickets: Vec<OwnTicket>,
    waits: usize,
    places: Vec<OwnPlace>,
    wait: String,
    changes: Vec<ChangeLine>,
    book: String,
    rules: String,
    back: &'static str,
}

/// Minutes of a day that are neither taken nor on offer.
pub(super) fn room_of(day: &PressDay, zone: &Zone, taken: Minutes) -> Minutes {
    room(day_of(day, zone).open_minutes(), taken)
}

impl DayPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        me: &Me,
        day: &PressDay,
        seen: &Seen,
    ) -> Result<Self, PageError> {
        let (today, zone, units) = (today(visit)?, visit.zone()?, visit.units());
        let (turns, tickets, left) = (&seen.turns, &seen.tickets, seen.left);
        let bookable = left.is_some_and(|left| left.most > Grams::ZERO);
        Ok(Self {
            shell: Shell::new(app, visit, format!("Press day {}", day.date.show())),
            hours: format!("{}–{}", day.opens.show(), day.closes.show()),
            turns: turns.len(),
            room: room_of(day, zone, seen.taken).show(),
            limit: limit_words(left, units),
            note: day.note.clone(),
            state: state(day.closed_at.is_some(), day.date, today),
            own: turns
                .iter()
                .filter(|turn| turn.member_id == me.id)
                .map(|turn| OwnTurn {
                    time: span_words(&zone.clock(day.date), turn.start, turn.minutes),
                    cane: turn.cane.show(units),
                    href: paths::turn(turn.id),
                })
                .collect(),
            tickets: tickets
                .iter()
                .filter(|ticket| ticket.member_id == me.id)
                .map(|ticket| OwnTicket {
                    number: ticket.ticket,
                    net: ticket.net.show(units),
                    href: paths::ticket(ticket.id),
                })
                .collect(),
            waits: seen.waits(),
            places: seen
                .list
                .iter()
                .filter(|entry| entry.member_id == me.id && entry.state.on_list())
                .map(|entry| OwnPlace {
                    words: match place_of(&seen.list, entry) {
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
            changes: changes::lines(&seen.changes, zone, false),
            book: if bookable {
                paths::book(day.date)
            } else {
                String::new()
            },
            rules: paths::season(i64::from(day.date.date().year())),
            back: paths::DAYS,
        })
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
    rate_label: &'static str,
    rate_hint: String,
}

impl FormPage {
    pub(super) fn planning(app: &App, visit: &Visit, sheet: Sheet, habit: &Habit) -> Self {
        Self {
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
        habit: &Habit,
    ) -> Self {
        Self {
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
fn rate_hint(habit: &Habit, units: Units) -> String {
    let use_of = "Minutes of a turn follow from this and the cane expected.";
    match pace_words(habit.min_per_100kg, units) {
        Some(pace) => format!(
            "{use_of} So far: {pace}. Write the rate without the change-over: that has its own box."
        ),
        None => use_of.to_owned(),
    }
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let row = |n: i64| Row {
        date: "Sat 18 Sep 2027".to_owned(),
        href: "/days/2027-09-18".to_owned(),
        hours: "07:00–17:00".to_owned(),
        turns: n,
        room: "6 h 20 min".to_owned(),
        limit: "a turn of up to 412.0 lb; the pan is the limit".to_owned(),
        state: "open for turns",
        good: n % 2 == 0,
        note: "Bring <jars> & lids".to_owned(),
        book: if n % 2 == 0 {
            "/days/2027-09-18/book".to_owned()
        } else {
            String::new()
        },
        full: n % 4 == 0,
    };
    let list = |count, season| ListPage {
        shell: Shell::sample("Press days of 2027"),
        steward: true,
        season,
        plan: paths::NEW_DAY,
        seasons: paths::SEASONS,
        rows: (0..count).map(row).collect(),
        others: vec![Other {
            words: "Press days of 2026".to_owned(),
            href: paths::days_of(2026),
        }],
    };
    let day = |own: bool| DayPage {
        shell: Shell::sample("Press day Sat 18 Sep 2027"),
        hours: "07:00–17:00".to_owned(),
        turns: 12,
        room: "6 h 20 min".to_owned(),
        limit: "a turn of up to 412.0 lb; the pan is the limit".to_owned(),
        note: "Bring <jars> & lids".to_owned(),
        state: "today",
        own: if own {
            vec![OwnTurn {
                time: "07:00–07:40".to_owned(),
                cane: "412.5 lb".to_owned(),
                href: "/turns/01920000-0000-7000-8000-000000000000".to_owned(),
            }]
        } else {
            Vec::new()
        },
        tickets: Vec::new(),
        waits: if own { 3 } else { 0 },
        places: if own {
            vec![OwnPlace {
                words: "2nd of 3".to_owned(),
                href: "/waiting/x".to_owned(),
            }]
        } else {
            Vec::new()
        },
        wait: if own {
            String::new()
        } else {
            "/days/2027-09-18/book".to_owned()
        },
        changes: changes::sample(2),
        book: "/days/2027-09-18/book".to_owned(),
        rules: paths::season(2027),
        back: paths::DAYS,
    };
    let form = |sheet, fixed| FormPage {
        shell: Shell::sample("Plan a press day"),
        sheet,
        action: paths::NEW_DAY.to_owned(),
        back: paths::DAYS.to_owned(),
        words: "Plan the day",
        fixed,
        rate_label: rate_label(Units::Us),
        rate_hint: rate_hint(&Habit::default(), Units::Us),
    };
    let mut wrong = Sheet::sample();
    wrong
        .put("opens", "<script>")
        .refuse("opens", "Please write a time of day, like 7:30 or 19:30.");
    vec![
        Box::new(list(0, false)),
        Box::new(list(0, true)),
        Box::new(list(60, true)),
        Box::new(day(false)),
        Box::new(day(true)),
        Box::new(form(Sheet::sample(), false)),
        Box::new(form(wrong, true)),
    ]
}
