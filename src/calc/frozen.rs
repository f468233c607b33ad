//! A frozen division read back: its shares as they stand, with the sums that led to them redone from
//! the frozen weights. Changes no frozen figure.

use super::Basis;
use super::division::{Division, Kind, Part};
use super::fees::Bill;
use super::juice::solids_of;
use super::split::{self, Pour, Sharer};
use crate::units::{BasisPoints, BrixAt20C, Cents, Grams, Millilitres};

/// Jars of one kind as they were set aside.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FrozenJars {
    /// Size as the rules named it.
    pub name: String,
    /// Syrup in each.
    pub net: Grams,
    /// A part-jar.
    pub part: bool,
    /// How many.
    pub count: u32,
}

/// A share as it was frozen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FrozenShare {
    /// Whose.
    pub sharer: Sharer,
    /// Brought, in the basis.
    pub weight: u64,
    /// Dissolved solids brought.
    pub solids: Grams,
    /// Owed from before.
    pub carried: Grams,
    /// Entitled to.
    pub entitled: Grams,
    /// In jars set aside.
    pub jarred: Grams,
    /// Owed afterwards.
    pub carry: Grams,
    /// The jars.
    pub jars: Vec<FrozenJars>,
}

/// Reads a division back. `by` is what it was divided by and the toll; `finish` the syrup and its
/// Brix. Where the sum redone does not come to the frozen share (another version of this program
/// rounded otherwise), the share stands and no odd gram is shown. Bills stand in the ledger and are
/// left out, and so are cane and volume.
pub fn recall(
    lot: &str,
    by: (Basis, BasisPoints),
    finish: Option<(Grams, BrixAt20C)>,
    shares: &[FrozenShare],
) -> Division {
    let pours: Vec<Pour> = shares
        .iter()
        .filter(|s| s.weight > 0)
        .map(|s| Pour {
            sharer: s.sharer,
            weight: s.weight,
        })
        .collect();
    let jarred: Grams = shares.iter().map(|s| s.jarred).sum();
    let redone = split::entitle(lot, jarred, by.1, &pours).unwrap_or_default();
    let kinds = kinds(shares);
    let parts = shares
        .iter()
        .map(|share| {
            let sum = redone
                .iter()
                .find(|e| e.sharer == share.sharer && e.grams == share.entitled);
            let count = |kind: &Kind| {
                let same = share.jars.iter().filter(|j| is_of(j, kind));
                same.map(|j| j.count).sum()
            };
            Part {
                sharer: share.sharer,
                weight: share.weight,
                solids: share.solids,
                cane: Grams::ZERO,
                volume: Millilitres::ZERO,
                floor: sum.map_or(share.entitled, |e| e.floor),
                cut_thousandths: sum.map_or(0, |e| e.cut_thousandths),
                odd_gram: sum.is_some_and(|e| e.odd_gram),
                carried: share.carried,
                entitled: share.entitled,
                jars: kinds.iter().map(count).collect(),
                jarred: share.jarred,
                carry: share.carry,
                bill: Bill::default(),
            }
        })
        .collect();
    Division {
        basis: by.0,
        toll: by.1,
        jarred,
        syrup: finish.map_or(Grams::ZERO, |f| f.0),
        weight: shares.iter().map(|s| s.weight).sum(),
        solids_in: shares.iter().map(|s| s.solids).sum(),
        solids_out: finish.map_or(Grams::ZERO, |f| solids_of(f.0, f.1)),
        kinds,
        parts,
        questions: Vec::new(),
    }
}

fn is_of(jars: &FrozenJars, kind: &Kind) -> bool {
    jars.name == kind.name && jars.net == kind.net && jars.part == kind.part
}

/// The kinds of all shares, largest first, equal sizes by name, full jars before part-jars.
fn kinds(shares: &[FrozenShare]) -> Vec<Kind> {
    let mut kinds: Vec<Kind> = Vec::new();
    for jars in shares.iter().flat_map(|s| &s.jars) {
        match kinds.iter_mut().find(|k| is_of(jars, k)) {
            Some(kind) => kind.count += jars.count,
            None => kinds.push(Kind {
                name: jars.name.clone(),
                net: jars.net,
                part: jars.part,
                count: jars.count,
                price: Cents::ZERO,
            }),
        }
    }
    kinds.sort_by(|a, b| (b.net, &a.name, a.part).cmp(&(a.net, &b.name, b.part)));
    kinds
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::division::{Asked, Brought, Filled, divide};
    use crate::calc::fees::FeeRates;
    use crate::units::{MemberId, Units};
    use uuid::Uuid;

    #[test]
    fn what_was_frozen_reads_back_as_it_was_proposed() {
        let brought: Vec<Brought> = (1..6)
            .map(|n| Brought {
                sharer: Sharer::Member(MemberId::new(Uuid::from_u128(n))),
                cane: Grams::new(100_000),
                volume: Millilitres::new(40_000),
                mass: Grams::new(42_000),
                solids: Grams::new(6_000 + i64::try_from(n).unwrap() * 37),
            })
            .collect();
        let filled = |name: &str, net, part, count| Filled {
            name: name.to_owned(),
            net: Grams::new(net),
            part,
            count,
            price: Cents::ZERO,
        };
        let jars = [
            filled("quart", 1360, false, 11),
            filled("pint", 680, false, 9),
            filled("pint", 680, true, 1),
            filled("pint", 413, true, 1),
        ];
        let finish = Some((Grams::new(22_900), BrixAt20C::new(78.2).unwrap()));
        let toll = BasisPoints::new(1250).unwrap();
        let proposed = divide(&Asked {
            lot: "26001X",
            basis: Basis::Solids,
            toll,
            rates: FeeRates::default(),
            finish,
            brought: &brought,
            filled: &jars,
            standings: &[],
            units: Units::Us,
        })
        .unwrap();
        let shares: Vec<FrozenShare> = proposed
            .parts
            .iter()
            .map(|p| FrozenShare {
                sharer: p.sharer,
                weight: p.weight,
                solids: p.solids,
                carried: p.carried,
                entitled: p.entitled,
                jarred: p.jarred,
                carry: p.carry,
                jars: p
                    .jars
                    .iter()
                    .zip(&proposed.kinds)
                    .filter(|(n, _)| **n > 0)
                    .map(|(n, k)| FrozenJars {
                        name: k.name.clone(),
                        net: k.net,
                        part: k.part,
                        count: *n,
                    })
                    .collect(),
            })
            .collect();
        let recalled = recall("26001X", (Basis::Solids, toll), finish, &shares);
        assert_eq!(recalled.kinds, proposed.kinds);
        assert_eq!(recalled.floors(), proposed.floors());
        for (was, is) in proposed.parts.iter().zip(&recalled.parts) {
            assert_eq!(
                (&was.jars, was.odd_gram, was.cut_thousandths),
                (&is.jars, is.odd_gram, is.cut_thousandths)
            );
        }
        assert_eq!(recalled.solids_out, proposed.solids_out);
    }
}
