//! The pages of a lot held back and of a complaint, as text ready to print.

use crate::store::shares::holds::HoldRow;
use crate::units::{LotCode, Zone};
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::session::{Me, Visit};
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// The page on which a lot is held and released.
#[derive(Template)]
#[template(path = "shares/holds/hold.html")]
pub(super) struct HoldPage {
    shell: Shell,
    sheet: Sheet,
    lot: String,
    action: String,
    back: String,
    held: bool,
    may: bool,
    lines: Vec<String>,
}

/// "Sat 19 Sep 2026 14:05, Ruth Bell: held. Recall 1"
pub(in crate::web::shares) fn said(line: &HoldRow, zone: &Zone) -> String {
    let what = if line.held { "held" } else { "released" };
    format!(
        "{}, {}: {what}. {}",
        zone.show(line.at),
        line.by_name,
        line.why
    )
}

impl HoldPage {
    pub(super) fn new(
        (app, visit, me): (&App, &Visit, &Me),
        lot: &LotCode,
        lines: &[HoldRow],
        sheet: Sheet,
    ) -> Result<Self, PageError> {
        let zone = visit.zone()?;
        let held = lines.last().is_some_and(|l| l.held);
        let title = if held {
            format!("Release lot {lot}")
        } else {
            format!("Hold lot {lot}")
        };
        Ok(Self {
            shell: Shell::new(app, visit, title),
            sheet,
            lot: lot.to_string(),
            action: paths::hold(lot),
            back: paths::lot_trace(lot),
            held,
            may: !held || me.is_steward(),
            lines: lines.iter().map(|l| said(l, zone)).collect(),
        })
    }
}

/// A complaint to be written down.
#[derive(Template)]
#[template(path = "shares/holds/complaint.html")]
pub(super) struct ComplaintPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    back: String,
}

impl ComplaintPage {
    pub(super) fn new(app: &App, visit: &Visit, lot: &LotCode, sheet: Sheet) -> Self {
        Self {
            shell: Shell::new(app, visit, format!("Complaint about lot {lot}")),
            sheet,
            action: paths::complaint(lot),
            back: paths::lot_trace(lot),
        }
    }
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let hold = |held, may| HoldPage {
        shell: Shell::sample("Hold lot 26A9Z-P"),
        sheet: Sheet::sample(),
        lot: "26A9Z-P".to_owned(),
        action: "/boils/26A9ZP/hold".to_owned(),
        back: "/boils/26A9ZP/trace".to_owned(),
        held,
        may,
        lines: vec!["Sat 19 Sep 2026 14:05, Ruth <b>Bell</b>: held. Recall 1".to_owned()],
    };
    let complaint = |sheet| ComplaintPage {
        shell: Shell::sample("Complaint about lot 26A9Z-P"),
        sheet,
        action: "/boils/26A9ZP/complaint".to_owned(),
        back: "/boils/26A9ZP/trace".to_owned(),
    };
    let mut wrong = Sheet::sample();
    wrong
        .put("says", "<script>")
        .refuse("from_whom", "Please fill in this box.");
    vec![
        Box::new(hold(false, true)),
        Box::new(hold(true, true)),
        Box::new(hold(true, false)),
        Box::new(complaint(Sheet::sample())),
        Box::new(complaint(wrong)),
    ]
}
