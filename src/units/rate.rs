//! Rates in the unit they were voted in, per pound or gallon or per kilogram or litre, and what they come to, exactly; and
//! cane per length of row, kept per metre. What a box is prefilled with always reads back to what was kept.

use super::mass::LB_G;
use super::number::{decimal, fixed};
use super::pounds::{self, nearest};
use super::volume::GAL_ML;
use super::{Cents, Grams, MilliCents, Millilitres, Pounds, Refused, Units};

/// Metres in one foot, exactly (NIST Handbook 44, Appendix C).
const FT_M: f64 = 0.3048;
/// The shortest of up to `most` decimals that `same` accepts, without a point of nothing.
fn shortest(value: f64, most: usize, same: impl Fn(&str) -> bool) -> String {
    (0..most)
        .map(|decimals| format!("{value:.decimals$}"))
        .find(|text| same(text))
        .unwrap_or_else(|| {
            let text = format!("{value:.most$}");
            text.trim_end_matches('0').trim_end_matches('.').to_owned()
        })
}

/// A unit that a fee or a price is voted in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RateUnit {
    /// A pound.
    Pound,
    /// A kilogram.
    Kilogram,
    /// A US gallon.
    Gallon,
    /// A litre.
    Litre,
}

impl RateUnit {
    /// The unit that cane and syrup are charged by in this system.
    pub const fn of_mass(units: Units) -> Self {
        match units {
            Units::Us => Self::Pound,
            Units::Metric => Self::Kilogram,
        }
    }

    /// The unit that juice is charged by in this system.
    pub const fn of_volume(units: Units) -> Self {
        match units {
            Units::Us => Self::Gallon,
            Units::Metric => Self::Litre,
        }
    }

    /// The sign of the unit: "lb", "kg", "gal", "L".
    pub const fn sign(self) -> &'static str {
        match self {
            Self::Pound => "lb",
            Self::Kilogram => "kg",
            Self::Gallon => "gal",
            Self::Litre => "L",
        }
    }

    /// The unit of the same kind in the other system, and how many of it make one of this.
    fn other(self) -> (Self, f64) {
        match self {
            Self::Pound => (Self::Kilogram, LB_G / 1000.0),
            Self::Kilogram => (Self::Pound, 1000.0 / LB_G),
            Self::Gallon => (Self::Litre, GAL_ML / 1000.0),
            Self::Litre => (Self::Gallon, 1000.0 / GAL_ML),
        }
    }

    const fn system(self) -> Units {
        match self {
            Self::Pound | Self::Gallon => Units::Us,
            Self::Kilogram | Self::Litre => Units::Metric,
        }
    }
}

/// An amount that is charged for, in the unit of its rate: a bill prints the very figure that is multiplied.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Measured {
    /// How many ten-thousandths of the unit.
    ten_thousandths: i64,
    /// Unit of the amount.
    unit: RateUnit,
}

impl Measured {
    /// Cane, as the scale read it in pounds and in grams, in the unit of a system.
    pub fn cane(grams: Grams, pounds: Pounds, units: Units) -> Self {
        match units {
            Units::Us => Self {
                ten_thousandths: pounds.get(),
                unit: RateUnit::Pound,
            },
            Units::Metric => Self::mass(grams, units),
        }
    }

    /// A mass kept in grams: pounds to the nearest ten-thousandth, kilograms exactly.
    pub fn mass(grams: Grams, units: Units) -> Self {
        let unit = RateUnit::of_mass(units);
        let ten_thousandths = match units {
            Units::Us => Pounds::of(grams).get(),
            Units::Metric => grams.get().saturating_mul(10),
        };
        Self {
            ten_thousandths,
            unit,
        }
    }

    /// A volume kept in millilitres: gallons to the nearest ten-thousandth, litres exactly.
    pub fn volume(ml: Millilitres, units: Units) -> Self {
        let unit = RateUnit::of_volume(units);
        let ten_thousandths = match units {
            // A gallon is 3,785.411784 mL.
            Units::Us => nearest(i128::from(ml.get()) * 10_000_000_000, 3_785_411_784),
            Units::Metric => ml.get().saturating_mul(10),
        };
        Self {
            ten_thousandths,
            unit,
        }
    }

    /// Unit of the amount.
    pub const fn unit(self) -> RateUnit {
        self.unit
    }

    /// "417.5 lb", "187.107 kg": pounds and gallons with as many decimals as there are, kilograms and litres with three.
    pub fn show(self, units: Units) -> String {
        let number = match self.unit.system() {
            Units::Us => pounds::ten_thousandths(self.ten_thousandths),
            #[expect(
                clippy::cast_precision_loss,
                reason = "amounts here are far below 2^53"
            )]
            Units::Metric => fixed(self.ten_thousandths as f64 / 10_000.0, 3, units),
        };
        format!("{number} {}", self.unit.sign())
    }

    /// The charge at a rate, rounded to the nearest cent, half a cent upward.
    pub fn at(self, rate: MilliCents) -> Cents {
        let exact = i128::from(rate.get()) * i128::from(self.ten_thousandths);
        Cents::new(nearest(exact, 10_000_000))
    }

    /// The charge before it is rounded, in cents, with every decimal it has.
    pub fn exact_cents(self, rate: MilliCents) -> String {
        let exact = i128::from(rate.get()) * i128::from(self.ten_thousandths);
        let text = format!("{}.{:07}", exact / 10_000_000, exact % 10_000_000);
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    }
}

impl MilliCents {
    /// "1 ¢ per lb"; for who reads the other system, about how much that is there: "1 ¢ per lb (about 2.205 ¢ per kg)".
    pub fn per(self, unit: RateUnit, reads: Units) -> String {
        let own = format!("{} per {}", self.show(), unit.sign());
        if unit.system() == reads {
            return own;
        }
        let (other, holds) = unit.other();
        #[expect(clippy::cast_precision_loss, reason = "rates are far below 2^53")]
        let cents = self.get() as f64 / 1000.0 / holds;
        let text = format!("{cents:.3}");
        let text = text.trim_end_matches('0').trim_end_matches('.');
        format!("{own} (about {text} ¢ per {})", other.sign())
    }
}

/// Kilograms per metre in one pound per foot or kilogram per metre.
fn row_unit(units: Units) -> f64 {
    match units {
        Units::Us => LB_G / 1000.0 / FT_M,
        Units::Metric => 1.0,
    }
}

/// Reads cane per length of row, lb per foot or kg per metre, into kg per metre.
///
/// # Errors
/// Not a number.
pub fn parse_row_yield(text: &str, units: Units) -> Result<f64, Refused> {
    Ok(decimal(text)? * row_unit(units))
}

/// The number alone of cane per length of row, kg per metre, as a box is prefilled: at most three
/// decimals.
pub fn typed_row_yield(kg_per_m: f64, units: Units) -> String {
    shortest(kg_per_m / row_unit(units), 3, |text| {
        parse_row_yield(text, units).is_ok_and(|back| (back - kg_per_m).abs() < 1e-9)
    })
}

/// Cane per length of row, kg per metre, with two decimals and its unit.
pub fn show_row_yield(kg_per_m: f64, units: Units) -> String {
    let unit = match units {
        Units::Us => "lb per ft",
        Units::Metric => "kg per m",
    };
    format!("{} {unit}", fixed(kg_per_m / row_unit(units), 2, units))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cent_a_pound_is_a_cent_for_every_pound() {
        let rate = MilliCents::parse("1").unwrap();
        // At 2.205 ¢ a kilogram 2,918 lb came to 2,919 ¢.
        for lb in [1, 417, 2918, 40_000] {
            let cane = Pounds::new(lb * 10_000);
            let weighed = Measured::cane(cane.grams(), cane, Units::Us);
            assert_eq!(weighed.at(rate), Cents::new(lb));
        }
        assert_eq!(rate.per(RateUnit::Pound, Units::Us), "1 ¢ per lb");
        assert_eq!(
            rate.per(RateUnit::Pound, Units::Metric),
            "1 ¢ per lb (about 2.205 ¢ per kg)"
        );
        assert_eq!(
            MilliCents::new(2205).per(RateUnit::Kilogram, Units::Us),
            "2.205 ¢ per kg (about 1 ¢ per lb)"
        );
    }

    #[test]
    fn what_is_printed_is_what_is_multiplied() {
        let juice = Measured::volume(Millilitres::new(84_500), Units::Us);
        assert_eq!(juice.show(Units::Us), "22.3225 gal");
        assert_eq!(juice.exact_cents(MilliCents::new(25_000)), "558.0625");
        assert_eq!(juice.at(MilliCents::new(25_000)), Cents::new(558));
        let metric = Measured::mass(Grams::new(187_107), Units::Metric);
        assert_eq!(metric.show(Units::Us), "187.107 kg");
        assert_eq!(metric.exact_cents(MilliCents::new(2250)), "420.99075");
        assert_eq!(metric.at(MilliCents::new(2250)), Cents::new(421));
    }

    #[test]
    fn cane_per_row_is_read_by_the_foot_and_the_metre() {
        let read = parse_row_yield("3", Units::Us).unwrap();
        assert!((read - 4.464_49).abs() < 1e-5);
        assert_eq!(typed_row_yield(read, Units::Us), "3");
        assert_eq!(typed_row_yield(4.5, Units::Us), "3.024");
        assert_eq!(show_row_yield(4.5, Units::Us), "3.02 lb per ft");
        assert_eq!(show_row_yield(4.5, Units::Metric), "4.50 kg per m");
    }
}
