//! Rates as people type them, per pound, gallon or foot, and as they are kept, per kilogram, litre
//! or metre. What a box is prefilled with always reads back to what was kept.

use super::mass::LB_G;
use super::number::{decimal, fixed};
use super::volume::GAL_ML;
use super::{MilliCents, Refused, Units};

/// Metres in one foot, exactly (NIST Handbook 44, Appendix C).
const FT_M: f64 = 0.3048;
/// Highest price of one pound, kilogram, gallon or litre that is believed, cents: $100.
const MOST_CENTS: f64 = 10_000.0;

/// Kilograms in the unit that cane is charged by.
fn kg(units: Units) -> f64 {
    match units {
        Units::Us => LB_G / 1000.0,
        Units::Metric => 1.0,
    }
}

/// Litres in the unit that juice is charged by.
fn litres(units: Units) -> f64 {
    match units {
        Units::Us => GAL_ML / 1000.0,
        Units::Metric => 1.0,
    }
}

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

impl MilliCents {
    fn parse_per(text: &str, unit: f64) -> Result<Self, Refused> {
        let cents = decimal(text.trim().trim_end_matches('¢'))?;
        if !(0.0..=MOST_CENTS).contains(&cents) {
            return Err(Refused::new(
                "Please write cents, like 2.25, from 0 to 10,000.",
            ));
        }
        #[expect(
            clippy::cast_possible_truncation,
            reason = "at most ten thousand cents a pound, checked just above"
        )]
        Ok(Self::new((cents * 1000.0 / unit).round() as i64))
    }

    fn typed_per(self, unit: f64) -> String {
        #[expect(clippy::cast_precision_loss, reason = "rates are far below 2^53")]
        let cents = self.get() as f64 / 1000.0 * unit;
        shortest(cents, 4, |text| Self::parse_per(text, unit) == Ok(self))
    }

    /// Reads cents per pound or kilogram and keeps the nearest thousandth of a cent per kilogram:
    /// 1 ¢ a pound is kept as 2.205 ¢ a kilogram, which is $10.00 on 1,000 lb.
    ///
    /// # Errors
    /// Not a number of cents from 0 to 10,000.
    pub fn parse_per_mass(text: &str, units: Units) -> Result<Self, Refused> {
        Self::parse_per(text, kg(units))
    }

    /// As a box is prefilled: cents per pound or kilogram, the shortest that reads back.
    pub fn typed_per_mass(self, units: Units) -> String {
        self.typed_per(kg(units))
    }

    /// "2.205 ¢ per kg", and in pounds beside it when those are read.
    pub fn show_per_mass(self, units: Units) -> String {
        match units {
            Units::Us => format!(
                "{} ¢ per lb ({} per kg)",
                self.typed_per_mass(units),
                self.show()
            ),
            Units::Metric => format!("{} per kg", self.show()),
        }
    }

    /// Reads cents per gallon or litre and keeps the nearest thousandth of a cent per litre.
    ///
    /// # Errors
    /// Not a number of cents from 0 to 10,000.
    pub fn parse_per_volume(text: &str, units: Units) -> Result<Self, Refused> {
        Self::parse_per(text, litres(units))
    }

    /// As a box is prefilled: cents per gallon or litre, the shortest that reads back.
    pub fn typed_per_volume(self, units: Units) -> String {
        self.typed_per(litres(units))
    }

    /// "3 ¢ per L", and in gallons beside it when those are read.
    pub fn show_per_volume(self, units: Units) -> String {
        match units {
            Units::Us => format!(
                "{} ¢ per gal ({} per L)",
                self.typed_per_volume(units),
                self.show()
            ),
            Units::Metric => format!("{} per L", self.show()),
        }
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
    use proptest::prelude::*;

    #[test]
    fn a_cent_a_pound_is_ten_dollars_on_a_thousand_pounds() {
        let rate = MilliCents::parse_per_mass("1", Units::Us).unwrap();
        assert_eq!(rate.get(), 2205);
        // 1,000 lb are 453,592 g.
        assert_eq!(rate.times_thousandths(453_592).get(), 1000);
        assert_eq!(rate.typed_per_mass(Units::Us), "1");
        assert_eq!(rate.show_per_mass(Units::Us), "1 ¢ per lb (2.205 ¢ per kg)");
        assert_eq!(rate.show_per_mass(Units::Metric), "2.205 ¢ per kg");
        let juice = MilliCents::parse_per_volume("25 ¢", Units::Us).unwrap();
        assert_eq!(juice.get(), 6604);
        assert!(MilliCents::parse_per_mass("-1", Units::Us).is_err());
        assert!(MilliCents::parse_per_mass("10001", Units::Metric).is_err());
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

    proptest! {
        #[test]
        fn prop_a_prefilled_rate_reads_back_to_what_was_kept(
            thousandths in 0_i64..2_000_000, metric: bool,
        ) {
            let units = if metric { Units::Metric } else { Units::Us };
            let rate = MilliCents::new(thousandths);
            let mass = rate.typed_per_mass(units);
            prop_assert_eq!(MilliCents::parse_per_mass(&mass, units).unwrap(), rate);
            let volume = rate.typed_per_volume(units);
            prop_assert_eq!(MilliCents::parse_per_volume(&volume, units).unwrap(), rate);
        }
    }
}
