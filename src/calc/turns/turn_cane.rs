//! Cane as a member tells it before a turn (by weight, by length of row, by stalks), converted to
//! weight with the season's figures. Never weighs: the scale decides on the day.

use super::turn_habit::{enough, from_words};
use crate::calc::RuleRefusal;
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

/// How the member told how much cane will come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AmountTold {
    /// As a weight.
    Weight(Grams),
    /// As a length of row.
    Row(Metres),
    /// As a number of stalks, leaves and heads off.
    Stalks(i64),
}

/// Where the figure for a metre of row comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RowFrom {
    /// It is that of the season's rules.
    Rules,
    /// It was learned from enough turns.
    Learned(Learned),
    /// Learned when the turn was booked, and kept with it.
    Kept,
}

/// The cane expected of a metre of row and of a stalk.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Yields {
    /// Stripped cane of a metre of row, kg.
    pub row_kg_per_m: f64,
    /// Where that figure comes from.
    pub row_from: RowFrom,
    /// Weight of one stripped stalk.
    pub stalk: Grams,
}

impl Yields {
    /// These figures with the one that turns have taught of a row, if there are enough of them.
    #[must_use]
    pub fn learned(self, row: Option<Learned>) -> Self {
        enough(row).map_or(self, |row| Self {
            row_kg_per_m: row.middle,
            row_from: RowFrom::Learned(row),
            ..self
        })
    }

    /// These figures with the one that a turn keeps for a row, if it keeps one.
    #[must_use]
    pub fn kept(self, row_kg_per_m: Option<f64>) -> Self {
        row_kg_per_m.map_or(self, |row_kg_per_m| Self {
            row_kg_per_m,
            row_from: RowFrom::Kept,
            ..self
        })
    }

    /// The figure for a row that a turn told in this way keeps, kg a metre: a learned one goes on changing, so it is
    /// kept; the rules stay as they were.
    pub fn to_keep(&self, told: AmountTold) -> Option<f64> {
        let by_row = matches!(told, AmountTold::Row(_));
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

/// "200" of "200 stalks".
fn without_stalks(amount: &str) -> &str {
    let number = amount.trim_end_matches(|c: char| c.is_alphabetic() || c == ' ');
    match amount[number.len()..].trim().to_lowercase().as_str() {
        "stalk" | "stalks" => number,
        _ => amount,
    }
}

/// How much cane a turn was estimated at, as it is kept.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// Cane to expect.
    pub cane: Grams,
    /// How the member told it.
    pub told: AmountTold,
    /// The learned figure for a row, kg a metre; none: the rules' of that time, or not told by row.
    pub row_kg_per_m: Option<f64>,
}

/// The cane of a turn: as told, as converted and as reckoned with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expected {
    /// How much the member told.
    pub told: AmountTold,
    /// What was told, converted by the season's figures.
    pub converted: Grams,
    /// The cane that is reckoned with: as converted, or corrected by whoever knows the field.
    pub cane: Grams,
}

impl AmountTold {
    /// Reads the amount as the choice `told` means it; a bare number is in pounds, feet, kilograms,
    /// metres or stalks.
    ///
    /// # Errors
    /// No such choice, or no such amount, or none at all.
    pub fn parse(told: &str, amount: &str, units: Units) -> Result<Self, Refused> {
        let told = match told {
            "weight" => Self::Weight(Grams::parse_told(amount, units).map_err(|refused| {
                let length = amount.contains(char::is_alphabetic) && Metres::parse(amount, units).is_ok();
                let said = "That is a length. Please choose “By the length of row” above it, or write a weight.";
                if length { Refused::new(said) } else { refused }
            })?),
            "row" => Self::Row(Metres::parse(amount, units).map_err(|refused| {
                let weight = amount.contains(char::is_alphabetic) && Grams::parse(amount, units).is_ok();
                let said = "That is a weight. Please choose “By its weight” above it, or write a length.";
                if weight { Refused::new(said) } else { refused }
            })?),
            "stalks" => Self::Stalks(whole(without_stalks(amount), 0, 1_000_000)?),
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

    /// The amount told, in grams, metres or stalks.
    pub fn amount(self) -> f64 {
        match self {
            Self::Weight(cane) => cane.as_f64(),
            Self::Row(length) => length.get(),
            Self::Stalks(count) => Grams::new(count).as_f64(),
        }
    }

    /// The amount in words: "300 ft of row", "900 stalks", "412.5 lb of cane".
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

    /// Its weight by the season's figures.
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
        told: AmountTold,
        yields: Yields,
        corrected: Option<Grams>,
        sure: bool,
        units: Units,
    ) -> Result<Self, RuleRefusal> {
        let converted = told.converted(yields);
        let cane = corrected.unwrap_or(converted);
        let at = if corrected.is_some() {
            "cane"
        } else {
            "amount"
        };
        if cane <= Grams::ZERO || cane > Grams::MAX_WEIGHING {
            return Err(RuleRefusal::beside(
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
            return Err(RuleRefusal::beside(
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
            AmountTold::Weight(_) => told,
            AmountTold::Row(_) => format!(
                "{told} × {} = {}",
                yields.row_words(units),
                self.converted.show(units)
            ),
            AmountTold::Stalks(_) => {
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
#[path = "turn_cane_tests.rs"]
mod tests;
