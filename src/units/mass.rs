//! Mass in whole grams. Everything shared out is counted in these, so sums are exact.

use super::number::{Spelled, fixed, measure};
use super::two_ways::ask_of_point;
use super::{Refused, Units};
use std::iter::Sum;
use std::ops::{Add, AddAssign, Neg, Sub, SubAssign};

/// Grams in one avoirdupois pound, exactly (NIST Handbook 44, Appendix C).
pub(super) const LB_G: f64 = 453.592_37;
/// Grams in one avoirdupois ounce, exactly (NIST Handbook 44, Appendix C).
const OZ_G: f64 = 28.349_523_125;

const LB: Spelled = Spelled {
    names: &["lb", "lbs", "pound", "pounds"],
    base: LB_G,
};
const OZ: Spelled = Spelled {
    names: &["oz", "ounce", "ounces"],
    base: OZ_G,
};
const KG: Spelled = Spelled {
    names: &["kg", "kgs", "kilo", "kilos", "kilogram", "kilograms"],
    base: 1000.0,
};
const G: Spelled = Spelled {
    names: &["g", "gram", "grams"],
    base: 1.0,
};

/// A mass in whole grams; may be negative where it is a balance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, sqlx::Type)]
#[sqlx(transparent)]
pub struct Grams(i64);

impl Grams {
    /// Zero grams.
    pub const ZERO: Self = Self(0);
    /// Heaviest single weighing this house believes: 40 t, a loaded farm truck.
    pub const MAX_WEIGHING: Self = Self(40_000_000);

    /// The mass of this many grams.
    pub const fn new(grams: i64) -> Self {
        Self(grams)
    }

    /// The number of grams.
    pub const fn get(self) -> i64 {
        self.0
    }

    /// Rounds a measured mass (g, finite) to the nearest gram, halves away from zero.
    pub fn nearest(grams: f64) -> Self {
        #[expect(
            clippy::cast_possible_truncation,
            reason = "`as` saturates; callers hold checked masses"
        )]
        Self(grams.round() as i64)
    }

    /// Mass in grams as a float, for formulas.
    #[expect(
        clippy::cast_precision_loss,
        reason = "masses here are far below 2^53 g"
    )]
    pub fn as_f64(self) -> f64 {
        self.0 as f64
    }

    /// Mass in kilograms, for formulas.
    pub fn kg(self) -> f64 {
        self.as_f64() / 1000.0
    }

    /// Mass in pounds, for formulas.
    pub fn lb(self) -> f64 {
        self.as_f64() / LB_G
    }

    /// Reads a weight such as "412.5", "12 lb 6 oz", "187,2 kg"; a bare number is pounds or
    /// kilograms. Rounded to the nearest gram.
    ///
    /// # Errors
    /// Not a weight, or outside 0 to 40 t.
    pub fn parse(text: &str, units: Units) -> Result<Self, Refused> {
        let default = match units {
            Units::Us => LB,
            Units::Metric => KG,
        };
        Self::within(measure(text, units, &default, &[LB, OZ, KG, G])?, units)
    }

    /// As [`Grams::parse`], for a weight that somebody has in mind and reads off no scale: "1.200" of who reads metric units is
    /// asked about.
    ///
    /// # Errors
    /// As [`Grams::parse`], and a number that can be read two ways.
    pub fn parse_told(text: &str, units: Units) -> Result<Self, Refused> {
        if units == Units::Metric {
            ask_of_point(text, |other| Self::parse(other, units).is_ok())?;
        }
        Self::parse(text, units)
    }

    /// As [`Grams::parse`], but a bare number is ounces or grams: for jars.
    ///
    /// # Errors
    /// Not a weight, or outside 0 to 40 t.
    pub fn parse_small(text: &str, units: Units) -> Result<Self, Refused> {
        let default = match units {
            Units::Us => OZ,
            Units::Metric => G,
        };
        Self::within(measure(text, units, &default, &[LB, OZ, KG, G])?, units)
    }

    /// Reads a step of a scale's display, such as "0.5" or "50 g", in grams and not rounded to
    /// whole ones: half a pound is 226.796185 g. A bare number is pounds or kilograms.
    ///
    /// # Errors
    /// Not a weight.
    pub fn parse_step(text: &str, units: Units) -> Result<f64, Refused> {
        let default = match units {
            Units::Us => LB,
            Units::Metric => KG,
        };
        measure(text, units, &default, &[LB, OZ, KG, G])
    }

    /// A step of a scale's display, given in grams: pounds or kilograms when two decimals write
    /// it exactly, else ounces or grams with at most three.
    pub fn show_step(grams: f64, units: Units) -> String {
        let (large, large_name, small, small_name) = match units {
            Units::Us => (LB_G, "lb", OZ_G, "oz"),
            Units::Metric => (1000.0, "kg", 1.0, "g"),
        };
        let cut = |value: f64, decimals| {
            let text = fixed(value, decimals, units);
            text.trim_end_matches('0').trim_end_matches('.').to_owned()
        };
        let hundredths = grams / large * 100.0;
        if hundredths >= 1.0 && (hundredths - hundredths.round()).abs() < 1e-6 {
            format!("{} {large_name}", cut(grams / large, 2))
        } else {
            format!("{} {small_name}", cut(grams / small, 3))
        }
    }

    /// The number alone, as a box for jars is prefilled: ounces or grams, with the fewest decimals
    /// (at most three) that read back to the same gram.
    pub fn typed_small(self, units: Units) -> String {
        let value = match units {
            Units::Us => self.as_f64() / OZ_G,
            Units::Metric => self.as_f64(),
        };
        (0..3)
            .map(|decimals| format!("{value:.decimals$}"))
            .find(|text| Self::parse_small(text, units) == Ok(self))
            .unwrap_or_else(|| format!("{value:.3}"))
    }

    /// As [`Self::typed_small`], with its unit, where a box takes several: "22 oz", "21.98 oz".
    pub fn typed_jar(self, units: Units) -> String {
        let unit = match units {
            Units::Us => "oz",
            Units::Metric => "g",
        };
        format!("{} {unit}", self.typed_small(units))
    }

    fn within(grams: f64, units: Units) -> Result<Self, Refused> {
        if (0.0..=Self::MAX_WEIGHING.as_f64()).contains(&grams) {
            Ok(Self::nearest(grams))
        } else {
            Err(Refused::new(match units {
                Units::Us => "Please write a weight from 0 to 88,000 lb.",
                Units::Metric => "Please write a weight from 0 to 40 000 kg.",
            }))
        }
    }

    /// The mass in words, with one decimal of lb or kg: "412.5 lb".
    pub fn show(self, units: Units) -> String {
        match units {
            Units::Us => format!("{} lb", fixed(self.lb(), 1, units)),
            Units::Metric => format!("{} kg", fixed(self.kg(), 1, units)),
        }
    }

    /// For sums on paper: three decimals of lb or kg, which reads back to the same gram. What a scale shows in tenths or
    /// hundredths of a pound reads as it was typed: "70.000 lb", though the nearest gram is 69.999 lb.
    pub fn exact(self, units: Units) -> String {
        let rounded = [10.0, 100.0].map(|parts| (self.lb() * parts).round() / parts);
        let as_typed = |lb: &f64| Self::nearest(lb * LB_G) == self;
        let lb = rounded.into_iter().find(as_typed).unwrap_or(self.lb());
        match units {
            Units::Us => format!("{} lb", fixed(lb, 3, units)),
            Units::Metric => format!("{} kg", fixed(self.kg(), 3, units)),
        }
    }

    /// The mass in whole grams, "1,234 g": the unit every division is done in.
    pub fn grams_text(self, units: Units) -> String {
        format!("{} g", fixed(self.as_f64(), 0, units))
    }

    /// As it stands in the ledger: pounds and ounces to a tenth, "−2 lb 10.5 oz", or grams.
    pub fn booked(self, units: Units) -> String {
        if units == Units::Metric {
            return self.grams_text(units);
        }
        // Tenths of an ounce, so that 15.96 oz become a pound and not "16 oz".
        let tenths = (self.as_f64().abs() / OZ_G * 10.0).round();
        let pounds = (tenths / 160.0).floor();
        let ounces = fixed((tenths - pounds * 160.0) / 10.0, 1, units);
        let ounces = ounces.strip_suffix(".0").unwrap_or(&ounces);
        let minus = if self.get() < 0 && tenths > 0.0 {
            "−"
        } else {
            ""
        };
        if pounds < 1.0 {
            format!("{minus}{ounces} oz")
        } else {
            format!("{minus}{} lb {ounces} oz", fixed(pounds, 0, units))
        }
    }

    /// The mass of a jar: ounces with one decimal where needed, or grams.
    pub fn small(self, units: Units) -> String {
        match units {
            Units::Us => {
                let text = fixed(self.as_f64() / OZ_G, 1, units);
                format!("{} oz", text.strip_suffix(".0").unwrap_or(&text))
            }
            Units::Metric => self.grams_text(units),
        }
    }

    /// As one says it: "30.2 lb", below a pound "6 oz"; "13.7 kg", below a kilogram "170 g". One decimal at most.
    pub fn said(self, units: Units) -> String {
        let (large, unit, name) = match units {
            Units::Us => (LB_G, self.lb(), "lb"),
            Units::Metric => (1000.0, self.kg(), "kg"),
        };
        if self.as_f64().abs() < large {
            return self.small(units);
        }
        let text = fixed(unit, 1, units);
        format!("{} {name}", text.strip_suffix(".0").unwrap_or(&text))
    }

    /// The number alone, as a box is prefilled: pounds or kilograms, with as few decimals (at most
    /// three) as read back to the same gram.
    pub fn typed(self, units: Units) -> String {
        let (value, unit_g) = match units {
            Units::Us => (self.lb(), LB_G),
            Units::Metric => (self.kg(), 1000.0),
        };
        for decimals in 0..3 {
            let text = format!("{value:.decimals$}");
            let back = text.parse::<f64>().map(|v| Self::nearest(v * unit_g));
            if back == Ok(self) {
                return text;
            }
        }
        format!("{value:.3}")
    }
}

impl Add for Grams {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}
impl Sub for Grams {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}
impl Neg for Grams {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}
impl AddAssign for Grams {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}
impl SubAssign for Grams {
    fn sub_assign(&mut self, other: Self) {
        self.0 -= other.0;
    }
}
impl Sum for Grams {
    fn sum<I: Iterator<Item = Self>>(parts: I) -> Self {
        parts.fold(Self::ZERO, Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_ledger_says_pounds_and_ounces() {
        let says = |g| Grams::new(g).booked(Units::Us);
        // A pound is 453.59237 g, an ounce a sixteenth of it (NIST Handbook 44, appendix C): 1,204 g are 42.47 oz.
        assert_eq!(says(-1204), "−2 lb 10.5 oz");
        assert_eq!(says(3749), "8 lb 4.2 oz");
        assert_eq!(says(453), "1 lb 0 oz");
        assert_eq!(says(-58), "−2 oz");
        assert_eq!(says(0), "0 oz");
        assert_eq!(
            Grams::new(-1204).booked(Units::Metric),
            Grams::new(-1204).grams_text(Units::Metric)
        );
    }

    #[test]
    fn pounds_and_ounces_add_up() {
        let read = |t| Grams::parse(t, Units::Us).unwrap().get();
        assert_eq!(read("12 lb 6 oz"), 5613);
        assert_eq!(read("12lb6oz"), 5613);
        assert_eq!(read("2 kg"), 2000);
        assert_eq!(read("1"), 454);
        assert_eq!(Grams::parse("1,5", Units::Metric).unwrap().get(), 1500);
        assert_eq!(Grams::parse_small("24", Units::Us).unwrap().get(), 680);
    }

    #[test]
    fn a_step_of_a_scale_keeps_its_parts_of_a_gram() {
        for (typed, units, grams, shown) in [
            ("0.5", Units::Us, 226.796_185, "0.5 lb"),
            ("1 oz", Units::Us, 28.349_523_125, "1 oz"),
            ("50 g", Units::Metric, 50.0, "0.05 kg"),
            ("0.1 g", Units::Metric, 0.1, "0.1 g"),
            ("20", Units::Metric, 20_000.0, "20 kg"),
            ("10", Units::Us, 4535.9237, "10 lb"),
        ] {
            let step = Grams::parse_step(typed, units).unwrap();
            assert!((step - grams).abs() < 1e-9, "{typed}");
            assert_eq!(Grams::show_step(step, units), shown);
        }
    }

    #[test]
    fn a_weight_is_said_in_the_unit_that_fits() {
        let said = |g, units| Grams(g).said(units);
        assert_eq!(said(170, Units::Us), "6 oz");
        assert_eq!(said(252, Units::Us), "8.9 oz");
        assert_eq!(said(907, Units::Us), "2 lb");
        assert_eq!(said(13_700, Units::Us), "30.2 lb");
        assert_eq!(said(-252, Units::Metric), "−252 g");
        assert_eq!(said(13_700, Units::Metric), "13.7 kg");
    }

    #[test]
    fn nonsense_weights_are_refused_with_a_sentence() {
        for typed in [
            "-3",
            "90000 lb",
            "6 oz 12 lb",
            "3 stone",
            "12 lb 6 lb",
            "lb",
        ] {
            assert!(Grams::parse(typed, Units::Us).is_err(), "{typed}");
        }
    }

    #[test]
    fn a_box_is_filled_with_what_was_typed_into_it() {
        for typed in ["400.5", "170", "0", "1200.05"] {
            let read = Grams::parse(typed, Units::Us).unwrap();
            assert_eq!(read.typed(Units::Us), typed);
        }
    }

    #[test]
    fn what_a_scale_shows_in_tenths_or_hundredths_of_a_pound_reads_as_it_was_typed() {
        for (typed, says) in [
            ("70", "70.000 lb"),
            ("2.25", "2.250 lb"),
            ("2.75", "2.750 lb"),
            ("0.35", "0.350 lb"),
            ("12.3", "12.300 lb"),
            ("70 lb 1 oz", "70.063 lb"),
        ] {
            let read = Grams::parse(typed, Units::Us).unwrap();
            assert_eq!(read.exact(Units::Us), says, "{typed}");
        }
    }

    proptest! {
        #[test]
        fn prop_the_exact_text_reads_back_to_the_same_gram(g in 0_i64..40_000_000, metric: bool) {
            let units = if metric { Units::Metric } else { Units::Us };
            prop_assert_eq!(Grams::parse(&Grams(g).exact(units), units).unwrap(), Grams(g));
            prop_assert_eq!(Grams::parse(&Grams(g).typed(units), units).unwrap(), Grams(g));
            let small = Grams(g).typed_small(units);
            prop_assert_eq!(Grams::parse_small(&small, units).unwrap(), Grams(g));
            let jar = Grams(g).typed_jar(units);
            prop_assert_eq!(Grams::parse_small(&jar, units).unwrap(), Grams(g));
        }
    }
}
