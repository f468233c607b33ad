//! A belief by hand: Bayes' rule over courses without quirks.

use super::*;
use crate::calc::boil::fire::course_kit::{Dice, WATER, boil, close, conditions, plain};
use crate::calc::boil::fire::on_fire::FireSaid;

#[path = "belief_weighed_tests.rs"]
mod weighed;

/// At minute 60, read at the boil just then; every course as told by its place.
fn believing(course: impl Fn(usize) -> Course) -> Belief {
    let mut belief = Belief::start(&boil(), &conditions(), 3);
    belief.at = 60.0;
    belief.taken_at = 60.0;
    belief.boil_seen = true;
    for (n, of) in belief.courses.iter_mut().enumerate() {
        // The slowing is next to none, not zero: shaking takes its logarithm.
        *of = Course {
            slowing: 1e-9,
            ..course(n)
        };
    }
    belief
}

/// A belief in which this many of the 500 courses stand at 48 °Bx and the others at 50.
fn two_places(many: usize) -> Belief {
    believing(|n| Course {
        u: if n < many { 100.0 / 48.0 - 1.0 } else { 1.0 },
        ..plain()
    })
}

fn near(found: f64, wanted: f64, off_by: f64) {
    assert!((found - wanted).abs() <= off_by, "{found}, not {wanted}");
}

#[test]
fn a_belief_begins_with_five_hundred_courses_of_one_weight() {
    let belief = Belief::start(&boil(), &conditions(), 3);
    assert_eq!((belief.courses.len(), belief.weights.len()), (500, 500));
    close(belief.share(|_| true), 1.0);
    close(belief.counting_share(), 1.0);
    assert!(!belief.boil_seen());
    for minute in [belief.at, belief.last_cold, belief.taken_at] {
        assert!(minute.abs() < 1e-12, "{minute}");
    }
}

#[test]
fn time_goes_on_in_whole_minutes_and_what_is_left() {
    let mut belief = believing(|_| Course {
        stray_sd: 0.0,
        ..plain()
    });
    belief.advance(&conditions(), 66.5);
    close(belief.at, 66.5);
    // 0.05 a minute; a fire that is jolted by a quarter once in forty minutes changes the middle by little.
    let [middle] = belief.quantiles(|c| c.u, [0.5]);
    near(middle, 1.0 - 6.5 * 0.05, 0.002);
    belief.advance(&conditions(), 60.0);
    close(belief.at, 66.5);
}

#[test]
fn shares_means_and_quantiles_go_by_the_weights() {
    let mut belief = two_places(100);
    close(belief.share(|c| c.u > 1.0), 0.2);
    close(belief.mean(|c| c.u), 0.2 * (100.0 / 48.0 - 1.0) + 0.8);
    let [low, high] = belief.quantiles(|c| c.u, [0.79, 0.81]);
    close(low, 1.0);
    close(high, 100.0 / 48.0 - 1.0);
    belief.weights.fill(0.0);
    belief.weights[3] = 2.0;
    belief.weights[400] = 1.0;
    let [low, high] = belief.quantiles(|c| c.u, [0.3, 0.34]);
    close(low, 1.0);
    close(high, 100.0 / 48.0 - 1.0);
    belief.even_out();
    close(belief.weights[3], 2.0 / 3.0);
    // Weights that say nothing (zero or no number) are replaced by equal ones.
    for none in [0.0, f64::INFINITY, f64::NAN] {
        belief.weights.fill(none);
        belief.even_out();
        close(belief.weights[7], 0.002);
    }
}

#[test]
fn courses_that_count_are_the_square_of_the_sum_over_the_sum_of_squares() {
    let mut belief = two_places(250);
    let likely: Vec<f64> = (0..500)
        .map(|n| if n < 250 { 9_f64.ln() } else { 0.0 })
        .collect();
    // Half nine times, half three times as heavy as the rest: 10² / (2 × 82), 4² / (2 × 10).
    close(belief.counting(&likely, 1.0), 100.0 / 164.0);
    close(belief.counting(&likely, 0.5), 0.8);
    close(belief.counting(&likely, 0.0), 1.0);
    close(belief.counting(&[-1e9; 500], 1.0), 0.0);
    // By halving, to a 128th of what is left.
    for most in [1.0, 0.8] {
        let power = belief.power_that_leaves(0.8, &likely, most);
        assert!((0.5 - most / 128.0..=0.5).contains(&power), "{power}");
    }
    close(belief.power_that_leaves(0.999_999, &likely, 0.6), 0.03);
    for weight in &mut belief.weights[..250] {
        *weight = 0.0;
    }
    belief.even_out();
    close(belief.counting_share(), 0.5);
}

#[test]
fn a_part_of_a_figure_is_its_root() {
    close(raised(4.0, 0.5), 2.0);
    close(raised(4.0, 0.95), 4_f64.powf(0.95));
    close(raised(4.0, 1.0), 4.0);
    close(raised(4.0, 1.05), 4.0);
    close(raised(4.0, 2.0), 4.0);
}

#[test]
fn a_reading_weighs_two_places_by_bayes_rule() {
    let conditions = conditions();
    for (read, share) in [(49.0, 1.0), (48.0, 1.0), (47.0, 0.5)] {
        let mut belief = two_places(250);
        let figure = Figure::Brix(read);
        let of = |place: usize| {
            figure.sound(&belief.courses[place], &conditions, WATER, 60.0) + 0.045 / 50.0
        };
        let (thin, thick) = (of(0).powf(share), of(400).powf(share));
        let expected = f64::midpoint(of(0), of(400)) - 0.045 / 50.0;
        let before = belief.chance.clone();
        let taken = belief.take(&conditions, &boil(), figure, 9, share);
        close(belief.share(|c| c.u > 1.0), thin / (thin + thick));
        let mistyped = 0.045 / 50.0;
        close(taken.mistyped, mistyped / (mistyped + expected));
        // No courses were drawn again, and none wandered, as no time had passed.
        assert!(belief.courses.iter().all(|c| c.off.abs() < 1e-12));
        assert!(belief.chance == before);
    }
    // Even one second that passed makes the courses wander.
    let mut belief = two_places(250);
    belief.taken_at -= 1.0 / 60.0;
    belief.take(&conditions, &boil(), Figure::Brix(49.0), 9, 1.0);
    assert!(belief.courses.iter().any(|c| c.off.abs() > 1e-4));
}

#[test]
fn while_nothing_is_read_thermometer_and_syrup_wander() {
    for (taken_at, cold, minutes) in [(35.0, 0.0, 25.0), (0.0, 44.0, 16.0), (44.0, 20.0, 16.0)] {
        let mut belief = two_places(250);
        belief.taken_at = taken_at;
        belief.last_cold = cold;
        belief.take(&conditions(), &boil(), Figure::Brix(49.0), 9, 1.0);
        let spread = belief.courses.iter().map(|c| c.off * c.off).sum::<f64>() / 500.0;
        // 500 draws tell a spread to a thirtieth.
        near(spread.sqrt() / (0.035 * f64::sqrt(minutes)), 1.0, 0.12);
        close(belief.taken_at, 60.0);
    }
}

#[test]
fn what_is_said_of_the_fire_eases_all_or_unlikes_those_that_had_eased() {
    let eased = |many: usize| {
        believing(|n| Course {
            ease_to: if n < many { -0.5 } else { 0.0 },
            ..plain()
        })
    };
    let mut belief = eased(250);
    belief.fire_said(FireSaid::LetDown);
    close(belief.share(Course::eased), 1.0);
    close(belief.courses[0].ease_to, -0.5);
    // Said to stay: one of twenty was eased unsaid.
    let mut belief = eased(250);
    belief.fire_said(FireSaid::Stays);
    close(belief.share(Course::eased), 0.05 / 1.05);
    assert!(belief.weights[0] < belief.weights[499]);
    // Where few are left that count, they are drawn again.
    let mut belief = eased(400);
    belief.fire_said(FireSaid::Stays);
    close(belief.weights[0], 0.002);
    close(belief.weights[499], 0.002);
    near(
        belief.share(Course::eased),
        0.8 * 0.05 / (0.8 * 0.05 + 0.2),
        0.01,
    );
}

#[test]
fn a_cold_pan_boils_when_it_will_be_warm() {
    let conditions = conditions();
    let later = |boils_at: f64, of: (f64, f64), soonest: f64, mut dice: Dice| {
        let mut course = Course {
            boils_at,
            behind: 0.5,
            ..plain()
        };
        boils_later(&mut course, &conditions, of, soonest, &mut dice);
        assert!(dice.is_empty());
        course
    };
    let dice = |z| Dice::default().even(0.5).bell(z);
    // Half warm: half-way between its own and what is told, as ratios go.
    let course = later(30.0, (20.0, 0.5), 10.3, dice(0.0));
    close(course.boils_at, 600_f64.sqrt());
    close(course.u, course.u_lit);
    close(course.behind, 0.0);
    close(
        later(30.0, (20.0, 0.5), 10.3, dice(1.0)).boils_at,
        (600.0 * 0.18_f64.exp()).sqrt(),
    );
    close(
        later(30.0, (20.0, 0.25), 10.3, dice(0.0)).boils_at,
        30_f64.powf(0.75) * 20_f64.powf(0.25),
    );
    // Boiling is never put before the reading.
    close(later(5.0, (8.0, 0.5), 10.3, dice(0.0)).boils_at, 10.3);
    // Six of a hundred keep what they believed.
    let kept = later(30.0, (20.0, 0.5), 10.3, Dice::default().even(0.0599));
    close(kept.boils_at, 30.0);
    close(kept.u, 1.0);
    close(
        later(
            30.0,
            (20.0, 1.0),
            10.3,
            Dice::default().even(0.0601).bell(0.0),
        )
        .boils_at,
        20.0,
    );
    // Juice nearly as thick as its syrup is never beyond it.
    let mut thick = Course {
        u_lit: 0.2,
        ..plain()
    };
    boils_later(&mut thick, &conditions, (20.0, 0.5), 10.3, &mut dice(0.0));
    close(thick.u, 1.02 * conditions.goal);
}

#[test]
fn a_reading_two_degrees_below_boiling_water_is_of_a_pan_that_still_warms() {
    let conditions = conditions();
    let read = |at: f64, temp: f64| {
        let mut belief = believing(|_| Course {
            boils_at: 30.0,
            ..plain()
        });
        belief.at = at;
        belief.boil_seen = false;
        belief.taken_at = 0.0;
        let taken = belief.take(&conditions, &boil(), Figure::Temp(temp), 1, 1.0);
        (belief, taken)
    };
    // 60 °C after ten minutes: half of the way from 20 to 100, so it boils after twenty, and a pan that was thought to need
    // thirty after 24.5.
    let (belief, taken) = read(10.0, 60.0);
    let [low, middle, high] = belief.quantiles(|c| c.boils_at, [0.1, 0.5, 0.9]);
    near(middle, 24.5, 0.5);
    // 0.09 of it either way, and 1.28 of that.
    near(low, 24.5 * (-0.115_f64).exp(), 0.7);
    near(high, 24.5 * 0.115_f64.exp(), 1.5);
    assert!(!belief.boil_seen() && taken.mistyped.abs() < 1e-12);
    close(belief.last_cold, 10.0);
    let kept = belief
        .courses
        .iter()
        .filter(|c| (c.boils_at - 30.0).abs() < 1e-9)
        .count();
    assert!((12..=52).contains(&kept), "{kept} of 500 keep 30");
    // A reading hardly above cold says little: a degree's error is most of what it shows.
    let (belief, _) = read(10.0, 15.0);
    let [middle] = belief.quantiles(|c| c.boils_at, [0.5]);
    // 1 of 80 degrees, taken as 3 in a hundred: told 333 minutes, trusted by an 80th.
    near(
        middle,
        30_f64.powf(79.0 / 80.0) * 333.3_f64.powf(1.0 / 80.0),
        0.02,
    );
    for (temp, cold) in [(97.9, true), (98.0, false), (100.0, false)] {
        assert_eq!(!read(28.0, temp).0.boil_seen(), cold, "{temp}");
    }
    // Once it was seen at the boil a low figure is an odd one, not a cold pan.
    let mut seen = believing(|_| plain());
    assert!(
        seen.take(&conditions, &boil(), Figure::Temp(60.0), 1, 1.0)
            .mistyped
            > 0.9
    );
    // A drop says nothing about the warming-up.
    let mut dropped = believing(|_| Course {
        boils_at: 70.0,
        ..plain()
    });
    dropped.boil_seen = false;
    dropped.take(&conditions, &boil(), Figure::Brix(50.0), 1, 1.0);
    assert!(!dropped.boil_seen());
}

#[test]
fn a_pan_read_at_the_boil_came_to_it_since_it_was_read_cold() {
    let came = |cold: f64| {
        let mut belief = believing(|n| Course {
            u: 5.0,
            boils_at: if n < 250 { 60.0 } else { 90.0 },
            stray: 0.0,
            ..plain()
        });
        belief.boil_seen = false;
        belief.last_cold = cold;
        belief.came_to_the_boil(&conditions());
        assert!(belief.boil_seen());
        // Courses that boiled already are left alone.
        assert!(
            belief.courses[..250]
                .iter()
                .all(|c| (c.u - 5.0).abs() < 1e-12)
        );
        let mut later: Vec<f64> = Vec::new();
        for course in &belief.courses[250..] {
            close(course.u, course.u_lit - 0.05 * (60.0 - course.boils_at));
            later.push(course.boils_at);
        }
        later.sort_by(f64::total_cmp);
        (later[0], later[249])
    };
    let (first, last) = came(50.0);
    assert!(
        (50.0..50.5).contains(&first) && (59.5..60.0).contains(&last),
        "{first} {last}"
    );
    // Boiling is never put into the first three tenths of the time.
    let (first, last) = came(0.0);
    assert!(
        (18.0..19.5).contains(&first) && (58.5..60.0).contains(&last),
        "{first} {last}"
    );
}

#[test]
fn three_courses_of_a_hundred_are_unsettled() {
    let unsettled = |mut dice: Dice| {
        let mut course = plain();
        unsettle(&mut course, &mut dice);
        assert!(dice.is_empty());
        course
    };
    close(
        unsettled(Dice::default().even(0.014).bell(1.0)).k,
        1.1 * 0.22_f64.exp(),
    );
    let other = unsettled(Dice::default().even(0.016).bell(-1.0));
    close(other.ln_rate, 0.05_f64.ln() - 0.3);
    close(other.k, 1.1);
    let other = unsettled(Dice::default().even(0.0299).bell(2.0));
    close(other.ln_rate, 0.05_f64.ln() + 0.6);
    assert_eq!(unsettled(Dice::default().even(0.0301)), plain());
}

#[test]
fn courses_drawn_again_weigh_the_same() {
    let mut belief = two_places(250);
    belief.weights.fill(0.0);
    belief.weights[3] = 0.75;
    belief.weights[400] = 0.25;
    belief.draw_again();
    near(belief.share(|c| c.u > 1.04), 0.75, 0.003);
    close(belief.weights[3], 0.002);
    let mut chance = Pcg64Mcg::seed_from_u64(1);
    assert_eq!(two_places(1).spread(40, &mut chance).len(), 40);
}
