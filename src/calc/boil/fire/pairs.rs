//! Pairs of thermometer and refractometer that agree on another K than the mill learned. Once they do, the courses of a
//! belief are opened to it: what was learned is narrow, and a thermometer read by a wrong K runs ahead of every drop.

use super::belief::Belief;
use super::course::{BoilConditions, normal};
use super::outside_belief::{PAIR_BRIX, PAIRS, UNLIKE};
use super::thickness::{LEAST_U, brix_of, u_of};
use crate::calc::physics::elevation::{Factor, rise_c};

/// Minutes between taking a drop and noting it, on the whole (common practice: it takes a minute or two to cool).
const DROP_MIN: f64 = 1.9;
/// A belief knows of a K when this share of it lies within so much of it, as a share.
const KNOWN: f64 = 0.3;
const WITHIN: f64 = 0.08;
/// How far the K of a course lies from that of the pairs (natural logarithm).
const LN_K_SD: f64 = 0.06;

/// The K of each pair of a boil so far.
#[derive(Debug, Clone, Default)]
pub(super) struct Pairs(Vec<f64>);

impl Pairs {
    /// Adds a pair: a temperature, and the Brix that the pan has by the drop read with it.
    fn add(&mut self, rise: f64, brix: f64, water_c: f64) {
        if brix >= PAIR_BRIX {
            self.0.push(rise / rise_c(brix, water_c, Factor::PURE));
        }
    }

    /// The K that they agree on, where it is unlike the one that was learned.
    fn unlike(&self, learned: f64) -> Option<f64> {
        let mut all = self.0.clone();
        all.sort_unstable_by(f64::total_cmp);
        let k = *all.get(all.len() / 2)?;
        (all.len() >= PAIRS && (k / learned - 1.0).abs() > UNLIKE).then_some(k)
    }

    /// Adds a pair read at the minute of a belief, and opens the belief to the K that they agree on if it hardly knows it.
    pub(super) fn take(
        &mut self,
        belief: &mut Belief,
        conditions: &BoilConditions,
        (water_c, learned): (f64, f64),
        (temp, brix): (f64, f64),
    ) {
        let gone_by = DROP_MIN * belief.mean(|c| c.speed(conditions));
        let there = (u_of(brix) - gone_by).max(LEAST_U);
        self.add(temp - water_c, brix_of(there), water_c);
        if let Some(k) = self.unlike(learned)
            && belief.share(|c| (c.k / k - 1.0).abs() < WITHIN) < KNOWN
        {
            belief.open_to_k(k, there);
        }
    }
}

impl Belief {
    /// Every second course gets a K like this one, and is about where a drop says.
    fn open_to_k(&mut self, k: f64, there: f64) {
        self.draw_again();
        for course in self.courses.iter_mut().step_by(2) {
            course.k = k * (LN_K_SD * normal(&mut self.chance)).exp();
            course.u = (there * (0.04 * normal(&mut self.chance)).exp()).max(LEAST_U);
        }
    }
}

#[cfg(test)]
#[path = "pairs_tests.rs"]
mod tests;
