//! Temperatures and temperature differences: two types, since 1.8 °C apart is not 35 °F.

use super::number::{decimal, fixed};
use super::{Refused, Units};

/// A temperature in °C, from −40 to 200.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, sqlx::Type)]
#[sqlx(transparent)]
pub struct Celsius(f64);

/// A difference of two temperatures, in °C (kelvin).
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct CelsiusDifference(f64);

impl Celsius {
    /// The temperature of this many °C.
    ///
    /// # Errors
    /// Outside −40 to 200 °C, or not a number.
    pub fn new(value: f64) -> Result<Self, Refused> {
        if (-40.0..=200.0).contains(&value) {
            Ok(Self(value))
        } else {
            Err(Refused::new(
                "Please write a temperature from −40 to 200 °C (−40 to 392 °F).",
            ))
        }
    }

    /// Reads "68", "68 F", "20 °C", "20,5c"; a bare number is °F or °C. F = 1.8 C + 32 exactly
    /// (NIST SP 811).
    ///
    /// # Errors
    /// Not a temperature, or outside the range.
    pub fn parse(text: &str, units: Units) -> Result<Self, Refused> {
        let shown = text.trim();
        let (number, unit) = match shown.chars().last() {
            Some('F' | 'f') => (shown.get(..shown.len() - 1).unwrap_or_default(), Units::Us),
            Some('C' | 'c') => (
                shown.get(..shown.len() - 1).unwrap_or_default(),
                Units::Metric,
            ),
            _ => (shown, units),
        };
        let value = decimal(number.trim_end().trim_end_matches('°'))?;
        Self::new(match unit {
            Units::Us => (value - 32.0) / 1.8,
            Units::Metric => value,
        })
    }

    /// The value in °C.
    pub const fn get(self) -> f64 {
        self.0
    }

    /// The value in °F.
    pub fn fahrenheit(self) -> f64 {
        1.8 * self.0 + 32.0
    }

    /// The temperature with one decimal and its unit.
    pub fn show(self, units: Units) -> String {
        match units {
            Units::Us => format!("{} °F", fixed(self.fahrenheit(), 1, units)),
            Units::Metric => format!("{} °C", fixed(self.0, 1, units)),
        }
    }

    /// The number alone, as a box is prefilled.
    pub fn typed(self, units: Units) -> String {
        match units {
            Units::Us => format!("{:.1}", self.fahrenheit()),
            Units::Metric => format!("{:.1}", self.0),
        }
    }

    /// How far this is above another temperature.
    pub fn above(self, other: Self) -> CelsiusDifference {
        CelsiusDifference(self.0 - other.0)
    }
}

impl CelsiusDifference {
    /// The difference of this many °C.
    pub const fn new(value: f64) -> Self {
        Self(value)
    }

    /// The value in °C (kelvin).
    pub const fn get(self) -> f64 {
        self.0
    }

    /// With one decimal and its unit: 1 °C of difference is 1.8 °F, without the 32.
    pub fn show(self, units: Units) -> String {
        match units {
            Units::Us => format!("{} °F", fixed(1.8 * self.0, 1, units)),
            Units::Metric => format!("{} °C", fixed(self.0, 1, units)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fahrenheit_and_celsius_are_read_alike() {
        let read = |t, u| Celsius::parse(t, u).unwrap().get();
        assert!((read("68", Units::Us) - 20.0).abs() < 1e-12);
        assert!((read("20 °C", Units::Us) - 20.0).abs() < 1e-12);
        assert!((read("68F", Units::Metric) - 20.0).abs() < 1e-12);
        assert!((read("-40", Units::Us) + 40.0).abs() < 1e-12);
        for typed in ["", "hot", "500", "°", "C"] {
            assert!(Celsius::parse(typed, Units::Us).is_err(), "{typed}");
        }
    }
}
