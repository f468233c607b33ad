//! What the members of divided boils would have been entitled to under another basis or toll. Changes
//! nothing that is divided.

use crate::calc::shares::division::Brought;
use crate::calc::shares::split::{self, Pour, Sharer};
use crate::calc::{Basis, RuleRefusal};
use crate::units::{BasisPoints, Grams};
use std::collections::BTreeMap;

/// One boil as it was divided.
#[derive(Debug, Clone)]
pub struct Boiled {
    /// The plain lot code.
    pub lot: String,
    /// Syrup in jars, altogether.
    pub jarred: Grams,
    /// What each juice brought.
    pub brought: Vec<Brought>,
    /// What each sharer was entitled to.
    pub present: Vec<(Sharer, Grams)>,
}

/// One sharer's season, as it is and as it would have been.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Beside {
    /// The sharer.
    pub sharer: Sharer,
    /// Syrup entitled to as the season was divided.
    pub present: Grams,
    /// Syrup entitled to under the other rules.
    pub other: Grams,
}

/// Adds up every sharer's season both ways, in the order of sharers. Both ways sum to all that was
/// jarred.
///
/// # Errors
/// A boil cannot be divided under that basis: the sentence names its lot.
pub fn compare_rules(
    boils: &[Boiled],
    basis: Basis,
    toll: BasisPoints,
) -> Result<Vec<Beside>, RuleRefusal> {
    let mut rows: BTreeMap<Sharer, (Grams, Grams)> = BTreeMap::new();
    for boil in boils {
        for (sharer, grams) in &boil.present {
            rows.entry(*sharer).or_default().0 += *grams;
        }
        let pours: Vec<Pour> = boil
            .brought
            .iter()
            .map(|b| Pour {
                sharer: b.sharer,
                weight: b.weight(basis),
            })
            .collect();
        let shares = split::entitle(&boil.lot, boil.jarred, toll, &pours).map_err(|refusal| {
            RuleRefusal {
                sentence: format!("Lot {}: {}", boil.lot, refusal.sentence),
                ..refusal
            }
        })?;
        for share in shares {
            rows.entry(share.sharer).or_default().1 += share.grams;
        }
    }
    let rows = rows.into_iter();
    Ok(rows
        .map(|(sharer, (present, other))| Beside {
            sharer,
            present,
            other,
        })
        .collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{MemberId, Millilitres, Pounds};
    use uuid::Uuid;

    #[test]
    fn thin_juice_gains_by_volume_what_sweet_juice_loses() {
        let member = |n| Sharer::Member(MemberId::new(Uuid::from_u128(n)));
        let brought = |n, solids| Brought {
            sharer: member(n),
            cane: Grams::new(100_000),
            cane_lb: Pounds::of(Grams::new(100_000)),
            volume: Millilitres::new(50_000),
            mass: Grams::new(53_000),
            solids: Grams::new(solids),
        };
        let boil = Boiled {
            lot: "26001X".to_owned(),
            jarred: Grams::new(10_000),
            brought: vec![brought(1, 9000), brought(2, 6000)],
            present: vec![(member(1), Grams::new(6000)), (member(2), Grams::new(4000))],
        };
        let rows =
            compare_rules(&[boil], Basis::JuiceVolume, BasisPoints::new(1000).unwrap()).unwrap();
        let told: Vec<_> = rows
            .iter()
            .map(|r| (r.present.get(), r.other.get()))
            .collect();
        assert_eq!(told, [(0, 1000), (6000, 4500), (4000, 4500)]);
    }
}
