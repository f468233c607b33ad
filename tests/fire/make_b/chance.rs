//! Chance that can be played again: the same start gives the same throws.

use std::f64::consts::TAU;

/// A stream of throws. The mixer is `SplitMix64` (G. Steele, D. Lea, C. Flood, *Fast splittable
/// pseudorandom number generators*, OOPSLA 2014).
#[derive(Debug, Clone)]
pub struct Chance(u64);

impl Chance {
    /// One of several streams of the same start, so that a reading more or less leaves the boil as it was.
    pub fn new(start: u64, stream: u64) -> Self {
        let mut one = Self(start ^ stream.wrapping_mul(0xd6e8_feb8_6659_fd93));
        // Neighbouring starts must not walk side by side.
        let begin = one.throw() ^ start.rotate_left(32);
        Self(begin)
    }

    fn throw(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From 0 to just under 1.
    #[expect(clippy::cast_precision_loss, reason = "53 bits fit a double exactly")]
    pub fn unit(&mut self) -> f64 {
        (self.throw() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Evenly from `low` to `high`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// From `low` to `high`, each doubling as likely as another; both above 0.
    pub fn log_between(&mut self, low: f64, high: f64) -> f64 {
        self.between(low.ln(), high.ln()).exp()
    }

    /// Normal, mean 0, deviation 1 (Box and Muller).
    pub fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.unit()).ln()).sqrt();
        radius * (TAU * self.unit()).cos()
    }

    /// Normal with this deviation, never further out than `limit`.
    pub fn normal_within(&mut self, deviation: f64, limit: f64) -> f64 {
        (self.normal() * deviation).clamp(-limit, limit)
    }

    /// A factor about 1 whose logarithm is normal with this deviation.
    pub fn factor(&mut self, deviation: f64) -> f64 {
        (self.normal() * deviation).exp()
    }

    /// Yes with this probability.
    pub fn happens(&mut self, probability: f64) -> bool {
        self.unit() < probability
    }

    /// One of a few, by weight; the last one if the weights are all 0.
    pub fn weighed<T: Copy, const N: usize>(&mut self, of: [(f64, T); N]) -> T {
        let all: f64 = of.iter().map(|(weight, _)| weight).sum();
        let mut at = self.between(0.0, all);
        let mut last = of[0].1;
        for (weight, what) in of {
            last = what;
            at -= weight;
            if at < 0.0 {
                break;
            }
        }
        last
    }
}

/// A figure that strays about 0 and comes back: Ornstein and Uhlenbeck's walk.
#[derive(Debug, Clone)]
pub struct Stray {
    /// Where it is.
    pub value: f64,
    deviation: f64,
    memory_min: f64,
}

impl Stray {
    /// Starts where chance has it; `deviation` in the long run, forgetting within `memory_min`.
    pub fn new(deviation: f64, memory_min: f64, chance: &mut Chance) -> Self {
        let value = chance.normal() * deviation;
        Self {
            value,
            deviation,
            memory_min,
        }
    }

    /// Goes on by `step` minutes, which are few against the memory.
    pub fn step(&mut self, step: f64, chance: &mut Chance) {
        let share = step / self.memory_min;
        self.value += -self.value * share + self.deviation * (2.0 * share).sqrt() * chance.normal();
    }
}
