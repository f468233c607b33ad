//! Pounds as a scale shows them. Kept beside grams, so that a sum in pounds is the one a pencil makes.

use super::number::fixed;
use super::{Grams, Units};
use std::iter::Sum;
use std::ops::Sub;

/// Hundred-thousandths of a gram in a pound, exactly (NIST Handbook 44, Appendix C: 453.59237 g).
const LB_HUNDRED_THOUSANDTHS_G: i128 = 45_359_237;
/// Hundred-thousandths in a gram times ten-thousandths in a pound.
const SCALE: i128 = 1_000_000_000;

/// Ten-thousandths of an avoirdupois pound: hundredths and sixteenths are exact.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, sqlx::Type)]
#[sqlx(transparent)]
pub struct Pounds(i64);

/// `above ÷ below` to the nearest whole number, halves upward.
pub(super) fn nearest(above: i128, below: i128) -> i64 {
    i64::try_from((2 * above + below).div_euclid(2 * below)).unwrap_or(i64::MAX)
}

impl Pounds {
    /// Zero pounds.
    pub const ZERO: Self = Self(0);

    /// The mass of this many ten-thousandths of a pound.
    pub const fn new(ten_thousandths: i64) -> Self {
        Self(ten_thousandths)
    }

    /// The count of ten-thousandths of a pound.
    pub const fn get(self) -> i64 {
        self.0
    }

    /// A mass in pounds, to the nearest ten-thousandth.
    pub fn of(mass: Grams) -> Self {
        Self(nearest(
            i128::from(mass.get()) * SCALE,
            LB_HUNDRED_THOUSANDTHS_G,
        ))
    }

    /// The scale's reading, in steps of `step`, that was kept as these whole grams. `None`: no reading comes to
    /// them. A gram is less than a four-hundredth of a pound, so with steps no finer there is one at most.
    pub fn read(kept: Grams, step: Self) -> Option<Self> {
        let exact = i128::from(kept.get()) * SCALE;
        let steps = nearest(exact, LB_HUNDRED_THOUSANDTHS_G * i128::from(step.0.max(1)));
        let read = Self(steps.saturating_mul(step.0));
        (read.grams() == kept).then_some(read)
    }

    /// The mass in whole grams, to the nearest, halves upward.
    pub fn grams(self) -> Grams {
        Grams::new(nearest(
            i128::from(self.0) * LB_HUNDRED_THOUSANDTHS_G,
            SCALE,
        ))
    }

    /// The number with as many decimals as it has, one at least: "417.5".
    pub(super) fn digits(self) -> String {
        ten_thousandths(self.0)
    }

    /// "417.5 lb": as many decimals as it has, one at least.
    pub fn show(self) -> String {
        format!("{} lb", self.digits())
    }
}

/// Ten-thousandths as a decimal number of one to four decimals, thousands set apart by commas.
pub(super) fn ten_thousandths(count: i64) -> String {
    #[expect(
        clippy::cast_precision_loss,
        reason = "amounts here are far below 2^53"
    )]
    let text = fixed(count as f64 / 10_000.0, 4, Units::Us);
    let cut = text.trim_end_matches('0');
    if cut.ends_with('.') {
        format!("{cut}0")
    } else {
        cut.to_owned()
    }
}

impl Sub for Pounds {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}
impl Sum for Pounds {
    fn sum<I: Iterator<Item = Self>>(parts: I) -> Self {
        Self(parts.map(Self::get).sum())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn pounds_come_to_the_grams_of_a_pencil() {
        // 417.5 × 453.59237 = 189,374.814…
        assert_eq!(Pounds::new(4_175_000).grams(), Grams::new(189_375));
        assert_eq!(Pounds::of(Grams::new(453_592)).show(), "999.9992 lb");
        assert_eq!(Pounds::new(4_175_000).show(), "417.5 lb");
        assert_eq!(Pounds::new(12_180_000).show(), "1,218.0 lb");
    }

    proptest! {
        #[test]
        fn prop_what_was_read_is_found_again_from_its_grams(hundredths in 0_i64..8_000_000, sixteenth in 0_i64..16) {
            let decimal = Pounds::new(hundredths * 100);
            prop_assert_eq!(Pounds::read(decimal.grams(), Pounds::new(100)), Some(decimal));
            let ounces = Pounds::new(hundredths / 100 * 10_000 + sixteenth * 625);
            prop_assert_eq!(Pounds::read(ounces.grams(), Pounds::new(625)), Some(ounces));
        }
    }
}
