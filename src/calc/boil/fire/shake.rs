//! Shakes courses that were drawn more than once apart again, about their common shape, so that
//! neither the middle nor the spread of any figure changes (Liu and West 2001).

use super::course::{Course, normal};
use super::thickness::LEAST_U;
use rand::Rng;

/// Figures of a course that are shaken.
const N: usize = 9;
/// How far they are shaken, as a share of the spread they have.
const BY: f64 = 0.14;

fn figures(c: &Course) -> [f64; N] {
    [
        c.u.ln(),
        c.ln_rate,
        c.stray,
        c.slowing.ln(),
        c.k.ln(),
        c.bend,
        c.off,
        c.lag.ln(),
        c.stray_sd.ln(),
    ]
}

/// Lower triangle of the root of a covariance (Cholesky); a figure without spread stays.
fn root(mut of: [[f64; N]; N]) -> [[f64; N]; N] {
    for j in 0..N {
        for k in 0..j {
            let by = of[j][k];
            for row in of.iter_mut().skip(j) {
                row[j] -= row[k] * by;
            }
        }
        let pivot = of[j][j];
        let scale = if pivot > 1e-14 {
            1.0 / pivot.sqrt()
        } else {
            0.0
        };
        for row in of.iter_mut().skip(j) {
            row[j] *= scale;
        }
    }
    of
}

/// Shakes courses that all weigh the same.
pub(super) fn shake(courses: &mut [Course], at: f64, chance: &mut impl Rng) {
    #[expect(clippy::cast_precision_loss, reason = "some hundred")]
    let each = 1.0 / courses.len() as f64;
    let mut middle = [0.0; N];
    for course in courses.iter() {
        for (m, f) in middle.iter_mut().zip(figures(course)) {
            *m += each * f;
        }
    }
    let mut spread = [[0.0; N]; N];
    for course in courses.iter() {
        let f = figures(course);
        let off: [f64; N] = std::array::from_fn(|i| f[i] - middle[i]);
        for i in 0..N {
            for j in 0..=i {
                spread[i][j] += each * off[i] * off[j];
            }
        }
    }
    let root = root(spread);
    let keep = (1.0 - BY * BY).sqrt();
    for course in courses {
        let f = figures(course);
        let z: [f64; N] = std::array::from_fn(|_| BY * normal(chance));
        let shaken: [f64; N] = std::array::from_fn(|i| {
            let pushed: f64 = root[i].iter().zip(&z).map(|(r, z)| r * z).sum();
            middle[i] + keep * (f[i] - middle[i]) + pushed
        });
        put_back(course, shaken, at);
    }
}

fn put_back(course: &mut Course, shaken: [f64; N], at: f64) {
    let [
        ln_u,
        ln_rate,
        stray,
        ln_slowing,
        ln_k,
        bend,
        off,
        ln_lag,
        ln_stray_sd,
    ] = shaken;
    let (k, lag) = (ln_k.clamp(-0.6, 0.9).exp(), ln_lag.clamp(-3.0, 1.2).exp());
    if at > course.boils_at {
        course.u = ln_u.exp().max(LEAST_U);
        course.behind *= lag / course.lag * k / course.k;
    }
    course.ln_rate = ln_rate;
    course.stray = stray;
    course.slowing = ln_slowing.exp().clamp(0.005, 2.0);
    course.k = k;
    course.bend = bend;
    course.off = off;
    course.lag = lag;
    course.stray_sd = ln_stray_sd.clamp(-4.0, -1.0).exp();
}

#[cfg(test)]
#[path = "shake_tests.rs"]
mod tests;
