//! Boils that were lit before the version of their day was confirmed: they keep an older one.

use super::seasons::SeasonVersions;
use crate::store::boil::{boils, boils_rules};
use crate::store::{Conn, Stored};
use crate::units::{LotCode, Zone};

/// A boil with an older version than its day has since.
#[derive(Debug, Clone)]
pub struct OlderRules {
    /// Lot code of the boil.
    pub lot: LotCode,
    /// When it was lit, in the co-op's time.
    pub lit: String,
    /// The number of the version that it has.
    pub has: i64,
    /// The number of the version that holds on its day.
    pub of_day: i64,
    /// Whether it is divided or was lost, so that what was shared out stands.
    pub divided: bool,
}

/// The boils of a season that have an older version than the one confirmed for their day, in the order they were lit; one that a
/// steward moved is left out.
///
/// # Errors
/// The store failed.
pub async fn of_season(
    conn: &mut Conn,
    of: &SeasonVersions,
    zone: &Zone,
) -> Stored<Vec<OlderRules>> {
    let mut out = Vec::new();
    for boil in boils::of_season(of.season.id).ask(conn).await? {
        let has = of.versions.iter().find(|v| v.rules.id == boil.rules_id);
        let (Some(has), Some(holds)) = (has, of.holding(zone.local(boil.lit_at).0)) else {
            continue;
        };
        if has.rules.number >= holds.rules.number
            || boils_rules::latest(boil.id).ask(conn).await?.is_some()
        {
            continue;
        }
        out.push(OlderRules {
            lot: boil.lot,
            lit: zone.show(boil.lit_at),
            has: has.rules.number,
            of_day: holds.rules.number,
            divided: boil.divided_at.is_some(),
        });
    }
    Ok(out)
}
