//! The question of a form whose ticket was closed as gone home: whether its cane is pressed after all.

use crate::calc::cane::went_home::AFTER_ALL;
use crate::store::cane::yard::TicketEnd;
use crate::units::Zone;
use crate::web::form::Sheet;
use crate::web::rows::{Column, Row};

/// What the tick box of the answer is called.
const WORDS: &str = "It is pressed after all";

/// The question, and the box of its answer.
#[derive(Default)]
pub(super) struct AfterAll {
    /// The question; empty: the ticket is not closed so, or it stands beside its box already.
    pub(super) question: String,
    /// What the box is called; empty: nothing is asked.
    pub(super) tick: &'static str,
}

impl AfterAll {
    /// By how the ticket ended, and by what was asked of the form when it was sent.
    pub(super) fn new(sheet: &Sheet, end: Option<&TicketEnd>, zone: &Zone) -> Self {
        let gone = end.and_then(|end| end.gone_home(zone));
        let tick = if gone.is_some() || asked(sheet) {
            WORDS
        } else {
            ""
        };
        let beside = sheet.at(AFTER_ALL).problem.is_some();
        let question = gone.filter(|_| !beside);
        Self {
            question: question.map_or_else(String::new, |gone| gone.question()),
            tick,
        }
    }

    /// The column of rows from paper; nothing as long as none of them was asked.
    pub(super) fn column(rows: &[Row]) -> Option<Column> {
        let any = rows.iter().any(|row| asked(&row.sheet));
        any.then(|| Column::tick(AFTER_ALL, WORDS))
    }
}

/// Whether a form that was sent was asked, or has answered.
fn asked(sheet: &Sheet) -> bool {
    sheet.ticked(AFTER_ALL) || sheet.at(AFTER_ALL).problem.is_some()
}
