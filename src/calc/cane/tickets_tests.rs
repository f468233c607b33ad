//! Checks of what is refused, asked and warned about at weigh-in and at the juice tank.

use super::*;
use crate::calc::cane::expected::{Expected, Others};
use crate::calc::cane::juice::{Measured, measure};
use crate::calc::cane::scale::Graduation;
use crate::calc::physics::refractometer::Instrument;
use crate::units::{BrixRead, Celsius};

fn weighing(gross: i64, tare: i64) -> Weighing {
    Weighing {
        graduation: Graduation::new(500.0).unwrap(),
        capacity: Grams::new(1_000_000),
        gross: Grams::new(gross),
        tare: Grams::new(tare),
        expected: Expected::of_turn(Grams::new(150_000), Others::default()),
    }
}

#[test]
fn doubts_are_asked_once_together_and_impossible_weights_always() {
    let asked = load_net(&weighing(1_000_250, 0), &[], false, Units::Metric).unwrap_err();
    assert_eq!(asked.code, "over-capacity");
    let asked = load_net(&weighing(900_250, 500), &[], false, Units::Metric).unwrap_err();
    assert_eq!((asked.at, asked.code), (Some("gross"), "off-graduation"));
    assert!(asked.sentence.contains("more than"), "{}", asked.sentence);
    assert!(
        asked
            .sentence
            .ends_with("If the scale really showed this, tap “Yes, it is so”.")
    );
    let net = load_net(&weighing(900_250, 500), &[], true, Units::Metric).unwrap();
    assert_eq!(net, Grams::new(899_750));
    let crossed = load_net(&weighing(40_000, 187_000), &[], true, Units::Metric).unwrap_err();
    assert_eq!(crossed.code, "tare-above-gross");
}

const GOOD: Condition = Condition {
    stripped: Some(true),
    headed: Some(true),
    clean: Some(true),
    frosted: Some(false),
};

#[test]
fn sound_cane_cut_yesterday_carries_no_caution() {
    let at = UtcSecond::new(10_000_000);
    let cut = Some(at.plus(-86_400));
    assert!(cane_cautions(GOOD, cut, at, 4).is_empty());
    assert!(cane_cautions(GOOD, None, at, 4)[0].contains("when it was cut"));
}

#[test]
fn frosted_cane_has_two_days_and_other_cane_the_seasons_limit() {
    let at = UtcSecond::new(10_000_000);
    let cut = |days: i64| Some(at.plus(-86_400 * days - 60));
    let frosted = Condition {
        frosted: Some(true),
        ..GOOD
    };
    assert_eq!(cane_cautions(frosted, cut(1), at, 4).len(), 1);
    assert!(cane_cautions(frosted, cut(3), at, 4)[1].contains("over the limit of 2 days"));
    assert!(cane_cautions(GOOD, cut(4), at, 4)[0].contains("press it next"));
    assert!(cane_cautions(GOOD, cut(5), at, 4)[0].contains("over the limit of 4 days"));
    let bad = Condition {
        stripped: Some(false),
        headed: Some(false),
        clean: Some(false),
        frosted: Some(false),
    };
    assert_eq!(cane_cautions(bad, cut(1), at, 4).len(), 3);
}

#[test]
fn cane_is_not_cut_after_it_was_weighed_nor_months_before() {
    let at = UtcSecond::new(10_000_000);
    assert_eq!(cut_before(at.plus(1), at).unwrap_err().code, "cut-later");
    let old = at.plus(-61 * 86_400);
    assert_eq!(cut_before(old, at).unwrap_err().code, "cut-long-ago");
    assert!(cut_before(at.plus(-60 * 86_400), at).is_ok());
}

fn code(kg: i64, brix: f64, cane_kg: i64, sure: bool) -> Option<&'static str> {
    let amount = Amount::Weight(Grams::new(kg * 1000));
    let readings = [BrixRead::new(brix).unwrap(); 2];
    let juice = measure(&Measured {
        amount,
        sediment: None,
        readings: &readings,
        instrument: Instrument::Digital,
        sample: Celsius::new(20.0).unwrap(),
        agree_within: 0.5,
    })
    .unwrap();
    let pressing = Pressing {
        amount,
        juice: &juice,
        other_juice: Grams::ZERO,
        cane: Grams::new(cane_kg * 1000),
        capacity: Millilitres::new(100_000),
        unlike_day: None,
        sure,
    };
    juice_stands(&pressing, Units::Metric).err().map(|u| u.code)
}

#[test]
fn odd_juice_is_asked_about_and_impossible_juice_refused_however_sure() {
    assert_eq!(code(47, 15.0, 100, false), None);
    assert_eq!(code(80, 15.0, 100, false), Some("extraction-odd"));
    assert_eq!(code(80, 15.0, 100, true), None);
    assert_eq!(code(14, 15.0, 100, false), Some("extraction-odd"));
    assert_eq!(code(47, 31.0, 100, false), Some("brix-high"));
    assert_eq!(code(101, 15.0, 100, true), Some("more-juice-than-cane"));
    assert_eq!(code(47, 15.0, 0, true), Some("cane-missing"));
    // 110 kg at 15 °Bx are 103.7 L (density 1.061 kg/L, sucrose tables).
    assert_eq!(code(110, 15.0, 220, true), Some("over-vessel"));
    assert_eq!(code(105, 15.0, 220, true), None);
}

#[test]
fn corrections_keep_covering_what_came_after() {
    let g = Grams::new;
    assert!(cane_covers(g(100), g(100), Units::Us).is_ok());
    assert!(cane_covers(g(99), g(100), Units::Us).is_err());
    let covers = |mass, drawn, any, void| {
        juice_covers(g(mass), g(drawn), any, void, Units::Us)
            .err()
            .map(|u| u.code)
    };
    assert_eq!(covers(100, 100, true, false), None);
    assert_eq!(covers(99, 100, true, false), Some("less-than-drawn"));
    assert_eq!(covers(99, 0, true, true), Some("drawn-already"));
    assert_eq!(covers(99, 0, false, true), None);
    assert_eq!(covers(99, 1, false, true), Some("lost-already"));
}
