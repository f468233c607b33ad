//! Whether what a boil shows of its K and its pan is outside what was believed possible, and what
//! to look at then. Shown as it is, never pulled back inside.

use super::belief_at::BeliefAt;
use super::on_fire::Spread;

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
    /// K lies far from the one that the mill learned.
    KUnlike {
        /// K by the readings of the boil.
        k: Spread,
        /// The K that the mill learned.
        learned: f64,
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
            Self::KUnlike { k, learned } => format!(
                "By its readings this boil’s K is {:.2} ({:.2} to {:.2}), and the mill learned {learned:.2}. The \
                 temperature to draw off at goes by this boil’s own; the refractometer decides. Hold the \
                 thermometer in crushed ice and in boiling water, and let the next drop cool longer.",
                k.middle, k.low, k.high
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

/// Whether the K that is believed of a boil is another than its mill learned.
fn unlike_learned(k: Spread, learned: Option<f64>) -> Option<OutsideBelief> {
    let learned = learned?;
    let apart = !(k.low..=k.high).contains(&learned);
    let unlike = apart && (k.middle / learned - 1.0).abs() > UNLIKE;
    unlike.then_some(OutsideBelief::KUnlike { k, learned })
}

/// Each figure of a look whose nine-in-ten interval lies outside what was believed possible, where the mill learned this K.
pub fn odd(looked: &BeliefAt, learned: Option<f64>) -> Vec<OutsideBelief> {
    let mut all = Vec::new();
    if let Some(unlike) = unlike_learned(looked.k, learned) {
        all.push(unlike);
    } else if looked.k.high < K.0 - K_MARGIN {
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
