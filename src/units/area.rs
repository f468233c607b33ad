//! Areas: the boiling surface of a pan.

use super::number::{Spelled, fixed, measure};
use super::{Refused, Units};

/// Square metres in one square foot, exactly: 0.3048² (NIST Handbook 44, Appendix C).
const FT2_M2: f64 = 0.092_903_04;

const FT2: Spelled = Spelled {
    names: &[
        "sq ft",
        "sqft",
        "sq. ft",
        "ft²",
        "square feet",
        "square foot",
    ],
    base: FT2_M2,
};
const IN2: Spelled = Spelled {
    names: &[
        "sq in",
        "sqin",
        "sq. in",
        "in²",
        "square inches",
        "square inch",
    ],
    base: FT2_M2 / 144.0,
};
const M2: Spelled = Spelled {
    names: &[
        "m²",
        "sq m",
        "sqm",
        "sq. m",
        "square metres",
        "square metre",
        "square meters",
        "square meter",
    ],
    base: 1.0,
};

/// An area in square metres, 0 to 1000. Conversions exact.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, sqlx::Type)]
#[sqlx(transparent)]
pub struct SquareMetres(f64);

impl SquareMetres {
    /// The area of this many m².
    ///
    /// # Errors
    /// Outside 0 to 1000 m², or not a number.
    pub fn new(value: f64) -> Result<Self, Refused> {
        if (0.0..=1000.0).contains(&value) {
            Ok(Self(value))
        } else {
            Err(Refused::new(
                "Please write an area up to 1000 m² (10,760 sq ft).",
            ))
        }
    }

    /// Reads "24", "24 sq ft", "2,2 m2", "3456 sq in"; a bare number is square feet or square
    /// metres.
    ///
    /// # Errors
    /// Not an area, or outside 0 to 1000 m².
    pub fn parse(text: &str, units: Units) -> Result<Self, Refused> {
        let default = match units {
            Units::Us => FT2,
            Units::Metric => M2,
        };
        // A raised two may be typed as a plain one; a digit would else begin a new part.
        let text = text
            .to_lowercase()
            .replace("ft2", "ft²")
            .replace("in2", "in²")
            .replace("m2", "m²");
        Self::new(measure(&text, units, &default, &[FT2, IN2, M2])?)
    }

    /// Area in m².
    pub const fn get(self) -> f64 {
        self.0
    }

    /// Area in square feet.
    pub fn sq_ft(self) -> f64 {
        self.0 / FT2_M2
    }

    /// The area with its unit: one decimal of sq ft, or two of m².
    pub fn show(self, units: Units) -> String {
        match units {
            Units::Us => format!("{} sq ft", fixed(self.sq_ft(), 1, units)),
            Units::Metric => format!("{} m²", fixed(self.0, 2, units)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn square_feet_and_square_metres_are_read_alike() {
        let read = |t, u| SquareMetres::parse(t, u).unwrap().get();
        // NIST Handbook 44, Appendix C: 1 square foot is 0.092 903 04 m², 1 square inch 6.4516 cm².
        assert!((read("1", Units::Us) - 0.092_903_04).abs() < 1e-15);
        assert!((read("1 sq in", Units::Metric) - 0.000_645_16).abs() < 1e-15);
        assert!((read("24 ft2", Units::Metric) - 2.229_672_96).abs() < 1e-12);
        assert!((read("2,25 m2", Units::Metric) - 2.25).abs() < 1e-12);
        assert!((read("2.25 Sq M", Units::Us) - 2.25).abs() < 1e-12);
        for typed in ["", "big", "24 ft", "-1", "2000 m²", "3 x 8 ft", "2,25 m2"] {
            assert!(SquareMetres::parse(typed, Units::Us).is_err(), "{typed}");
        }
    }

    #[test]
    fn an_area_is_shown_with_its_unit() {
        let pan = SquareMetres::parse("24", Units::Us).unwrap();
        assert_eq!(pan.show(Units::Us), "24.0 sq ft");
        assert_eq!(pan.show(Units::Metric), "2.23 m²");
    }
}
