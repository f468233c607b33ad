//! Home, by role, as text ready to print: a member's next turn and last results; the mill's running
//! day for the crew; what needs deciding for stewards.

use super::for_you::ForYou;
use super::waiting::OnOffer;
use crate::calc::cane::juice::{Clock, Waiting, juice_clock};
use crate::store::home::{
    DayLine, Desk, Expected, LastShare, LastTicket, NextTurn, OpenBoil, Standing, Unpressed,
    WaitingJuice,
};
use crate::store::season::seasons::Rules;
use crate::units::{Grams, PressDate, Units, UtcSecond, Zone};
use crate::web::paths;
use crate::web::session::Me;
use crate::web::shell::Shell;
use askama::Template;

/// A line with a link.
pub(super) struct Line {
    href: String,
    words: String,
    more: String,
    tag: &'static str,
    look: &'static str,
}

impl Line {
    pub(super) fn new(href: String, words: String, more: String) -> Self {
        Self {
            href,
            words,
            more,
            tag: "",
            look: "",
        }
    }
}

/// What a member sees.
pub(super) struct Own {
    turns: Vec<Line>,
    book: Vec<Line>,
    results: Vec<Line>,
    tickets: Vec<Line>,
    standing: String,
    jars: String,
    statement: String,
    plantings: String,
    card: String,
}

/// The running day, for the crew.
pub(super) struct Running {
    date: String,
    day: String,
    expected: Vec<Line>,
    unpressed: Vec<Line>,
    waiting: Vec<Line>,
    walk_in: String,
    light: String,
}

/// What needs deciding, for stewards.
pub(super) struct Decisions {
    lines: Vec<Line>,
}

/// Home.
#[derive(Template)]
#[template(path = "home/show.html")]
pub(super) struct HomePage {
    pub(super) shell: Shell,
    pub(super) offers: Vec<OnOffer>,
    pub(super) for_you: ForYou,
    pub(super) own: Own,
    pub(super) places: Vec<Line>,
    pub(super) running: Option<Running>,
    pub(super) boils: Vec<Line>,
    pub(super) crew: bool,
    pub(super) decisions: Option<Decisions>,
    /// Calls to make, for crew who are no stewards.
    pub(super) calls: Option<Line>,
    pub(super) next_day: String,
}

/// What [`own`] is made from.
pub(super) struct OwnFacts<'a> {
    pub(super) turns: &'a [NextTurn],
    pub(super) days: &'a [DayLine],
    pub(super) shares: &'a [LastShare],
    pub(super) tickets: &'a [LastTicket],
    pub(super) standing: Standing,
    pub(super) today: PressDate,
    /// Year of the latest season, if one was opened.
    pub(super) year: Option<i64>,
}

pub(super) fn own(me: &Me, facts: &OwnFacts<'_>) -> Own {
    let units = me.units;
    let turns = facts
        .turns
        .iter()
        .map(|t| {
            let when = format!("{}, {}", t.date.show(), t.start.show());
            let more = format!(
                "{} at the mill, {} expected",
                t.minutes.show(),
                t.cane.show(units)
            );
            Line::new(paths::turn(t.id), when, more)
        })
        .collect();
    let book = facts
        .days
        .iter()
        .filter(|d| d.date >= facts.today)
        .take(4)
        .map(|d| {
            let more = format!(
                "{}–{}, {}",
                d.opens.show(),
                d.closes.show(),
                count(d.turns, "turn taken", "turns taken")
            );
            Line::new(paths::book(d.date), d.date.show(), more)
        })
        .collect();
    let results = facts.shares.iter().map(|s| result(s, units)).collect();
    let tickets = facts
        .tickets
        .iter()
        .map(|t| {
            let juice = if t.juices == 0 {
                "juice not measured yet"
            } else {
                "juice measured"
            };
            let more = format!("{}, {} of cane, {juice}", t.date.show(), t.net.show(units));
            Line::new(paths::ticket(t.id), format!("Ticket {}", t.ticket), more)
        })
        .collect();
    Own {
        turns,
        book,
        results,
        tickets,
        standing: standing(facts.standing, units),
        jars: match facts.standing.jars {
            0 => String::new(),
            n => format!(
                "{} of yours at the mill.",
                count(n, "jar waits", "jars wait")
            ),
        },
        statement: facts
            .year
            .map_or_else(String::new, |year| paths::statement(me.id, year)),
        plantings: paths::plantings(me.id),
        card: paths::member(me.id),
    }
}

fn result(s: &LastShare, units: Units) -> Line {
    let carry = match s.carry {
        Grams::ZERO => "nothing carried".to_owned(),
        c if c > Grams::ZERO => format!("{} carried to your next lot", c.grams_text(units)),
        c => format!("{} more than your share, carried", (-c).grams_text(units)),
    };
    let more = format!(
        "{}: your part {}, in jars {}, {carry}",
        s.date.show(),
        s.entitled.grams_text(units),
        s.jarred.grams_text(units)
    );
    Line::new(
        paths::boil_part(&s.lot, "divide"),
        format!("Lot {}", s.lot),
        more,
    )
}

fn standing(s: Standing, units: Units) -> String {
    let syrup = match s.grams {
        Grams::ZERO => "No syrup is carried".to_owned(),
        g if g > Grams::ZERO => format!("{} of syrup is carried for you", g.grams_text(units)),
        g => format!(
            "You have had {} of syrup in advance",
            (-g).grams_text(units)
        ),
    };
    let money = match s.cents.get() {
        0 => "nothing is to pay".to_owned(),
        c if c > 0 => format!("{} is to pay", s.cents.show()),
        _ => format!("{} is in your favour", (-s.cents).show()),
    };
    format!("{syrup}; {money}.")
}

fn count(n: i64, one: &str, many: &str) -> String {
    if n == 1 {
        format!("1 {one}")
    } else {
        format!("{n} {many}")
    }
}

/// The lists of a running day.
pub(super) struct RunningFacts<'a> {
    pub(super) day: &'a DayLine,
    pub(super) expected: &'a [Expected],
    pub(super) unpressed: &'a [Unpressed],
    pub(super) waiting: &'a [WaitingJuice],
    pub(super) rules: &'a Rules,
    pub(super) at: UtcSecond,
    pub(super) zone: &'a Zone,
    pub(super) units: Units,
}

pub(super) fn running(f: &RunningFacts<'_>) -> Running {
    let expected = f
        .expected
        .iter()
        .map(|e| {
            let words = format!("{} {}", e.start.show(), e.name);
            let more = format!("{} expected", e.cane.show(f.units));
            Line::new(paths::new_ticket_for(f.day.date, e.id), words, more)
        })
        .collect();
    let unpressed = f
        .unpressed
        .iter()
        .map(|t| {
            let more = format!("weighed in at {}", f.zone.local(t.made_at).1.show());
            Line::new(
                paths::ticket(t.id),
                format!("Ticket {} · {}", t.ticket, t.name),
                more,
            )
        })
        .collect();
    Running {
        date: f.day.date.show(),
        day: paths::day(f.day.date),
        expected,
        unpressed,
        waiting: f.waiting.iter().map(|w| waiting(w, f)).collect(),
        walk_in: paths::new_ticket(f.day.date),
        light: paths::new_boil(f.day.date),
    }
}

fn waiting(w: &WaitingJuice, f: &RunningFacts<'_>) -> Line {
    let limits = Waiting {
        amber: f.rules.hold_amber,
        red: f.rules.hold_red,
    };
    let (clock, left) = juice_clock(w.pressed_at, f.at, limits);
    let (tag, look) = match clock {
        Clock::Fresh => ("fresh", "ok"),
        Clock::Soon => ("boil soon", "warn"),
        Clock::Late => ("too long", "bad"),
    };
    let age = crate::units::Minutes::new(f.at.minutes_since(w.pressed_at));
    let left = if left.get() > 0 {
        format!(", {} left", left.show())
    } else {
        String::new()
    };
    Line {
        href: paths::juice(w.id),
        words: format!("{} · ticket {} · {}", w.vessel, w.ticket, w.name),
        more: format!("pressed {} ago{left}", age.show()),
        tag,
        look,
    }
}

pub(super) fn boils(open: &[OpenBoil], at: UtcSecond) -> Vec<Line> {
    open.iter()
        .map(|b| {
            let lit = crate::units::Minutes::new(at.minutes_since(b.lit_at));
            let (tag, look) = if b.finished {
                ("to fill and divide", "warn")
            } else {
                ("on the fire", "bad")
            };
            Line {
                href: paths::boil(&b.lot),
                words: format!("Lot {}", b.lot),
                more: format!("{}, lit {} ago", b.date.show(), lit.show()),
                tag,
                look,
            }
        })
        .collect()
}

/// The calls to make, if there are any.
pub(super) fn calls(n: usize) -> Option<Line> {
    let words = match n {
        0 => return None,
        1 => "1 call to make".to_owned(),
        n => format!("{n} calls to make"),
    };
    let more = "members who have not heard yet".to_owned();
    Some(Line::new(paths::CALLS.to_owned(), words, more))
}

pub(super) fn decisions(
    calls: Option<Line>,
    desk: Desk,
    days: &[DayLine],
    open: &[OpenBoil],
    today: PressDate,
) -> Decisions {
    let mut lines = Vec::from_iter(calls);
    for day in days.iter().filter(|d| d.date < today) {
        lines.push(Line::new(
            paths::day(day.date),
            format!("{} is not closed", day.date.show()),
            format!(
                "{}, {}",
                count(day.turns, "turn", "turns"),
                count(day.tickets, "ticket", "tickets")
            ),
        ));
    }
    for boil in open.iter().filter(|b| b.finished && b.date < today) {
        lines.push(Line::new(
            paths::boil(&boil.lot),
            format!("Lot {} is finished and not divided", boil.lot),
            boil.date.show(),
        ));
    }
    if desk.owing > 0 {
        lines.push(Line::new(
            paths::LEDGER.to_owned(),
            format!("{} money", count(desk.owing, "member owes", "members owe")),
            format!("{} together", desk.owed.show()),
        ));
    }
    if desk.jars > 0 {
        lines.push(Line::new(
            paths::HAND_OVERS.to_owned(),
            format!(
                "{} to be handed over",
                count(desk.jars, "jar waits", "jars wait")
            ),
            String::new(),
        ));
    }
    if desk.without_account > 0 {
        lines.push(Line::new(
            paths::MEMBERS.to_owned(),
            format!(
                "{} sign in yet",
                count(desk.without_account, "member cannot", "members cannot")
            ),
            "make an invitation from the member’s card".to_owned(),
        ));
    }
    Decisions { lines }
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let line = |n: usize| Line {
        href: format!("/tickets/{n}"),
        words: "Ticket 7 · <b>Ann</b> & “Söhne”".to_owned(),
        more: "pressed 3 h 5 min ago".to_owned(),
        tag: "boil soon",
        look: "warn",
    };
    let lines = |n: usize| (0..n).map(line).collect::<Vec<_>>();
    let own = |n| Own {
        turns: lines(n),
        book: lines(n),
        results: lines(n),
        tickets: lines(n),
        standing: "No syrup is carried; nothing is to pay.".to_owned(),
        jars: String::new(),
        statement: "/members/1/statement/2026".to_owned(),
        plantings: "/members/1/plantings".to_owned(),
        card: "/members/1".to_owned(),
    };
    let running = |n| Running {
        date: "Sat 19 Sep 2026".to_owned(),
        day: "/days/2026-09-19".to_owned(),
        expected: lines(n),
        unpressed: lines(n),
        waiting: lines(n),
        walk_in: "/days/2026-09-19/tickets/new".to_owned(),
        light: "/days/2026-09-19/boils/new".to_owned(),
    };
    let home = |n: usize, crew: bool| HomePage {
        shell: Shell::sample("Good day, Ruth"),
        offers: (0..n.min(2)).map(OnOffer::sample).collect(),
        for_you: ForYou::sample(n),
        own: own(n),
        places: lines(n.min(2)),
        running: crew.then(|| running(n)),
        boils: lines(n),
        crew,
        decisions: crew.then(|| Decisions { lines: lines(n) }),
        calls: calls(n),
        next_day: String::new(),
    };
    vec![
        Box::new(home(0, false)),
        Box::new(home(3, false)),
        Box::new(home(0, true)),
        Box::new(home(40, true)),
    ]
}
