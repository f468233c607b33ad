//! How strong and unexpected figures are weighed, by Bayes' rule.

use super::*;

#[test]
fn a_strong_reading_taken_in_parts_comes_to_the_same_as_taken_at_once() {
    let conditions = conditions();
    let start = believing(|n| {
        let share = (f64::from(u32::try_from(n).unwrap()) + 0.5) / 500.0;
        // Offsets as even as a ruler from −2 to 2 °C.
        Course {
            off: 4.0 * share - 2.0,
            ..plain()
        }
    });
    let shown = WATER + plain().rise_at(1.0, &conditions);
    let figure = Figure::Temp(shown + 1.0);
    // By Bayes' rule over the courses as they stood.
    let weight = |c: &Course| figure.sound(c, &conditions, WATER, 60.0) + 0.045 / 40.0;
    let sum = |f: &dyn Fn(&Course) -> f64| start.courses.iter().map(f).sum::<f64>();
    let whole = sum(&weight);
    let mean = sum(&|c| weight(c) * c.off) / whole;
    let spread = (sum(&|c| weight(c) * (c.off - mean).powi(2)) / whole).sqrt();
    let mut belief = start.clone();
    for place in 0..3 {
        belief.take(&conditions, &boil(), figure, place, 0.1);
    }
    let mut whole = start;
    whole.take(&conditions, &boil(), figure, 1, 1.0);
    let found = whole.mean(|c| c.off);
    near(found, mean, 0.08);
    near(whole.mean(|c| (c.off - found).powi(2)).sqrt(), spread, 0.08);
    close(whole.share(|_| true), 1.0);
    // Readings that tell a tenth each leave it wider.
    let part = belief.mean(|c| c.off);
    assert!(belief.mean(|c| (c.off - part).powi(2)).sqrt() > 1.2 * spread);
}

#[test]
fn an_unexpected_figure_makes_one_course_of_five_explain_it_with_a_small_weight() {
    let conditions = conditions();
    let wanted = |each: f64, mistyped: f64| 100.0 * each / (100.0 * each + 400.0 * mistyped);
    let made = |figure, share| {
        let mut belief = two_places(0);
        let taken = belief.take(&conditions, &boil(), figure, 9, share);
        assert!(taken.mistyped > 0.98, "{taken:?}");
        belief.share(|c| c.made_by == Some(9))
    };
    // A boil of 250 is elsewhere, over 40 °Bx or 20 °C: 0.004 / 40 × 5 and 0.004 / 20 × 5 for each.
    near(made(Figure::Brix(85.0), 1.0), wanted(0.0005, 0.0009), 0.004);
    near(
        made(Figure::Temp(113.0), 1.0),
        wanted(0.001, 0.001_125),
        0.01,
    );
    near(
        made(Figure::Probe(113.0), 1.0),
        wanted(0.001, 0.001_125),
        0.01,
    );
    // A reading that shares its errors with the last one makes no course explain it.
    close(made(Figure::Probe(113.0), 0.3), 0.0);
    // A little more may be, against what such a reading tells: its 0.31th power.
    let wrong = 0.001_125_f64.powf(0.31);
    near(
        made(Figure::Probe(113.0), 0.31),
        wanted(0.001, wrong),
        0.001,
    );
    // A second drop that agrees decides for them: syrup of 85 °Bx was at 80 a minute and a half ago.
    let mut belief = two_places(0);
    belief.take(&conditions, &boil(), Figure::Brix(85.0), 9, 1.0);
    let taken = belief.take(&conditions, &boil(), Figure::Brix(80.0), 10, 1.0);
    assert!(taken.mistyped < 0.3, "{taken:?}");
    assert!(belief.share(|c| c.made_by == Some(9)) > 0.7);
}

#[test]
fn a_reading_so_strong_that_it_is_taken_in_parts_says_no_more_for_it() {
    let conditions = conditions();
    // Offsets as even as a ruler from −8 to 8 °C: one course of ten is within a reading's reach.
    let start = believing(|n| Course {
        off: 16.0 * (f64::from(u32::try_from(n).unwrap()) + 0.5) / 500.0 - 8.0,
        ..plain()
    });
    let figure = Figure::Temp(WATER + plain().rise_at(1.0, &conditions) + 1.0);
    let weights = start
        .courses
        .iter()
        .map(|c| figure.sound(c, &conditions, WATER, 60.0) + 0.045 / 40.0);
    let of: Vec<(f64, f64)> = weights
        .zip(&start.courses)
        .map(|(w, c)| (w, c.off))
        .collect();
    let whole: f64 = of.iter().map(|(w, _)| w).sum();
    let squares: f64 = of.iter().map(|(w, _)| w * w).sum();
    // Less than a quarter would count, if it were taken at once.
    assert!(whole * whole / squares / 500.0 < 0.2);
    // Of what lies within a degree of it, by Bayes' rule; what lies farther was mistyped, if it was.
    let within = |of: &[(f64, f64)]| {
        let near: Vec<_> = of
            .iter()
            .filter(|(_, off)| (off - 1.0).abs() < 1.0)
            .collect();
        let whole: f64 = near.iter().map(|(w, _)| w).sum();
        let spread: f64 = near.iter().map(|(w, off)| w * (off - 1.0).powi(2)).sum();
        (whole, (spread / whole).sqrt())
    };
    let (share, spread) = within(&of);
    let mut belief = start;
    belief.take(&conditions, &boil(), figure, 1, 1.0);
    let taken: Vec<(f64, f64)> = belief
        .weights
        .iter()
        .zip(&belief.courses)
        .map(|(w, c)| (*w, c.off))
        .collect();
    let (taken_share, taken_spread) = within(&taken);
    near(taken_share, share / whole, 0.03);
    near(taken_spread / spread, 1.0, 0.12);
}

#[test]
fn courses_that_explain_a_figure_are_one_of_five_and_worth_that_the_boil_is_elsewhere() {
    let conditions = conditions();
    for (figure, each) in [
        (Figure::Brix(85.0), 0.004 / 40.0 * 5.0),
        (Figure::Temp(113.0), 0.004 / 20.0 * 5.0),
    ] {
        let mut belief = two_places(0);
        close(belief.explain(&conditions, WATER, figure, 9), each);
        let made = belief.courses.iter().filter(|c| c.made_by == Some(9));
        assert_eq!(made.count(), 100);
    }
}

/// A Brix above that of a drop which is as many times likelier to be mistyped than sound.
fn brix_mistyped(times: f64) -> f64 {
    let (conditions, course) = (conditions(), plain());
    let (mut low, mut high) = (48.0, 60.0);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if Figure::Brix(middle).sound(&course, &conditions, WATER, 60.0) * times > 0.045 / 50.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

#[test]
fn a_figure_is_unexpected_when_it_is_likelier_mistyped_than_not() {
    for (times, unexpected) in [(0.92, false), (1.08, true)] {
        let mut belief = two_places(0);
        let read = Figure::Brix(brix_mistyped(times));
        let taken = belief.take(&conditions(), &boil(), read, 9, 1.0);
        near(taken.mistyped, times / (1.0 + times), 1e-4);
        let made = belief.courses.iter().any(|c| c.made_by == Some(9));
        assert_eq!(made, unexpected, "{times}");
    }
}
