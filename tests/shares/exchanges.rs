//! Exchanges after the jars are given: against exhaustive search, and what they may not do.

use canewright::calc::shares::apportion::{Tie, largest_remainder};
use canewright::calc::shares::claims::{Claim, deal};
use canewright::calc::shares::exchange::{Exchange, WORTH_G, even_out, meet_wishes};
use canewright::calc::shares::jars::{share_out, share_out_evenly};
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

use super::{Draw, jars, member, note, owed};

type Jars = Vec<(i64, u32)>;

/// Jars in use, in grams: 5 lb, 3 lb, 44 oz, 2 lb, 24 oz, 20 oz, 1 lb, 12 oz, 8 oz.
const SIZES: [i64; 9] = [2268, 1361, 1247, 907, 680, 567, 454, 340, 227];

/// Two to four members, two or three sizes, in half the cases a part-jar, up to nine jars, and in
/// half the cases balances carried. The last figure is the smallest size; a part-jar is none.
fn small_case(draw: &mut Draw) -> (Vec<Claim>, Jars, i64) {
    let members = 2 + draw.below(3);
    let mut sizes: Vec<i64> = Vec::new();
    for _ in 0..2 + draw.below(2) {
        sizes.push(SIZES[usize::try_from(draw.below(9)).unwrap()]);
    }
    let smallest = *sizes.iter().min().unwrap();
    let mut jars: Jars = sizes.iter().map(|net| (*net, 0)).collect();
    for _ in 0..3 + draw.below(6) {
        let kind = usize::try_from(draw.below(sizes.len() as u64)).unwrap();
        jars[kind].1 += 1;
    }
    if draw.below(2) == 0 {
        jars.push((50 + i64::try_from(draw.below(290)).unwrap(), 1));
    }
    jars.retain(|(_, count)| *count > 0);
    jars.sort_unstable_by(|a, b| b.cmp(a));
    jars.dedup_by(|next, first| {
        let same = next.0 == first.0;
        if same {
            first.1 += next.1;
        }
        same
    });
    let total: i64 = jars.iter().map(|(net, n)| net * i64::from(*n)).sum();
    let ties: Vec<Tie> = (0..members)
        .map(|n| Tie::of("26001A", &n.to_string()))
        .collect();
    let weights: Vec<(u128, Tie)> = ties
        .iter()
        .map(|tie| (u128::from(1 + draw.below(1000)), *tie))
        .collect();
    let shares = largest_remainder(u64::try_from(total).unwrap(), &weights).unwrap();
    let mut owed: Vec<i64> = shares
        .iter()
        .map(|p| i64::try_from(p.whole).unwrap())
        .collect();
    if draw.below(2) == 0 {
        for i in 1..owed.len() {
            let carried = i64::try_from(draw.below(601)).unwrap() - 300;
            owed[i] += carried;
            owed[i - 1] -= carried;
        }
    }
    let claims = owed.iter().zip(&ties);
    let claims = claims
        .map(|(owed_g, tie)| Claim {
            owed_g: *owed_g,
            favoured_at: None,
            tie: *tie,
        })
        .collect();
    (claims, jars, smallest)
}

fn balances(claims: &[Claim], jars: &Jars, dealt: &[Vec<u32>]) -> Vec<i64> {
    let weigh = |held: &Vec<u32>| -> i64 {
        let jars = held.iter().zip(jars);
        jars.map(|(n, (net, _))| i64::from(*n) * net).sum()
    };
    claims
        .iter()
        .zip(dealt)
        .map(|(c, held)| c.owed_g - weigh(held))
        .collect()
}

fn worst(balances: &[i64]) -> i64 {
    balances.iter().map(|b| b.abs()).max().unwrap()
}

/// The least worst balance of all ways to give the jars, by trying them all; a way that is no
/// better than the best so far is given up early.
fn least_worst(left: &mut [i64], jars: &[(i64, u32)], best: &mut i64) {
    let Some(((net, count), smaller)) = jars.split_first() else {
        *best = (*best).min(worst(left));
        return;
    };
    share_kind(left, 0, *net, *count, smaller, best);
}

fn share_kind(
    left: &mut [i64],
    member: usize,
    net: i64,
    count: u32,
    smaller: &[(i64, u32)],
    best: &mut i64,
) {
    if member + 1 == left.len() {
        let given = net * i64::from(count);
        left[member] -= given;
        // What is overgiven stays overgiven.
        if left[member] > -*best {
            least_worst(left, smaller, best);
        }
        left[member] += given;
        return;
    }
    for n in 0..=count {
        let given = net * i64::from(n);
        left[member] -= given;
        if left[member] > -*best {
            share_kind(left, member + 1, net, count - n, smaller, best);
        }
        left[member] += given;
    }
}

#[test]
fn exchanges_come_near_the_best_that_exhaustive_search_finds() {
    let mut draw = Draw(0x2545_f491_4f6c_dd1d);
    let (mut first, mut second, mut cases) = (0, 0, 0);
    let mut furthest = 0.0_f64;
    while cases < 2000 {
        let (claims, jars, smallest) = small_case(&mut draw);
        let owed: Vec<i64> = claims.iter().map(|c| c.owed_g).collect();
        let mut dealt = deal(&claims, &jars);
        let before = worst(&balances(&claims, &jars, &dealt));
        even_out(&claims, &jars, &mut dealt);
        let after = worst(&balances(&claims, &jars, &dealt));
        let mut best = i64::MAX;
        least_worst(&mut owed.clone(), &jars, &mut best);
        assert!(best <= after && after <= before, "{owed:?} {jars:?}");
        first += u32::from(before == best);
        second += u32::from(after == best);
        #[expect(clippy::cast_precision_loss, reason = "a few thousand grams")]
        let above = (after - best) as f64 / smallest as f64;
        furthest = furthest.max(above);
        cases += 1;
    }
    let figures = format!(
        "best possible in {}.{} % of cases, first stage alone {}.{} %; at most {furthest:.2} \
         smallest jars above the best",
        second / 20,
        second % 20 / 2,
        first / 20,
        first % 20 / 2
    );
    note(&figures);
    assert!(second >= 1500, "{figures}");
    assert!(furthest <= 1.5, "{figures}");
}

/// Grams a sharer holds in the kinds wished for.
fn wished_g(jars: &Jars, wishes: &[bool], held: &[u32]) -> i64 {
    (0..jars.len())
        .filter(|kind| wishes[*kind])
        .map(|kind| jars[kind].0 * i64::from(held[kind]))
        .sum()
}

#[test]
fn a_member_who_wishes_for_pints_gets_two_for_a_quart() {
    let kinds = [jars("quart", 1360, 2), jars("pint", 680, 4)];
    let sharers = [owed(1, 0, 2720, None), owed(2, 0, 2720, None)];
    let plain = share_out("26001A", &sharers, &kinds).unwrap();
    assert_eq!(
        [&plain.given[0].jars, &plain.given[1].jars],
        [&[1, 2], &[1, 2]]
    );
    let wishes = BTreeMap::from([(member(2), BTreeSet::from(["pint".to_owned()]))]);
    let out = share_out_evenly("26001A", &sharers, &kinds, &wishes).unwrap();
    assert_eq!([&out.given[0].jars, &out.given[1].jars], [&[2, 0], &[0, 4]]);
    let swap = Exchange {
        from: 1,
        to: 0,
        jars: vec![(0, 1)],
        back: vec![(1, 2)],
    };
    assert_eq!(out.exchanges, [swap]);
    assert!(out.given.iter().all(|g| g.carry.get() == 0));
}

#[test]
fn a_gram_is_no_reason_to_exchange_jars_and_no_hindrance_to_a_wish() {
    // A quart of 1,247 g is two pints of 624 g less one gram. Owed 3,743 g and 3,741 g and dealt two
    // quarts and two pints each, the two stand at 1 and −1: that is no reason to exchange.
    let kinds = [jars("quart", 1247, 4), jars("pint", 624, 4)];
    let sharers = [owed(1, 0, 3743, None), owed(2, 0, 3741, None)];
    let none = share_out_evenly("26001A", &sharers, &kinds, &BTreeMap::new()).unwrap();
    assert_eq!(none.exchanges, []);
    // The second wishes for quarts: one for its two pints, which evens the gram out as well.
    let wishes = BTreeMap::from([(member(2), BTreeSet::from(["quart".to_owned()]))]);
    let out = share_out_evenly("26001A", &sharers, &kinds, &wishes).unwrap();
    assert_eq!([&out.given[0].jars, &out.given[1].jars], [&[1, 4], &[3, 0]]);
    let carries: Vec<i64> = out.given.iter().map(|g| g.carry.get()).collect();
    assert_eq!(carries, [0, 0]);
}

#[test]
fn an_exchange_brings_two_balances_closer() {
    // 1,210 g takes the jar of 1,000 and stays at 210; 990 takes both of 600 and stands at −210.
    // Two jars of 600 for the one of 1,000 move 200 g: 10 and −10.
    let kinds = vec![(1000, 1), (600, 2)];
    let claims: Vec<Claim> = [1210, 990]
        .into_iter()
        .map(|owed_g| Claim {
            owed_g,
            favoured_at: None,
            tie: Tie::of("26001A", &owed_g.to_string()),
        })
        .collect();
    let mut dealt = deal(&claims, &kinds);
    assert_eq!(balances(&claims, &kinds, &dealt), [210, -210]);
    let made = even_out(&claims, &kinds, &mut dealt);
    let exchange = Exchange {
        from: 1,
        to: 0,
        jars: vec![(1, 2)],
        back: vec![(0, 1)],
    };
    assert_eq!(made, [exchange]);
    assert_eq!(balances(&claims, &kinds, &dealt), [10, -10]);
}

proptest! {
    /// What the bounds rest on: the least balance never falls, the greatest never rises, no sum of
    /// the greatest rises, no jar is lost, and the order of the claims does not matter.
    #[test]
    fn prop_exchanges_only_even_out(start in 1_u64..u64::MAX) {
        let (claims, jars, _) = small_case(&mut Draw(start));
        let mut dealt = deal(&claims, &jars);
        let sorted = |dealt: &[Vec<u32>]| {
            let mut all = balances(&claims, &jars, dealt);
            all.sort_unstable();
            all
        };
        let before = sorted(&dealt);
        even_out(&claims, &jars, &mut dealt);
        let after = sorted(&dealt);
        for k in 1..=before.len() {
            let greatest = |b: &[i64]| b[b.len() - k..].iter().sum::<i64>();
            prop_assert!(greatest(&after) <= greatest(&before));
        }
        prop_assert!(after[0] >= before[0]);
        prop_assert_eq!(after.iter().sum::<i64>(), before.iter().sum::<i64>());
        for (kind, (_, count)) in jars.iter().enumerate() {
            prop_assert_eq!(dealt.iter().map(|held| held[kind]).sum::<u32>(), *count);
        }
        let mut backwards = claims.clone();
        backwards.reverse();
        let mut again = deal(&backwards, &jars);
        even_out(&backwards, &jars, &mut again);
        again.reverse();
        prop_assert_eq!(again, dealt);
    }

    /// A wish met costs nobody anything: balances stay or come closer together, and nobody holds less of
    /// what was wished.
    #[test]
    fn prop_wishes_only_even_out_and_take_from_nobody(
        start in 1_u64..u64::MAX, wishes in proptest::collection::vec(any::<[bool; 4]>(), 4),
    ) {
        let (claims, jars, _) = small_case(&mut Draw(start));
        let wishes: Vec<Vec<bool>> =
            wishes[..claims.len()].iter().map(|w| w[..jars.len()].to_vec()).collect();
        let mut dealt = deal(&claims, &jars);
        even_out(&claims, &jars, &mut dealt);
        let before = dealt.clone();
        let made = meet_wishes(&claims, &jars, &wishes, &mut dealt);
        let sorted = |dealt: &[Vec<u32>]| {
            let mut all = balances(&claims, &jars, dealt);
            all.sort_unstable();
            all
        };
        let (was, is) = (sorted(&before), sorted(&dealt));
        for k in 1..=was.len() {
            let greatest = |b: &[i64]| b[b.len() - k..].iter().sum::<i64>();
            prop_assert!(greatest(&is) <= greatest(&was));
        }
        prop_assert!(is[0] >= was[0]);
        let mut gained = 0;
        for i in 0..claims.len() {
            let (old, new) = (&before[i], &dealt[i]);
            let more = wished_g(&jars, &wishes[i], new) - wished_g(&jars, &wishes[i], old);
            // Who wishes for both kinds of a swap may come out lighter by less than is worth a swap.
            let swaps = made.iter().filter(|e| e.from == i || e.to == i).count();
            let few = (WORTH_G - 1) * i64::try_from(swaps).unwrap();
            prop_assert!(more >= -few, "{more} g");
            gained += more;
        }
        prop_assert_eq!(gained > 0, !made.is_empty());
    }

    /// One size and nothing carried: largest remainder already, nothing to exchange.
    #[test]
    fn prop_one_size_is_never_exchanged(
        weights in proptest::collection::vec(1_u32..100_000, 1..12), count in 1_u32..40,
    ) {
        let ties: Vec<(u128, Tie)> = weights
            .iter()
            .enumerate()
            .map(|(n, w)| (u128::from(*w), Tie::of("26001A", &n.to_string())))
            .collect();
        let shares = largest_remainder(680 * u64::from(count), &ties).unwrap();
        let claims: Vec<Claim> = shares
            .iter()
            .zip(&ties)
            .map(|(s, (_, tie))| Claim {
                owed_g: i64::try_from(s.whole).unwrap(),
                favoured_at: None,
                tie: *tie,
            })
            .collect();
        let mut dealt = deal(&claims, &[(680, count)]);
        prop_assert_eq!(even_out(&claims, &[(680, count)], &mut dealt), []);
    }
}
