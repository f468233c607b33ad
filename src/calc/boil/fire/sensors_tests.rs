//! What instruments show of a course without quirks, by hand and by the tables of Student's distribution.

use super::*;
use crate::calc::boil::fire::course_kit::{WATER, close, conditions, plain};
use crate::calc::physics::elevation::{Factor, rise_c};

/// Density of Student's distribution with four degrees of freedom, by its formula in the textbooks.
fn t4(z: f64) -> f64 {
    0.375 * (1.0 + z * z / 4.0).powf(-2.5)
}

#[test]
fn readings_scatter_by_student_s_distribution_with_four_degrees_of_freedom() {
    // Textbooks: 3/8, 3/8 · 1.25^(−5/2) and 3/8 · 2^(−5/2).
    for (z, density) in [(0.0, 0.375), (1.0, 0.214_662_5), (2.0, 0.066_291_26)] {
        for z in [z, -z] {
            assert!((student(z, 1.0) - density).abs() < 1e-6, "{z}");
            assert!((student(0.5 * z, 0.5) - 2.0 * density).abs() < 1e-6, "{z}");
        }
    }
    // Any textbook's table of the t distribution, four degrees of freedom.
    for (z, share) in [
        (0.741, 0.75),
        (1.533, 0.90),
        (2.132, 0.95),
        (2.776, 0.975),
        (4.604, 0.995),
    ] {
        assert!((below(z) - share).abs() < 2e-4, "{z}: {}", below(z));
        assert!((below(-z) + share - 1.0).abs() < 2e-4, "{z}");
    }
    close(below(0.0), 0.5);
}

#[test]
fn a_thermometer_shows_the_warming_juice_and_then_the_rise_over_water() {
    let (conditions, mut course) = (conditions(), plain());
    course.off = 0.3;
    course.behind = 0.2;
    // Half of the way from 20 to 100 °C is missing at half time, 12 % of it open.
    let (shown, sd) = temp_of(&course, &conditions, WATER, 10.0);
    close(shown, 60.3);
    close(sd, 0.35 + 0.12 * 40.0);
    let (shown, sd) = temp_of(&course, &conditions, WATER, 5.0);
    close(shown, 40.3);
    close(sd, 0.35 + 0.12 * 60.0);
    // At 50 °Bx pure sugar boils 1.8 °C higher (the usual tables: 1.8 to 2.0).
    let rise = 1.1 * rise_c(50.0, WATER, Factor::PURE);
    assert!((1.9..2.3).contains(&rise), "{rise}");
    for at in [20.0, 60.0] {
        let (shown, sd) = temp_of(&course, &conditions, WATER, at);
        close(shown, WATER + rise - 0.2 + 0.3);
        close(sd, 0.35);
    }
}

#[test]
fn a_figure_is_likeliest_where_its_instrument_would_stand() {
    let (conditions, course) = (conditions(), plain());
    let shown = temp_of(&course, &conditions, WATER, 60.0).0;
    let sound = |figure: Figure, at| figure.sound(&course, &conditions, WATER, at);
    for z in [-2.0, -1.0, 0.0, 1.0, 2.0] {
        close(sound(Figure::Temp(shown + 0.35 * z), 60.0), t4(z) / 0.35);
        close(sound(Figure::Probe(shown + 0.28 * z), 60.0), t4(z) / 0.28);
    }
    // While it warms the pan itself is uneven, whoever reads.
    close(sound(Figure::Probe(60.0), 10.0), 0.375 / (0.28 + 4.8));
    close(sound(Figure::Temp(60.0), 10.0), 0.375 / (0.35 + 4.8));
}

#[test]
fn a_drop_shows_the_syrup_of_some_minutes_ago() {
    let (conditions, course) = (conditions(), plain());
    // 0.05 a minute more water per solids 0.6, 1.5, 2.5 and 3.6 minutes ago; never before the first bubble.
    let wanted = |read: f64, ago: [f64; 4]| -> f64 {
        ago.iter()
            .zip([0.22, 0.28, 0.28, 0.22])
            .map(|(ago, share)| share * t4((read - 100.0 / (2.0 + 0.05 * ago)) / 0.55) / 0.55)
            .sum()
    };
    for read in [45.0, 47.5, 48.2, 50.0, 53.0] {
        let sound = |at| Figure::Brix(read).sound(&course, &conditions, WATER, at);
        close(sound(60.0), wanted(read, [0.6, 1.5, 2.5, 3.6]));
        close(sound(21.0), wanted(read, [0.6, 1.0, 1.0, 1.0]));
        close(sound(19.0), wanted(read, [0.0; 4]));
    }
}

#[test]
fn what_lies_below_a_figure_is_its_share_of_the_scatter() {
    let (conditions, course) = (conditions(), plain());
    let below = |figure: Figure, at| figure.shown_below(&course, &conditions, WATER, at);
    let near = |found: f64, share: f64| assert!((found - share).abs() < 2e-4, "{found} {share}");
    let shown = temp_of(&course, &conditions, WATER, 60.0).0;
    near(below(Figure::Temp(shown), 60.0), 0.5);
    near(below(Figure::Temp(shown + 2.132 * 0.35), 60.0), 0.95);
    near(below(Figure::Probe(shown - 2.132 * 0.35), 60.0), 0.05);
    // A minute and a half ago it was at 100 / 2.075; a minute after the first bubble at 100 / 2.05.
    near(below(Figure::Brix(100.0 / 2.075), 60.0), 0.5);
    near(
        below(Figure::Brix(100.0 / 2.075 + 2.132 * 0.55), 60.0),
        0.95,
    );
    near(below(Figure::Brix(100.0 / 2.05 - 1.533 * 0.55), 21.0), 0.10);
}

#[test]
fn a_mistyped_figure_may_be_any() {
    close(Figure::Temp(300.0).mistyped(), 0.045 / 40.0);
    close(Figure::Probe(1.0).mistyped(), 0.045 / 40.0);
    close(Figure::Brix(7.0).mistyped(), 0.045 / 50.0);
}

#[test]
fn the_syrup_that_explains_a_figure_would_show_it() {
    let (conditions, mut course) = (conditions(), plain());
    course.off = 0.3;
    course.behind = 0.2;
    course.k = 1.4;
    for (bend, off_by) in [(0.0, 1e-9), (0.1, 0.004), (-0.1, 0.004)] {
        course.bend = bend;
        for u in [0.2, 0.4, 0.8, 1.5] {
            course.u = u;
            let shown = temp_of(&course, &conditions, WATER, 60.0).0;
            let asked = Course { u: 3.0, ..course };
            for figure in [Figure::Temp(shown), Figure::Probe(shown)] {
                let found = figure.explained_by(&asked, &conditions, WATER).unwrap();
                assert!((found / u - 1.0).abs() <= off_by, "{bend} {u}: {found}");
            }
        }
    }
    let of = |figure: Figure| figure.explained_by(&course, &conditions, WATER);
    assert_eq!(of(Figure::Temp(98.0)), None);
    assert_eq!(
        (of(Figure::Brix(4.9)), of(Figure::Brix(94.0))),
        (None, None)
    );
    close(of(Figure::Brix(5.0)).unwrap(), 19.0);
    close(of(Figure::Brix(80.0)).unwrap(), 0.25);
}
