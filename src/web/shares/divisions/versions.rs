//! The versions of a division, and of the rules that it is divided by, in words.

use crate::facts::shares::division_inputs::DivisionInputs;
use crate::store::boil::boils_rules::Moved;
use crate::store::season::seasons::Rules;
use crate::store::shares::divisions::DivisionRow;
use crate::units::Zone;
use crate::web::paths;
use crate::web::session::Me;

/// The move of a boil to other rules than it was lit under.
pub(super) struct MovedLine {
    pub(super) by: String,
    pub(super) on: String,
    pub(super) why: String,
}

impl MovedLine {
    pub(super) fn of(moved: &Moved, zone: &Zone) -> Self {
        Self {
            by: moved.by_name.to_string(),
            on: zone.show(moved.at),
            why: moved.why.clone(),
        }
    }
}

/// A version of the division.
pub(super) struct VersionLine {
    pub(super) says: String,
    pub(super) href: String,
}

/// "version 2 of the season’s rules, which holds from Thu 1 Oct 2026".
pub(super) fn version_of(rules: &Rules) -> String {
    let holds = rules.holds_from.map_or_else(String::new, |day| {
        format!(", which holds from {}", day.show())
    });
    format!("version {} of the season’s rules{holds}", rules.number)
}

/// Why, when and by whom it is open for a correction; empty: it is not.
pub(super) fn opened(inputs: &DivisionInputs, zone: &Zone) -> String {
    let correction = inputs.correction.as_ref();
    correction.map_or_else(String::new, |c| {
        let c = &c.opened;
        format!("opened on {} by {}: {}", zone.show(c.at), c.by_name, c.why)
    })
}

/// Whether to say that what the season bore of losses stands: on a boil that is, or may be, put right.
pub(super) fn losses_stand(inputs: &DivisionInputs, borne: bool, me: &Me) -> bool {
    let put_right = inputs.correction.is_some() || inputs.versions.len() > 1;
    borne && (put_right || me.is_steward())
}

/// "Sat 19 Sep 2026 16:40 by Cora, looked over and signed by Dan".
pub(super) fn frozen_says(row: &DivisionRow, zone: &Zone) -> String {
    let signed = row.signed_by.as_ref();
    let signed = signed.map_or_else(String::new, |name| {
        format!(", looked over and signed by {name}")
    });
    format!("{} by {}{signed}", zone.show(row.at), row.by_name)
}

/// All versions, when there are several or one is being made.
pub(super) fn versions(inputs: &DivisionInputs, zone: &Zone) -> Vec<VersionLine> {
    if inputs.versions.len() < 2 && inputs.correction.is_none() {
        return Vec::new();
    }
    let line = |row: &DivisionRow| VersionLine {
        says: if row.why.is_empty() {
            format!("version {}, {}", row.version, frozen_says(row, zone))
        } else {
            format!(
                "version {}, {}, because: {}",
                row.version,
                frozen_says(row, zone),
                row.why
            )
        },
        href: paths::division(&inputs.boil.lot, row.version),
    };
    inputs.versions.iter().map(line).collect()
}
