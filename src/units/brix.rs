//! Degrees Brix. What the instrument showed and what it means at 20 °C are different types, so a
//! raw reading can never reach the split.

use super::number::{decimal, fixed};
use super::{Refused, Units};

/// A refractometer reading as it was read: percent by mass, 0 to 95, not corrected.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, sqlx::Type)]
#[sqlx(transparent)]
pub struct BrixRead(f64);

/// Dissolved solids at 20 °C: percent by mass, 0 to 95. Made by `calc::physics::refractometer` from a reading.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, sqlx::Type)]
#[sqlx(transparent)]
pub struct BrixAt20C(f64);

/// Highest Brix this house believes of anything in a pan.
const MAX: f64 = 95.0;

fn checked(value: f64) -> Result<f64, Refused> {
    if (0.0..=MAX).contains(&value) {
        Ok(value)
    } else {
        Err(Refused::new(
            "Please write a Brix from 0 to 95: fresh juice reads about 10 to 20, syrup 74 to 80.",
        ))
    }
}

impl BrixRead {
    /// The reading of this many °Bx.
    ///
    /// # Errors
    /// Outside 0 to 95, or not a number.
    pub fn new(value: f64) -> Result<Self, Refused> {
        checked(value).map(Self)
    }

    /// Reads what was typed, "15.4" or "15,4 Bx".
    ///
    /// # Errors
    /// Not a number, or outside 0 to 95.
    pub fn parse(text: &str) -> Result<Self, Refused> {
        let bare = text.trim().trim_end_matches(['%', '°']).trim_end();
        let bare = bare
            .strip_suffix("Bx")
            .or_else(|| bare.strip_suffix("bx"))
            .unwrap_or(bare);
        Self::new(decimal(bare.trim_end().trim_end_matches('°'))?)
    }

    /// The value in °Bx.
    pub const fn get(self) -> f64 {
        self.0
    }

    /// The Brix with one decimal and its unit.
    pub fn show(self) -> String {
        format!("{} °Bx", fixed(self.0, 1, Units::Us))
    }

    /// The number alone, as a box is prefilled.
    pub fn typed(self) -> String {
        format!("{:.1}", self.0)
    }
}

impl BrixAt20C {
    /// Dissolved solids of this many percent by mass at 20 °C.
    ///
    /// # Errors
    /// Outside 0 to 95, or not a number.
    pub fn new(value: f64) -> Result<Self, Refused> {
        checked(value).map(Self)
    }

    /// The value in percent by mass.
    pub const fn get(self) -> f64 {
        self.0
    }

    /// The Brix with two decimals and its unit, for sums on paper.
    pub fn show(self) -> String {
        format!("{:.2} °Bx", self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_brix_of_160_or_eighteen_is_refused() {
        for typed in ["160", "eighteen", "-1", "", "95.1"] {
            assert!(BrixRead::parse(typed).is_err(), "{typed}");
        }
        for typed in ["15.4", "15,4", "15.4 Bx", "15.4 °Bx", "15.4%"] {
            assert!(
                (BrixRead::parse(typed).unwrap().get() - 15.4).abs() < 1e-12,
                "{typed}"
            );
        }
    }
}
