//! Tests of what may be done with a boil.

use super::*;
use crate::units::Millilitres;
use proptest::prelude::*;
use uuid::Uuid;

fn member(n: u128) -> MemberId {
    MemberId::new(Uuid::from_u128(n))
}
fn brought(mass: i64, solids: i64) -> Portion {
    Portion {
        volume: Millilitres::new(mass),
        mass: Grams::new(mass),
        solids: Grams::new(solids),
    }
}
fn bx(value: f64) -> BrixAt20C {
    BrixAt20C::new(value).unwrap()
}
fn c(value: f64) -> Celsius {
    Celsius::new(value).unwrap()
}
const PRESSED: UtcSecond = UtcSecond::new(1_000_020);
const LIMITS: WaitLimits = WaitLimits {
    amber: Minutes::new(240),
    red: Minutes::new(300),
};
fn offered(pools: bool) -> Offered<'static> {
    Offered {
        ticket: 7,
        member: member(1),
        name: "Amos Trout",
        pools,
        pressed_at: PRESSED,
    }
}

#[test]
fn only_those_who_agreed_are_pooled_and_a_boil_alone_takes_nobody_else() {
    assert!(may_join(&offered(true), None).is_ok());
    assert!(may_join(&offered(false), Some(member(1))).is_ok());
    assert_eq!(
        may_join(&offered(false), None).unwrap_err().code,
        "does_not_pool"
    );
    assert_eq!(
        may_join(&offered(true), Some(member(2))).unwrap_err().code,
        "boil_is_anothers"
    );
}

#[test]
fn juice_past_the_red_limit_is_asked_about_and_then_taken() {
    let at = |minutes: i64| PRESSED.plus(60 * minutes);
    assert!(fresh_enough(&offered(true), at(299), LIMITS, false).is_ok());
    let said = fresh_enough(&offered(true), at(330), LIMITS, false).unwrap_err();
    assert_eq!(said.at, Some("tested"));
    assert!(said.sentence.contains("5 h 30 min"), "{said}");
    assert!(fresh_enough(&offered(true), at(330), LIMITS, true).is_ok());
}

#[test]
fn never_more_is_poured_than_is_left() {
    let g = Grams::new;
    let pour = |asked, left| enough(7, asked, left, Units::Us);
    assert_eq!(pour(None, g(500)), Ok(g(500)));
    assert_eq!(pour(Some(g(500)), g(500)), Ok(g(500)));
    assert_eq!(pour(Some(g(501)), g(500)).unwrap_err().code, "juice-short");
    assert_eq!(pour(None, g(0)).unwrap_err().code, "juice-empty");
}

#[test]
fn a_time_before_the_last_reading_before_the_fire_or_to_come_is_refused() {
    let lit = UtcSecond::new(36_030);
    let order = |t, last: Option<i64>| {
        in_order(
            "read_at",
            UtcSecond::new(t),
            lit,
            last.map(UtcSecond::new),
            UtcSecond::new(40_000),
        )
        .map_err(|refusal| refusal.code)
    };
    // Lit at 10:00:30; 10:00 on the wall clock is the same minute.
    assert_eq!(order(36_000, None), Ok(()));
    assert_eq!(order(35_940, None), Err("before_the_fire"));
    assert_eq!(order(38_000, Some(38_400)), Err("before_the_last"));
    assert_eq!(order(38_400, Some(38_400)), Ok(()));
    assert_eq!(order(40_200, None), Err("time_to_come"));
}

#[test]
fn a_temperature_that_no_open_pan_can_have_is_refused() {
    assert!(pan_temperature("temp", c(108.0), Units::Us).is_ok());
    for t in [-5.0, 141.0, 180.0] {
        let said = pan_temperature("temp", c(t), Units::Us).unwrap_err();
        assert_eq!(said.at, Some("temp"));
    }
    assert!(finish_temperature(c(108.0), Units::Us).is_ok());
    assert_eq!(
        finish_temperature(c(40.6), Units::Us).unwrap_err().code,
        "finish-cold"
    );
    assert!(finish_temperature(c(150.0), Units::Us).is_err());
}

#[test]
fn more_solids_out_than_in_is_refused_beyond_what_readings_may_be_out_by() {
    // 100 kg at 15 °Bx: 15 kg of solids; at 78 °Bx that is 19.231 kg of syrup at most.
    let of = |syrup| balance(brought(100_000, 15_000), Grams::new(syrup), bx(78.0));
    let right = of(16_000);
    assert_eq!(right.solids_out, Grams::new(12_480));
    assert!((right.recovery_pct - 83.2).abs() < 1e-9);
    assert_eq!(right.unexplained(), Grams::new(2_520));
    // √(1.333² + 0.256² + 1² + 1²) = 1.960 %.
    assert!((right.tolerance_pct - 1.9604).abs() < 0.001);
    assert!(of(19_231).possible(Units::Us).is_ok());
    assert!(of(19_600).possible(Units::Us).is_ok());
    let said = of(19_700).possible(Units::Metric).unwrap_err();
    assert_eq!((said.code, said.at), ("more-out-than-in", Some("syrup")));
    for figure in [
        "19.700 kg",
        "78.00 °Bx",
        "15.366 kg",
        "15.000 kg",
        "102.4 %",
        "102.0 %",
    ] {
        assert!(said.sentence.contains(figure), "{figure} in {said}");
    }
    assert_eq!(
        of(100_001).possible(Units::Us).unwrap_err().code,
        "more-syrup-than-juice"
    );
    assert_eq!(
        balance(brought(0, 0), Grams::new(10), bx(78.0))
            .possible(Units::Us)
            .unwrap_err()
            .code,
        "boil-empty"
    );
}

#[test]
fn a_recovery_far_below_the_expected_one_is_questioned_until_looked_at() {
    let of = |syrup| balance(brought(100_000, 15_000), Grams::new(syrup), bx(78.0));
    // 65 of 100 is 12.5 kg at 78 °Bx.
    assert!(of(12_501).not_too_low(80.0, false).is_ok());
    assert_eq!(
        of(12_400).not_too_low(80.0, false).unwrap_err().at,
        Some("low")
    );
    assert!(of(12_400).not_too_low(80.0, true).is_ok());
}

#[test]
fn syrup_below_74_percent_needs_a_tick_and_names_the_standard() {
    assert!(thick_enough(bx(74.0), false).is_ok());
    let said = thick_enough(bx(73.9), false).unwrap_err();
    assert!(said.sentence.contains("21 CFR 168.160"), "{said}");
    assert!(thick_enough(bx(73.9), true).is_ok());
}

#[test]
fn what_was_spilt_is_accounted_for_and_cannot_be_more_than_came_in() {
    // 15 kg of solids in; 14 kg of syrup at 78 °Bx hold 10.92 kg, and 2 kg spilt 1.56 kg more.
    let of = |spilt| {
        balance(brought(100_000, 15_000), Grams::new(14_000), bx(78.0))
            .with_spilt(Grams::new(spilt))
    };
    assert_eq!(of(2_000).unexplained(), Grams::new(15_000 - 10_920 - 1_560));
    assert!((of(2_000).recovery_pct - 72.8).abs() < 1e-9);
    assert_eq!(
        of(0).not_too_low(90.0, false).unwrap_err().code,
        "recovery-low"
    );
    assert_eq!(of(2_000).not_too_low(90.0, false), Ok(()));
    let said = of(6_000).possible(Units::Metric).unwrap_err();
    assert_eq!(said.code, "more-out-than-in");
    assert!(
        said.sentence
            .contains("14.000 kg of syrup and 6.000 kg spilt"),
        "{said}"
    );
}

#[test]
fn half_a_gallon_of_juice_gives_about_half_a_pint_of_syrup() {
    // Common practice: juice loses about 85 % of its volume on the way to syrup. Half a US gallon
    // of 13 °Bx juice weighs 1.99 kg and holds 0.259 kg of solids.
    let found = expect(brought(1_990, 259), 78.0, 80.0).unwrap();
    // Half a pint is 237 mL; syrup of 78 °Bx weighs 1.396 g/mL, so 330 g.
    let ml = found.most.as_f64() / 1.396;
    assert!((220.0..260.0).contains(&ml), "{ml}");
    assert_eq!(found.syrup, Grams::new(266));
    assert_eq!(found.water, Grams::new(1_990 - 332));
    assert_eq!(expect(brought(0, 0), 78.0, 80.0), None);
    assert_eq!(jars_of(Grams::new(1_300), Grams::new(623)), 2);
    assert_eq!(jars_of(Grams::new(1_300), Grams::ZERO), 0);
}

proptest! {
    #[test]
    fn prop_a_finish_that_loses_something_is_never_refused(
        mass in 5_000_i64..400_000, percent in 8.0..22.0_f64, kept in 0.3..0.999_f64,
        target in 74.0..84.0_f64,
    ) {
        let solids = Grams::nearest(Grams::new(mass).as_f64() * percent / 100.0);
        let syrup = Grams::nearest(solids.as_f64() * kept * 100.0 / target);
        let of = balance(brought(mass, solids.get()), syrup, bx(target));
        prop_assert!(of.possible(Units::Us).is_ok(), "{:?}", of);
        prop_assert!(of.tolerance_pct > 1.4 && of.tolerance_pct < 3.0);
    }
}
