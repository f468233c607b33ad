//! Boils that were lit before the version of their day was confirmed: they keep an older one.

use super::seasons::SeasonVersions;
use crate::store::boil::{boils, boils_rules};
use crate::store::{Conn, Stored, Together, in_json};
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
    /// Whether it may be moved to the version of its day.
    pub stays: KeepsVersion,
}

/// Whether a boil keeps the version that it has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum KeepsVersion {
    /// A steward may move it.
    MayMove,
    /// It is divided or was lost: what was shared out stands.
    Divided,
    /// It was divided, and is open for a correction, which keeps its rules.
    InCorrection,
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
    let boils = boils::of_season(of.season.id).ask(conn).await?;
    let ids = in_json(boils.iter().map(|boil| boil.id));
    let found = (boils_rules::latest_of(&ids), boils_rules::divided_of(&ids));
    let (moved, divided) = found.together().ask(conn).await?;
    let mut out = Vec::new();
    for boil in boils {
        let has = of.versions.iter().find(|v| v.rules.id == boil.rules_id);
        let (Some(has), Some(holds)) = (has, of.holding(zone.local(boil.lit_at).0)) else {
            continue;
        };
        if has.rules.number >= holds.rules.number || moved.contains_key(&boil.id) {
            continue;
        }
        out.push(OlderRules {
            lit: zone.show(boil.lit_at),
            has: has.rules.number,
            of_day: holds.rules.number,
            stays: match (boil.divided_at, divided.contains(&boil.id)) {
                (Some(_), _) => KeepsVersion::Divided,
                (None, true) => KeepsVersion::InCorrection,
                (None, false) => KeepsVersion::MayMove,
            },
            lot: boil.lot,
        });
    }
    Ok(out)
}
