//! A course by hand: loaded dice show what chance does to it.

use super::*;
use crate::calc::boil::fire::course_kit::{Dice, Still, WATER, close, conditions, plain};
use crate::calc::physics::elevation::{Factor, rise_c};

#[path = "course_explain_tests.rs"]
mod explain;

#[test]
fn speed_is_rate_times_fire_times_slowing() {
    let (mut conditions, mut course) = (conditions(), plain());
    close(course.speed(&conditions), 0.05);
    course.stray = 0.3;
    course.ease = -0.5;
    close(course.speed(&conditions), 0.05 * (-0.2_f64).exp());
    // At the target it goes at 1/(1 + slowing); where solids are half as much of the syrup, a 64th of that is felt.
    course.slowing = 0.5;
    course.u = conditions.goal;
    close(course.speed(&conditions), 0.05 * (-0.2_f64).exp() / 1.5);
    conditions.goal = 0.25;
    course.u = 1.5;
    close(
        course.speed(&conditions),
        0.05 * (-0.2_f64).exp() / (1.0 + 0.5 / 64.0),
    );
}

#[test]
fn syrup_boils_k_times_as_high_over_water_as_pure_sugar_and_thin_syrup_less() {
    let (conditions, mut course) = (conditions(), plain());
    let pure = |brix| rise_c(brix, WATER, Factor::PURE);
    close(
        course.rise_at(conditions.goal, &conditions),
        1.1 * pure(78.0),
    );
    close(course.rise_at(1.0, &conditions), 1.1 * pure(50.0));
    course.bend = 0.2;
    let at_goal = course.rise_at(conditions.goal, &conditions);
    assert!((at_goal / (1.1 * pure(78.0)) - 1.0).abs() < 1e-3);
    // At 50 °Bx solids are 50/78 of what they are at the target: 28/78 of the bend is felt.
    let wanted = 1.1 * (1.0 - 0.2 * 28.0 / 78.0) * pure(50.0);
    close(course.rise_at(1.0, &conditions), wanted);
}

#[test]
fn water_goes_only_at_the_boil_and_never_beyond_hard_candy() {
    let conditions = conditions();
    let stepped = |from: f64, minutes: f64| {
        let mut course = plain();
        course.step(&conditions, from, minutes, &mut Still);
        course.u
    };
    close(stepped(18.0, 1.0), 1.0);
    close(stepped(18.97, 1.0), 1.0);
    close(stepped(19.0, 1.0), 1.0);
    close(stepped(19.5, 1.0), 1.0 - 0.05 * 0.5);
    close(stepped(30.0, 1.0), 0.95);
    close(stepped(30.0, 4.0), 0.8);
    let mut course = Course { u: 0.1, ..plain() };
    course.step(&conditions, 30.0, 2.0, &mut Still);
    close(course.u, 0.064);
}

#[test]
fn one_step_of_a_pan_that_slows_is_as_good_as_a_thousand() {
    // The cook is told to check much later, and eases nothing before.
    let conditions = BoilConditions {
        checked_at: Some(1000.0),
        ..conditions()
    };
    let slow = Course {
        u: 0.6,
        slowing: 2.0,
        ..plain()
    };
    let mut fine = slow.u;
    for _ in 0..50_000 {
        fine -= 1e-4 * slow.slowed(fine, &conditions) * 0.05;
    }
    let mut course = slow;
    course.step(&conditions, 30.0, 5.0, &mut Still);
    assert!((0.41..0.55).contains(&fine), "{fine}");
    assert!((course.u - fine).abs() < 2e-3, "{} {fine}", course.u);
    // A fire that is up by a tenth drives off as much more.
    let mut up = Course {
        stray: 0.1,
        ease: 0.2,
        ..plain()
    };
    let before = up.u;
    up.step(&conditions, 30.0, 1.0, &mut Still);
    let kept = 0.1 / (1.0 + 1.0 / 18.0);
    close(before - up.u, 0.05 * (kept + 0.2_f64).exp());
}

#[test]
fn a_thermometer_stays_behind_a_rise_by_its_lag() {
    let conditions = conditions();
    let mut course = Course {
        lag: 2.0,
        ..plain()
    };
    let before = course.rise_at(1.0, &conditions);
    course.step(&conditions, 30.0, 2.0, &mut Still);
    // Two minutes at one climb: it would be behind by climb × lag in the end, and is by 1 − 1/e of that.
    let climb = (course.rise_at(0.9, &conditions) - before) / 2.0;
    close(course.behind, climb * 2.0 * (1.0 - (-1.0_f64).exp()));
    // A thermometer that was behind before catches up.
    let mut late = Course {
        behind: 1.0,
        ..Course {
            lag: 2.0,
            ..plain()
        }
    };
    late.step(&conditions, 30.0, 2.0, &mut Still);
    close(late.behind - course.behind, (-1.0_f64).exp());
}

#[test]
fn offset_and_k_wander_with_the_root_of_the_minutes() {
    let mut course = plain();
    let mut dice = Dice::default().bell(1.0).bell(-2.0);
    course.wander(4.0, &mut dice);
    close(course.off, 0.035 * 2.0);
    close(course.k, 1.1 * (1.0 - 0.003 * 2.0 * 2.0));
    let mut dice = Dice::default().bell(2.0).bell(1.0);
    course.wander(1.0, &mut dice);
    close(course.off, 0.07 + 0.07);
}

#[test]
fn a_fire_comes_back_to_its_mean_and_is_jolted_once_in_forty_minutes() {
    let strayed = |from: f64, minutes: f64, dice: Dice| {
        let (mut course, mut dice) = (
            Course {
                stray: from,
                ..plain()
            },
            dice,
        );
        course.stray_on(minutes, &mut dice);
        assert!(dice.is_empty());
        course.stray
    };
    let dice = Dice::default;
    // Half is left after 18 minutes, and what is fresh makes up for the rest of its spread: 0.25 + 0.75 = 1.
    close(strayed(0.4, 18.0, dice().bell(0.0).even(0.9)), 0.2);
    close(
        strayed(0.4, 18.0, dice().bell(1.0).even(0.9)),
        0.2 + 0.1 * 0.75_f64.sqrt(),
    );
    close(strayed(0.4, 9.0, dice().bell(0.0).even(0.9)), 0.4 / 1.5);
    // In 20 minutes in one of two.
    close(strayed(0.0, 20.0, dice().bell(0.0).even(0.5)), 0.0);
    close(
        strayed(0.0, 20.0, dice().bell(0.0).even(0.49).bell(1.0)),
        0.01 + 0.26,
    );
    close(
        strayed(0.0, 20.0, dice().bell(0.0).even(0.49).bell(-2.0)),
        0.01 - 0.52,
    );
    // A dead fire is no deader than a twelfth, a roaring one is not beyond 2.7 times.
    close(strayed(-9.0, 1.0, dice().bell(0.0).even(0.9)), -2.5);
    close(strayed(9.0, 1.0, dice().bell(0.0).even(0.9)), 1.0);
}

/// A law and a course whose time to go is this many minutes, to the last bit.
fn to_go(minutes: f64) -> (BoilConditions, Course) {
    // With (1 + goal) / (1 + u) = 1/2, a slowing of 64 (n − 1) makes one n-th of the speed.
    let (u, n) = match minutes {
        12.0 => (2.0, 8.0),
        11.0 => (1.75, 8.0),
        6.0 => (2.0, 4.0),
        other => unreachable!("{other}"),
    };
    let goal = 0.5 * (u - 1.0);
    let course = Course {
        u,
        ln_rate: 0.0,
        slowing: 64.0 * (n - 1.0),
        ..plain()
    };
    (
        BoilConditions {
            goal,
            ..conditions()
        },
        course,
    )
}

#[test]
fn a_cook_who_is_told_to_check_may_let_the_fire_down_within_five_minutes() {
    let (conditions, course) = (conditions(), plain());
    let told = BoilConditions {
        checked_at: Some(45.0),
        ..conditions
    };
    let of = |at| course.eases_a_minute(&told, at);
    close(of(44.9), 0.0);
    close(of(45.0), 0.16);
    close(of(49.9), 0.16);
    close(of(50.0), 0.0);
    // Far away none does.
    let far = |u| Course { u, ..course }.eases_a_minute(&told, 46.0);
    close(far(told.goal + 2.0), 0.16);
    close(far(told.goal + 2.001), 0.0);
    // A cook who says that the fire stays leaves it so for 15 minutes; one who let it down may ease it again.
    let said = |said| BoilConditions {
        fire_said: Some((31.0, said)),
        ..told.clone()
    };
    close(course.eases_a_minute(&said(FireSaid::Stays), 45.9), 0.0);
    close(course.eases_a_minute(&said(FireSaid::Stays), 46.0), 0.16);
    close(course.eases_a_minute(&said(FireSaid::LetDown), 45.9), 0.16);
}

#[test]
fn before_that_is_known_it_is_told_six_to_eleven_minutes_before_the_target() {
    let (of_11, of_6, of_12) = (to_go(11.0), to_go(6.0), to_go(12.0));
    let chance =
        |(conditions, course): &(BoilConditions, Course)| course.eases_a_minute(conditions, 45.0);
    let faster = |(conditions, course): &(BoilConditions, Course), by: f64| {
        let ln_rate = course.ln_rate + by;
        Course { ln_rate, ..*course }.eases_a_minute(conditions, 45.0)
    };
    close(chance(&of_11), 0.012);
    close(faster(&of_11, 0.001), 0.16);
    close(chance(&of_6), 0.012);
    close(faster(&of_6, -0.001), 0.16);
    // Unasked, in the last twelve minutes.
    close(chance(&of_12), 0.0);
    close(faster(&of_12, 0.001), 0.012);
    let told_long_ago = BoilConditions {
        checked_at: Some(1.0),
        ..of_12.0.clone()
    };
    let course = of_12.1;
    close(course.eases_a_minute(&told_long_ago, 45.0), 0.0);
    close(faster(&(told_long_ago, course), 0.001), 0.012);
}

#[test]
fn an_eased_fire_goes_to_between_a_third_and_nearly_all_within_minutes() {
    let conditions = conditions();
    let told = BoilConditions {
        checked_at: Some(45.0),
        ..conditions.clone()
    };
    let eased = |conditions: &BoilConditions, from: f64, minutes: f64, dice: Dice| {
        let (mut course, mut dice) = (plain(), dice);
        course.ease_on(conditions, from, minutes, &mut dice);
        assert!(dice.is_empty());
        (course.ease_to, course.ease)
    };
    let dice = Dice::default;
    // Half-way between 0.35 and 0.95; after a minute and a half half of it is felt.
    let (to, felt) = eased(&told, 45.0, 1.5, dice().even(0.23).even(0.5));
    close(to, 0.65_f64.ln());
    close(felt, 0.5 * 0.65_f64.ln());
    let (to, felt) = eased(&told, 45.0, 3.0, dice().even(0.47).even(0.0));
    close(to, 0.35_f64.ln());
    close(felt, 0.35_f64.ln() * 2.0 / 3.0);
    assert_eq!(eased(&told, 45.0, 1.5, dice().even(0.25)), (0.0, 0.0));
    // 0.16 a minute for 3.125 minutes is one half, and one half is not below it.
    assert_eq!(eased(&told, 45.0, 3.125, dice().even(0.5)), (0.0, 0.0));
    // Where no cook eases anything no dice are thrown.
    assert_eq!(eased(&told, 30.0, 1.0, dice()), (0.0, 0.0));
    // Where no cook eases the fire, no dice are thrown.
    let drawn = BoilConditions {
        drawn_at: Some(46.0),
        ..conditions
    };
    assert_eq!(eased(&drawn, 45.0, 1.0, dice()), (0.0, 0.0));
    let (to, felt) = eased(&drawn, 45.0, 1.5, dice());
    close(to, -6.0);
    close(felt, -3.0);
    let later = BoilConditions {
        drawn_at: Some(60.0),
        ..drawn
    };
    assert_eq!(eased(&later, 45.0, 1.5, dice()), (0.0, 0.0));
}

#[test]
fn a_fire_is_let_down_once() {
    let mut course = plain();
    assert!(!course.eased());
    course.let_down(&mut Dice::default().even(1.0 / 3.0));
    close(course.ease_to, 0.55_f64.ln());
    assert!(course.eased());
    course.let_down(&mut Dice::default());
    close(course.ease_to, 0.55_f64.ln());
    // The part of the easing that is felt already goes on from where it was.
    course.ease = -0.2;
    course.ease_on(&conditions(), 45.0, 1.5, &mut Dice::default());
    close(course.ease, 0.5 * (0.55_f64.ln() - 0.2));
    for (to, eased) in [(-0.001, false), (-0.0011, true)] {
        assert_eq!(
            Course {
                ease_to: to,
                ..plain()
            }
            .eased(),
            eased
        );
    }
}
