//! Long seasons of random lots: the bounds, and what no rule of sharing may do.

use super::{jars, member, owed, weight_of};
use canewright::calc::shares::apportion::{Tie, largest_remainder};
use canewright::calc::shares::claims::{Claim, deal};
use canewright::calc::shares::jars::{Jars, Owed, share_out, share_out_evenly};
use canewright::calc::shares::split::{Pour, Sharer, entitle};
use canewright::units::{BasisPoints, Grams, LotCode, UtcSecond};
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// Jars of several sizes for one lot, at least one jar.
fn some_jars() -> impl Strategy<Value = Vec<Jars>> {
    (
        0_u32..8,
        0_u32..12,
        1_u32..12,
        proptest::option::of(1_i64..340),
    )
        .prop_map(|(large, middle, small, part)| {
            let mut kinds = vec![
                jars("half gallon", 1360, large),
                jars("quart", 680, middle),
                jars("pint", 340, small),
            ];
            kinds.extend(part.map(|net| jars("part", net, 1)));
            kinds
        })
}

/// What each member brought (0 for absent), and the jars filled.
type Lot = (Vec<u32>, Vec<Jars>);

/// A season's lots: what each member brought to each (0 for absent), and its jars.
fn season(lots: usize) -> impl Strategy<Value = (usize, Vec<Lot>)> {
    (2_usize..14).prop_flat_map(move |members| {
        let brought =
            proptest::collection::vec(prop_oneof![2 => Just(0_u32), 3 => 1_u32..500_000], members)
                .prop_filter("somebody brings cane", |w| w.iter().any(|w| *w > 0));
        let lots = proptest::collection::vec((brought, some_jars()), 1..lots);
        (Just(members), lots)
    })
}

/// The greatest that a member may be owed, s × (1/2 + … + 1/n), rounded up to a gram.
#[expect(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    reason = "a few thousand grams"
)]
fn most_owed(largest: i64, members: usize) -> i64 {
    let sum: f64 = (2..=members).map(|k| 1.0 / k as f64).sum();
    (largest as f64 * sum).ceil() as i64
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Bounds 1 and 2 of the module head of `calc::jars`; the figures of the literature are cited
    /// there. One season is up to 120 lots, a third or more of the members absent from each, with and
    /// without exchanges.
    #[test]
    fn prop_over_a_long_season_nobody_is_far_from_what_is_owed(
        (members, lots) in season(120), toll in prop_oneof![Just(0_i64), 1_i64..4000],
        evenly: bool,
    ) {
        let toll_points = BasisPoints::new(toll).unwrap();
        let mut balance: BTreeMap<Sharer, Grams> = BTreeMap::new();
        let mut favoured: BTreeMap<Sharer, UtcSecond> = BTreeMap::new();
        let sharers = members + usize::from(toll > 0);
        let mut largest = 0;
        for (number, (brought, kinds)) in (1_u32..).zip(&lots) {
            let code = LotCode::nth(2026, number).unwrap();
            let pours: Vec<Pour> = (1..)
                .zip(brought)
                .filter(|(_, w)| **w > 0)
                .map(|(n, w)| Pour { sharer: member(n), weight: u64::from(*w) })
                .collect();
            let jarred = weight_of(kinds);
            let shares = entitle(code.as_str(), Grams::new(jarred), toll_points, &pours).unwrap();
            let mut owed: BTreeMap<Sharer, Owed> = balance
                .iter()
                .map(|(sharer, carried)| (*sharer, Owed {
                    sharer: *sharer,
                    carried: *carried,
                    entitled: Grams::ZERO,
                    favoured_at: favoured.get(sharer).copied(),
                }))
                .collect();
            for share in &shares {
                owed.entry(share.sharer)
                    .or_insert(Owed {
                        sharer: share.sharer,
                        carried: Grams::ZERO,
                        entitled: Grams::ZERO,
                        favoured_at: None,
                    })
                    .entitled = share.grams;
            }
            let owed: Vec<Owed> = owed.into_values().collect();
            let wishes = BTreeMap::from([(member(1), BTreeSet::from(["pint".to_owned()]))]);
            let out = if evenly {
                share_out_evenly(code.as_str(), &owed, kinds, &wishes).unwrap()
            } else {
                share_out(code.as_str(), &owed, kinds).unwrap()
            };
            largest = largest.max(out.kinds[0].kind.net.get());
            for (kind, jars) in out.kinds.iter().enumerate() {
                let dealt: u32 = out.given.iter().map(|g| g.jars[kind]).sum();
                prop_assert_eq!(dealt, jars.count, "no jar is lost");
            }
            for given in &out.given {
                balance.insert(given.sharer, given.carry);
                if given.favoured {
                    favoured.insert(given.sharer, UtcSecond::new(i64::from(number)));
                }
                prop_assert!(given.carry.get() > -largest, "a full jar too much");
                prop_assert!(given.carry.get() <= most_owed(largest, sharers), "owed too much");
            }
            prop_assert_eq!(balance.values().copied().sum::<Grams>(), Grams::ZERO);
        }
    }

    /// Within one lot that starts from nothing carried, everybody is within one jar (quota).
    #[test]
    fn prop_one_lot_alone_leaves_everybody_within_one_jar(
        weights in proptest::collection::vec(1_u64..1_000_000, 1..20), count in 1_u32..60,
    ) {
        let pours: Vec<Pour> = (1..)
            .zip(&weights)
            .map(|(n, w)| Pour { sharer: member(n), weight: *w })
            .collect();
        let kinds = [jars("pint", 680, count)];
        let jarred = Grams::new(weight_of(&kinds));
        let shares = entitle("26001A", jarred, BasisPoints::ZERO, &pours).unwrap();
        let owed: Vec<Owed> = (1..)
            .zip(&shares)
            .map(|(n, s)| owed(n, 0, s.grams.get(), None))
            .collect();
        for given in share_out("26001A", &owed, &kinds).unwrap().given {
            prop_assert!(given.carry.get().abs() < 680);
        }
    }

    /// One size and nothing carried: largest-first is the method of largest remainders.
    #[test]
    fn prop_one_size_is_largest_remainder(
        weights in proptest::collection::vec(1_u64..1_000_000, 1..20), count in 1_u32..60,
    ) {
        // One gram a jar would make every share whole; a long jar keeps remainders apart.
        let net = 1_000_003;
        let ties: Vec<Tie> = (0..weights.len()).map(|n| Tie::of("26001A", &n.to_string())).collect();
        let sharers: Vec<(u128, Tie)> =
            weights.iter().zip(&ties).map(|(w, t)| (u128::from(*w), *t)).collect();
        let grams = largest_remainder(net * u64::from(count), &sharers).unwrap();
        let claims: Vec<Claim> = grams
            .iter()
            .zip(&ties)
            .map(|(g, tie)| Claim {
                owed_g: i64::try_from(g.whole).unwrap(),
                favoured_at: None,
                tie: *tie,
            })
            .collect();
        let dealt = deal(&claims, &[(i64::try_from(net).unwrap(), count)]);
        // Over the same whole grams, so that rounding to grams plays no part.
        let by_grams: Vec<(u128, Tie)> =
            grams.iter().zip(&ties).map(|(g, t)| (u128::from(g.whole), *t)).collect();
        let whole = largest_remainder(u64::from(count), &by_grams).unwrap();
        for (jars, part) in dealt.iter().zip(&whole) {
            prop_assert_eq!(u64::from(jars[0]), part.whole);
        }
    }

    /// Entitlements are frozen before the jars are given, so a jar that is found later is only ever
    /// somebody's gain.
    #[test]
    fn prop_an_added_jar_takes_none_from_anybody(
        owed_g in proptest::collection::vec(-900_i64..9000, 1..20),
        count in 0_u32..60,
        net in 1_i64..1400,
    ) {
        let claims: Vec<Claim> = owed_g
            .iter()
            .enumerate()
            .map(|(n, g)| Claim { owed_g: *g, favoured_at: None, tie: Tie::of("26001A", &n.to_string()) })
            .collect();
        let before = deal(&claims, &[(net, count)]);
        let after = deal(&claims, &[(net, count + 1)]);
        let gained: u32 = before.iter().zip(&after).map(|(b, a)| a[0] - b[0]).sum();
        prop_assert!(before.iter().zip(&after).all(|(b, a)| a[0] >= b[0]));
        prop_assert_eq!(gained, 1);
    }

    #[test]
    fn prop_the_order_of_sharers_and_jars_does_not_matter(
        entitled in proptest::collection::vec((-600_i64..600, 1_u32..9000), 2..15),
        kinds in some_jars(), turn in 0_usize..15,
    ) {
        let total = weight_of(&kinds);
        let ties: Vec<(u128, Tie)> = entitled
            .iter()
            .enumerate()
            .map(|(n, (_, w))| (u128::from(*w), Tie::of("26001A", &n.to_string())))
            .collect();
        let shares = largest_remainder(u64::try_from(total).unwrap(), &ties).unwrap();
        let mut sharers: Vec<Owed> = (1..)
            .zip(&entitled)
            .zip(&shares)
            .map(|((n, (carried, _)), s)| owed(n, *carried, i64::try_from(s.whole).unwrap(), None))
            .collect();
        let out = share_out("26001A", &sharers, &kinds).unwrap();
        let carried: Grams = sharers.iter().map(|o| o.carried).sum();
        prop_assert_eq!(out.given.iter().map(|g| g.carry).sum::<Grams>(), carried);
        let turned = turn % sharers.len();
        sharers.rotate_left(turned);
        let mut backwards = kinds;
        backwards.reverse();
        prop_assert_eq!(share_out("26001A", &sharers, &backwards).unwrap(), out);
    }
}

#[test]
fn the_worst_run_of_lots_reaches_the_proven_bound_and_no_further() {
    // Each lot has one jar of 60,060 g (so that 1/2 … 1/6 of it are whole) and entitles equally
    // those who have not yet had a jar: after five lots the sixth is owed 1/2 + … + 1/6 = 1.45 jars
    // (exact figure 29/20 for six members; the house's adversarial search).
    let net = 60_060;
    let mut balance = [0_i64; 6];
    let mut open: Vec<usize> = (0..6).collect();
    while open.len() > 1 {
        let each = net / i64::try_from(open.len()).unwrap();
        for i in &open {
            balance[*i] += each;
        }
        let claims: Vec<Claim> = (0..6)
            .map(|i| Claim {
                owed_g: balance[i],
                favoured_at: None,
                tie: Tie::of("26001A", &i.to_string()),
            })
            .collect();
        let dealt = deal(&claims, &[(net, 1)]);
        let winner = dealt.iter().position(|jars| jars[0] == 1).unwrap();
        balance[winner] -= net;
        open.retain(|i| *i != winner);
        assert!(balance.iter().all(|b| *b > -net));
        assert!(balance.iter().all(|b| *b <= most_owed(net, 6)));
    }
    // The last one left is owed 1/6 + 1/5 + 1/4 + 1/3 + 1/2 of a jar.
    assert_eq!(balance[open[0]], net * 29 / 20);
}
