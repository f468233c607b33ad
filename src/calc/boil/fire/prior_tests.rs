//! The courses a belief starts with, by hand: loaded dice show what is drawn.

use super::*;
use crate::calc::boil::boil_plan::Pan;
use crate::calc::boil::fire::course_kit::{self, Dice, close, conditions};
use crate::units::{BrixAt20C, Grams};

/// On 2 m² that drive off 60 L a square metre an hour: 0.05 kg a minute for each kilogram of solids.
fn boil() -> Boil {
    Boil {
        k: Some(Taught {
            value: 1.1,
            boils: 4,
        }),
        pan: Pan::new(2.0, 60.0).unwrap(),
        ..course_kit::boil()
    }
}

fn dice() -> Dice {
    Dice::default()
}

/// Draws that are all in their middle but what is asked for: juice, rate, K, heating up, fire, bend, thermometer.
fn drawn(boil: &Boil, z: [f64; 7]) -> Course {
    let [juice, rate, k, heat, fire, bend, off] = z;
    let mut dice = dice()
        .bell(juice)
        .even(0.5)
        .bell(rate)
        .even(0.5)
        .bell(k)
        .even(0.5)
        .bell(heat)
        .bell(fire)
        .even(0.5)
        .bell(bend)
        .even(0.5)
        .bell(off)
        .even(0.5);
    let course = course(boil, &conditions(), &mut dice);
    assert!(dice.is_empty());
    course
}

#[test]
fn in_the_middle_a_course_is_what_was_said_of_the_boil() {
    let of = drawn(&boil(), [0.0; 7]);
    close(of.u, 100.0 / 15.0 - 1.0);
    close(of.u_lit, of.u);
    let kg_min = boil().pan.kg_min();
    assert!((kg_min - 2.0).abs() < 0.1, "{kg_min}");
    close(of.ln_rate, (kg_min / 40.0).ln());
    close(of.k, 1.1);
    // 4.0 × 78 / 2257 of what boiling the whole charge away takes, and e^0.2 of it for a cold pan.
    let heats = 0.138 * (100.0 / 15.0) / (kg_min / 40.0);
    close(of.boils_at, heats * 0.2_f64.exp());
    assert!((20.0..26.0).contains(&of.boils_at), "{}", of.boils_at);
    // Half-way between 0.04 and 0.19, and between 0.15 and 2.2 min, as ratios go.
    close(of.stray_sd, (0.04_f64 * 0.19).sqrt());
    close(of.lag, (0.15_f64 * 2.2).sqrt());
    close(of.slowing, 0.75 * 0.25 + 0.02);
    close(of.bend, 0.04);
    let rest = [of.stray, of.off, of.ease, of.ease_to, of.behind];
    assert!(rest.iter().all(|figure| figure.abs() < 1e-9), "{rest:?}");
    assert_eq!(of.made_by, None);
}

#[test]
fn each_figure_is_off_by_its_own_spread() {
    let middle = drawn(&boil(), [0.0; 7]);
    let of = drawn(&boil(), [1.0, -1.0, 2.0, 1.0, -2.0, 1.0, 2.0]);
    close(of.u, 1.025 * middle.u);
    // Learned from four boils: 0.15 and 0.15/2; 0.035 and 0.05/2.
    close(of.ln_rate, middle.ln_rate - 0.15_f64.hypot(0.075));
    close(of.k, 1.1 * (2.0 * 0.035_f64.hypot(0.025)).exp());
    let heats = 0.138 * (1.0 + of.u) / of.ln_rate.exp();
    close(of.boils_at, heats * 0.55_f64.exp());
    close(of.stray, -2.0 * of.stray_sd);
    close(of.bend, 0.14);
    close(of.off, 0.76);
}

#[test]
fn a_rate_nobody_learned_is_wide_and_a_strange_boil_wider() {
    let of = |boils, mut dice: Dice| {
        let off = rate_off(boils, &mut dice);
        assert!(dice.is_empty());
        off
    };
    close(of(0, dice().even(0.5).bell(1.0)), 0.22 + 0.52);
    close(of(0, dice().even(0.05).bell(1.0)), 0.22 + 1.04);
    close(of(0, dice().even(0.07).bell(-2.0)), 0.22 - 1.04);
    close(of(1, dice().even(0.5).bell(1.0)), 0.15 * 2_f64.sqrt());
    close(
        of(9, dice().even(0.05).bell(1.0)),
        3.0 * 0.15_f64.hypot(0.05),
    );
}

#[test]
fn k_is_the_mill_s_where_it_was_learned_and_a_wide_guess_where_not() {
    let of = |taught, mut dice: Dice| {
        let ln_k = ln_k(taught, &mut dice);
        assert!(dice.is_empty());
        ln_k
    };
    let taught = |value, boils| Some(Taught { value, boils });
    let learned = 1.2_f64.ln();
    close(
        of(taught(1.2, 1), dice().even(0.5).bell(1.0)),
        learned + 0.035_f64.hypot(0.05),
    );
    // Six boils of a hundred are of another pan or another juice.
    close(
        of(taught(1.2, 1), dice().even(0.05).bell(2.0)),
        learned + 0.40,
    );
    close(
        of(taught(1.2, 25), dice().even(0.07).bell(-1.0)),
        learned - 0.035_f64.hypot(0.01),
    );
    for nothing in [None, taught(1.2, 0), taught(0.0, 3), taught(-1.0, 3)] {
        close(of(nothing, dice().bell(1.0)), 0.31);
        // Between 0.70 and 2.01 in any case.
        close(of(nothing, dice().bell(-3.4)), -0.35);
        close(of(nothing, dice().bell(3.4)), 0.70);
    }
}

#[test]
fn thick_syrup_slows_a_pan_to_between_all_and_little_more_than_half_its_speed() {
    let of = |share| slowing(&mut dice().even(share));
    close(of(0.0), 0.02);
    close(of(0.5), 0.2075);
    assert!((of(0.999_999) - 0.77).abs() < 1e-5);
}

#[test]
fn one_thermometer_of_eight_is_another_than_in_the_morning() {
    close(thermometer_off(&mut dice().even(0.13).bell(1.0)), 0.38);
    close(thermometer_off(&mut dice().even(0.12).bell(1.0)), 0.38);
    close(thermometer_off(&mut dice().even(0.11).bell(1.0)), 1.0);
    close(thermometer_off(&mut dice().even(0.11).bell(-2.0)), -2.0);
}

#[test]
fn juice_is_thinner_than_its_syrup_and_no_thinner_than_two_brix() {
    let thick = Boil {
        juice: BrixAt20C::new(80.0).unwrap(),
        ..boil()
    };
    close(drawn(&thick, [0.0; 7]).u, 1.02 * conditions().goal);
    let thin = Boil {
        juice: BrixAt20C::new(0.5).unwrap(),
        ..boil()
    };
    close(drawn(&thin, [0.0; 7]).u, 49.0);
    // Nothing poured in is reckoned as ten grams.
    let nothing = Boil {
        solids: Grams::ZERO,
        ..boil()
    };
    close(
        drawn(&nothing, [0.0; 7]).ln_rate,
        (boil().pan.kg_min() / 0.01).ln(),
    );
}
