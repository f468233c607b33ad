//! Tests of `pan_charges`: days worked by hand, and random days summed up by other means.

use super::*;
use proptest::prelude::*;

const H: i64 = 3600;

/// 80 to 200 L; 60 L an hour, and an hour for each charge.
const PAN: PanSize = PanSize {
    least: 80_000,
    most: 200_000,
    ml_per_h: 60_000,
    round_s: H,
};

/// Juice settles two hours and may be held five.
fn equipment(vessels_l: &[i64], pans: &[PanSize]) -> Equipment {
    Equipment {
        vessels: vessels_l.iter().map(|litres| litres * 1000).collect(),
        pans: pans.to_vec(),
        settles_s: 2 * H,
        hold_s: 5 * H,
    }
}

/// Juice that runs from second `start_s` on for `presses_s` seconds, in litres.
const fn juice(start_s: i64, presses_s: i64, litres: i64) -> TurnJuice {
    TurnJuice {
        start_s,
        presses_s,
        ml: litres * 1000,
        pools: true,
    }
}

const fn alone(juice: TurnJuice) -> TurnJuice {
    TurnJuice {
        pools: false,
        ..juice
    }
}

/// Each charge as pan, when lit, when free again, litres.
fn charges(plan: &Plan) -> Vec<(usize, i64, i64, i64)> {
    plan.charges
        .iter()
        .map(|c| (c.pan, c.lit_s, c.free_s, c.ml / 1000))
        .collect()
}

#[test]
fn a_pan_is_lit_when_its_least_charge_has_settled_and_the_next_waits_for_it() {
    let plan = plan(
        &equipment(&[100, 100], &[PAN]),
        &[juice(0, H, 90), juice(4200, H, 90)],
    );
    // The first is pressed after an hour and settled after three. Ninety litres boil an hour and a
    // half, and take an hour beside; then the second is lit, 15,600 s after its first drop.
    assert_eq!(
        charges(&plan),
        [(0, 10_800, 19_800, 90), (0, 19_800, 28_800, 90)]
    );
    assert_eq!(plan.waits_s, [10_800, 15_600]);
    assert_eq!(plan.overflow, None);
}

#[test]
fn small_juices_wait_for_each_other_if_they_pool() {
    let mill = equipment(&[100, 100], &[PAN]);
    let (first, second) = (juice(0, 1800, 50), juice(2400, 1800, 50));
    let pooled = plan(&mill, &[first, second]);
    assert_eq!(charges(&pooled), [(0, 11_400, 21_000, 100)]);
    assert_eq!(pooled.waits_s, [11_400, 9000]);
    // The second is boiled alone: nothing comes to the first, which is lit short when it has settled.
    let apart = plan(&mill, &[first, alone(second)]);
    assert_eq!(
        charges(&apart),
        [(0, 9000, 15_600, 50), (0, 15_600, 22_200, 50)]
    );
    let both = plan(&mill, &[alone(first), alone(second)]);
    assert_eq!(charges(&both), charges(&apart));
    // The oldest is lit first, whoever pools.
    let other = plan(&mill, &[alone(first), second]);
    assert_eq!(charges(&other), charges(&apart));
}

#[test]
fn juice_alone_in_two_vessels_is_lit_together() {
    // 60 L are full after 30 minutes, the rest after the hour: 120 L settle until then.
    let plan = plan(
        &equipment(&[60, 60, 60], &[PAN]),
        &[alone(juice(0, H, 120)), juice(2 * H, H, 60)],
    );
    assert_eq!(
        charges(&plan),
        [(0, 3 * H, 6 * H, 120), (0, 6 * H, 8 * H, 60)]
    );
    assert_eq!(plan.waits_s, [3 * H, 4 * H]);
}

#[test]
fn juice_is_lit_short_when_it_may_wait_no_longer() {
    let plan = plan(
        &equipment(&[100, 100], &[PAN]),
        &[juice(0, 1800, 50), juice(6 * H, 1800, 50)],
    );
    let first = (0, 5 * H, 5 * H + H + 3000, 50);
    assert_eq!(charges(&plan)[0], first);
    assert_eq!(plan.waits_s[0], 5 * H);
    // The second is lit as soon as it has settled: nothing comes any more.
    assert_eq!(plan.charges[1].lit_s, 6 * H + 1800 + 2 * H);
}

#[test]
fn a_charge_is_never_above_the_greatest_and_what_is_left_keeps_its_vessel() {
    let small = PanSize {
        least: 10_000,
        most: 60_000,
        ..PAN
    };
    let mill = equipment(&[100], &[small]);
    let one = plan(&mill, &[juice(0, H, 100)]);
    assert_eq!(
        charges(&one),
        [(0, 3 * H, 5 * H, 60), (0, 5 * H, 5 * H + H + 2400, 40)]
    );
    assert_eq!(one.waits_s, [5 * H]);
    // Until five hours have passed the only vessel is not empty.
    let early = plan(&mill, &[juice(0, H, 100), juice(5 * H - 1, H, 10)]);
    assert_eq!(
        early.overflow,
        Some(Overflow {
            turn: 1,
            at_s: 5 * H - 1,
            ml: 10_000
        })
    );
    let then = plan(&mill, &[juice(0, H, 100), juice(5 * H, H, 10)]);
    assert_eq!(then.overflow, None);
}

#[test]
fn juice_runs_into_the_smallest_vessel_that_takes_it_else_into_the_largest() {
    let over = |vessels: &[i64], juices: &[TurnJuice]| {
        plan(&equipment(vessels, &[PAN]), juices)
            .overflow
            .map(|over| (over.turn, over.at_s, over.ml / 1000))
    };
    let small_first = [juice(0, 600, 55), juice(900, 600, 90)];
    assert_eq!(over(&[100, 60], &small_first), None);
    // 125 L: 100 into the largest, 25 into the one of 30: that of 60 is left for the next.
    let large_first = [juice(0, 600, 125), juice(900, 600, 60)];
    assert_eq!(over(&[60, 100, 30], &large_first), None);
    // Without that of 30 the 25 stand in the one of 60.
    assert_eq!(over(&[60, 100], &large_first), Some((1, 900, 60)));
    // Two members' juice is never in one vessel, however little it is.
    let three = [juice(0, 600, 5), juice(900, 600, 5), juice(1800, 600, 5)];
    assert_eq!(over(&[100, 100], &three), Some((2, 1800, 5)));
    // Full in the middle of a turn: at the tenth of its 600 seconds the first 10 of 100 L have run.
    assert_eq!(over(&[10], &[juice(50, 600, 100)]), Some((0, 110, 90)));
}

#[test]
fn without_vessels_kept_juice_stands_in_as_many_as_it_takes() {
    let plan = plan(&equipment(&[], &[PAN]), &[juice(0, 2 * H, 400)]);
    // In portions of the greatest charge: the first is full after an hour.
    assert_eq!(plan.overflow, None);
    assert_eq!(plan.charges[0].lit_s, 3 * H);
    assert_eq!(plan.charges[0].ml, 200_000);
}

#[test]
fn of_free_pans_the_smallest_that_takes_all_is_lit_else_the_largest() {
    let kettle = PanSize {
        least: 10_000,
        most: 50_000,
        ..PAN
    };
    let first = |litres| {
        let lit = plan(&equipment(&[500], &[PAN, kettle]), &[juice(0, H, litres)]);
        let lit: Vec<(usize, i64)> = lit.charges.iter().map(|c| (c.pan, c.ml / 1000)).collect();
        lit
    };
    assert_eq!(first(40), [(1, 40)]);
    // The pan needs 80: the kettle takes what it can, and the rest goes, short, into the pan.
    assert_eq!(first(60), [(1, 50), (0, 10)]);
    assert_eq!(first(150), [(0, 150)]);
    assert_eq!(first(240), [(0, 200), (1, 40)]);
    // Below every least charge, with nothing to come.
    assert_eq!(first(5), [(1, 5)]);
}

#[test]
fn turns_that_share_minutes_are_pressed_one_after_the_other() {
    let plan = plan(
        &equipment(&[100, 100], &[PAN]),
        &[juice(0, H, 90), juice(600, H, 90)],
    );
    assert_eq!(plan.waits_s[1], plan.charges[1].lit_s - H);
}

#[test]
fn a_day_without_juice_has_no_charges() {
    let plan = plan(&equipment(&[100], &[PAN]), &[]);
    assert_eq!((plan.charges.len(), plan.waits_s.len()), (0, 0));
}

/// Juice of a turn that has run by then, mL, were nothing else at the mill.
fn run_by(juices: &[TurnJuice], at_s: i64) -> i64 {
    let (mut free_s, mut sum) = (i64::MIN, 0);
    for juice in juices {
        let start = juice.start_s.max(free_s);
        let ran = (at_s - start).clamp(0, juice.presses_s);
        sum += juice.ml * ran / juice.presses_s;
        free_s = start + juice.presses_s;
    }
    sum
}

fn some_day() -> impl Strategy<Value = (Equipment, Vec<TurnJuice>)> {
    let pan = (10_i64..100, 0_i64..300, 20_i64..200).prop_map(|(least, more, per_h)| PanSize {
        least: least * 1000,
        most: (least + more) * 1000,
        ml_per_h: per_h * 1000,
        round_s: H,
    });
    let turns = proptest::collection::vec((0_i64..60, 5_i64..90, 5_i64..250, 0_u8..5), 0..12);
    (
        proptest::collection::vec(20_i64..400, 1..8),
        proptest::collection::vec(pan, 1..3),
        0_i64..120,
        turns,
    )
        .prop_map(|(vessels, pans, settles, turns)| {
            let mut clock = 7 * H;
            let juices = turns
                .into_iter()
                .map(|(apart, minutes, litres, pools)| {
                    let one = juice(clock + apart * 60, minutes * 60, litres);
                    clock = one.start_s + one.presses_s;
                    TurnJuice {
                        pools: pools > 0,
                        ..one
                    }
                })
                .collect();
            let equipment = Equipment {
                settles_s: settles * 60,
                ..equipment(&vessels, &pans)
            };
            (equipment, juices)
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]
    #[test]
    fn prop_no_planned_day_holds_more_than_its_vessels((equipment, juices) in some_day()) {
        let plan = plan(&equipment, &juices);
        let holds: i64 = equipment.vessels.iter().sum();
        let lit_by = |at: i64| -> i64 {
            plan.charges.iter().filter(|c| c.lit_s <= at).map(|c| c.ml).sum()
        };
        let until = plan.overflow.map_or(i64::MAX, |over| over.at_s);
        // The most waits as a turn ends or a pan is lit; a millilitre is lost to rounding for each turn.
        let ends = juices.iter().map(|j| j.start_s + j.presses_s);
        let lit = plan.charges.iter().map(|c| c.lit_s - 1);
        for at in ends.chain(lit).filter(|at| *at < until) {
            let waits = run_by(&juices, at) - lit_by(at);
            prop_assert!(waits <= holds, "{waits} of {holds}");
            prop_assert!(waits >= -12, "lit before it was pressed: {waits}");
        }
        let all: i64 = juices.iter().map(|j| j.ml).sum();
        let boiled: i64 = plan.charges.iter().map(|c| c.ml).sum();
        match plan.overflow {
            None => prop_assert_eq!(boiled, all),
            Some(over) => prop_assert!(boiled < all && over.ml > 0),
        }
        for (n, pan) in equipment.pans.iter().enumerate() {
            let mut free = i64::MIN;
            for charge in plan.charges.iter().filter(|c| c.pan == n) {
                prop_assert!(charge.lit_s >= free && charge.ml > 0 && charge.ml <= pan.most);
                prop_assert_eq!(charge.free_s, charge.lit_s + pan.seconds(charge.ml));
                free = charge.free_s;
            }
        }
        if plan.overflow.is_none() {
            for (juice, waits) in juices.iter().zip(&plan.waits_s) {
                prop_assert!(*waits >= equipment.settles_s && *waits >= 0, "{juice:?}");
            }
        }
    }
}
