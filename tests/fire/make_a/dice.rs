//! Chance from a seed: the same seed gives the same throws on every machine.

/// A small generator of chance (`SplitMix64`, Steele, Lea and Flood 2014; constants from memory).
#[derive(Debug, Clone)]
pub struct Dice {
    state: u64,
}

impl Dice {
    /// Throws that follow from `seed` and `stream`; different streams of one seed do not follow each other.
    #[must_use]
    pub fn new(seed: u64, stream: u64) -> Self {
        let mut dice = Self {
            state: seed.wrapping_mul(0x2545_F491_4F6C_DD1D) ^ stream.rotate_left(32),
        };
        // The first throws of near-by seeds are still kin.
        for _ in 0..4 {
            dice.bits();
        }
        dice
    }

    fn bits(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Evenly from 0 to below 1.
    #[expect(clippy::cast_precision_loss, reason = "53 bits fit an f64 exactly")]
    pub fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Evenly from `low` to below `high`.
    pub fn even(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Evenly in the logarithm from `low` to below `high`, both above 0.
    pub fn even_log(&mut self, low: f64, high: f64) -> f64 {
        self.even(low.ln(), high.ln()).exp()
    }

    /// True with this chance.
    pub fn chance(&mut self, p: f64) -> bool {
        self.unit() < p
    }

    /// Normal with mean 0 and this deviation (Box and Muller).
    pub fn normal(&mut self, deviation: f64) -> f64 {
        let radius = (-2.0 * (1.0 - self.unit()).ln()).sqrt();
        deviation * radius * (std::f64::consts::TAU * self.unit()).cos()
    }

    /// One of `n` (at least 1), from 0.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "small counts"
    )]
    pub fn one_of(&mut self, n: usize) -> usize {
        ((self.unit() * n as f64) as usize).min(n - 1)
    }
}

#[cfg(test)]
mod tests {
    use super::Dice;

    #[test]
    fn the_same_seed_throws_the_same() {
        let first = |seed: u64| Dice::new(seed, 1).unit().to_bits();
        assert_eq!(first(7), first(7));
        assert_ne!(first(7), first(8));
    }

    #[test]
    fn mean_and_spread_are_as_asked() {
        let mut dice = Dice::new(3, 0);
        let n = 40_000_u32;
        let (mut sum, mut squares, mut evens) = (0.0, 0.0, 0.0);
        for _ in 0..n {
            let z = dice.normal(2.0);
            sum += z;
            squares += z * z;
            evens += dice.even(1.0, 3.0);
        }
        let n = f64::from(n);
        assert!((sum / n).abs() < 0.04, "mean {}", sum / n);
        assert!((squares / n - 4.0).abs() < 0.12, "variance {}", squares / n);
        assert!(
            (evens / n - 2.0).abs() < 0.02,
            "mean of evens {}",
            evens / n
        );
    }
}
