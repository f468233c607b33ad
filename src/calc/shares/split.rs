//! Who is entitled to how many grams of a boil's jarred syrup: the toll and every member's share,
//! whole grams that sum exactly to what was jarred. Decides nothing about jars.
//!
//! The pencil's way: the mill's exact share is `jarred × toll`; a member's is
//! `jarred × (1 − toll) × my weight ÷ all weights`. Write each with its decimals, cut the decimals
//! off, and add up: a few grams are left over. They go, one each, to those of whom most was cut
//! off, the mill a sharer like any other. The division is exact, in whole numbers, never in floats.

use super::apportion::{Tie, largest_remainder};
use crate::calc::RuleRefusal;
use crate::units::{BasisPoints, Grams, MemberId, Refused};
use std::collections::BTreeMap;
use std::fmt;

/// What a season divides by. Common practice in the order given: sugar is the fairest, cane weight
/// the oldest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Basis {
    /// Dissolved solids in the juice poured, in grams.
    Solids,
    /// Juice poured, in grams.
    JuiceMass,
    /// Juice poured, in millilitres.
    JuiceVolume,
    /// Cane weighed in, in grams.
    CaneMass,
}

impl Basis {
    /// All of them, in the order a form lists them.
    pub const ALL: [Self; 4] = [
        Self::Solids,
        Self::JuiceMass,
        Self::JuiceVolume,
        Self::CaneMass,
    ];

    /// Reads the word a form and the store use.
    ///
    /// # Errors
    /// None of the four words.
    pub fn parse(text: &str) -> Result<Self, Refused> {
        Self::ALL
            .into_iter()
            .find(|basis| basis.word() == text.trim())
            .ok_or_else(|| {
                Refused::new(
                    "Please choose what the syrup is divided by: dissolved solids, juice weight, \
                     juice volume or cane weight.",
                )
            })
    }

    /// The word a form and the store use.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Solids => "solids",
            Self::JuiceMass => "juice_mass",
            Self::JuiceVolume => "juice_volume",
            Self::CaneMass => "cane_mass",
        }
    }

    /// The name on a page.
    pub const fn label(self) -> &'static str {
        match self {
            Self::Solids => "dissolved solids",
            Self::JuiceMass => "juice weight",
            Self::JuiceVolume => "juice volume",
            Self::CaneMass => "cane weight",
        }
    }
}

/// Somebody who shares in a boil.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sharer {
    /// The mill, for its toll and any cane of its own.
    Mill,
    /// A member.
    Member(MemberId),
}

impl Sharer {
    /// The sharer of a record: its member, or the mill where it names none.
    pub fn of(member: Option<MemberId>) -> Self {
        member.map_or(Self::Mill, Self::Member)
    }

    /// The member, unless it is the mill.
    pub const fn member(self) -> Option<MemberId> {
        match self {
            Self::Mill => None,
            Self::Member(id) => Some(id),
        }
    }

    /// The text that ties are settled by: `mill`, or the member's id.
    pub fn key(self) -> String {
        self.to_string()
    }
}

impl fmt::Display for Sharer {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Mill => f.write_str("mill"),
            Self::Member(id) => id.fmt(f),
        }
    }
}

/// What one sharer brought to the boil, in the season's basis. A sharer may have several.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pour {
    /// The sharer whose it is.
    pub sharer: Sharer,
    /// Grams, or millilitres when the basis is juice volume.
    pub weight: u64,
}

/// One sharer's entitlement, with the figures a statement shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Entitlement {
    /// Who is entitled.
    pub sharer: Sharer,
    /// All that was brought, in the basis; 0 for a mill that only takes toll.
    pub weight: u64,
    /// The exact share cut off to whole grams.
    pub floor: Grams,
    /// What was cut off the exact share, in thousandths of a gram, 0 to 999.
    pub cut_thousandths: u16,
    /// Whether one of the odd grams came here.
    pub odd_gram: bool,
    /// What the sharer is entitled to: `floor`, and one more with an odd gram.
    pub grams: Grams,
}

/// Divides what was jarred of a lot. `lot` is the plain lot code, which ties are settled by. The
/// entitlements come in the order of their sharers, the mill first, sum exactly to `jarred`, and do
/// not depend on the order of the pours. The mill stands among them when there is a toll or it
/// brought something.
///
/// # Errors
/// Nothing jarred; nobody poured; a pour of nothing; amounts beyond belief.
pub fn entitle(
    lot: &str,
    jarred: Grams,
    toll: BasisPoints,
    pours: &[Pour],
) -> Result<Vec<Entitlement>, RuleRefusal> {
    let total = u64::try_from(jarred.get()).unwrap_or(0);
    if total == 0 {
        return Err(RuleRefusal::new(
            "nothing-jarred",
            "Nothing is in jars yet. Please write down the jars filled from this boil first.",
        ));
    }
    if pours.is_empty() {
        return Err(RuleRefusal::new(
            "no-sharers",
            "No juice was poured into this boil. Please write down whose juice went in first.",
        ));
    }
    let brought = brought(pours)?;
    let all: u128 = brought.values().map(|w| u128::from(*w)).sum();
    let toll = u128::from(toll.get().unsigned_abs());
    let kept = u128::from(BasisPoints::ALL.unsigned_abs()) - toll;
    // Over the common denominator all × 10,000: members have kept × own, the mill toll × all too.
    let mut weights: BTreeMap<Sharer, (u64, u128)> = brought
        .into_iter()
        .map(|(sharer, weight)| (sharer, (weight, kept * u128::from(weight))))
        .collect();
    if toll > 0 {
        weights.entry(Sharer::Mill).or_default().1 += toll * all;
    }
    let ties: Vec<(u128, Tie)> = weights
        .iter()
        .map(|(sharer, (_, weight))| (*weight, Tie::of(lot, &sharer.key())))
        .collect();
    let parts = largest_remainder(total, &ties).ok_or_else(too_large)?;
    let entitlements = weights.into_iter().zip(parts);
    let grams = |g: u64| i64::try_from(g).map(Grams::new).map_err(|_| too_large());
    entitlements
        .map(|((sharer, (weight, _)), part)| {
            Ok(Entitlement {
                sharer,
                weight,
                floor: grams(part.floor)?,
                cut_thousandths: part.cut_thousandths,
                odd_gram: part.odd,
                grams: grams(part.whole)?,
            })
        })
        .collect()
}

/// Adds up each sharer's pours.
fn brought(pours: &[Pour]) -> Result<BTreeMap<Sharer, u64>, RuleRefusal> {
    let mut brought: BTreeMap<Sharer, u64> = BTreeMap::new();
    for pour in pours {
        if pour.weight == 0 {
            return Err(RuleRefusal::new(
                "pour-of-nothing",
                "One juice of this boil counts for nothing in what the syrup is divided by. Please \
                 correct its weight, volume or Brix, or take it out of the boil.",
            ));
        }
        let sum = brought.entry(pour.sharer).or_default();
        *sum = sum.checked_add(pour.weight).ok_or_else(too_large)?;
    }
    Ok(brought)
}

fn too_large() -> RuleRefusal {
    RuleRefusal::new(
        "beyond-belief",
        "The amounts of this boil are larger than any mill holds. Please correct the weights and \
         volumes.",
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use uuid::Uuid;

    fn member(n: u128) -> Sharer {
        Sharer::Member(MemberId::new(Uuid::from_u128(n)))
    }

    fn pour(n: u128, weight: u64) -> Pour {
        let sharer = member(n);
        Pour { sharer, weight }
    }

    fn points(points: i64) -> BasisPoints {
        BasisPoints::new(points).unwrap()
    }

    #[test]
    fn the_toll_comes_off_first_and_every_gram_is_somebodys() {
        // 10 % of 1,003 g is 100.3; the rest 902.7 in the ratio 2 : 1 is 601.8 and 300.9.
        // Cut off: 100 + 601 + 300 = 1,001; the two odd grams go to .9 and .8.
        let shares = entitle(
            "26K7",
            Grams::new(1003),
            points(1000),
            &[pour(1, 40), pour(2, 30), pour(1, 20)],
        )
        .unwrap();
        let told: Vec<_> = shares
            .iter()
            .map(|s| (s.sharer, s.grams.get(), s.floor.get(), s.cut_thousandths))
            .collect();
        assert_eq!(
            told,
            [
                (Sharer::Mill, 100, 100, 300),
                (member(1), 602, 601, 800),
                (member(2), 301, 300, 900),
            ]
        );
    }

    #[test]
    fn a_mill_with_cane_of_its_own_has_toll_and_share() {
        let mill = Pour {
            sharer: Sharer::Mill,
            weight: 10,
        };
        let shares = entitle("26K7", Grams::new(1000), points(1000), &[pour(1, 10), mill]);
        let shares = shares.unwrap();
        assert_eq!(shares.len(), 2);
        assert_eq!((shares[0].grams.get(), shares[0].weight), (550, 10));
        // Without a toll and without cane the mill is no sharer.
        let alone = entitle("26K7", Grams::new(7), BasisPoints::ZERO, &[pour(1, 1)]).unwrap();
        assert_eq!(alone.len(), 1);
    }

    #[test]
    fn what_cannot_be_divided_is_refused_with_what_to_mend() {
        let code = |jarred, pours: &[Pour]| {
            let refused = entitle("26K7", Grams::new(jarred), points(0), pours).unwrap_err();
            assert!(refused.sentence.contains("Please"));
            refused.code
        };
        assert_eq!(code(0, &[pour(1, 5)]), "nothing-jarred");
        assert_eq!(code(-3, &[pour(1, 5)]), "nothing-jarred");
        assert_eq!(code(10, &[]), "no-sharers");
        assert_eq!(code(10, &[pour(1, 5), pour(2, 0)]), "pour-of-nothing");
        assert_eq!(code(10, &[pour(1, u64::MAX), pour(1, 1)]), "beyond-belief");
    }

    #[test]
    fn each_basis_has_one_word() {
        for basis in Basis::ALL {
            assert_eq!(Basis::parse(basis.word()), Ok(basis));
        }
        assert!(Basis::parse("points").is_err());
    }

    proptest! {
        #[test]
        fn prop_entitlements_sum_to_the_jars_in_any_order_of_pours(
            jarred in 1_i64..5_000_000,
            toll in 0_i64..=10_000,
            mut weights in proptest::collection::vec((0_u128..9, 1_u64..2_000_000), 1..30),
            turn in 0_usize..30,
        ) {
            let divide = |w: &[(u128, u64)]| {
                let pours: Vec<Pour> = w.iter().map(|(n, g)| pour(*n, *g)).collect();
                entitle("26K7", Grams::new(jarred), points(toll), &pours).unwrap()
            };
            let shares = divide(&weights);
            prop_assert_eq!(shares.iter().map(|s| s.grams).sum::<Grams>(), Grams::new(jarred));
            // Each within one gram of the exact share.
            let all: u128 = weights.iter().map(|(_, w)| u128::from(*w)).sum();
            for share in &shares {
                let mill = if share.sharer == Sharer::Mill { toll.unsigned_abs().into() } else { 0 };
                let own = u128::from((10_000 - toll).unsigned_abs()) * u128::from(share.weight);
                let exact = u128::from(jarred.unsigned_abs()) * (own + mill * all);
                let got = u128::from(share.grams.get().unsigned_abs()) * 10_000 * all;
                prop_assert!(got.abs_diff(exact) < 10_000 * all);
            }
            let turned = turn % weights.len();
            weights.rotate_left(turned);
            prop_assert_eq!(divide(&weights), shares);
        }
    }
}
