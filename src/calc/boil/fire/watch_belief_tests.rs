//! What the watch makes of a belief that is written down by hand: 500 courses without quirks.

use super::*;
use crate::calc::boil::boil_plan::GAL_FT2_L_M2;
use crate::calc::boil::fire::call::Call;
use crate::calc::boil::fire::course_kit::{self, close, plain};
use crate::calc::boil::fire::on_fire::Taught;
use crate::calc::boil::fire::surprise::Typed;
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
        done: None,
        by,
        sure: false,
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

/// At minute 60, `many` of 500 courses `minutes` before the target at 0.05 a minute, the others an hour before it.
fn believing(many: usize, minutes: f64) -> Watch {
    let mut watch = Watch::start(boil());
    let goal = watch.conditions.goal;
    watch.belief.at = 60.0;
    for (n, course) in watch.belief.courses.iter_mut().enumerate() {
        let minutes = if n < many { minutes } else { 60.0 };
        // Next to no slowing, since a course that never slows has no logarithm of it to shake.
        *course = Course {
            u: goal + 0.05 * minutes,
            slowing: 1e-9,
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
        watch.conditions.checked_at
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
    // Once the cook has been told to check, the moment stays.
    let mut told_already = believing(500, 20.0);
    for (checked_at, stands) in [(59.0, true), (60.0, true), (60.1, false)] {
        told_already.conditions.checked_at = Some(checked_at);
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
    // A reading by hand ends the stretch of probe readings that was being gathered.
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

#[test]
fn a_second_temperature_soon_after_the_first_tells_its_share_of_it() {
    // Half of a minute and a half by hand; two fifths of a probe's minute.
    let same = |one: &Watch, other: &Watch| {
        one.belief.courses == other.belief.courses && one.belief.weights == other.belief.weights
    };
    let mut first = believing(500, 20.0);
    first.take(&reading(61.0, Some(103.0), None, By::Hand));
    let mut by_hand = first.clone();
    by_hand.take(&reading(61.75, Some(103.2), None, By::Hand));
    let mut told = first.clone();
    told.figure(61.75, Figure::Temp(103.2), (1, false), 0.5);
    assert!(same(&by_hand, &told));
    let mut by_probe = first.clone();
    by_probe.take_stretch(Some((61.4, 103.2, 1)));
    let mut told = first.clone();
    told.figure(61.4, Figure::Probe(103.2), (1, false), 0.4);
    assert!(same(&by_probe, &told));
    // A drop counts in full, however soon after a temperature.
    let mut drop = first.clone();
    drop.take(&reading(61.1, None, Some(44.0), By::Hand));
    first.figure(61.1, Figure::Brix(44.0), (1, false), 1.0);
    assert!(same(&drop, &first));
}

#[test]
fn what_is_noted_from_before_the_fire_counts_as_noted_when_it_was_lit() {
    let mut watch = Watch::start(boil());
    watch.take(&reading(-5.0, Some(20.0), None, By::Hand));
    close(watch.last.unwrap(), 0.0);
    watch.fire_drawn(at(-5.0));
    close(watch.conditions.drawn_at.unwrap(), 0.0);
    let mut cold = Watch::start(boil());
    let lit = cold.look(at(0.0));
    let before = BeliefAt {
        at: lit.at,
        ..cold.look(at(-5.0))
    };
    assert_eq!(before, lit);
    assert_eq!(
        cold.surprise(at(-5.0), Typed::Brix(60.0)),
        cold.surprise(at(0.0), Typed::Brix(60.0))
    );
    // As cold as the air it is lit in.
    let cold = lit.temp_expected.middle;
    assert!((cold - 20.0).abs() < 0.1, "{cold}");
    // Nothing was read yet: the first reading is asked for a quarter of an hour after it was lit.
    assert_eq!(lit.next_reading, at(15.0));
    assert_eq!((lit.last_reading, lit.silent_since), (None, None));
}

#[test]
fn ranges_hold_four_times_in_five_with_as_much_on_either_side() {
    let mut watch = believing(500, 20.0);
    // A thousandth more water, K and rate from each of the 500 to the next.
    let step = |n: f64| 0.001 * n;
    for (n, course) in (1_u32..).zip(&mut watch.belief.courses) {
        let n = step(f64::from(n));
        *course = Course {
            u: 1.0 + n,
            k: 1.0 + n,
            ln_rate: 0.05_f64.ln() + n,
            ..*course
        };
    }
    watch.ahead = watch.belief.clone();
    watch.last = Some(60.0);
    watch.brix.push((60.0, 43.8));
    // Two hundred ends, six seconds apart.
    let ends = |over: f64| {
        (1..=200)
            .map(|n| 90.0 + over + 0.1 * f64::from(n))
            .collect()
    };
    let passed = [ends(0.0), ends(0.0), ends(9.0), ends(19.0)];
    watch.ends = Some(Ends::written(ends(-80.0), passed));
    let seen = watch.look(at(60.0));
    // To the next of the courses, since 500 times 0.002 is a hair off one.
    let near = |found: f64, wanted: f64, one: f64| {
        assert!((found - wanted).abs() < 1.1 * one, "{found}, not {wanted}");
    };
    for (found, n) in [
        (seen.k.low, 50.0),
        (seen.k.middle, 250.0),
        (seen.k.high, 450.0),
    ] {
        near(found, 1.0 + step(n), 0.001);
    }
    let said = 60.0 / (1.5 * GAL_FT2_L_M2);
    near(seen.rate_against_said.low / said, step(50.0).exp(), 0.002);
    near(seen.rate_against_said.high / said, step(450.0).exp(), 0.002);
    // The thickest tenth is that of the least water.
    for (found, n) in [
        (seen.brix.high, 50.0),
        (seen.brix.middle, 250.0),
        (seen.brix.low, 450.0),
    ] {
        near(found, 100.0 / (2.0 + step(n)), 0.025);
    }
    let finish = seen.finish.unwrap();
    let told = [finish.earliest, finish.finish, finish.latest].map(|m| minutes_between(LIT, m));
    for (found, wanted) in told.into_iter().zip([92.0, 100.0, 108.0]) {
        close(found, wanted);
    }
}

#[test]
fn what_was_driven_off_is_reckoned_from_juice_of_two_brix_or_more_and_never_below_nought() {
    let driven_off = |juice: f64, u: f64| {
        let mut watch = believing(500, 20.0);
        watch.boil.juice = BrixAt20C::new(juice).unwrap();
        for course in &mut watch.belief.courses {
            course.u = u;
        }
        watch.ahead = watch.belief.clone();
        watch.look(at(60.0)).evaporated
    };
    // 40 kg of solids in 2,000 kg of juice have 1,960 kg of water with them.
    assert_eq!(driven_off(2.0, 1.0), Grams::new(1_920_000));
    assert_eq!(driven_off(0.5, 1.0), Grams::new(1_920_000));
    // Juice that was thinner than measured has lost nothing.
    assert_eq!(driven_off(15.0, 5.9), Grams::ZERO);
    // A boil without solids is reckoned as of ten grams.
    let mut nothing = believing(500, 20.0);
    nothing.boil.solids = Grams::ZERO;
    let seen = nothing.look(at(60.0));
    close(
        seen.rate_against_said.middle,
        0.05 * 0.01 / boil().pan.kg_min(),
    );
    assert_eq!(
        (seen.evaporated, seen.water_left),
        (Grams::ZERO, Grams::ZERO)
    );
}

#[test]
fn a_reading_is_doubtful_while_it_is_likelier_mistyped_than_not() {
    // A drop that is `times` times as likely to be mistyped as to be sound.
    let doubted = |times: f64| {
        let mut watch = believing(500, 20.0);
        watch.figure(60.0, Figure::Brix(43.8), (1, false), 1.0);
        let (conditions, course) = (&watch.conditions, watch.belief.courses[0]);
        let (mut low, mut high) = (42.0, 55.0);
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            let sound = Figure::Brix(middle).sound(&course, conditions, 100.0, 60.0);
            if sound * times > 0.045 / 50.0 {
                low = middle;
            } else {
                high = middle;
            }
        }
        watch.figure(60.0, Figure::Brix(low), (2, false), 1.0);
        watch.doubtful
    };
    assert_eq!((doubted(0.92), doubted(1.08)), (vec![], vec![2]));
    // A figure is no longer doubtful once half of what is believed was made to explain it.
    let kept = |many: usize| {
        let mut watch = believing(500, 20.0);
        watch.figure(60.0, Figure::Brix(43.8), (1, false), 1.0);
        watch.doubtful = vec![0];
        for course in &mut watch.belief.courses[..many] {
            course.made_by = Some(0);
        }
        watch.figure(60.0, Figure::Brix(43.8), (2, false), 1.0);
        watch.doubtful
    };
    assert_eq!((kept(240), kept(260)), (vec![0], vec![]));
}
