//! The board on the wall, as text ready to print: turn numbers and first names, and names only of
//! those who agreed to be named. Few lines, so that they can be large.

use crate::calc::turns::queue::Stage;
use crate::facts::turns::queue::{InQueue, Queue};
use crate::store::turns::day_line::InLine;
use crate::units::{ClockTime, PressDate};
use crate::web::error::PageError;
use crate::web::session::Visit;
use crate::web::{only_if, paths, statics};
use askama::Template;

/// How many lines fit a screen in letters that are read at five metres.
const LINES: usize = 6;

/// One turn or walk-in on the board.
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
    /// What is said where nobody is at the mill: that it is free, or until when it stands.
    idle: String,
    done: String,
    /// That the mill stands, where that does not stand above, and when it will; empty: neither.
    stands: String,
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
        date: PressDate,
        queue: &Queue,
        renews: bool,
    ) -> Result<Self, PageError> {
        let coop = visit.coop()?;
        let to_come = queue.to_come();
        let more = to_come.len().saturating_sub(LINES);
        let rows = to_come.into_iter().take(LINES);
        let today = coop.zone.local(visit.at).0;
        Ok(Self {
            coop: coop.name.clone(),
            css: statics::app_css(),
            more_css: statics::more_css(),
            icon: statics::icon(),
            date: date.show(),
            clock: queue.now(),
            today: queue.runs || today == date,
            at_the_mill: queue
                .at_the_mill()
                .map_or_else(String::new, |one| {
                    format!("{} {}", turn(one), name(&one.one))
                })
                .trim()
                .to_owned(),
            idle: match queue.standing() {
                words if words.is_empty() => "The mill is free".to_owned(),
                words => words,
            },
            done: format!("{} of {} pressed", queue.done(), queue.line.len()),
            stands: {
                let now = queue.at_the_mill().map(|_| queue.standing());
                let words = [now.unwrap_or_default(), queue.to_stand()];
                words.join(" ").trim().to_owned()
            },
            rows: rows
                .map(|(one, about)| row(one, queue.show(about)))
                .collect(),
            more: only_if(more > 0, format!("and {more} more")),
            back: paths::day(date),
            renews,
            other: if renews {
                paths::still_board(date)
            } else {
                paths::board(date)
            },
        })
    }
}

fn row(one: &InQueue, about: String) -> BoardRow {
    let (state, look) = state(one.stage);
    BoardRow {
        turn: turn(one),
        name: name(&one.one),
        planned: one.one.start.map_or_else(String::new, ClockTime::show),
        about,
        state,
        look,
    }
}

/// Whether whoever is to come is here, with its look.
pub(super) const fn state(stage: Stage) -> (&'static str, &'static str) {
    match stage {
        Stage::Waits(_) => ("here", "ok"),
        Stage::Late(_) => ("not here yet", "warn"),
        Stage::AtTheMill => ("at the mill", "ok"),
        Stage::Expected(_) | Stage::Done => ("", ""),
    }
}

/// "Turn 3", or the ticket of a walk-in.
pub(super) fn turn(one: &InQueue) -> String {
    match (one.one.start, one.one.ticket) {
        (None, Some(ticket)) => format!("Ticket {ticket}"),
        _ => format!("Turn {}", one.nth),
    }
}

fn name(one: &InLine) -> String {
    if one.named {
        one.name.first().to_owned()
    } else {
        String::new()
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
        idle: "The mill stands until about 16:00.".to_owned(),
        done: "2 of 11 pressed".to_owned(),
        stands: "The mill is to stand from 14:00 to 16:00.".repeat(usize::from(today)),
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
