//! The ticket at the mill that a form which came back may be of: its load was weighed by somebody else, or its turn.

use crate::calc::cane::same_load::TWIN;
use crate::units::TicketId;
use crate::web::form::Sheet;
use crate::web::paths;

/// The ways to that ticket. A phone's script takes along what it keeps for the form.
pub(super) struct Twin {
    /// Id of the ticket.
    pub(super) id: String,
    /// Its number.
    pub(super) number: i64,
    /// Its page.
    pub(super) href: String,
    /// Where another load of it is added; empty: that is not what is asked.
    pub(super) more: String,
}

impl Twin {
    /// The ticket that a form was refused for, if it was.
    pub(super) fn of(sheet: &Sheet) -> Option<Self> {
        let asked = |name: &str| sheet.at(name).problem.is_some();
        if !asked("another") && !asked("whose") {
            return None;
        }
        let (id, number) = sheet.typed(TWIN).split_once('|')?;
        let (id, number) = (TicketId::parse(id)?, number.parse().ok()?);
        Some(Self {
            id: id.to_string(),
            number,
            href: paths::ticket(id),
            more: if asked("whose") {
                paths::new_load(id)
            } else {
                String::new()
            },
        })
    }
}
