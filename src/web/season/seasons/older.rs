//! Boils that keep an older version of the rules than their day has, on the page of a season.

use crate::facts::season::older_rules::{KeepsVersion, OlderRules};
use crate::web::paths;

/// A boil that keeps an older version, and the way to move it.
pub(super) struct OlderBoil {
    pub(super) lot: String,
    pub(super) lit: String,
    pub(super) has: i64,
    pub(super) of_day: i64,
    pub(super) href: String,
}

impl OlderBoil {
    /// `None`: it was divided, and stays as it is.
    pub(super) fn of(boil: OlderRules) -> Option<Self> {
        (boil.stays == KeepsVersion::MayMove).then(|| Self {
            href: paths::boil_part(&boil.lot, "rules"),
            lot: boil.lot.to_string(),
            lit: boil.lit,
            has: boil.has,
            of_day: boil.of_day,
        })
    }
}

/// Sentences on those that stay as they are: which lots, and why.
pub(super) fn that_stay(older: &[OlderRules]) -> Vec<String> {
    let why = [
        (KeepsVersion::Divided, "Divided already, and stays so"),
        (
            KeepsVersion::InCorrection,
            "Open for a correction, which keeps the rules that it was divided by",
        ),
    ];
    let line = |(stays, why): (KeepsVersion, &str)| {
        let own = older.iter().filter(|boil| boil.stays == stays);
        let lots: Vec<String> = own.map(|boil| boil.lot.to_string()).collect();
        (!lots.is_empty()).then(|| format!("{why}: {}.", lots.join(", ")))
    };
    why.into_iter().filter_map(line).collect()
}

/// Sample rows for the tests that render pages.
#[cfg(test)]
pub(super) fn sample(many: i64) -> Vec<OlderBoil> {
    let boil = |of_day| OlderBoil {
        lot: "26001-2".to_owned(),
        lit: "Sat 18 Sep 2027 07:30".to_owned(),
        has: 1,
        of_day,
        href: "/boils/26001-2/rules".to_owned(),
    };
    (2..2 + many).map(boil).collect()
}
