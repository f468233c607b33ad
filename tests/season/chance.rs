//! Chance that can be played again: the same start gives the same throws.

/// A stream of throws. The mixer is `SplitMix64` (G. Steele, D. Lea, C. Flood, *Fast splittable
/// pseudorandom number generators*, OOPSLA 2014).
#[derive(Debug, Clone)]
pub struct Chance(u64);

impl Chance {
    pub fn new(start: u64) -> Self {
        Self(start)
    }

    fn throw(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A whole number from `low` to `high`, both included.
    pub fn between(&mut self, low: i64, high: i64) -> i64 {
        let span = u64::try_from(high - low).unwrap() + 1;
        low + i64::try_from(self.throw() % span).unwrap()
    }

    /// A number from `low` to `high` in steps of a hundredth.
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        reason = "hundredths of small figures"
    )]
    pub fn figure(&mut self, low: f64, high: f64) -> f64 {
        let (low, high) = ((low * 100.0).round() as i64, (high * 100.0).round() as i64);
        self.between(low, high) as f64 / 100.0
    }

    /// Yes, so many times of a hundred.
    pub fn of_100(&mut self, times: i64) -> bool {
        self.between(1, 100) <= times
    }

    /// One of many; `None` of none.
    pub fn one<'a, T>(&mut self, of: &'a [T]) -> Option<&'a T> {
        let last = i64::try_from(of.len()).unwrap() - 1;
        if last < 0 {
            return None;
        }
        of.get(usize::try_from(self.between(0, last)).unwrap())
    }

    /// One of many by their weights.
    pub fn weighed<T: Copy>(&mut self, of: &[(i64, T)]) -> T {
        let all: i64 = of.iter().map(|(weight, _)| weight).sum();
        let mut at = self.between(1, all);
        for (weight, what) in of {
            at -= weight;
            if at <= 0 {
                return *what;
            }
        }
        unreachable!("the weights sum to their sum")
    }
}
