//! Whether what a boil shows of its K and its pan is outside what was believed possible, and what
//! to look at then. Shown as it is, never pulled back inside.

use super::belief_at::BeliefAt;
use super::on_fire::{Boil, By, Reading, Spread};
use crate::calc::physics::elevation::{Factor, rise_c};

/// K that published models of impure syrup allow at 78 °Bx: 1.00 (pure sugar) to 1.30.
const K: (f64, f64) = (1.0, 1.3);
/// How far K may lie outside that range because a sound thermometer and refractometer err.
const K_MARGIN: f64 = 0.03;
/// A pan's rate against what was said of it, beyond which another pan or another charge is
/// likelier than a fire (common practice).
const RATE: (f64, f64) = (0.6, 1.6);

/// A thermometer and a refractometer read together say something of K from this Brix on: below it syrup boils hardly
/// above water (common practice).
pub(super) const PAIR_BRIX: f64 = 45.0;
/// How many pairs must agree, and how far their middle must lie from what the mill learned, as a share: more than a
/// lagging thermometer and one season's syrups differ by (house rule).
pub(super) const PAIRS: usize = 3;
pub(super) const UNLIKE: f64 = 0.15;

/// Something outside what was believed possible.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum OutsideBelief {
    /// K lies below that of pure sugar.
    KLow(Spread),
    /// K lies above that of any syrup that was published.
    KHigh(Spread),
    /// The pan drives off less than was said of it.
    RateLow(Spread),
    /// The pan drives off more than was said of it.
    RateHigh(Spread),
    /// Several pairs of readings agree on a K far from the one that the mill learned.
    KUnlike {
        /// The median K of those pairs.
        k: f64,
        /// The K that the mill learned.
        learned: f64,
        /// How many pairs agree.
        pairs: usize,
    },
}

impl OutsideBelief {
    /// What is odd and what to look at, in sentences.
    pub fn words(self) -> String {
        match self {
            Self::KLow(k) => format!(
                "By its readings this boil’s K is {:.2} ({:.2} to {:.2}), less than pure sugar has. \
                 Hold the thermometer in crushed ice and in boiling water, read water with the \
                 refractometer, and see that the day’s boiling water is that of this thermometer.",
                k.middle, k.low, k.high
            ),
            Self::KHigh(k) => format!(
                "By its readings this boil’s K is {:.2} ({:.2} to {:.2}), more than any syrup that \
                 was measured. See that the thermometer’s bulb is clear of the bottom, hold it in \
                 crushed ice and in boiling water, and let the next drop cool longer.",
                k.middle, k.low, k.high
            ),
            Self::KUnlike { k, learned, pairs } => format!(
                "By {pairs} pairs of thermometer and refractometer this boil’s K is {k:.2}, and the mill \
                 learned {learned:.2}: go by the refractometer, and not by the temperature to draw off at. \
                 Hold the thermometer in crushed ice and in boiling water.",
            ),
            Self::RateLow(rate) => format!(
                "The pan drives off {:.0} % of what was said of it ({:.0} to {:.0}). See whether it \
                 is the pan that is set up for this boil, what was poured in, and the fire.",
                100.0 * rate.middle,
                100.0 * rate.low,
                100.0 * rate.high
            ),
            Self::RateHigh(rate) => format!(
                "The pan drives off {:.1} times what was said of it ({:.1} to {:.1}). See whether it \
                 is the pan that is set up for this boil and what was poured in; read more often.",
                rate.middle, rate.low, rate.high
            ),
        }
    }
}

/// Whether the pairs of readings of a boil say another K than its mill learned.
pub fn unlike_learned(boil: &Boil, readings: &[Reading]) -> Option<OutsideBelief> {
    let learned = boil.k?.value;
    let by_hand = readings.iter().filter(|r| r.by == By::Hand);
    let mut all: Vec<f64> = by_hand
        .filter_map(|r| Some((r.temp?.get(), r.brix?.get())))
        .filter(|(_, brix)| *brix >= PAIR_BRIX)
        .map(|(temp, brix)| {
            let water = boil.water.get();
            (temp - water) / rise_c(brix, water, Factor::PURE)
        })
        .collect();
    all.sort_unstable_by(f64::total_cmp);
    let pairs = all.len();
    let k = *all.get(pairs / 2)?;
    let unlike = pairs >= PAIRS && (k / learned - 1.0).abs() > UNLIKE;
    unlike.then_some(OutsideBelief::KUnlike { k, learned, pairs })
}

/// Each figure of a look whose nine-in-ten interval lies outside what was believed possible.
pub fn odd(looked: &BeliefAt) -> Vec<OutsideBelief> {
    let mut all = Vec::new();
    if looked.k.high < K.0 - K_MARGIN {
        all.push(OutsideBelief::KLow(looked.k));
    } else if looked.k.low > K.1 + K_MARGIN {
        all.push(OutsideBelief::KHigh(looked.k));
    }
    let rate = looked.rate_against_said;
    if rate.high < RATE.0 {
        all.push(OutsideBelief::RateLow(rate));
    } else if rate.low > RATE.1 {
        all.push(OutsideBelief::RateHigh(rate));
    }
    all
}

#[cfg(test)]
#[path = "outside_belief_tests.rs"]
mod tests;
