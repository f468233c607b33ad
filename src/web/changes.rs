//! What was written, as rows of a table: what, what it became, who, when.

use crate::facts::written_history::Change;
use crate::units::Zone;

/// One change.
pub(super) struct ChangeRow {
    pub(super) when: String,
    pub(super) who: String,
    pub(super) what: String,
    pub(super) op: &'static str,
    pub(super) changes: Vec<String>,
}

/// The rows of a table of changes.
pub(super) fn rows(changes: Vec<Change>, zone: &Zone) -> Vec<ChangeRow> {
    let row = |change: Change| ChangeRow {
        when: change.at.map_or_else(String::new, |at| zone.show(at)),
        who: change.by,
        what: change.what,
        op: change.op,
        changes: change.changes,
    };
    changes.into_iter().map(row).collect()
}

/// Sample rows for the tests that render pages.
#[cfg(test)]
pub(super) fn sample(many: usize) -> Vec<ChangeRow> {
    let row = |n: usize| ChangeRow {
        when: "Sat 19 Sep 2026 08:00".to_owned(),
        who: "member 1 (Ruth <b>Bell</b>)".to_owned(),
        what: format!("member {n} (Maximiliana Featherstonehaugh)"),
        op: if n.is_multiple_of(2) {
            "changed"
        } else {
            "made"
        },
        changes: (0..n % 3)
            .map(|_| "role: “member” → “crew”".to_owned())
            .collect(),
    };
    (0..many).map(row).collect()
}
