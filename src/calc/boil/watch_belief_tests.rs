//! What the watch makes of a belief that is written down by hand: 500 courses without quirks.

use super::*;
use crate::calc::boil::boil_plan::GAL_FT2_L_M2;
use crate::calc::boil::call::Call;
use crate::calc::boil::course_kit::{self, close, plain};
use crate::calc::boil::on_fire::Taught;
use crate::units::{BrixAt20C, Celsius};

const LIT: UtcSecond = UtcSecond::new(1_800_000_000);

#[expect(clippy::cast_possible_truncation, reason = "minutes of one boil")]
fn at(minute: f64) -> UtcSecond {
    LIT.plus((60.0 * minute).round() as i64)
}

fn reading(minute: f64, temp: Option<f64>, brix: Option<f64>, by: By) -> Reading {
    Reading {
        at: at(minute),
        temp: temp.map(|t| Celsius::new(t).unwrap()),
        brix: brix.map(|b| BrixAt20C::new(b).unwrap()),
        fire: None,
        by,
    }
}

/// The boil of the kit, and the mill has learned its K.
fn boil() -> Boil {
    Boil {
        k: Some(Taught {
            value: 1.1,
            boils: 4,
        }),
        ..course_kit::boil()
    }
}

/// At minute 60, so many of 500 courses `minutes` before the target at 0.05 a minute, the others an hour before it.
fn believing(many: usize, minutes: f64) -> Watch {
    let mut watch = Watch::start(boil());
    let goal = watch.law.goal;
    watch.belief.at = 60.0;
    for (n, course) in watch.belief.courses.iter_mut().enumerate() {
        let minutes = if n < many { minutes } else { 60.0 };
        *course = Course {
            u: goal + 0.05 * minutes,
            ..plain()
        };
    }
    watch.ahead = watch.belief.clone();
    watch
}

#[test]
fn the_end_may_be_near_when_one_course_of_ten_has_less_than_25_minutes_to_go() {
    assert!(believing(52, 24.9).near());
    assert!(!believing(48, 24.9).near());
    assert!(!believing(500, 25.1).near());
    assert!(believing(500, -3.0).near());
}

#[test]
fn temperatures_close_together_tell_less() {
    let mut watch = Watch::start(boil());
    // A minute and a half by hand; a tenth at least, since a second look is a second look.
    for (minute, share) in [
        (30.0, 1.0),
        (33.0, 1.0),
        (33.75, 0.5),
        (33.8, 0.1),
        (35.3, 1.0),
    ] {
        close(watch.temp_share(minute, 1.5), share);
    }
    close(watch.temp_share(35.7, 1.0), 0.4);
}

#[test]
fn when_the_cook_is_told_to_check_is_foreseen_at_most_every_two_and_a_half_minutes() {
    let told = |watch: &mut Watch| {
        watch.foresee_check();
        watch.law.checked_at
    };
    // Nothing is foreseen while the end is far.
    assert_eq!(told(&mut believing(500, 40.0)), None);
    let mut watch = believing(500, 20.0);
    // 7.5 minutes before the first fifth is at the target: the fire strays by a tenth, 20 minutes by about two.
    let first = told(&mut watch).unwrap();
    assert!((68.0..75.0).contains(&first), "{first}");
    let moved = |watch: &mut Watch, minute: f64| {
        watch.belief.at = minute;
        told(watch).unwrap()
    };
    // Nothing was learned in between and the courses stand where they stood: a look later is as much later.
    close(moved(&mut watch, 62.4), first);
    let second = moved(&mut watch, 62.5);
    assert!((second - first - 2.5).abs() < 1.0, "{first} {second}");
    close(moved(&mut watch, 64.9), second);
    assert!(moved(&mut watch, 65.0) > second);
    // Once it is told it is told.
    let mut told_already = believing(500, 20.0);
    for (checked_at, stands) in [(59.0, true), (60.0, true), (60.1, false)] {
        told_already.law.checked_at = Some(checked_at);
        told_already.foreseen_at = None;
        let after = told(&mut told_already).unwrap();
        assert_eq!(
            (after - checked_at).abs() < 1e-9,
            stands,
            "{checked_at}: {after}"
        );
    }
    // A fast boil is told at once, not before now.
    close(told(&mut believing(500, 2.0)).unwrap(), 60.0);
}

#[test]
fn what_is_looked_at_is_the_middle_of_the_courses() {
    let mut watch = believing(500, 20.0);
    watch.last = Some(60.0);
    let seen = watch.look(at(60.0));
    // u = 0.2821 + 1 is 43.8 °Bx; 40 kg have lost (5.667 − 1.282) × 40 and have 40 to go.
    assert!(
        (seen.brix.middle - 100.0 / 2.282_051).abs() < 0.01,
        "{seen:?}"
    );
    assert!(
        (seen.water_left.as_f64() - 40_000.0).abs() < 2.0,
        "{seen:?}"
    );
    assert!(
        (seen.evaporated.as_f64() - 175_385.0).abs() < 2.0,
        "{seen:?}"
    );
    // 0.05 kg a kg a minute of 40 kg on 2 m²: 60 L a square metre an hour, as its pan was said to drive off 61.1.
    close(seen.rate_l_m2_h.middle, 60.0);
    assert!((GAL_FT2_L_M2 * 1.5 - 61.1).abs() < 0.1);
    close(seen.rate_against_said.middle, 60.0 / (1.5 * GAL_FT2_L_M2));
    close(seen.k.middle, 1.1);
    // Not yet at the boil: nothing is driven off.
    for course in &mut watch.belief.courses {
        course.boils_at = 60.0;
    }
    watch.ahead = watch.belief.clone();
    assert!(watch.look(at(60.0)).rate_l_m2_h.high.abs() < 1e-12);
}

#[test]
fn a_drop_tells_a_finish_and_a_warm_pan_none() {
    let mut watch = believing(500, 20.0);
    watch.last = Some(60.0);
    // Nothing was read at the boil yet.
    assert_eq!(watch.look(at(60.0)).finish, None);
    watch.brix.push((60.0, 43.8));
    let finish = watch.look(at(60.0)).finish.unwrap();
    assert!((minutes_between(LIT, finish.finish) - 80.0).abs() < 2.0);
}

#[test]
fn a_second_is_a_sixtieth_of_a_minute() {
    close(minutes_between(LIT, LIT.plus(90)), 1.5);
    close(minutes_between(LIT.plus(90), LIT), -1.5);
}

#[test]
fn a_probe_is_listened_to() {
    let mut watch = Watch::start(boil());
    let before = watch.look(at(40.0)).temp_expected;
    for half_minutes in 0..12 {
        let minute = 30.0 + 0.5 * f64::from(half_minutes);
        watch.take(&reading(minute, Some(101.0), None, By::Probe));
    }
    assert!(watch.belief.boil_seen());
    let after = watch.look(at(36.0)).temp_expected;
    assert!((after.middle - 101.0).abs() < 0.5, "{before:?} {after:?}");
    assert!(after.high - after.low < before.high - before.low);
    // A hand's reading ends the stretch that was being gathered.
    watch.take(&reading(36.0, Some(101.1), None, By::Hand));
    assert_eq!(watch.merged.end(), None);
}

#[test]
fn syrup_that_was_read_hard_twice_is_candy() {
    let mut watch = Watch::start(boil());
    for (minute, brix) in [(60.0, 40.0), (90.0, 70.0), (100.0, 90.0), (102.0, 91.0)] {
        watch.take(&reading(minute, None, Some(brix), By::Hand));
    }
    let seen = watch.look(at(102.0));
    assert_eq!(seen.call, Call::Candy, "{seen:?}");
    assert_eq!(seen.last_reading, Some(at(102.0)));
}
