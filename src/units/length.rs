//! Lengths of row, in metres.

use super::number::{Spelled, fixed, measure};
use super::{Refused, Units};

const FT: Spelled = Spelled {
    names: &["ft", "foot", "feet"],
    base: 0.3048,
};
const YD: Spelled = Spelled {
    names: &["yd", "yard", "yards"],
    base: 0.9144,
};
const M: Spelled = Spelled {
    names: &["m", "metre", "metres", "meter", "meters"],
    base: 1.0,
};

/// A length in metres, 0 to 100 km. Conversions exact (NIST Handbook 44, Appendix C).
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, sqlx::Type)]
#[sqlx(transparent)]
pub struct Metres(f64);

impl Metres {
    /// Reads "300", "300 ft", "91,4 m"; a bare number is feet or metres.
    ///
    /// # Errors
    /// Not a length, or outside 0 to 100 km.
    pub fn parse(text: &str, units: Units) -> Result<Self, Refused> {
        let default = match units {
            Units::Us => FT,
            Units::Metric => M,
        };
        Self::new(measure(text, &default, &[YD, FT, M])?)
    }

    /// So many metres.
    ///
    /// # Errors
    /// Outside 0 to 100 km.
    pub fn new(metres: f64) -> Result<Self, Refused> {
        if (0.0..=100_000.0).contains(&metres) {
            Ok(Self(metres))
        } else {
            Err(Refused::new(
                "Please write a length of row up to 100 km (328,000 ft).",
            ))
        }
    }

    /// The value in metres.
    pub const fn get(self) -> f64 {
        self.0
    }

    /// A whole number of feet or metres, with the unit.
    pub fn show(self, units: Units) -> String {
        match units {
            Units::Us => format!("{} ft", fixed(self.0 / 0.3048, 0, units)),
            Units::Metric => format!("{} m", fixed(self.0, 0, units)),
        }
    }
}
