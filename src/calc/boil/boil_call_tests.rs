//! Tests of `boil_call`: what is said when, and how fast the last degrees go.

use super::*;
use crate::calc::boil::boil_plan::{GAL_FT2_L_M2, RATE_START_L_M2_H};
use crate::calc::boil::boil_watch::{Estimate, Forecast};
use crate::calc::physics::density::mass_of;
use crate::calc::physics::elevation::{Factor, FactorFrom, WaterBoil, finish};
use crate::units::{Millilitres, UtcSecond};
use proptest::prelude::*;

fn bx(value: f64) -> BrixAt20C {
    BrixAt20C::new(value).unwrap()
}
fn c(value: f64) -> Celsius {
    Celsius::new(value).unwrap()
}
fn at_78() -> Finish {
    let boil = WaterBoil::Measured(c(99.4));
    finish(bx(78.0), boil, Factor::DEFAULT, FactorFrom::Learned(3)).unwrap()
}
fn estimate(brix: f64) -> Estimate {
    Estimate {
        at: UtcSecond::new(0),
        brix: bx(brix),
        brix_plus_minus: 2.0,
        evaporated: Grams::new(300_000),
        water_left: Grams::ZERO,
        rate_l_m2_h: 40.0,
    }
}
/// A finish a quarter of an hour off when it is near, else an hour and a half.
fn forecast(check: bool) -> Forecast {
    let minutes = if check { 15 } else { 90 };
    Forecast {
        finish: UtcSecond::new(60 * minutes),
        earliest: UtcSecond::new(60 * (minutes - 10)),
        latest: UtcSecond::new(60 * (minutes + 10)),
        check,
    }
}
fn watched(stage: Stage) -> Watched {
    Watched {
        stage,
        doubtful: Vec::new(),
    }
}
fn said(stage: Stage, brix: Option<f64>, temp: Option<f64>) -> Call {
    said_at(stage, brix, temp, 0)
}
fn said_at(stage: Stage, brix: Option<f64>, temp: Option<f64>, later_s: i64) -> Call {
    let last = Last {
        temp: temp.map(c),
        brix: brix.map(bx),
        at: UtcSecond::new(later_s),
    };
    call(&watched(stage), &last, bx(78.0), &at_78())
}

#[test]
fn the_watch_is_followed_while_nothing_else_speaks() {
    assert_eq!(said(Stage::Heating, None, Some(70.0)), Call::Heating);
    assert_eq!(
        said(Stage::TooEarly(estimate(30.0)), None, Some(100.2)),
        Call::TooEarly
    );
    let going = |check| Stage::Going(estimate(60.0), forecast(check));
    assert_eq!(said(going(false), None, Some(102.5)), Call::Going);
    assert_eq!(said(going(true), None, Some(103.5)), Call::Check);
    let there = Stage::There(estimate(78.3), forecast(true));
    assert_eq!(said(there, None, None), Call::There);
}

#[test]
fn time_goes_on_when_nobody_reads() {
    let going = || Stage::Going(estimate(60.0), forecast(false));
    let after = |minutes: i64| said_at(going(), None, Some(102.5), 60 * minutes);
    assert_eq!(after(0), Call::Going);
    assert_eq!(after(69), Call::Going);
    assert_eq!(after(71), Call::Check);
    assert_eq!(after(90), Call::There);
}

#[test]
fn the_refractometer_decides_against_the_thermometer() {
    let there = || Stage::There(estimate(78.3), forecast(true));
    assert_eq!(said(there(), Some(75.0), Some(110.5)), Call::Check);
    assert_eq!(said(there(), Some(78.2), Some(106.0)), Call::There);
    assert_eq!(said(there(), Some(79.5), Some(106.0)), Call::Past);
    assert_eq!(said(there(), Some(86.0), Some(106.0)), Call::Candy);
    let going = Stage::Going(estimate(50.0), forecast(false));
    assert_eq!(said(going, Some(50.0), Some(112.0)), Call::Going);
}

#[test]
fn a_thermometer_beyond_the_finish_says_past_but_never_candy() {
    let going = || Stage::Going(estimate(60.0), forecast(false));
    let of = at_78();
    let (goal, out) = (of.temp.get(), of.plus_minus.get());
    assert_eq!(said(going(), None, Some(goal + out + 0.1)), Call::Past);
    assert_eq!(said(going(), None, Some(goal)), Call::Check);
    assert_eq!(said(going(), None, Some(goal - out - 0.1)), Call::Going);
}

#[test]
fn the_last_two_degrees_go_as_fast_as_the_table_says() {
    // Table C of the trade notes (computed there apart from this code): a 10-gallon finish on 24 sq
    // ft: 76 to 78 °Bx takes 55 s at 1 gal a sq ft an hour, 28 s at 2; 78 to 80 takes 53 s.
    let area_m2 = 24.0 * 0.092_903_04;
    let pan = |gal: f64| Pan {
        area_m2,
        rate_l_m2_h: gal * GAL_FT2_L_M2,
    };
    let ten_gal = mass_of(Millilitres::new(37_854), bx(78.0), c(20.0));
    let solids = Grams::nearest(ten_gal.as_f64() * 0.78);
    let near = |found: Option<u32>, says: i64| {
        let found = i64::from(found.unwrap());
        assert!((found - says).abs() <= 1, "{found} instead of {says}");
    };
    near(last_two_s(solids, bx(78.0), pan(1.0)), 55);
    near(last_two_s(solids, bx(78.0), pan(2.0)), 28);
    let at_80 = mass_of(Millilitres::new(37_854), bx(80.0), c(20.0));
    near(
        last_two_s(Grams::nearest(at_80.as_f64() * 0.80), bx(80.0), pan(1.0)),
        53,
    );
}

#[test]
fn water_to_thin_makes_up_what_was_boiled_off_too_much() {
    // 62.4 kg of solids: 80.0 kg at 78 °Bx, 74.286 kg at 84.
    let water = water_to_thin(Grams::new(62_400), bx(84.0), bx(78.0)).unwrap();
    assert_eq!(water, Grams::new(5_714));
    let said = thinning(water, bx(84.0), bx(78.0), Units::Metric);
    assert!(
        said.contains("from 84 back to 78 °Bx takes about 5.7 kg"),
        "{said}"
    );
    assert_eq!(water_to_thin(Grams::new(62_400), bx(77.0), bx(78.0)), None);
    assert_eq!(water_to_thin(Grams::ZERO, bx(84.0), bx(78.0)), None);
}

#[test]
fn an_empty_pan_has_no_last_degrees() {
    let pan = Pan {
        area_m2: 2.2,
        rate_l_m2_h: RATE_START_L_M2_H,
    };
    assert_eq!(last_two_s(Grams::ZERO, bx(78.0), pan), Some(0));
    assert_eq!(last_two_s(Grams::new(60_000), bx(1.0), pan), None);
}

proptest! {
    #[test]
    fn prop_hotter_never_makes_the_call_quieter(t in 99.0..118.0_f64, more in 0.0..10.0_f64) {
        let going = || Stage::Going(estimate(60.0), forecast(false));
        prop_assert!(said(going(), None, Some(t)) <= said(going(), None, Some(t + more)));
    }

    #[test]
    fn prop_a_higher_brix_never_makes_the_call_quieter(b in 40.0..90.0_f64, more in 0.0..5.0_f64) {
        let going = || Stage::Going(estimate(60.0), forecast(false));
        prop_assert!(said(going(), Some(b), None) <= said(going(), Some(b + more), None));
    }
}
