//! The air over the pan: its pressure and the height of the place.

use super::number::{Spelled, fixed, measure};
use super::{Refused, Units};

/// Hectopascals in one conventional inch of mercury: 25.4 mm × 13595.1 kg/m³ × 9.80665 m/s²
/// (NIST SP 811).
const IN_HG_HPA: f64 = 33.863_886_403_41;

const IN_HG: Spelled = Spelled {
    names: &["inhg", "in hg", "in", "inches"],
    base: IN_HG_HPA,
};
const HPA: Spelled = Spelled {
    names: &["hpa", "mb", "mbar"],
    base: 1.0,
};
const FT: Spelled = Spelled {
    names: &["ft", "foot", "feet"],
    base: 0.3048,
};
const M: Spelled = Spelled {
    names: &["m", "metre", "metres", "meter", "meters"],
    base: 1.0,
};

/// A pressure of the air, in hPa, from 500 to 1100.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, sqlx::Type)]
#[sqlx(transparent)]
pub struct Hectopascals(f64);

/// A height above the sea in metres, from −500 to 5000.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, sqlx::Type)]
#[sqlx(transparent)]
pub struct Altitude(f64);

impl Hectopascals {
    /// The pressure of this many hPa.
    ///
    /// # Errors
    /// Outside 500 to 1100 hPa, or not a number.
    pub fn new(value: f64) -> Result<Self, Refused> {
        if (500.0..=1100.0).contains(&value) {
            Ok(Self(value))
        } else {
            Err(Refused::new(
                "Please write an air pressure from 500 to 1100 hPa (14.8 to 32.4 inHg).",
            ))
        }
    }

    /// Reads "29.92", "1013 hPa", "29,1 inHg"; a bare number is inches of mercury or hPa.
    ///
    /// # Errors
    /// Not a pressure, or outside the range.
    pub fn parse(text: &str, units: Units) -> Result<Self, Refused> {
        let default = match units {
            Units::Us => IN_HG,
            Units::Metric => HPA,
        };
        Self::new(measure(text, units, &default, &[IN_HG, HPA])?)
    }

    /// The value in hPa.
    pub const fn get(self) -> f64 {
        self.0
    }
}

impl Altitude {
    /// The height of this many metres.
    ///
    /// # Errors
    /// Outside −500 to 5000 m, or not a number.
    pub fn new(value: f64) -> Result<Self, Refused> {
        if (-500.0..=5000.0).contains(&value) {
            Ok(Self(value))
        } else {
            Err(Refused::new(
                "Please write a height above the sea from −500 to 5000 m (−1600 to 16,400 ft).",
            ))
        }
    }

    /// Reads "1000", "1000 ft", "305 m"; a bare number is feet or metres.
    ///
    /// # Errors
    /// Not a height, or outside the range.
    pub fn parse(text: &str, units: Units) -> Result<Self, Refused> {
        let default = match units {
            Units::Us => FT,
            Units::Metric => M,
        };
        Self::new(measure(text, units, &default, &[FT, M])?)
    }

    /// The value in metres.
    pub const fn get(self) -> f64 {
        self.0
    }

    /// A whole number of feet or metres, with the unit.
    pub fn show(self, units: Units) -> String {
        match units {
            Units::Us => format!("{} ft", fixed(self.0 / FT.base, 0, units)),
            Units::Metric => format!("{} m", fixed(self.0, 0, units)),
        }
    }

    /// The number alone, as a box is prefilled.
    pub fn typed(self, units: Units) -> String {
        match units {
            Units::Us => format!("{:.0}", self.0 / FT.base),
            Units::Metric => format!("{:.0}", self.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pressures_are_read_in_inches_and_hectopascals() {
        let read = |t, u| Hectopascals::parse(t, u).unwrap().get();
        assert!((read("29.92", Units::Us) - 1013.207).abs() < 0.01);
        assert!((read("1013 hPa", Units::Us) - 1013.0).abs() < 1e-9);
        assert!((read("980,5", Units::Metric) - 980.5).abs() < 1e-9);
        for typed in ["", "29.92 psi", "2992", "low"] {
            assert!(Hectopascals::parse(typed, Units::Us).is_err(), "{typed}");
        }
    }

    #[test]
    fn heights_are_read_in_feet_and_metres() {
        let read = |t, u| Altitude::parse(t, u).unwrap().get();
        assert!((read("1000", Units::Us) - 304.8).abs() < 1e-9);
        assert!((read("305 m", Units::Us) - 305.0).abs() < 1e-9);
        assert!((read("-10", Units::Metric) + 10.0).abs() < 1e-9);
        assert!(Altitude::parse("9000", Units::Metric).is_err());
    }
}
