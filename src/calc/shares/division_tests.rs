//! Divisions worked by hand, refusals, and sums that must hold for any boil.

use super::*;
use crate::calc::Basis;
use crate::calc::shares::fees::FeeRates;
use crate::units::{BasisPoints, MemberId, MilliCents, Pounds, Units, UtcSecond};
use proptest::prelude::*;
use uuid::Uuid;

fn member(n: u128) -> Sharer {
    Sharer::Member(MemberId::new(Uuid::from_u128(n)))
}

fn brought(n: u128, mass: i64, solids: i64) -> Brought {
    Brought {
        sharer: member(n),
        cane: Grams::new(mass * 2),
        cane_lb: Pounds::of(Grams::new(mass * 2)),
        volume: Millilitres::new(mass * 94 / 100),
        mass: Grams::new(mass),
        solids: Grams::new(solids),
    }
}

fn filled(name: &str, net: i64, part: bool, count: u32) -> Filled {
    Filled {
        name: name.to_owned(),
        net: Grams::new(net),
        part,
        count,
        price: Cents::new(85),
    }
}

fn case<'a>(
    brought: &'a [Brought],
    filled: &'a [Filled],
    carried: &'a [Carried],
    syrup: i64,
) -> DivisionCase<'a> {
    DivisionCase {
        lot: "26001X",
        basis: Basis::Solids,
        toll: BasisPoints::new(1000).unwrap(),
        rates: FeeRates::NONE,
        finish: Some((Grams::new(syrup), BrixAt20C::new(78.0).unwrap())),
        brought,
        filled,
        carried,
        wishes: &[],
        lots_repay_pct: Some(100),
        way: Way::NOW,
        units: Units::Us,
    }
}

/// By hand. A 60,000 g × 17 % = 10,200 g; B 40,000 g × 12 % = 4,800 g; together 15,000 g. Jars: nine
/// of 1,360 g and a part-jar of 777 g = 13,017 g. Toll 10 % = 1,301.7; members 11,715.3 in the ratio
/// 10,200 : 4,800, that is 7,966.404 and 3,748.896. Cut: 1,301 + 7,966 + 3,748 = 13,015; the two odd
/// grams go to .896 (B) and .7 (the mill). Quarts, to whoever is owed most: A 7,966 → 6,606 → 5,246 →
/// 3,886 → 2,526; B 3,749 → 2,389; A → 1,166; B → 1,029; the mill 1,302 → −58; A → −194. The part-jar:
/// B 1,029 → 252.
#[test]
fn a_boil_worked_by_hand_comes_out_to_the_gram() {
    let pours = [brought(1, 60_000, 10_200), brought(2, 40_000, 4_800)];
    let jars = [
        filled("quart", 1360, false, 9),
        filled("quart", 777, true, 1),
    ];
    let division = divide(&case(&pours, &jars, &[], 13_200)).unwrap();
    let told: Vec<_> = division
        .parts
        .iter()
        .map(|p| {
            (
                p.floor.get(),
                p.cut_thousandths,
                p.odd_gram,
                p.entitled.get(),
            )
        })
        .collect();
    assert_eq!(
        told,
        [
            (1301, 700, true, 1302),
            (7966, 404, false, 7966),
            (3748, 896, true, 3749)
        ]
    );
    assert_eq!(division.floors().get(), 13_015);
    let jars: Vec<_> = division
        .parts
        .iter()
        .map(|p| (p.jars.clone(), p.carry.get()))
        .collect();
    assert_eq!(
        jars,
        [(vec![1, 0], -58), (vec![6, 0], -194), (vec![2, 1], 252)]
    );
    assert!(division.questions.is_empty());
}

#[test]
fn an_absent_member_who_is_owed_is_given_a_jar_and_pays_only_for_it() {
    let pours = [brought(1, 10_000, 1_600)];
    let jars = [filled("pint", 680, false, 2)];
    let owed = Carried {
        sharer: member(9),
        carried: Grams::new(650),
        favoured_at: None,
    };
    let overdrawn = Carried {
        sharer: member(8),
        carried: Grams::new(-650),
        favoured_at: Some(UtcSecond::new(5)),
    };
    let carried = [owed, overdrawn];
    let mut ask = case(&pours, &jars, &carried, 1_400);
    ask.rates = FeeRates {
        per: Units::Metric,
        cane: MilliCents::new(2250),
        juice: MilliCents::new(0),
        boil: Cents::ZERO,
        jar: Cents::new(25),
        least: Cents::new(1000),
    };
    let division = divide(&ask).unwrap();
    // Who had too much and brought nothing is not among the sharers.
    assert_eq!(division.parts.len(), 3);
    let absent = division.parts.last().unwrap();
    assert_eq!(absent.sharer, member(9));
    assert_eq!((absent.jarred.get(), absent.carry.get()), (680, -30));
    assert_eq!(absent.bill.total, Cents::new(85));
    let present = &division.parts[1];
    assert_eq!(present.bill.total, Cents::new(1000 + 85));
    assert_eq!(division.parts[0].bill, Bill::default());
}

#[test]
fn what_cannot_be_divided_is_refused_with_what_to_mend() {
    let pours = [brought(1, 10_000, 1_600)];
    let jars = [filled("pint", 680, false, 2)];
    let code = |case: &DivisionCase<'_>| {
        let refusal = divide(case).unwrap_err();
        assert!(refusal.sentence.contains("Please"), "{refusal}");
        refusal.code
    };
    let mut unfinished = case(&pours, &jars, &[], 1_400);
    unfinished.finish = None;
    assert_eq!(code(&unfinished), "not-finished");
    assert_eq!(code(&case(&pours, &[], &[], 1_400)), "nothing-jarred");
    assert_eq!(code(&case(&[], &jars, &[], 1_400)), "no-sharers");
    assert_eq!(code(&case(&pours, &jars, &[], 1_359)), "jars-over-syrup");
    // 2,200 g × 78 % = 1,716 g of solids out of 1,600 g: more than misreadings explain.
    assert_eq!(code(&case(&pours, &jars, &[], 2_200)), "more-out-than-in");
    let dry = [brought(1, 10_000, 0)];
    assert_eq!(code(&case(&dry, &jars, &[], 1_400)), "boil-empty");
}

#[test]
fn thin_syrup_and_loose_syrup_must_each_be_ticked() {
    let pours = [brought(1, 30_000, 4_800)];
    let jars = [filled("pint", 680, false, 2)];
    let mut ask = case(&pours, &jars, &[], 1_500);
    ask.finish = Some((Grams::new(1_500), BrixAt20C::new(73.99).unwrap()));
    let division = divide(&ask).unwrap();
    let boxes: Vec<_> = division.questions.iter().map(|q| q.at).collect();
    assert_eq!(boxes, ["sure_thin", "sure_loose"]);
    let refused = division.sure(&["sure_thin"]).unwrap_err();
    assert_eq!((refused.at, refused.code), (Some("sure_loose"), "not-sure"));
    assert!(division.sure(&boxes).is_ok());
}

#[test]
fn the_mark_changes_with_any_figure() {
    let pours = [brought(1, 10_000, 1_600)];
    let jars = [filled("pint", 680, false, 2)];
    let mark = |p: &[Brought], syrup| divide(&case(p, &jars, &[], syrup)).unwrap().mark();
    let first = mark(&pours, 1_400);
    assert_eq!(first, mark(&pours, 1_400));
    assert_ne!(first, mark(&pours, 1_401));
    assert_ne!(first, mark(&[brought(1, 10_000, 1_601)], 1_400));
}

#[test]
fn cane_behind_a_part_of_a_juice_goes_by_weight() {
    let g = Grams::new;
    assert_eq!(cane_behind(g(1000), g(1), g(3)), g(333));
    assert_eq!(cane_behind(g(1001), g(1), g(2)), g(501));
    assert_eq!(cane_behind(g(1000), g(0), g(0)), g(0));
}

proptest! {
    #[test]
    fn prop_every_basis_adds_up_and_balances_stay(
        pours in proptest::collection::vec((1_u128..7, 2_000_i64..90_000, 100_i64..200), 1..12),
        carried in proptest::collection::vec(-900_i64..900, 10),
        counts in (1_u32..20, 0_u32..20, 0_i64..700),
        basis in 0_usize..4,
    ) {
        let pours: Vec<Brought> = pours
            .into_iter()
            .map(|(n, mass, permille)| brought(n, mass, mass * permille / 1000))
            .collect();
        let mut jars = vec![filled("quart", 1360, false, counts.0), filled("pint", 680, false, counts.1)];
        if counts.2 > 0 {
            jars.push(filled("pint", counts.2, true, 1));
        }
        let total: i64 = jars.iter().map(|j| j.net.get() * i64::from(j.count)).sum();
        let carried: Vec<Carried> = (0_u128..).zip(carried).map(|(n, grams)| Carried {
            sharer: if n == 0 { Sharer::Mill } else { member(n) },
            carried: Grams::new(grams),
            favoured_at: None,
        }).collect();
        let solids: Grams = pours.iter().map(|p| p.solids).sum();
        let mut ask = case(&pours, &jars, &carried, total);
        ask.basis = Basis::ALL[basis];
        prop_assume!(total * 78 / 100 <= solids.get());
        // `divide` itself asserts every sum; here: nobody owed is forgotten.
        let division = divide(&ask).unwrap();
        for balance in carried.iter().filter(|s| s.carried > Grams::ZERO) {
            prop_assert!(division.parts.iter().any(|p| p.sharer == balance.sharer && p.carried == balance.carried));
        }
        let mut turned = pours.clone();
        turned.reverse();
        ask.brought = &turned;
        prop_assert_eq!(divide(&ask).unwrap().parts, division.parts);
    }
}

/// Of 13,017 g in jars, 20 of 100 are 2,603 g: one quart and the part-jar fit, 2,137 g, a second quart does not. They are for the
/// ninth, who is owed most, though all that is owed there would take six quarts. At 60 of 100, 7,810 g: five quarts, and the ninth
/// has the most of them.
#[test]
fn a_lot_repays_those_without_juice_in_it_no_more_than_was_voted_and_charges_them_no_fee() {
    let brought = [brought(1, 60_000, 10_200), brought(2, 40_000, 4_800)];
    let jars = [
        filled("quart", 1360, false, 9),
        filled("quart", 777, true, 1),
    ];
    let owed = |n: u128, grams| Carried {
        sharer: member(n),
        carried: Grams::new(grams),
        favoured_at: None,
    };
    let carried = [owed(7, 1_500), owed(8, 2_000), owed(9, 9_000)];
    let repaid = |pct: Option<i64>| {
        let rates = FeeRates {
            jar: Cents::new(25),
            ..FeeRates::NONE
        };
        let case = DivisionCase {
            lots_repay_pct: pct,
            rates,
            ..case(&brought, &jars, &carried, 13_100)
        };
        let division = divide(&case).unwrap();
        let others: Vec<&Part> = division
            .parts
            .iter()
            .filter(|p| p.weight == 0 && p.sharer != Sharer::Mill)
            .collect();
        let fees: i64 = others
            .iter()
            .flat_map(|p| &p.bill.lines)
            .map(|l| l.cents().get())
            .sum();
        let jars: u32 = others.iter().flat_map(|p| &p.jars).sum();
        let grams: Grams = others.iter().map(|p| p.jarred).sum();
        let own = |p: &&&Part| p.jarred > Grams::ZERO;
        let whose: Vec<(Sharer, i64)> = others
            .iter()
            .filter(own)
            .map(|p| (p.sharer, p.jarred.get()))
            .collect();
        for part in &others {
            let true_carried = carried.iter().find(|c| c.sharer == part.sharer);
            assert_eq!(true_carried.map(|c| c.carried), Some(part.carried));
        }
        (grams.get(), fees - 85 * i64::from(jars), whose)
    };
    assert_eq!(repaid(Some(0)), (0, 0, vec![]));
    assert_eq!(repaid(Some(20)), (2_137, 0, vec![(member(9), 2_137)]));
    let (grams, fees, whose) = repaid(Some(60));
    assert!(grams <= 7_810 && fees == 0, "{grams} {fees}");
    let most = whose.iter().max_by_key(|(_, grams)| *grams);
    assert!(
        most.is_some_and(|(who, grams)| *who == member(9) && *grams >= 4 * 1360),
        "{whose:?}"
    );
    let (all, fees, _) = repaid(Some(100));
    assert!(all > 2_603 && fees == 0, "{all} {fees}");
    // As it was before the rule: all of it, and 25 cents for filling each.
    let (before, fees, _) = repaid(None);
    assert_eq!(before, all);
    assert!(fees > 0 && fees % 25 == 0, "{fees}");
}

/// The boil worked by hand above, once the mill is owed 11,725 g for boils that it paid for: where nothing may be repaid, the jars go
/// as if nothing were owed to it, and all but the 58 g of the rounded jar stays carried. At 20 of 100, 2,603 g, it is repaid
/// no more than that, and a ninth member without juice shares the bound with it. A division of before stays as it was dealt.
#[test]
fn what_the_mill_was_owed_before_is_repaid_no_more_than_was_voted() {
    let brought = [brought(1, 60_000, 10_200), brought(2, 40_000, 4_800)];
    let jars = [
        filled("quart", 1360, false, 9),
        filled("quart", 777, true, 1),
    ];
    let owed = |sharer, grams| Carried {
        sharer,
        carried: Grams::new(grams),
        favoured_at: None,
    };
    let carried = [owed(Sharer::Mill, 11_725), owed(member(9), 9_000)];
    let divided = |way, pct, owed: usize| {
        let case = DivisionCase {
            way,
            lots_repay_pct: Some(pct),
            ..case(&brought, &jars, &carried[..owed], 13_100)
        };
        divide(&case).unwrap()
    };
    let none = divided(Way::MillBound, 0, 2);
    let told: Vec<_> = none
        .parts
        .iter()
        .map(|p| (p.carried.get(), p.jars.clone(), p.carry.get()))
        .collect();
    assert_eq!(
        told,
        [
            (11_725, vec![1, 0], 11_667),
            (0, vec![6, 0], -194),
            (0, vec![2, 1], 252)
        ]
    );
    let mills = none.repaid_to_mill();
    assert_eq!(mills, Some((Grams::new(11_725), Grams::new(58))));
    let (_, repaid) = divided(Way::MillBound, 20, 1).repaid_to_mill().unwrap();
    assert!(
        repaid > Grams::new(1_000) && repaid <= Grams::new(2_603),
        "{repaid:?}"
    );
    let both = divided(Way::MillBound, 60, 2);
    let (_, to_mill) = both.repaid_to_mill().unwrap();
    assert!(to_mill + both.repaid() <= Grams::new(7_810));
    let before = divided(Way::MillUnbound, 0, 1);
    let (_, took) = before.repaid_to_mill().unwrap();
    assert!(took > Grams::new(5_000), "{took:?}");
    // A mill without toll and cane of its own is repaid like any member without juice.
    let ask = DivisionCase {
        toll: BasisPoints::ZERO,
        lots_repay_pct: Some(0),
        ..case(&brought, &jars, &carried, 13_100)
    };
    let members = divide(&ask).unwrap();
    assert!(members.parts.iter().all(|p| p.sharer != Sharer::Mill));
}

proptest! {
    /// Whatever is carried: all of it adds up, and beyond the jars that its own share is rounded up by, the mill and those without
    /// juice are repaid within the bound.
    #[test]
    fn prop_the_bound_of_what_a_lot_repays_holds_for_the_mill(
        pours in proptest::collection::vec((1_u128..7, 2_000_i64..90_000, 100_i64..200), 1..8),
        carried in proptest::collection::vec(0_i64..20_000, 10),
        counts in (1_u32..20, 0_u32..20),
        pct in 0_i64..100,
    ) {
        let pours: Vec<Brought> = pours
            .into_iter()
            .map(|(n, mass, permille)| brought(n, mass, mass * permille / 1000))
            .collect();
        let jars = [filled("quart", 1360, false, counts.0), filled("pint", 680, false, counts.1)];
        let total: i64 = jars.iter().map(|j| j.net.get() * i64::from(j.count)).sum();
        let carried: Vec<Carried> = (0_u128..).zip(carried).map(|(n, grams)| Carried {
            sharer: if n == 0 { Sharer::Mill } else { member(n) },
            carried: Grams::new(grams),
            favoured_at: None,
        }).collect();
        let solids: Grams = pours.iter().map(|p| p.solids).sum();
        prop_assume!(total * 78 / 100 <= solids.get());
        let ask = DivisionCase {
            lots_repay_pct: Some(pct),
            ..case(&pours, &jars, &carried, total)
        };
        let division = divide(&ask).unwrap();
        let (_, to_mill) = division.repaid_to_mill().unwrap_or_default();
        let most = most_repaid(Grams::new(total), pct);
        // Members with juice claim all of theirs, so the mill is owed the average at most, and a jar more.
        prop_assert!(division.repaid() <= most);
        prop_assert!(to_mill <= most.max(Grams::new(1360)), "{to_mill:?} of {most:?}");
    }
}
