//! Shaking by hand: what is shaken keeps its middle and its spread.

use super::*;
use crate::calc::boil::fire::course_kit::{Dice, Still, close, plain};

#[test]
fn the_root_of_a_covariance_times_itself_is_the_covariance() {
    // The example of the textbooks: 4 12 −16, 12 37 −43, −16 −43 98 has the root 2, 6 1, −8 5 3.
    let mut of = [[0.0; N]; N];
    of[0][0] = 4.0;
    of[1][..2].copy_from_slice(&[12.0, 37.0]);
    of[2][..3].copy_from_slice(&[-16.0, -43.0, 98.0]);
    // A figure of hardly any spread, and one of none.
    of[3][3] = 1e-12;
    of[4][4] = 1e-14;
    of[5][5] = 1.05e-14;
    let found = root(of);
    let wanted: [&[f64]; 3] = [&[2.0], &[6.0, 1.0], &[-8.0, 5.0, 3.0]];
    for (row, wanted) in found.iter().zip(wanted) {
        for (found, wanted) in row.iter().zip(wanted) {
            close(*found, *wanted);
        }
    }
    assert!((found[3][3] - 1e-6).abs() < 1e-12, "{:?}", found[3]);
    assert!(found[4][4].abs() < 1e-30, "{:?}", found[4]);
    assert!((found[5][5] - 1.05e-14_f64.sqrt()).abs() < 1e-12);
}

/// Two courses that differ in every figure that is shaken.
fn two() -> [Course; 2] {
    let one = Course {
        slowing: 0.2,
        bend: 0.1,
        off: 0.3,
        stray: -0.2,
        behind: 0.4,
        ..plain()
    };
    let other = Course {
        u: 0.8,
        ln_rate: one.ln_rate + 0.2,
        stray: 0.1,
        slowing: 0.3,
        k: 1.2,
        bend: 0.05,
        off: -0.1,
        lag: 0.5,
        stray_sd: 0.15,
        ..one
    };
    [one, other]
}

fn assert_figures(course: &Course, wanted: [f64; N]) {
    for (found, wanted) in figures(course).into_iter().zip(wanted) {
        close(found, wanted);
    }
}

#[test]
fn without_chance_every_figure_is_drawn_to_the_middle_by_what_chance_would_add() {
    let before = two();
    let mut after = before;
    shake(&mut after, 60.0, &mut Still);
    let (a, b) = (figures(&before[0]), figures(&before[1]));
    // √(1 − 0.14²): with 0.14 of the spread added it is the whole again.
    let keep = 0.990_151_5;
    for (course, own) in after.iter().zip([a, b]) {
        let wanted = std::array::from_fn(|i| {
            let middle = f64::midpoint(a[i], b[i]);
            middle + keep * (own[i] - middle)
        });
        assert_figures(course, wanted);
    }
    // What a thermometer is behind goes with its lag and with K.
    let (old, new) = (before[1], after[1]);
    close(new.behind, old.behind * new.lag / old.lag * new.k / old.k);
}

#[test]
fn what_chance_adds_goes_along_the_common_shape() {
    let before = two();
    let mut dice = Dice::default().bell(1.0);
    for _ in 1..2 * N {
        dice = dice.bell(0.0);
    }
    let mut after = before;
    shake(&mut after, 60.0, &mut dice);
    assert!(dice.is_empty());
    let mut still = before;
    shake(&mut still, 60.0, &mut Still);
    // Of two courses every figure lies half their difference off the middle, all of them together: a throw of one moves
    // all by 0.14 of it, to where the first figure grows.
    let (a, b) = (figures(&before[0]), figures(&before[1]));
    let quiet = figures(&still[0]);
    assert_figures(
        &after[0],
        std::array::from_fn(|i| quiet[i] + 0.14 * 0.5 * (a[i] - b[i])),
    );
    assert_figures(&after[1], figures(&still[1]));
}

#[test]
fn many_courses_keep_their_middle_and_their_spread() {
    use rand::SeedableRng;
    let mut chance = rand_pcg::Pcg64Mcg::seed_from_u64(5);
    let mut courses: Vec<Course> = (0..2000)
        .map(|_| {
            let z = normal(&mut chance);
            let k = (0.1 + 0.1 * z).exp();
            let off = 0.3 * z + 0.4 * normal(&mut chance);
            Course {
                k,
                off,
                slowing: 0.2,
                ..plain()
            }
        })
        .collect();
    #[expect(clippy::cast_precision_loss, reason = "two thousand")]
    let shape = |of: &[Course]| {
        let mean =
            |figure: &dyn Fn(&Course) -> f64| of.iter().map(figure).sum::<f64>() / of.len() as f64;
        let (k, off) = (mean(&|c| c.k.ln()), mean(&|c| c.off));
        let spread = mean(&|c| (c.off - off).powi(2)).sqrt();
        let both = mean(&|c| (c.off - off) * (c.k.ln() - k));
        [k, off, spread, both]
    };
    let before = shape(&courses);
    for _ in 0..20 {
        shake(&mut courses, 60.0, &mut chance);
    }
    let after = shape(&courses);
    for (place, off_by) in [0.02, 0.08, 0.06, 0.008].into_iter().enumerate() {
        let off = (after[place] - before[place]).abs();
        assert!(off < off_by, "{place}: {before:?} {after:?}");
    }
}

#[test]
fn before_the_boil_the_juice_stays_and_nothing_leaves_its_range() {
    let wild = [-9.0, -2.0, 0.3, 9.0, 9.0, 0.2, 0.1, 9.0, 9.0];
    let mut cold = plain();
    // At the very moment it comes to the boil.
    put_back(&mut cold, wild, 20.0);
    close(cold.u, 1.0);
    assert!(cold.behind.abs() < 1e-12);
    close(cold.ln_rate, -2.0);
    close(cold.stray, 0.3);
    close(cold.slowing, 2.0);
    close(cold.k, 0.9_f64.exp());
    close(cold.bend, 0.2);
    close(cold.off, 0.1);
    close(cold.lag, 1.2_f64.exp());
    close(cold.stray_sd, (-1.0_f64).exp());
    let mut hot = plain();
    put_back(&mut hot, wild.map(|_| -9.0), 60.0);
    close(hot.u, 0.064);
    close(hot.slowing, 0.005);
    close(hot.k, (-0.6_f64).exp());
    close(hot.lag, (-3.0_f64).exp());
    close(hot.stray_sd, (-4.0_f64).exp());
}
