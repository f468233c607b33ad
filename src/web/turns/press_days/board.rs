//! A press day as the crew sees it: who comes, whose cane is here, which juice waits and for how
//! long, what boils. As text ready to print.

use super::changes::{self, ChangeLine, ChangeWay};
use super::next::Next;
use super::tag::Tag;
use super::view::{limit_words, state};
use crate::calc::boil::fire::call::Call;
use crate::calc::cane::juice::{Freshness, WaitLimits, juice_clock};
use crate::calc::turns::starts::span_words;
use crate::calc::turns::turn_states::When;
use crate::facts::turns::press_days::{CrewDayFacts, DayFacts, left_of};
use crate::store::turns::day_board::{BoilLine, TicketLine, TurnLine, WaitingJuice};
use crate::store::turns::press_days::PressDay;
use crate::units::{Grams, Minutes, PressDate, Units, UtcSecond, Zone};
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::season::rules_lacking::lacking;
use crate::web::session::{Me, Visit};
use crate::web::shell::Shell;
use crate::web::turns::asked::today;
use crate::web::{App, paths};
use askama::Template;

struct TurnRow {
    time: String,
    href: String,
    name: String,
    phone: String,
    cane: String,
    note: String,
    here: String,
    way: String,
    tag: Option<Tag>,
}

struct TicketRow {
    number: i64,
    href: String,
    name: String,
    net: String,
    tag: Tag,
}

struct JuiceRow {
    vessel: String,
    href: String,
    name: String,
    ticket: i64,
    left: String,
    remark: String,
    waited: String,
    tag: Tag,
}

struct BoilRow {
    lot: String,
    href: String,
    whose: String,
    lit: String,
    cook: String,
    tag: Tag,
    /// What the watch calls, while it is on the fire.
    call: Option<Tag>,
}

/// A press day as the crew sees it.
#[derive(Template)]
#[template(path = "turns/press_days/board.html")]
pub(super) struct BoardPage {
    shell: Shell,
    sheet: Sheet,
    steward: bool,
    open: bool,
    /// Why a closed day is not opened again; empty: a steward may.
    shut: &'static str,
    state: &'static str,
    hours: String,
    room: String,
    rate: String,
    note: String,
    limits: String,
    /// Where rules for the day are to be confirmed; empty: they are.
    lacking: String,
    next: Next,
    expected: usize,
    unpressed: usize,
    turns: Vec<TurnRow>,
    tickets: Vec<TicketRow>,
    /// Ticket numbers that no ticket bears, in words; empty when there are none.
    gaps: String,
    juices: Vec<JuiceRow>,
    boils: Vec<BoilRow>,
    book: String,
    list: String,
    waits: usize,
    walk_in: String,
    light: String,
    plan: String,
    balance: String,
    mill: String,
    morning: String,
    edit: String,
    close: String,
    wall: String,
    paper: String,
    roster: String,
    changes: Vec<ChangeLine>,
    change_ways: Vec<ChangeWay>,
}

impl BoardPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        me: &Me,
        day: &PressDay,
        facts: &CrewDayFacts,
        sheet: Sheet,
    ) -> Result<Self, PageError> {
        let (today, zone, units) = (today(visit)?, visit.zone()?, visit.units());
        let limits = facts.day.rules.wait_limits();
        let (turns, tickets) = (&facts.day.turns, &facts.day.tickets);
        Ok(Self {
            shell: Shell::new(app, visit, format!("Press day {}", day.date.show())),
            sheet,
            gaps: facts.gaps.clone(),
            steward: me.is_steward(),
            open: day.closed_at.is_none(),
            shut: "",
            state: state(day.closed_at.is_some(), day.date, today),
            hours: format!("{}–{}", day.opens.show(), day.closes.show()),
            room: room_words(&facts.day, units),
            rate: rate(day, units),
            note: day.note.clone(),
            limits: format!(
                "Juice is amber after {} and red after {}.",
                limits.amber.show(),
                limits.red.show()
            ),
            lacking: lacking(&facts.day.rules, day.date),
            next: Next::new(day, facts, (zone, visit.at), units),
            expected: turns.iter().filter(|t| t.ticket.is_none()).count(),
            unpressed: tickets
                .iter()
                .filter(|t| t.juices == 0 && !t.dropped)
                .count(),
            turns: turns
                .iter()
                .map(|t| turn_row(t, day, (zone, visit.at), units))
                .collect(),
            tickets: tickets.iter().map(|t| ticket_row(t, units)).collect(),
            juices: juice_rows(&facts.waiting, day, runs(day, today, &facts.day), |juice| {
                juice_row(juice, day, limits, visit.at, units)
            }),
            boils: facts
                .boils
                .iter()
                .map(|boil| boil_row(boil, zone.show(boil.lit_at), facts.call_of(&boil.lot)))
                .collect(),
            book: paths::book(day.date),
            list: paths::day_waiting(day.date),
            waits: facts.day.waits(),
            walk_in: paths::new_ticket(day.date),
            light: paths::new_boil(day.date),
            plan: paths::plan(day.date),
            balance: paths::balance(day.date),
            mill: paths::mill_day(day.date),
            morning: paths::morning(day.date),
            wall: paths::board(day.date),
            paper: paths::day_sheet(day.date),
            roster: paths::roster(day.date),
            edit: paths::edit_day(day.date),
            close: close_or_open(day),
            changes: changes::lines(&facts.day.changes, zone, true),
            change_ways: if day.date >= today {
                changes::ways(day.date)
            } else {
                Vec::new()
            },
        })
    }

    /// The page of a closed day, with why it is not opened again.
    pub(super) fn with_shut(self, shut: &'static str) -> Self {
        Self { shut, ..self }
    }
}

/// Where the day is closed, or opened again.
fn close_or_open(day: &PressDay) -> String {
    if day.closed_at.is_none() {
        paths::close_day(day.date)
    } else {
        paths::open_day(day.date)
    }
}

/// Why a closed day is not opened again, where the losses of its season were borne by all or its margin went back; empty: neither.
pub(super) fn shut((borne, returned): (bool, bool)) -> &'static str {
    match (borne, returned) {
        (true, _) => {
            "It is not opened again: the losses of its season were shared out over all who pressed in it. Cane that still comes is \
             pressed on a day of the next season."
        }
        (false, true) => {
            "It is not opened again: the margin of its season went back to all who pressed in it. Cane that still comes is pressed on \
             a day of the next season."
        }
        (false, false) => "",
    }
}

fn rate(day: &PressDay, units: Units) -> String {
    format!(
        "{} an hour, {} between two members’ cane",
        day.mill_per_h.show(units),
        day.changeover.show()
    )
}

/// "6 h 20 min", and what limits a turn if that is not the mill alone.
fn room_words(facts: &DayFacts, units: Units) -> String {
    let room = facts
        .left
        .map_or_else(|| "–".to_owned(), |left| left.left.show());
    match limit_words(facts.left, units).as_str() {
        "" => room,
        limit => format!("{room} ({limit})"),
    }
}

/// A day that was begun runs until it is closed, past midnight too.
fn runs(day: &PressDay, today: PressDate, facts: &DayFacts) -> bool {
    let begun = day.date < today && !facts.tickets.is_empty();
    day.closed_at.is_none() && (day.date == today || begun)
}

/// Juice left from another day is the business of the day that runs; a closed day shows only its own.
fn juice_rows(
    waiting: &[WaitingJuice],
    day: &PressDay,
    runs: bool,
    row: impl FnMut(&WaitingJuice) -> Option<JuiceRow>,
) -> Vec<JuiceRow> {
    waiting
        .iter()
        .filter(|juice| juice.date == day.date || runs)
        .filter_map(row)
        .collect()
}

/// Whether a turn is confirmed or was missed; none: its cane is here, or it is too early to ask.
fn turn_tag(turn: &TurnLine, day: &PressDay, (zone, at): (&Zone, UtcSecond)) -> Option<Tag> {
    let when = When {
        date: day.date,
        start: turn.start,
        zone,
        at,
    };
    match (turn.no_show_at, turn.confirmed_at) {
        _ if turn.ticket.is_some() => None,
        (Some(_), _) => Some(Tag::new("bad", "nobody came")),
        (None, Some(_)) => Some(Tag::new("ok", "confirmed")),
        (None, None) => {
            (when.to_confirm() || when.begun()).then(|| Tag::new("warn", "not confirmed"))
        }
    }
}

fn turn_row(turn: &TurnLine, day: &PressDay, looked: (&Zone, UtcSecond), units: Units) -> TurnRow {
    let (here, way) = match (turn.ticket, turn.ticket_id) {
        (Some(number), Some(id)) => (format!("here: ticket {number}"), paths::ticket(id)),
        _ => (String::new(), paths::new_ticket_for(day.date, turn.id)),
    };
    TurnRow {
        time: span_words(&looked.0.clock(day.date), turn.start, turn.minutes),
        href: paths::turn(turn.id),
        name: turn.name.to_string(),
        phone: turn.phone.to_string(),
        cane: turn.cane.show(units),
        note: turn.note.clone(),
        here,
        way,
        tag: turn_tag(turn, day, looked),
    }
}

fn ticket_row(ticket: &TicketLine, units: Units) -> TicketRow {
    let tag = match (ticket.loads, ticket.juices) {
        (0, 0) if ticket.crossed_out > 0 => Tag::new("", "crossed out"),
        (_, 0) if ticket.dropped => Tag::new("", "went home unpressed"),
        (0, 0) => Tag::new("warn", "not weighed yet"),
        (_, 0) => Tag::new("warn", "weighed, no juice yet"),
        (_, 1) => Tag::new("ok", "juice measured"),
        (_, n) => Tag::new("ok", format!("juice measured in {n} vessels")),
    };
    let walked_in = if ticket.walk_in { " (walked in)" } else { "" };
    TicketRow {
        number: ticket.ticket,
        href: paths::ticket(ticket.id),
        name: format!("{}{walked_in}", ticket.name),
        net: ticket.net.show(units),
        tag,
    }
}

/// The clock of a juice, in words.
fn clock_tag(clock: Freshness, left: Minutes) -> Tag {
    let over = Minutes::new(-left.get()).show();
    match clock {
        Freshness::Fresh => Tag::new("ok", format!("fresh, {} to red", left.show())),
        Freshness::Soon => Tag::new("warn", format!("amber: boil next, {} to red", left.show())),
        Freshness::Late => Tag::new("bad", format!("red: past its time by {over}")),
    }
}

fn juice_row(
    juice: &WaitingJuice,
    day: &PressDay,
    limits: WaitLimits,
    at: UtcSecond,
    units: Units,
) -> Option<JuiceRow> {
    let left = left_of(juice);
    // Its amounts add up to the last gram, though nobody ticked that all of it went.
    if left == Some(Grams::ZERO) {
        return None;
    }
    let (clock, to_red) = juice_clock(juice.pressed_at, at, limits);
    let mut remarks = Vec::new();
    if juice.drawn > Grams::ZERO {
        remarks.push("partly poured".to_owned());
    }
    if !juice.pools {
        remarks.push("to be boiled alone".to_owned());
    }
    if juice.date != day.date {
        remarks.push(format!("pressed {}", juice.date.show()));
    }
    Some(JuiceRow {
        vessel: juice.vessel.clone(),
        href: paths::juice(juice.id),
        name: juice.name.to_string(),
        ticket: juice.ticket,
        left: left.map_or_else(|| "readings to correct".to_owned(), |g| g.show(units)),
        remark: remarks.join(", "),
        waited: Minutes::new(at.minutes_since(juice.pressed_at)).show(),
        tag: clock_tag(clock, to_red),
    })
}

fn boil_row(boil: &BoilLine, lit: String, call: Option<Call>) -> BoilRow {
    let tag = match (boil.divided, boil.finished, boil.juices) {
        (true, _, _) if boil.lost => Tag::new("bad", "lost"),
        (true, _, _) => Tag::new("ok", "divided"),
        (false, true, _) => Tag::new("warn", "finished, not divided"),
        (false, false, 0) => Tag::new("warn", "lit, nothing poured in"),
        (false, false, 1) => Tag::new("warn", "on the pan, 1 juice"),
        (false, false, n) => Tag::new("warn", format!("on the pan, {n} juices")),
    };
    BoilRow {
        lot: boil.lot.to_string(),
        href: paths::boil(&boil.lot),
        whose: boil
            .solo
            .as_ref()
            .map_or_else(|| "pooled".to_owned(), |name| format!("{name} alone")),
        lit,
        cook: boil.cook.to_string(),
        tag,
        call: call.map(call_tag),
    }
}

/// What the watch calls, as the page of the boil and the list of boils say it.
fn call_tag(call: Call) -> Tag {
    let colour = match call {
        Call::Drawn | Call::Heating | Call::TooEarly | Call::Going => "",
        Call::Check => "warn",
        Call::There | Call::Past | Call::Candy => "bad",
    };
    Tag::new(colour, call.words())
}

#[cfg(test)]
#[path = "board_samples.rs"]
mod board_samples;
#[cfg(test)]
pub(super) use board_samples::samples;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_juices_clock_is_said_in_words_and_not_only_by_colour() {
        let limits = WaitLimits {
            amber: Minutes::new(240),
            red: Minutes::new(300),
        };
        let said = |minutes: i64| {
            let pressed = UtcSecond::new(1_000_000);
            let (clock, left) = juice_clock(pressed, pressed.plus(minutes * 60), limits);
            clock_tag(clock, left).words
        };
        assert_eq!(said(60), "fresh, 4 h to red");
        assert_eq!(said(240), "amber: boil next, 1 h to red");
        assert_eq!(said(300), "red: past its time by 0 min");
        assert_eq!(said(312), "red: past its time by 12 min");
    }
}
