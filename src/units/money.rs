//! Money in whole cents; rates in thousandths of a cent, so that 2.25 cents a pound is exact.

use super::number::{decimal, decimal_in, fixed};
use super::{Refused, Units};
use std::iter::Sum;
use std::ops::{Add, Neg, Sub};

/// Whole cents; negative where it is owed to a member.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, sqlx::Type)]
#[sqlx(transparent)]
pub struct Cents(i64);

/// A rate in thousandths of a cent per unit, 0 to 100 dollars.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, sqlx::Type)]
#[sqlx(transparent)]
pub struct MilliCents(i64);

impl Cents {
    /// Zero cents.
    pub const ZERO: Self = Self(0);

    /// The amount of this many cents.
    pub const fn new(cents: i64) -> Self {
        Self(cents)
    }

    /// The number of cents.
    pub const fn get(self) -> i64 {
        self.0
    }

    /// Reads dollars and cents: "12", "12.50", "$12,50".
    ///
    /// # Errors
    /// Not an amount, below zero, above a million, or with more than two decimals.
    pub fn parse(text: &str) -> Result<Self, Refused> {
        let value = decimal_in(text.trim().trim_start_matches('$'), Units::Us)? * 100.0;
        if !(0.0..=100_000_000.0).contains(&value) || (value - value.round()).abs() > 1e-6 {
            return Err(Refused::new(
                "Please write dollars and cents, like 12.50, up to 1,000,000.",
            ));
        }
        #[expect(
            clippy::cast_possible_truncation,
            reason = "checked to be whole and small just above"
        )]
        Ok(Self(value.round() as i64))
    }

    /// "$12.50", with the minus in front.
    #[expect(
        clippy::cast_precision_loss,
        reason = "amounts here are far below 2^53 cents"
    )]
    pub fn show(self) -> String {
        let text = fixed((self.0.abs()) as f64 / 100.0, 2, Units::Us);
        if self.0 < 0 {
            format!("−${text}")
        } else {
            format!("${text}")
        }
    }

    /// The number alone, as a box is prefilled.
    pub fn typed(self) -> String {
        format!("{}.{:02}", self.0 / 100, self.0.abs() % 100)
    }
}

impl MilliCents {
    /// A rate of zero.
    pub const ZERO: Self = Self(0);

    /// The rate of this many thousandths of a cent.
    pub const fn new(thousandths: i64) -> Self {
        Self(thousandths)
    }

    /// The count of thousandths of a cent.
    pub const fn get(self) -> i64 {
        self.0
    }

    /// Reads cents per unit: "2.25", "3".
    ///
    /// # Errors
    /// Not a number of cents from 0 to 10,000, or with more than three decimals.
    pub fn parse(text: &str) -> Result<Self, Refused> {
        let value = decimal(text.trim().trim_end_matches('¢'))? * 1000.0;
        if !(0.0..=10_000_000.0).contains(&value) || (value - value.round()).abs() > 1e-6 {
            return Err(Refused::new(
                "Please write cents, like 2.25, from 0 to 10,000.",
            ));
        }
        #[expect(
            clippy::cast_possible_truncation,
            reason = "checked to be whole and small just above"
        )]
        Ok(Self(value.round() as i64))
    }

    /// Reads dollars per unit: "4.00", "$3.5".
    ///
    /// # Errors
    /// Not a number of dollars from 0 to 100, or with more than five decimals.
    pub fn parse_dollars(text: &str) -> Result<Self, Refused> {
        let value = decimal(text.trim().trim_start_matches('$'))? * 100_000.0;
        if !(0.0..=10_000_000.0).contains(&value) || (value - value.round()).abs() > 1e-6 {
            return Err(Refused::new(
                "Please write dollars, like 4.00, from 0 to 100.",
            ));
        }
        #[expect(
            clippy::cast_possible_truncation,
            reason = "checked to be whole and small just above"
        )]
        Ok(Self(value.round() as i64))
    }

    /// The number of dollars alone, as a box is prefilled: "4.00", "0.00125".
    pub fn typed_dollars(self) -> String {
        let text = format!("{}.{:05}", self.0 / 100_000, self.0 % 100_000);
        let (cents, finer) = text.split_at(text.len() - 3);
        format!("{cents}{}", finer.trim_end_matches('0'))
    }

    /// The rate in words: "2.25 ¢".
    pub fn show(self) -> String {
        format!("{} ¢", self.typed())
    }

    /// The number alone, as a box is prefilled.
    pub fn typed(self) -> String {
        let text = format!("{}.{:03}", self.0 / 1000, self.0 % 1000);
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    }
}

impl Add for Cents {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}
impl Sub for Cents {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}
impl Neg for Cents {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}
impl Sum for Cents {
    fn sum<I: Iterator<Item = Self>>(parts: I) -> Self {
        parts.fold(Self::ZERO, Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_are_read_and_shown() {
        assert_eq!(Cents::parse("$12,50").unwrap(), Cents(1250));
        assert_eq!(Cents::parse("12.505").ok(), None);
        assert_eq!(Cents(-1250).show(), "−$12.50");
        assert_eq!(MilliCents::parse("2.25").unwrap().show(), "2.25 ¢");
    }

    #[test]
    fn a_price_in_dollars_is_read_and_typed_again_exactly() {
        let price = |text| MilliCents::parse_dollars(text);
        assert_eq!(price("$4.00").unwrap(), MilliCents(400_000));
        assert_eq!(price("4").unwrap().show(), "400 ¢");
        assert_eq!(price("100").unwrap(), MilliCents(10_000_000));
        for refused in ["100.01", "-1", "0.000005", "four"] {
            assert!(price(refused).is_err(), "{refused}");
        }
        for typed in ["0.00", "4.00", "0.04", "3.125", "0.00125"] {
            assert_eq!(price(typed).unwrap().typed_dollars(), typed);
        }
    }
}
