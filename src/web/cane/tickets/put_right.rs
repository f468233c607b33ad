//! The pages on which a ticket is given to whom it belongs to, or closed unpressed, as text ready to print.

use crate::facts::cane::tickets::WeighIn;
use crate::store::cane::tickets::Ticket;
use crate::store::cane::weigh_in::Turn;
use crate::units::Grams;
use crate::web::form::{Choice, Sheet};
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths, statics};
use askama::Template;

/// The form that moves a ticket: the turns still expected as one tap each, then every member.
#[derive(Template)]
#[template(path = "cane/tickets/move.html")]
pub(super) struct MovePage {
    shell: Shell,
    /// The script that finds a member among many.
    finder: String,
    sheet: Sheet,
    action: String,
    back: String,
    number: i64,
    net: String,
    whose: String,
    turns: Vec<Choice>,
    members: Vec<Choice>,
}

impl MovePage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        sheet: Sheet,
        (ticket, net): (&Ticket, Grams),
        of: &WeighIn,
    ) -> Self {
        let turn = |turn: &Turn| {
            let words = format!("{} {}", turn.start.show(), turn.member_name);
            Choice::new(format!("turn:{}", turn.id), words)
        };
        let others = of
            .members
            .iter()
            .filter(|m| !m.left && m.id != ticket.member_id);
        let members = others
            .map(|m| Choice::new(m.id.to_string(), format!("{}, no. {}", m.name, m.number)))
            .collect();
        Self {
            shell: Shell::new(app, visit, format!("Move ticket {}", ticket.ticket)),
            finder: statics::find_js(),
            sheet,
            action: paths::move_ticket(ticket.id),
            back: paths::ticket(ticket.id),
            number: ticket.ticket,
            net: net.show(visit.units()),
            whose: ticket.member_name.to_string(),
            turns: of.waiting.iter().map(turn).collect(),
            members,
        }
    }
}

/// The form that closes a ticket unpressed, with where its cane went.
#[derive(Template)]
#[template(path = "cane/tickets/end.html")]
pub(super) struct EndPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    back: String,
    number: i64,
    net: String,
    whose: String,
}

impl EndPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        sheet: Sheet,
        (ticket, net): (&Ticket, Grams),
    ) -> Self {
        Self {
            shell: Shell::new(app, visit, format!("Ticket {} unpressed", ticket.ticket)),
            sheet,
            action: paths::end_ticket(ticket.id),
            back: paths::ticket(ticket.id),
            number: ticket.ticket,
            net: net.show(visit.units()),
            whose: ticket.member_name.to_string(),
        }
    }
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut wrong = Sheet::sample();
    wrong
        .refuse("whose", "It is <theirs> already.")
        .refuse("went", "Please write where it went.");
    let moved = |sheet, turns: usize| MovePage {
        shell: Shell::sample("Move ticket 7"),
        finder: statics::find_js(),
        sheet,
        action: "/tickets/x/move".to_owned(),
        back: "/tickets/x".to_owned(),
        number: 7,
        net: "360.0 lb".to_owned(),
        whose: "Amos <b>Trout</b>".to_owned(),
        turns: (0..turns)
            .map(|n| Choice::new(format!("turn:{n}"), "09:20 Ida <b>"))
            .collect(),
        members: vec![Choice::new("m", "Ida <b>, no. 4")],
    };
    let end = |sheet| EndPage {
        shell: Shell::sample("Ticket 7 unpressed"),
        sheet,
        action: "/tickets/x/unpressed".to_owned(),
        back: "/tickets/x".to_owned(),
        number: 7,
        net: "360.0 lb".to_owned(),
        whose: "Amos <b>Trout</b>".to_owned(),
    };
    vec![
        Box::new(moved(Sheet::sample(), 0)),
        Box::new(moved(wrong.clone(), 30)),
        Box::new(end(Sheet::sample())),
        Box::new(end(wrong)),
    ]
}
