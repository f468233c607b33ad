//! What was found by a code, a number, a name or a date, as text ready to print.

use crate::calc::people::forgetting::is_in_place;
use crate::facts::shares::looked_up::{Candidate, LookedUp};
use crate::units::LotCode;
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// Address of the page of something that was found.
pub(super) fn place_of(found: &Candidate) -> String {
    match found {
        Candidate::Lot(lot) => paths::lot_trace(&lot.code),
        Candidate::Ticket(ticket) => paths::ticket(ticket.id),
        Candidate::Receipt(receipt) => paths::hand_over(receipt.number),
        Candidate::Member(member) => paths::member(member.id),
        Candidate::Vessel(vessel) => paths::vessel_trace(vessel.id),
        Candidate::Juice(juice) => paths::juice(juice.id),
        Candidate::Day(date) => paths::day(*date),
    }
}

fn words_of(found: &Candidate) -> String {
    match found {
        Candidate::Lot(lot) => format!("Lot {}, pressed {}", lot.code, lot.pressed.show()),
        Candidate::Ticket(t) => {
            format!("Ticket {}, {}, {}", t.number, t.member_name, t.date.show())
        }
        Candidate::Receipt(receipt) => format!("Receipt {}", receipt.number),
        Candidate::Member(member) if is_in_place(member.name.as_str(), member.number) => {
            member.name.to_string()
        }
        Candidate::Member(member) => format!("Member {}, {}", member.number, member.name),
        Candidate::Vessel(vessel) => format!("{}: where its juice went", vessel.name),
        Candidate::Juice(j) => format!(
            "Juice of {} in {}, ticket {}",
            j.member_name, j.vessel, j.ticket
        ),
        Candidate::Day(date) => format!("Press day {}", date.show()),
    }
}

/// A link to a page.
pub(super) struct Way {
    pub(super) words: String,
    pub(super) href: String,
}

pub(super) fn to_lot(code: &LotCode) -> Way {
    Way {
        words: code.to_string(),
        href: paths::lot_trace(code),
    }
}

/// The page of what was found, with a box to look for something.
#[derive(Template)]
#[template(path = "shares/trace/find.html")]
pub(super) struct FindPage {
    shell: Shell,
    typed: String,
    found: Vec<Way>,
    near: Vec<Way>,
}

impl FindPage {
    pub(super) fn new(app: &App, visit: &Visit, typed: &str, looked_up: &LookedUp) -> Self {
        Self::with(Shell::new(app, visit, "Find"), typed, looked_up)
    }

    pub(super) fn with(shell: Shell, typed: &str, looked_up: &LookedUp) -> Self {
        let way = |found: &Candidate| Way {
            words: words_of(found),
            href: place_of(found),
        };
        Self {
            shell,
            typed: typed.to_owned(),
            found: looked_up.found.iter().map(way).collect(),
            near: looked_up.near.iter().map(to_lot).collect(),
        }
    }
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let find = |typed| FindPage::with(Shell::sample("Find"), typed, &LookedUp::default());
    vec![Box::new(find("")), Box::new(find("<script>"))]
}
