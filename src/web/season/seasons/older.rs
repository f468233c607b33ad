//! Boils that keep an older version of the rules than their day has, on the page of a season.

use crate::facts::season::older_rules::OlderRules;
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
    /// `None`: it is divided, and stays as it is.
    pub(super) fn of(boil: OlderRules) -> Option<Self> {
        (!boil.divided).then(|| Self {
            href: paths::boil_part(&boil.lot, "rules"),
            lot: boil.lot.to_string(),
            lit: boil.lit,
            has: boil.has,
            of_day: boil.of_day,
        })
    }
}

/// The lots of those that are divided, "26001-2, 26001-3"; empty: none is.
pub(super) fn divided(older: &[OlderRules]) -> String {
    let lots: Vec<String> = older
        .iter()
        .filter(|boil| boil.divided)
        .map(|boil| boil.lot.to_string())
        .collect();
    lots.join(", ")
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
