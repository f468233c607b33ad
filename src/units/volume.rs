//! Volume in whole millilitres, at the temperature it was read at.

use super::number::{Spelled, fixed, measure};
use super::{Refused, Units};
use std::iter::Sum;
use std::ops::{Add, Sub};

/// Millilitres in one US liquid gallon, exactly (NIST Handbook 44, Appendix C: 231 cubic inches).
pub(super) const GAL_ML: f64 = 3_785.411_784;
/// Millilitres in one US liquid quart, exactly a quarter of the gallon.
const QT_ML: f64 = GAL_ML / 4.0;
/// Millilitres in one US fluid ounce, exactly 1/128 of the gallon.
const FL_OZ_ML: f64 = 29.573_529_562_5;

const GAL: Spelled = Spelled {
    names: &["gal", "gallon", "gallons"],
    base: GAL_ML,
};
const QT: Spelled = Spelled {
    names: &["qt", "qts", "quart", "quarts"],
    base: QT_ML,
};
const PT: Spelled = Spelled {
    names: &["pt", "pint", "pints"],
    base: GAL_ML / 8.0,
};
const FL_OZ: Spelled = Spelled {
    names: &["fl oz", "floz", "fl. oz", "fluid ounce", "fluid ounces"],
    base: FL_OZ_ML,
};
const L: Spelled = Spelled {
    names: &["l", "litre", "litres", "liter", "liters"],
    base: 1000.0,
};
const ML: Spelled = Spelled {
    names: &[
        "ml",
        "millilitre",
        "millilitres",
        "milliliter",
        "milliliters",
    ],
    base: 1.0,
};

/// A volume in whole millilitres.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, sqlx::Type)]
#[sqlx(transparent)]
pub struct Millilitres(i64);

impl Millilitres {
    /// Zero millilitres.
    pub const ZERO: Self = Self(0);
    /// Largest tank this house believes: 20,000 L.
    pub const MAX: Self = Self(20_000_000);

    /// The volume of this many millilitres.
    pub const fn new(ml: i64) -> Self {
        Self(ml)
    }

    /// The number of millilitres.
    pub const fn get(self) -> i64 {
        self.0
    }

    /// Rounds a measured volume (mL, finite) to the nearest millilitre.
    pub fn nearest(ml: f64) -> Self {
        #[expect(
            clippy::cast_possible_truncation,
            reason = "`as` saturates; callers hold checked volumes"
        )]
        Self(ml.round() as i64)
    }

    /// Volume in millilitres as a float, for formulas.
    #[expect(
        clippy::cast_precision_loss,
        reason = "volumes here are far below 2^53 mL"
    )]
    pub fn as_f64(self) -> f64 {
        self.0 as f64
    }

    /// Volume in litres, for formulas.
    pub fn litres(self) -> f64 {
        self.as_f64() / 1000.0
    }

    /// Volume in US gallons, for formulas.
    pub fn gal(self) -> f64 {
        self.as_f64() / GAL_ML
    }

    /// Reads a volume such as "55", "13 gal 2 qt", "208,2 L"; a bare number is gallons or litres.
    ///
    /// # Errors
    /// Not a volume, or outside 0 to 20,000 L.
    pub fn parse(text: &str, units: Units) -> Result<Self, Refused> {
        let default = match units {
            Units::Us => GAL,
            Units::Metric => L,
        };
        let ml = measure(text, units, &default, &[GAL, QT, PT, FL_OZ, L, ML])?;
        if (0.0..=Self::MAX.as_f64()).contains(&ml) {
            Ok(Self::nearest(ml))
        } else {
            Err(Refused::new(match units {
                Units::Us => "Please write a volume from 0 to 5,280 gal.",
                Units::Metric => "Please write a volume from 0 to 20 000 L.",
            }))
        }
    }

    /// The volume in words, with one decimal of gal or L.
    pub fn show(self, units: Units) -> String {
        match units {
            Units::Us => format!("{} gal", fixed(self.gal(), 1, units)),
            Units::Metric => format!("{} L", fixed(self.litres(), 1, units)),
        }
    }

    /// The number alone, as a box is prefilled: gallons or litres, with as few decimals (at most
    /// four) as read back to the same millilitre.
    pub fn typed(self, units: Units) -> String {
        let (value, unit_ml) = match units {
            Units::Us => (self.gal(), GAL_ML),
            Units::Metric => (self.litres(), 1000.0),
        };
        for decimals in 0..4 {
            let text = format!("{value:.decimals$}");
            let back = text.parse::<f64>().map(|v| Self::nearest(v * unit_ml));
            if back == Ok(self) {
                return text;
            }
        }
        format!("{value:.4}")
    }
}

impl Add for Millilitres {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}
impl Sub for Millilitres {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}
impl Sum for Millilitres {
    fn sum<I: Iterator<Item = Self>>(parts: I) -> Self {
        parts.fold(Self::ZERO, Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn gallons_quarts_and_fluid_ounces_are_read() {
        let read = |t| Millilitres::parse(t, Units::Us).unwrap().get();
        assert_eq!(read("1"), 3785);
        assert_eq!(read("13 gal 2 qt"), 51_103);
        assert_eq!(read("6 fl oz"), 177);
        assert_eq!(read("2 L"), 2000);
        assert!(Millilitres::parse("6 oz", Units::Us).is_err());
    }

    #[test]
    fn a_box_is_filled_with_what_was_typed_into_it() {
        for typed in ["20", "18.2", "0.25"] {
            let read = Millilitres::parse(typed, Units::Us).unwrap();
            assert_eq!(read.typed(Units::Us), typed);
        }
    }

    proptest! {
        #[test]
        fn prop_what_a_box_is_prefilled_with_reads_back(ml in 0_i64..20_000_000, metric: bool) {
            let units = if metric { Units::Metric } else { Units::Us };
            prop_assert_eq!(Millilitres::parse(&Millilitres(ml).typed(units), units).unwrap().get(), ml);
        }
    }
}
