//! The board on the wall, as text ready to print: turn numbers and first names, and names only of
//! those who agreed to be named. Few lines, so that they can be large.

use crate::calc::turns::queue::{Coming, Stage, stages};
use crate::store::turns::day_line::InLine;
use crate::store::turns::press_days::PressDay;
use crate::units::{ClockTime, DayClock, DayMinute, Grams, Minutes};
use crate::web::error::PageError;
use crate::web::session::Visit;
use crate::web::{only_if, paths, statics};
use askama::Template;

/// How many lines fit a screen in letters that are read at five metres.
const LINES: usize = 6;

/// One in the line.
#[derive(Debug, PartialEq, Eq)]
struct BoardRow {
    turn: String,
    name: String,
    planned: String,
    about: String,
    state: &'static str,
    look: &'static str,
}

/// The board of a press day.
#[derive(Template)]
#[template(path = "turns/day_line/board.html")]
pub(super) struct BoardPage {
    coop: String,
    css: String,
    more_css: String,
    icon: String,
    date: String,
    clock: String,
    today: bool,
    at_the_mill: String,
    done: String,
    rows: Vec<BoardRow>,
    more: String,
    back: String,
    /// Whether it looks again by itself; `other` leads to the other way.
    renews: bool,
    other: String,
}

impl BoardPage {
    pub(super) fn new(
        visit: &Visit,
        day: &PressDay,
        line: &[InLine],
        renews: bool,
    ) -> Result<Self, PageError> {
        let coop = visit.coop()?;
        let clock = coop.zone.clock(day.date);
        let today = coop.zone.local(visit.at).0;
        // Before the day its starts stand as planned; until it is closed it runs on, past midnight too; after that
        // whoever never came stays late.
        let runs = day.closed_at.is_none() && day.date <= today;
        let minute = match today.cmp(&day.date) {
            std::cmp::Ordering::Less => 0,
            std::cmp::Ordering::Equal => clock.run(visit.at).get(),
            std::cmp::Ordering::Greater if runs => {
                clock.length().get() + visit.at.minutes_since(clock.ends())
            }
            std::cmp::Ordering::Greater => clock.length().get(),
        };
        let comings: Vec<Coming> = line.iter().map(|one| coming(one, day, &clock)).collect();
        let stages = stages(&comings, minute);
        let mut rows: Vec<(i64, BoardRow)> = Vec::new();
        let mut at_the_mill = String::new();
        for (nth, (one, stage)) in line.iter().zip(&stages).enumerate() {
            let (about, state, look) = match stage {
                Stage::Done => continue,
                Stage::AtTheMill => {
                    at_the_mill = format!("{} {}", turn(one, nth), name(one));
                    continue;
                }
                Stage::Waits(at) => (*at, "here", "ok"),
                Stage::Expected(at) => (*at, "", ""),
                Stage::Late(at) => (*at, "not here yet", "warn"),
            };
            let planned = one.start.map_or_else(String::new, ClockTime::show);
            let row = BoardRow {
                turn: turn(one, nth),
                name: name(one),
                planned,
                about: show(&clock, about),
                state,
                look,
            };
            rows.push((about, row));
        }
        rows.sort_by_key(|(about, _)| *about);
        let done = stages.iter().filter(|s| **s == Stage::Done).count();
        let more = rows.len().saturating_sub(LINES);
        Ok(Self {
            coop: coop.name.clone(),
            css: statics::app_css(),
            more_css: statics::more_css(),
            icon: statics::icon(),
            date: day.date.show(),
            clock: show(&clock, minute),
            today: runs || today == day.date,
            at_the_mill: at_the_mill.trim().to_owned(),
            done: format!("{done} of {} pressed", line.len()),
            rows: rows.into_iter().take(LINES).map(|(_, row)| row).collect(),
            more: only_if(more > 0, format!("and {more} more")),
            back: paths::day(day.date),
            renews,
            other: if renews {
                paths::still_board(day.date)
            } else {
                paths::board(day.date)
            },
        })
    }
}

fn coming(one: &InLine, day: &PressDay, clock: &DayClock) -> Coming {
    let weighed = one.weighed_at.zip(one.ticket);
    Coming {
        start: one.start.map(|start| clock.kept(start)),
        minutes: one.minutes.unwrap_or_else(|| pressing(one.cane, day)),
        weighed: weighed.map(|(at, ticket)| (ticket, clock.run(at).get())),
        pressed: one.pressed,
    }
}

/// Minutes that a walk-in's cane takes, at the day's rate.
fn pressing(cane: Grams, day: &PressDay) -> Minutes {
    let pressing = cane.get() * 60 / day.mill_per_h.get().max(1);
    Minutes::new(pressing) + day.changeover
}

fn turn(one: &InLine, nth: usize) -> String {
    match (one.start, one.ticket) {
        (None, Some(ticket)) => format!("Ticket {ticket}"),
        _ => format!("Turn {}", nth + 1),
    }
}

fn name(one: &InLine) -> String {
    if one.named {
        one.name.first().to_owned()
    } else {
        String::new()
    }
}

/// What the clocks show so far into the day, and beyond its end.
fn show(clock: &DayClock, minute: i64) -> String {
    let over = minute - clock.length().get();
    if over < 0 {
        clock.show(DayMinute::new(minute))
    } else {
        format!("{:02}:{:02}", over / 60 % 24, over % 60)
    }
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let row = |n: usize| BoardRow {
        turn: format!("Turn {n}"),
        name: if n.is_multiple_of(3) {
            ""
        } else {
            "Maximiliana<b>"
        }
        .to_owned(),
        planned: "09:20".to_owned(),
        about: "10:05".to_owned(),
        state: if n.is_multiple_of(2) {
            "here"
        } else {
            "not here yet"
        },
        look: if n.is_multiple_of(2) { "ok" } else { "warn" },
    };
    let board = |count, today, more: &str| BoardPage {
        coop: "Coldwater <Ridge> & “Söhne” Pressing Co-op".to_owned(),
        css: statics::app_css(),
        more_css: statics::more_css(),
        icon: statics::icon(),
        date: "Sat 18 Sep 2027".to_owned(),
        clock: "09:41".to_owned(),
        today,
        at_the_mill: if count > 0 { "Turn 3 Ida <b>" } else { "" }.to_owned(),
        done: "2 of 11 pressed".to_owned(),
        rows: (0..count).map(row).collect(),
        more: more.to_owned(),
        back: "/days/2027-09-18".to_owned(),
        renews: true,
        other: "/days/2026-09-19/board?still=yes".to_owned(),
    };
    vec![
        Box::new(board(0, false, "")),
        Box::new(board(LINES, true, "and 5 more")),
    ]
}
