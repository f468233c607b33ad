//! The boxes for what was seen of the cane as it came.

use crate::calc::cane::tickets::Condition;
use crate::web::form::{Choice, Sheet};

/// One thing seen of the cane: a row of two buttons, and nothing chosen is “not said”.
pub(super) struct SeenRow {
    pub(super) name: &'static str,
    pub(super) words: &'static str,
    pub(super) choices: Vec<Choice>,
}

/// The boxes for what was seen of the cane, and the line that sums them up.
pub(super) struct Seen {
    pub(super) rows: Vec<SeenRow>,
    pub(super) line: String,
}

impl Seen {
    pub(super) fn new(sheet: &Sheet) -> Self {
        let said = |name: &str| match sheet.typed(name) {
            "yes" => Some(true),
            "no" => Some(false),
            _ => None,
        };
        let condition = Condition {
            stripped: said("stripped"),
            headed: said("headed"),
            clean: said("clean"),
            frosted: said("frosted"),
        };
        let cut = match sheet.typed("cut_on") {
            "" => "not said",
            date => date,
        };
        let remark = if sheet.typed("note").trim().is_empty() {
            "no remark"
        } else {
            "a remark"
        };
        let row = |name, words, yes, no| SeenRow {
            name,
            words,
            choices: vec![Choice::new("yes", yes), Choice::new("no", no)],
        };
        Self {
            rows: vec![
                row("stripped", "Leaves", "Off", "On"),
                row("headed", "Heads", "Off", "On"),
                row("clean", "Mud and trash", "Clean", "Some"),
                row("frosted", "Frosted before it was cut", "Yes", "No"),
            ],
            line: format!("Cane: {}; cut: {cut}; {remark}", condition.words()),
        }
    }
}
