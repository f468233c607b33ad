//! Lengths: of rows in metres, of jars and paper in millimetres.

use super::number::{Spelled, fixed, measure};
use super::two_ways::ask_of_point;
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
/// Inches. From here on `base` is in millimetres, above in metres.
const IN: Spelled = Spelled {
    names: &["in", "inch", "inches"],
    base: 25.4,
};
const CM: Spelled = Spelled {
    names: &[
        "cm",
        "centimetre",
        "centimetres",
        "centimeter",
        "centimeters",
    ],
    base: 10.0,
};
const MM: Spelled = Spelled {
    names: &[
        "mm",
        "millimetre",
        "millimetres",
        "millimeter",
        "millimeters",
    ],
    base: 1.0,
};

/// A length in metres, 0 to 100 km. Conversions exact (NIST Handbook 44, Appendix C).
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, sqlx::Type)]
#[sqlx(transparent)]
pub struct Metres(f64);

impl Metres {
    /// Reads "300", "300 ft", "91,4 m"; a bare number is feet or metres. "1.200" of who reads metric units is asked about.
    ///
    /// # Errors
    /// Not a length, or outside 0 to 100 km, or a number that can be read two ways.
    pub fn parse(text: &str, units: Units) -> Result<Self, Refused> {
        let default = match units {
            Units::Us => FT,
            Units::Metric => M,
        };
        let read = |text: &str| Self::new(measure(text, units, &default, &[YD, FT, M])?);
        if units == Units::Metric {
            ask_of_point(text, |other| read(other).is_ok())?;
        }
        read(text)
    }

    /// The length of this many metres.
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

    /// The bare number as a box is prefilled with it, to a tenth of a foot or metre.
    pub fn typed(self, units: Units) -> String {
        let number = match units {
            Units::Us => self.0 / 0.3048,
            Units::Metric => self.0,
        };
        let text = format!("{number:.1}");
        text.strip_suffix(".0").unwrap_or(&text).to_owned()
    }

    /// A whole number of feet or metres, with the unit.
    pub fn show(self, units: Units) -> String {
        match units {
            Units::Us => format!("{} ft", fixed(self.0 / 0.3048, 0, units)),
            Units::Metric => format!("{} m", fixed(self.0, 0, units)),
        }
    }
}

/// A side of a jar or a sheet in millimetres, above 0 and up to 2 m. Conversions exact (NIST
/// Handbook 44, Appendix C).
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Millimetres(f64);

impl Millimetres {
    /// Reads "4", "4 in", "10,2 cm", "102 mm"; a bare number is inches or millimetres.
    ///
    /// # Errors
    /// Not a length, or not above 0 and up to 2 m.
    pub fn parse(text: &str, units: Units) -> Result<Self, Refused> {
        let default = match units {
            Units::Us => IN,
            Units::Metric => MM,
        };
        let millimetres = measure(text, units, &default, &[IN, CM, MM])?;
        if millimetres > 0.0 && millimetres <= 2000.0 {
            Ok(Self(millimetres))
        } else {
            Err(Refused::new(
                "Please write a length above 0 and up to 2 m (78 in).",
            ))
        }
    }

    /// The value in millimetres.
    pub const fn get(self) -> f64 {
        self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_side_of_a_jar_is_read_in_inches_centimetres_and_millimetres() {
        let mm = |text, units| Millimetres::parse(text, units).map(Millimetres::get);
        for (text, units, read) in [
            ("4", Units::Us, 101.6),
            ("4", Units::Metric, 4.0),
            (" 2.5 in ", Units::Metric, 63.5),
            ("10,2 cm", Units::Us, 102.0),
            ("76mm", Units::Us, 76.0),
        ] {
            assert!((mm(text, units).unwrap() - read).abs() < 1e-9, "{text}");
        }
        for text in ["", "0", "-3", "3 lb", "80 in", "tall"] {
            assert!(mm(text, Units::Us).is_err(), "{text}");
        }
    }
}
