//! Percentages as whole hundredths of a percent, so that a toll divides exactly.

use super::Refused;
use super::number::decimal;

/// Hundredths of a percent, 0 (nothing) to 10,000 (all).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, sqlx::Type)]
#[sqlx(transparent)]
pub struct BasisPoints(i64);

impl BasisPoints {
    /// Zero percent.
    pub const ZERO: Self = Self(0);
    /// The points that make up the whole.
    pub const ALL: i64 = 10_000;

    /// The share of this many hundredths of a percent.
    ///
    /// # Errors
    /// Outside 0 to 10,000.
    pub fn new(points: i64) -> Result<Self, Refused> {
        if (0..=Self::ALL).contains(&points) {
            Ok(Self(points))
        } else {
            Err(Refused::new("Please write a percentage from 0 to 100."))
        }
    }

    /// Reads a percentage: "12.5", "33,33 %".
    ///
    /// # Errors
    /// Not a percentage from 0 to 100, or with more than two decimals.
    pub fn parse(text: &str) -> Result<Self, Refused> {
        let value = decimal(text.trim().trim_end_matches('%'))? * 100.0;
        if (value - value.round()).abs() > 1e-6 || !(0.0..=10_000.0).contains(&value) {
            return Err(Refused::new(
                "Please write a percentage from 0 to 100, like 12.5.",
            ));
        }
        #[expect(
            clippy::cast_possible_truncation,
            reason = "checked to be whole and small just above"
        )]
        Ok(Self(value.round() as i64))
    }

    /// The count of hundredths of a percent.
    pub const fn get(self) -> i64 {
        self.0
    }

    /// The number alone, as a box is prefilled: "12.5".
    pub fn typed(self) -> String {
        let text = format!("{}.{:02}", self.0 / 100, self.0 % 100);
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    }

    /// The share in words: "12.5 %".
    pub fn show(self) -> String {
        format!("{} %", self.typed())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_toll_above_100_percent_is_refused() {
        assert!(BasisPoints::parse("100.01").is_err());
        assert!(BasisPoints::parse("-1").is_err());
        assert_eq!(BasisPoints::parse("33,33 %").unwrap().show(), "33.33 %");
        assert_eq!(BasisPoints::parse("10").unwrap().show(), "10 %");
    }
}
