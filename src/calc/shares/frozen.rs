//! A frozen division read back: its shares as they stand, with the sums that led to them redone from
//! the frozen weights. Changes no frozen figure.

use super::division::{Division, Filled, Kind, Part, Way, as_jars, most_repaid, wished_kinds};
use super::exchange::Exchange;
use super::fees::Bill;
use super::jars::{Jars, Owed, share_out_evenly};
use super::lot_repays::LotRepays;
use super::split::{self, Pour, Sharer};
use crate::calc::Basis;
use crate::calc::cane::juice::solids_of;
use crate::units::{BasisPoints, BrixAt20C, Cents, Grams, Millilitres, UtcSecond};
use std::collections::BTreeSet;

/// Jars of one kind as they were set aside.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FrozenJars {
    /// Size as the rules named it.
    pub name: String,
    /// Net weight of syrup in each jar.
    pub net: Grams,
    /// Whether it is a part-jar.
    pub part: bool,
    /// How many jars.
    pub count: u32,
}

/// A share as it was frozen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FrozenShare {
    /// The sharer whose it is.
    pub sharer: Sharer,
    /// What was brought, in the season's basis.
    pub weight: u64,
    /// Dissolved solids that the sharer brought.
    pub solids: Grams,
    /// Grams owed to the sharer from before; below zero: had too much.
    pub carried: Grams,
    /// When a lot had last given more than was owed; `None` for never.
    pub favoured_at: Option<UtcSecond>,
    /// The sizes wished for, by net weight.
    pub wishes: Vec<Grams>,
    /// Grams that the boil entitled the sharer to.
    pub entitled: Grams,
    /// Syrup in jars set aside.
    pub jarred: Grams,
    /// Grams owed to the sharer afterwards.
    pub carry: Grams,
    /// The jars set aside.
    pub jars: Vec<FrozenJars>,
}

/// What a division was made by.
#[derive(Debug, Clone, Copy)]
pub struct MadeBy {
    /// What the syrup was divided by.
    pub basis: Basis,
    /// The mill's toll.
    pub toll: BasisPoints,
    /// The way in which it was divided.
    pub way: Way,
    /// How much of 100 its rules let the lot repay; `None`: no rule about it then.
    pub lots_repay_pct: Option<i64>,
    /// Whether it is the first division of its boil.
    pub first: bool,
}

/// Reads a division back. `by` is what it was made by; `finish` the syrup and its
/// Brix. Where the sum redone does not come to the frozen share (another version of this program
/// rounded otherwise), the share stands and no odd gram is shown; the same with the exchanges, which
/// are redone for a first division. Bills stand in the ledger and are left out, and so are cane and
/// volume.
pub fn recall(
    lot: &str,
    by: MadeBy,
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
    let redone = split::entitle(lot, jarred, by.toll, &pours).unwrap_or_default();
    let kinds = kinds(shares);
    let parts: Vec<Part> = shares
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
                favoured_at: share.favoured_at,
                wishes: share.wishes.clone(),
                entitled: share.entitled,
                jars: kinds.iter().map(count).collect(),
                jarred: share.jarred,
                carry: share.carry,
                bill: Bill::default(),
            }
        })
        .collect();
    let exchanges = if by.first {
        let own = redone.iter().map(|e| e.sharer).collect();
        exchanges(lot, by, own, &kinds, &parts)
    } else {
        Vec::new()
    };
    Division {
        basis: by.basis,
        toll: by.toll,
        jarred,
        syrup: finish.map_or(Grams::ZERO, |f| f.0),
        weight: shares.iter().map(|s| s.weight).sum(),
        solids_in: shares.iter().map(|s| s.solids).sum(),
        solids_out: finish.map_or(Grams::ZERO, |f| solids_of(f.0, f.1)),
        kinds,
        parts,
        exchanges,
        questions: Vec::new(),
    }
}

/// The exchanges that led to the jars as they were set aside; none when they lead elsewhere.
fn exchanges(
    lot: &str,
    by: MadeBy,
    own: BTreeSet<Sharer>,
    kinds: &[Kind],
    parts: &[Part],
) -> Vec<Exchange> {
    let owed: Vec<Owed> = parts
        .iter()
        .map(|p| Owed {
            sharer: p.sharer,
            carried: p.carried,
            entitled: p.entitled,
            favoured_at: p.favoured_at,
        })
        .collect();
    let filled: Vec<Filled> = kinds
        .iter()
        .map(|k| Filled {
            name: k.name.clone(),
            net: k.net,
            part: k.part,
            count: k.count,
            price: k.price,
        })
        .collect();
    let wishes: Vec<(Sharer, Grams)> = parts
        .iter()
        .flat_map(|p| p.wishes.iter().map(|net| (p.sharer, *net)))
        .collect();
    let jars: Vec<Jars> = filled.iter().map(as_jars).collect();
    let wishes = wished_kinds(&wishes, &filled);
    let jarred = parts.iter().map(|p| p.jarred).sum();
    // Who was not let in to the line then has no share, and changed nothing for those who have.
    let dealt = match by.lots_repay_pct.filter(|pct| *pct < 100) {
        None => share_out_evenly(lot, &owed, &jars, &wishes),
        Some(pct) => LotRepays {
            lot,
            filled: &jars,
            own,
            most: most_repaid(jarred, pct),
            way: by.way,
        }
        .give_out(&owed, &wishes)
        .map(|(_, out)| out),
    };
    let Ok(out) = dealt else {
        return Vec::new();
    };
    let same = out.given.len() == parts.len()
        && out.given.iter().zip(parts).all(|(g, p)| g.jars == p.jars);
    if same { out.exchanges } else { Vec::new() }
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
    use crate::calc::shares::division::{Brought, DivisionCase, Filled, Way, divide};
    use crate::calc::shares::fees::FeeRates;
    use crate::units::{MemberId, Pounds, Units};
    use uuid::Uuid;

    /// The shares of a division as they would be frozen.
    fn frozen_of(proposed: &Division) -> Vec<FrozenShare> {
        proposed
            .parts
            .iter()
            .map(|p| FrozenShare {
                sharer: p.sharer,
                weight: p.weight,
                solids: p.solids,
                carried: p.carried,
                favoured_at: p.favoured_at,
                wishes: p.wishes.clone(),
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
            .collect()
    }

    #[test]
    fn what_was_frozen_reads_back_as_it_was_proposed() {
        let brought: Vec<Brought> = (1..6)
            .map(|n| Brought {
                sharer: Sharer::Member(MemberId::new(Uuid::from_u128(n))),
                cane: Grams::new(100_000),
                cane_lb: Pounds::ZERO,
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
        let wishes = [(brought[2].sharer, Grams::new(684))];
        let proposed = divide(&DivisionCase {
            lot: "26001X",
            basis: Basis::Solids,
            toll,
            rates: FeeRates::NONE,
            finish,
            brought: &brought,
            filled: &jars,
            carried: &[],
            wishes: &wishes,
            lots_repay_pct: Some(100),
            way: Way::NOW,
            units: Units::Us,
        })
        .unwrap();
        let shares = frozen_of(&proposed);
        let by = MadeBy {
            basis: Basis::Solids,
            toll,
            way: Way::NOW,
            lots_repay_pct: Some(100),
            first: true,
        };
        let recalled = recall("26001X", by, finish, &shares);
        assert!(!proposed.exchanges.is_empty());
        assert_eq!(recalled.exchanges, proposed.exchanges);
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
