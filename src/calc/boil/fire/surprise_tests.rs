//! Slips of a hand that types, by hand.

use super::*;
use crate::calc::boil::fire::course_kit::{WATER, boil, close, conditions, plain};

fn has(of: &[(f64, f64)], slip: f64, often: f64) -> bool {
    of.iter()
        .any(|(s, o)| (s - slip).abs() < 1e-9 && (o - often).abs() < 1e-9)
}

#[test]
fn a_slip_is_two_digits_swapped_one_wrong_a_lost_point_or_the_other_unit() {
    let all = slips(Typed::Temp(221.5, Units::Us));
    for swapped in [212.5, 225.1] {
        assert!(has(&all, swapped, 3.0), "{swapped}: {all:?}");
    }
    for one_wrong in [121.5, 21.5, 211.5, 229.5, 220.5, 221.4] {
        assert!(has(&all, one_wrong, 0.15), "{one_wrong}: {all:?}");
    }
    assert!(has(&all, 22.15, 2.0), "{all:?}");
    assert!(has(&all, 1.8 * 221.5 + 32.0, 1.0), "{all:?}");
    // Every digit but itself, nine at each of four places; three swaps, of which 2 and 2 is none; point and unit.
    assert_eq!(all.len(), 36 + 2 + 2);
    let metric = slips(Typed::Temp(212.5, Units::Metric));
    assert!(has(&metric, (212.5 - 32.0) / 1.8, 1.0), "{metric:?}");
    // A Brix has no other unit.
    let brix = slips(Typed::Brix(92.0));
    assert!(has(&brix, 29.0, 3.0) && has(&brix, 9.2, 2.0), "{brix:?}");
    assert_eq!(brix.len(), 27 + 2 + 1);
    // What is typed is no slip of itself, to half a tenth.
    assert!(all.iter().all(|(slip, _)| (slip - 221.5).abs() > 0.05));
    assert!(has(&slips(Typed::Brix(0.1)), 0.01, 2.0));
    assert!(!has(&slips(Typed::Brix(0.05)), 0.005, 2.0));
    assert!(!has(&slips(Typed::Brix(0.05)), 0.1, 0.15));
    assert!(!has(&slips(Typed::Brix(0.052)), 0.0052, 2.0));
    assert!(has(&slips(Typed::Brix(0.06)), 0.006, 2.0));
    // Frost has no digits to swap: it is read as nought.
    let frost = slips(Typed::Temp(-3.0, Units::Metric));
    assert!(
        has(&frost, 0.9, 0.15) && has(&frost, -0.3, 2.0),
        "{frost:?}"
    );
}

fn belief() -> Belief {
    let mut belief = Belief::start(&boil(), &conditions(), 1);
    belief.at = 60.0;
    belief.courses.fill(plain());
    belief
}

#[test]
fn a_figure_is_read_back_when_one_reading_of_a_hundred_is_as_far_off() {
    let (conditions, belief) = (conditions(), belief());
    let shown = WATER + plain().rise_at(1.0, &conditions);
    let asked = |read| {
        surprise(
            &belief,
            &conditions,
            WATER,
            Typed::Temp(read, Units::Metric),
        )
    };
    // Both ends of Student's distribution with four degrees of freedom: one of a hundred beyond 4.604 times the spread.
    for side in [-1.0, 1.0] {
        assert_eq!(asked(shown + side * 4.58 * 0.35), None);
        let found = asked(shown + side * 4.62 * 0.35).unwrap();
        assert!((0.0098..0.01).contains(&found.chance), "{found:?}");
    }
    // 5.598 beyond 0.5 % of it (the same tables, two-sided).
    let found = asked(shown + 5.598 * 0.35).unwrap();
    assert!((found.chance - 0.005).abs() < 5e-5, "{found:?}");
    // The same in °F.
    let us = |read: f64| {
        surprise(
            &belief,
            &conditions,
            WATER,
            Typed::Temp(1.8 * read + 32.0, Units::Us),
        )
    };
    assert_eq!(us(shown + 4.58 * 0.35), None);
    close(us(shown + 5.598 * 0.35).unwrap().chance, found.chance);
}

/// Student's tables, four degrees of freedom: a tenth lies beyond 2.132 times the spread, both ends together.
#[test]
fn a_slip_fits_when_one_reading_of_ten_is_as_far_off() {
    let (conditions, belief) = (conditions(), belief());
    let shown = WATER + plain().rise_at(1.0, &conditions);
    for side in [-1.0, 1.0] {
        let meant = |z: f64| {
            let lost_point = Typed::Temp(10.0 * (shown + side * z * 0.35), Units::Metric);
            surprise(&belief, &conditions, WATER, lost_point)
                .unwrap()
                .meant
        };
        close(meant(2.11).unwrap(), shown + side * 2.11 * 0.35);
        assert_eq!(meant(2.15), None);
    }
}

#[test]
fn what_was_meant_is_the_likeliest_slip_that_fits() {
    let (conditions, belief) = (conditions(), belief());
    let meant = |typed| surprise(&belief, &conditions, WATER, typed).unwrap().meant;
    // A drop of a minute and a half ago was at 48.2 °Bx.
    assert_eq!(meant(Typed::Brix(84.2)), Some(48.2));
    assert_eq!(meant(Typed::Brix(482.0)), Some(48.2));
    assert_eq!(meant(Typed::Brix(18.2)), Some(48.2));
    // 84.3: digits swapped rather than one wrong, though 48.3 fits a little less than 48.2 would.
    assert_eq!(meant(Typed::Brix(84.3)), Some(48.3));
    // Of several that fit, the one that fits best: 47.2 and 49.2 are a wrong digit as well.
    assert_eq!(meant(Typed::Brix(40.2)), Some(48.2));
    // Nothing near 71.6 fits: 17.6, 76.1, 7.16 and one digit changed are all far from 48.
    assert_eq!(meant(Typed::Brix(71.6)), None);
    // In boiling syrup of 102.0 °C somebody reads °F off a thermometer where °C are asked for.
    let shown = WATER + plain().rise_at(1.0, &conditions);
    let fahrenheit = (10.0 * (1.8 * shown + 32.0)).round() / 10.0;
    let found = meant(Typed::Temp(fahrenheit, Units::Metric)).unwrap();
    assert!((found - shown).abs() < 0.06, "{found} {shown}");
    let found = meant(Typed::Temp((10.0 * shown).round() / 10.0, Units::Us)).unwrap();
    assert!((found - 1.8 * shown - 32.0).abs() < 0.1, "{found}");
}

/// Digits change places half as often again as a point is lost, and still it was the point where syrup is likelier: 2 × 0.7
/// against 3 × 0.3.
#[test]
fn how_often_a_slip_happens_is_weighed_by_how_well_it_fits() {
    let mut belief = belief();
    // Seven of ten courses were at 8.4 °Bx a minute and a half ago, the others at 48.2.
    for course in &mut belief.courses[..350] {
        course.u = 100.0 / 8.4 - 1.0 - 0.05 * 1.5;
    }
    let found = surprise(&belief, &conditions(), WATER, Typed::Brix(84.0)).unwrap();
    close(found.meant.unwrap(), 8.4);
}
