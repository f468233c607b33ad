//! Cane as a member tells it before a turn (by weight, by length of row, by stalks), converted to
//! weight with the season's figures. Never weighs: the scale decides on the day.

use super::turn_habit::{enough, from_words};
use crate::calc::Unmet;
use crate::calc::cane::learned::Learned;
use crate::units::{Grams, Metres, Refused, Units, fixed, whole};

/// A correction this many times off the conversion, either way, is questioned: thin and heavy
/// stands differ about twofold (our own choice).
const DOUBT: f64 = 4.0;
/// A correction this many times off is taken for a slip whatever is said (our own choice).
const SLIP: f64 = 20.0;
/// The code of the question that `sure` answers.
pub const FAR_FROM_TOLD: &str = "far-from-told";
/// Metres of a foot, exactly (NIST Handbook 44, Appendix C).
const FT_M: f64 = 0.3048;

/// How the member put it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Told {
    /// As a weight.
    Weight(Grams),
    /// As a length of row.
    Row(Metres),
    /// As a number of stalks, leaves and heads off.
    Stalks(i64),
}

/// Where the cane of a metre of row is known from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RowFrom {
    /// The season's rules.
    Rules,
    /// Learned from turns enough.
    Learned(Learned),
    /// Learned when the turn was booked, and kept with it.
    Kept,
}

/// What is expected of a row and a stalk.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Yields {
    /// Stripped cane of a metre of row, kg.
    pub row_kg_per_m: f64,
    /// Where that is known from.
    pub row_from: RowFrom,
    /// One stripped stalk.
    pub stalk: Grams,
}

impl Yields {
    /// With what turns have taught of a row, if there are enough of them.
    #[must_use]
    pub fn learned(self, row: Option<Learned>) -> Self {
        enough(row).map_or(self, |row| Self {
            row_kg_per_m: row.middle,
            row_from: RowFrom::Learned(row),
            ..self
        })
    }

    /// With the figure that a turn keeps, if it keeps one.
    #[must_use]
    pub fn kept(self, row_kg_per_m: Option<f64>) -> Self {
        row_kg_per_m.map_or(self, |row_kg_per_m| Self {
            row_kg_per_m,
            row_from: RowFrom::Kept,
            ..self
        })
    }

    /// The figure that a turn told so keeps: one that is learned goes on changing; the rules stay
    /// as they were. Kilograms of a metre.
    pub fn to_keep(&self, told: Told) -> Option<f64> {
        let by_row = matches!(told, Told::Row(_));
        (by_row && self.row_from != RowFrom::Rules).then_some(self.row_kg_per_m)
    }

    /// "1.4100 lb a foot (learned from 14 turns, mostly 1.21 to 1.61)".
    fn row_words(&self, units: Units) -> String {
        let number = |kg_per_m: f64, decimals| match units {
            Units::Us => {
                let lb = Grams::nearest(kg_per_m * 1_000_000.0).lb() / 1000.0 * FT_M;
                fixed(lb, decimals, units)
            }
            Units::Metric => fixed(kg_per_m, decimals, units),
        };
        let each = match units {
            Units::Us => format!("{} lb a foot", number(self.row_kg_per_m, 4)),
            Units::Metric => format!("{} kg a metre", number(self.row_kg_per_m, 3)),
        };
        match self.row_from {
            RowFrom::Rules => format!("{each} (the season’s rules)"),
            RowFrom::Kept => format!("{each} (as learned when it was booked)"),
            RowFrom::Learned(row) => {
                format!("{each} ({})", from_words(row, |kg| number(kg, 2)))
            }
        }
    }
}

/// How much cane a turn was estimated at, as it is kept.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// Cane to expect.
    pub cane: Grams,
    /// How the member put it.
    pub told: Told,
    /// The learned figure for a row, kg a metre; none: the rules' of that time, or not told by row.
    pub row_kg_per_m: Option<f64>,
}

/// Cane to expect.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expected {
    /// As told.
    pub told: Told,
    /// What that comes to by the season's figures.
    pub converted: Grams,
    /// What is reckoned with: converted, or corrected by whoever knows the field.
    pub cane: Grams,
}

impl Told {
    /// Reads the amount as the choice `told` means it; a bare number is in pounds, feet, kilograms,
    /// metres or stalks.
    ///
    /// # Errors
    /// No such choice, or no such amount, or none at all.
    pub fn parse(told: &str, amount: &str, units: Units) -> Result<Self, Refused> {
        let told = match told {
            "weight" => Self::Weight(Grams::parse(amount, units)?),
            "row" => Self::Row(Metres::parse(amount, units)?),
            "stalks" => Self::Stalks(whole(amount, 0, 1_000_000)?),
            _ => {
                return Err(Refused::new(
                    "Please choose weight, length of row or stalks.",
                ));
            }
        };
        if told.amount() > 0.0 {
            Ok(told)
        } else {
            Err(Refused::new(
                "Please say how much cane to expect, more than nothing.",
            ))
        }
    }

    /// What the store kept: the word, and grams, metres or stalks.
    ///
    /// # Errors
    /// Not a word or an amount of ours.
    pub fn stored(word: &str, amount: f64) -> Result<Self, Refused> {
        match word {
            "weight" => Ok(Self::Weight(Grams::nearest(amount))),
            "row" => Metres::new(amount).map(Self::Row),
            "stalks" => Ok(Self::Stalks(Grams::nearest(amount).get())),
            _ => Err(Refused::new("no such way of telling")),
        }
    }

    /// The word that forms and the store use.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Weight(_) => "weight",
            Self::Row(_) => "row",
            Self::Stalks(_) => "stalks",
        }
    }

    /// Grams, metres or stalks.
    pub fn amount(self) -> f64 {
        match self {
            Self::Weight(cane) => cane.as_f64(),
            Self::Row(length) => length.get(),
            Self::Stalks(count) => Grams::new(count).as_f64(),
        }
    }

    /// For reading: "300 ft of row", "900 stalks", "412.5 lb of cane".
    pub fn show(self, units: Units) -> String {
        match self {
            Self::Weight(cane) => format!("{} of cane", cane.show(units)),
            Self::Row(length) => {
                let (number, unit) = match units {
                    Units::Us => (length.get() / FT_M, "ft"),
                    Units::Metric => (length.get(), "m"),
                };
                let text = fixed(number, 1, units);
                format!("{} {unit} of row", text.strip_suffix(".0").unwrap_or(&text))
            }
            Self::Stalks(1) => "1 stalk".to_owned(),
            Self::Stalks(count) => {
                format!("{} stalks", fixed(Grams::new(count).as_f64(), 0, units))
            }
        }
    }

    /// What it comes to by the season's figures.
    fn converted(self, yields: Yields) -> Grams {
        match self {
            Self::Weight(cane) => cane,
            Self::Row(length) => Grams::nearest(length.get() * yields.row_kg_per_m * 1000.0),
            Self::Stalks(count) => {
                Grams::nearest(Grams::new(count).as_f64() * yields.stalk.as_f64())
            }
        }
    }
}

impl Expected {
    /// Cane to expect from what was told and, if given, what it was corrected to; `sure` answers the
    /// question that a correction far from the conversion raises.
    ///
    /// # Errors
    /// It comes to nothing, to more than any load, or to what the row or the stalks cannot be.
    pub fn reckon(
        told: Told,
        yields: Yields,
        corrected: Option<Grams>,
        sure: bool,
        units: Units,
    ) -> Result<Self, Unmet> {
        let converted = told.converted(yields);
        let cane = corrected.unwrap_or(converted);
        let at = if corrected.is_some() {
            "cane"
        } else {
            "amount"
        };
        if cane <= Grams::ZERO || cane > Grams::MAX_WEIGHING {
            return Err(Unmet::beside(
                at,
                "no-such-cane",
                format!(
                    "{} comes to {}. Please correct the amount.",
                    told.show(units),
                    cane.show(units)
                ),
            ));
        }
        let ratio = cane.as_f64() / converted.as_f64().max(1.0);
        let far = |times: f64| ratio > times || ratio * times < 1.0;
        if far(SLIP) || (far(DOUBT) && !sure) {
            let than = if ratio > 1.0 { "more" } else { "less" };
            let ask = if far(SLIP) {
                "Please correct one of the two."
            } else {
                "Please correct one of the two, or say that it is so."
            };
            return Err(Unmet::beside(
                "cane",
                if far(SLIP) {
                    "cannot-be"
                } else {
                    FAR_FROM_TOLD
                },
                format!(
                    "{} would come to about {}; {} is far {than}. {ask}",
                    told.show(units),
                    converted.show(units),
                    cane.show(units)
                ),
            ));
        }
        Ok(Self {
            told,
            converted,
            cane,
        })
    }

    /// The sum behind it, as one does it with a pencil.
    pub fn words(&self, yields: Yields, units: Units) -> String {
        let told = self.told.show(units);
        let sum = match self.told {
            Told::Weight(_) => told,
            Told::Row(_) => format!(
                "{told} × {} = {}",
                yields.row_words(units),
                self.converted.show(units)
            ),
            Told::Stalks(_) => {
                let each = match units {
                    Units::Us => format!("{} lb", fixed(yields.stalk.lb(), 4, units)),
                    Units::Metric => format!("{} kg", fixed(yields.stalk.kg(), 3, units)),
                };
                format!("{told} × {each} each = {}", self.converted.show(units))
            }
        };
        if self.cane == self.converted {
            sum
        } else {
            format!("{sum}, corrected to {}", self.cane.show(units))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// A heavy stand: 4.5 kg a metre and 450 g a stalk.
    const YIELDS: Yields = Yields {
        row_kg_per_m: 4.5,
        row_from: RowFrom::Rules,
        stalk: Grams::new(450),
    };

    fn expect(told: Told, corrected: Option<&str>, sure: bool) -> Result<Expected, Unmet> {
        let corrected = corrected.map(|c| Grams::parse(c, Units::Us).unwrap());
        Expected::reckon(told, YIELDS, corrected, sure, Units::Us)
    }

    #[test]
    fn row_and_stalks_are_converted_with_the_sum_written_out() {
        let words = |told, typed, units| {
            let told = Told::parse(told, typed, units).unwrap();
            Expected::reckon(told, YIELDS, None, false, units)
                .unwrap()
                .words(YIELDS, units)
        };
        assert_eq!(
            words("row", "300", Units::Us),
            "300 ft of row × 3.0239 lb a foot (the season’s rules) = 907.2 lb"
        );
        assert_eq!(
            words("row", "91,5 m", Units::Metric),
            "91.5 m of row × 4.500 kg a metre (the season’s rules) = 411.8 kg"
        );
        assert_eq!(
            words("stalks", "900", Units::Us),
            "900 stalks × 0.9921 lb each = 892.9 lb"
        );
        assert_eq!(
            words("stalks", "1", Units::Metric),
            "1 stalk × 0.450 kg each = 0.5 kg"
        );
        assert_eq!(words("weight", "412.5", Units::Us), "412.5 lb of cane");
    }

    #[test]
    fn a_correction_is_taken_when_near_questioned_when_far_and_refused_when_it_cannot_be() {
        let row = Told::parse("row", "300 ft", Units::Us).unwrap();
        let taken = expect(row, Some("1200"), false).unwrap();
        assert_eq!(
            taken.words(YIELDS, Units::Us),
            "300 ft of row × 3.0239 lb a foot (the season’s rules) = 907.2 lb, corrected to 1,200.0 lb"
        );
        for far in ["4000", "200"] {
            assert_eq!(
                expect(row, Some(far), false).unwrap_err().code,
                "far-from-told"
            );
            assert!(expect(row, Some(far), true).is_ok());
        }
        for slip in ["19000", "40"] {
            assert_eq!(expect(row, Some(slip), true).unwrap_err().code, "cannot-be");
        }
        // Nine tonnes do not come off ten metres of row.
        let short = Told::parse("row", "10 m", Units::Us).unwrap();
        let said = expect(short, Some("9000 kg"), true).unwrap_err();
        assert!(
            said.sentence
                .starts_with("32.8 ft of row would come to about 99.2 lb"),
            "{said}"
        );
    }

    #[test]
    fn a_row_is_reckoned_with_what_turns_taught_and_the_sum_says_from_how_many() {
        let row = |boils| {
            Some(Learned {
                middle: 2.1,
                boils,
                spread: 0.3,
            })
        };
        let told = Told::parse("row", "300 ft", Units::Us).unwrap();
        let words = |yields, units| {
            let expected = Expected::reckon(told, yields, None, false, units).unwrap();
            expected.words(yields, units)
        };
        let few = YIELDS.learned(row(7));
        assert_eq!((few, few.to_keep(told)), (YIELDS, None));
        let learned = YIELDS.learned(row(14));
        // 2.1 kg a metre are 2.1 × 0.3048 ÷ 0.45359237 = 1.4111 lb a foot; × 300 = 423.3.
        assert_eq!(
            words(learned, Units::Us),
            "300 ft of row × 1.4111 lb a foot (learned from 14 turns, mostly 1.21 to 1.61) = 423.3 lb"
        );
        assert_eq!(
            words(learned, Units::Metric),
            "91.4 m of row × 2.100 kg a metre (learned from 14 turns, mostly 1.80 to 2.40) = 192.0 kg"
        );
        // What the turn keeps gives the same sum, whatever is learned later; only a row needs it.
        let kept = learned.to_keep(told);
        assert_eq!(kept, Some(2.1));
        assert_eq!(learned.to_keep(Told::Stalks(900)), None);
        assert_eq!(
            words(YIELDS.kept(kept), Units::Us),
            "300 ft of row × 1.4111 lb a foot (as learned when it was booked) = 423.3 lb"
        );
        assert_eq!(YIELDS.kept(None), YIELDS);
    }

    #[test]
    fn nothing_and_nonsense_are_refused() {
        for (told, amount) in [
            ("weight", "0"),
            ("row", "0"),
            ("stalks", "0"),
            ("stalks", "3.5"),
            ("stalks", "many"),
            ("acres", "2"),
            ("row", "-5"),
            ("weight", ""),
        ] {
            assert!(
                Told::parse(told, amount, Units::Us).is_err(),
                "{told} {amount}"
            );
        }
        let row = Told::parse("row", "100000 m", Units::Metric).unwrap();
        assert_eq!(expect(row, None, false).unwrap_err().code, "no-such-cane");
        let row = Told::parse("row", "300 ft", Units::Us).unwrap();
        assert_eq!(
            expect(row, Some("0"), true).unwrap_err().code,
            "no-such-cane"
        );
    }

    proptest! {
        #[test]
        fn prop_what_is_stored_reads_back(amount in 1_i64..1_000_000, which in 0..3) {
            let told = match which {
                0 => Told::Weight(Grams::new(amount)),
                1 => Told::Row(Metres::new(Grams::new(amount).as_f64() / 16.0).unwrap()),
                _ => Told::Stalks(amount),
            };
            prop_assert_eq!(Told::stored(told.word(), told.amount()).unwrap(), told);
        }
    }
}
