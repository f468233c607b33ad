//! Tests of `boil_watch` against a thousand simulated boils, and of what it says at each stage.

#[path = "boil_watch_sim.rs"]
mod sim;

use self::sim::{LIT, Simulated, mills_factor, simulate};
use super::*;
use crate::calc::boil::boil_plan::GAL_FT2_L_M2;
use crate::calc::physics::density;

fn bx(value: f64) -> BrixAt20C {
    BrixAt20C::new(value).unwrap()
}
fn c(value: f64) -> Celsius {
    Celsius::new(value).unwrap()
}

/// Forecasts of one boil at each reading from half-way on: minutes to go, error, inside or not.
fn forecasts(of: &Simulated) -> Vec<(f64, Option<(f64, bool)>)> {
    let half = later(of.boiling, minutes_between(of.boiling, of.done) / 2.0);
    (1..=of.readings.len())
        .filter(|n| of.readings[n - 1].at >= half)
        .map(|n| {
            let to_go = minutes_between(of.readings[n - 1].at, of.done);
            let told = match watch(&of.boil, &of.readings[..n]).stage {
                Stage::Going(_, f) | Stage::There(_, f) => Some((
                    minutes_between(of.done, f.finish),
                    (f.earliest..=f.latest).contains(&of.done),
                )),
                Stage::Heating | Stage::TooEarly(_) => None,
            };
            (to_go, told)
        })
        .collect()
}

fn share(of: usize, all: usize) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "small counts")]
    let share = of as f64 / all as f64;
    share
}

#[test]
#[expect(
    clippy::print_stdout,
    reason = "the figures are read from the test's output"
)]
fn the_interval_holds_four_times_in_five_over_a_thousand_boils() {
    let k = mills_factor();
    let all: Vec<(f64, Option<(f64, bool)>)> = (1..=1000)
        .flat_map(|n| forecasts(&simulate(n, k)))
        .collect();
    let told: Vec<(f64, f64, bool)> = all
        .iter()
        .filter_map(|(left, t)| t.map(|(e, inside)| (*left, e, inside)))
        .collect();
    let held = |low: f64, high: f64| {
        let here: Vec<_> = told.iter().filter(|t| t.0 >= low && t.0 < high).collect();
        let mut errors: Vec<f64> = here.iter().map(|t| t.1.abs()).collect();
        errors.sort_by(f64::total_cmp);
        let held = share(here.iter().filter(|t| t.2).count(), here.len());
        (
            held,
            errors[errors.len() / 2],
            errors[errors.len() * 9 / 10],
            here.len(),
        )
    };
    for (low, high) in [
        (0.0, 5.0),
        (5.0, 10.0),
        (10.0, 20.0),
        (20.0, 40.0),
        (40.0, 80.0),
        (80.0, 400.0),
    ] {
        println!("{low:3}–{high:3} min to go: {:?}", held(low, high));
    }
    let (whole, ..) = held(0.0, 1e9);
    let (_, last_20, _, _) = held(0.0, 20.0);
    let told_share = share(told.len(), all.len());
    println!(
        "k {k:?} told {told_share:.3} held {whole:.3} last 20 min median error {last_20:.2} min"
    );
    assert!((0.75..=0.85).contains(&whole), "{whole}");
    assert!(last_20 < 3.0, "{last_20}");
    assert!(told_share > 0.9, "{told_share}");
}

#[test]
fn a_mill_that_has_learned_nothing_yet_is_told_honestly_too() {
    let k = (Factor::DEFAULT, FactorFrom::Guess);
    let mut told: Vec<(f64, bool)> = Vec::new();
    for number in 1..=300 {
        let mut of = simulate(number, k);
        of.boil.rate_boils = 0;
        of.boil.pan.rate_l_m2_h *= 1.25;
        told.extend(forecasts(&of).into_iter().filter_map(|(_, t)| t));
    }
    let held = share(told.iter().filter(|t| t.1).count(), told.len());
    assert!((0.70..=0.95).contains(&held), "{held}");
}

#[test]
fn one_mistyped_reading_is_found_and_hardly_moves_the_finish() {
    let k = mills_factor();
    let (mut found, mut all, mut shifts) = (0, 0, Vec::new());
    for number in 2001..=3000 {
        let of = simulate(number, k);
        let Some((place, meant)) = of.mistyped else {
            continue;
        };
        // At the boil, and not the last: the last has nothing after it to be told by.
        if of.readings[place].at < of.boiling || place + 1 == of.readings.len() {
            continue;
        }
        let mut clean = of.readings.clone();
        clean[place] = meant;
        let (with, without) = (watch(&of.boil, &of.readings), watch(&of.boil, &clean));
        all += 1;
        found += usize::from(with.doubtful.contains(&place));
        if let (Stage::Going(_, a) | Stage::There(_, a), Stage::Going(_, b) | Stage::There(_, b)) =
            (with.stage, without.stage)
        {
            shifts.push(minutes_between(a.finish, b.finish).abs());
        }
    }
    shifts.sort_by(f64::total_cmp);
    assert!(all > 100, "{all}");
    assert!(share(found, all) > 0.8, "{found} of {all}");
    assert!(shifts[shifts.len() / 2] < 1.0, "{shifts:?}");
    assert!(shifts[shifts.len() * 9 / 10] < 5.0, "{shifts:?}");
}

fn plain_boil() -> Boil {
    Boil {
        lit: LIT,
        solids: Grams::new(45_000),
        juice: bx(15.0),
        target: bx(78.0),
        water: c(99.5),
        factor: (Factor::DEFAULT, FactorFrom::Learned(4)),
        pan: Pan::new(2.23, 1.5 * GAL_FT2_L_M2).unwrap(),
        rate_boils: 4,
    }
}

fn hot(minute: f64, temp: f64) -> Reading {
    Reading {
        at: later(LIT, minute),
        temp: Some(c(temp)),
        brix: None,
        depth_mm: None,
    }
}

#[test]
fn before_the_boil_it_says_heating_and_just_after_it_too_early() {
    let boil = plain_boil();
    assert_eq!(watch(&boil, &[]).stage, Stage::Heating);
    assert_eq!(watch(&boil, &[hot(10.0, 60.0)]).stage, Stage::Heating);
    let early = watch(&boil, &[hot(10.0, 60.0), hot(30.0, 99.7)]);
    assert!(matches!(early.stage, Stage::TooEarly(_)), "{early:?}");
}

#[test]
fn at_the_target_it_says_so_and_calls_for_the_refractometer() {
    let boil = plain_boil();
    // Water per solids falls from 100/15 − 1 by 1.5 gal a square foot an hour: 0.0505 a minute.
    let boiling = |minute: f64| {
        let brix = 100.0 / (100.0 / 15.0 - 0.0505 * (minute - 28.0));
        hot(minute, 99.5 + rise_c(brix, 99.5, Factor::DEFAULT))
    };
    let readings = [
        hot(27.0, 95.0),
        boiling(29.0),
        boiling(110.0),
        boiling(122.0),
        boiling(130.0),
        Reading {
            brix: Some(bx(78.5)),
            ..boiling(134.8)
        },
    ];
    let found = watch(&boil, &readings);
    let Stage::There(estimate, forecast) = found.stage else {
        panic!("{found:?}")
    };
    assert!((estimate.brix.get() - 78.4).abs() < 0.5, "{estimate:?}");
    assert_eq!(estimate.water_left, Grams::ZERO);
    assert!(forecast.check && forecast.earliest == estimate.at);
}

#[test]
fn depth_alone_tells_how_far_a_stilled_pan_is() {
    let boil = plain_boil();
    let half_way = 45.0 * 3.0 / (density::solution(100.0 / 3.0, 99.5) * 2.23) * 1e6;
    let dip = |minute, depth_mm| Reading {
        at: later(LIT, minute),
        temp: None,
        brix: None,
        depth_mm: Some(depth_mm),
    };
    let found = watch(
        &boil,
        &[
            hot(25.0, 90.0),
            hot(32.0, 99.7),
            dip(95.0, half_way / 1000.0),
        ],
    );
    let (Stage::Going(estimate, _) | Stage::TooEarly(estimate)) = found.stage else {
        panic!("{found:?}")
    };
    assert!((estimate.brix.get() - 33.3).abs() < 3.0, "{estimate:?}");
    let water = 45_000.0 * (100.0 / 15.0 - 100.0 / 78.0);
    let sum = estimate.evaporated + estimate.water_left;
    assert!((sum.as_f64() - water).abs() <= 1.0);
}

#[test]
fn a_reading_that_cannot_be_is_refused_beside_its_box() {
    let boil = plain_boil();
    let at = |last: Option<f64>, reading: Reading| {
        check_reading(&boil, last.map(|m| later(LIT, m)), &reading)
            .unwrap_err()
            .at
    };
    assert_eq!(at(None, hot(-5.0, 99.0)), Some("at"));
    assert_eq!(at(Some(30.0), hot(29.0, 99.0)), Some("at"));
    assert_eq!(at(Some(30.0), hot(30.0, 99.0)), Some("at"));
    assert_eq!(at(None, hot(30.0, 160.0)), Some("temp"));
    assert_eq!(at(None, hot(30.0, -2.0)), Some("temp"));
    let empty = Reading {
        temp: None,
        ..hot(30.0, 0.0)
    };
    assert_eq!(at(None, empty), Some("temp"));
    let deep = Reading {
        depth_mm: Some(f64::NAN),
        ..hot(30.0, 99.0)
    };
    assert_eq!(at(None, deep), Some("depth"));
    assert!(check_reading(&boil, Some(later(LIT, 20.0)), &hot(30.0, 108.0)).is_ok());
}
