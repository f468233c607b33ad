//! The kinds of ledger lines and the words they are printed in. A line says its own sum, so that it
//! can be redone with a pencil years later. Keeps no balance and changes no line.

use super::division::{Division, Kind, Part};
use super::fees::FeeLine;
use crate::units::{Cents, Grams, MilliCents, Refused, Units, count_of, fixed};

/// What a line is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Entry {
    /// Grams of a boil a sharer is entitled to.
    Entitled,
    /// Grams set aside in jars.
    Jarred,
    /// Fee on cane.
    CaneFee,
    /// Fee on juice.
    JuiceFee,
    /// Part of the fee of a boil.
    BoilFee,
    /// Fee for filling jars.
    JarFee,
    /// Price of empty jars.
    JarPrice,
    /// What brings the fees up to the least charge.
    LeastFee,
    /// Credit for hours worked.
    Hours,
    /// Carried syrup settled, in money or in syrup.
    Settled,
    /// The season's margin going back.
    Patronage,
    /// A lost boil, borne by the season.
    Loss,
    /// Money received from a member or paid out.
    Payment,
    /// Takes another line back.
    Answer,
}

impl Entry {
    /// All of them.
    pub const ALL: [Self; 14] = [
        Self::Entitled,
        Self::Jarred,
        Self::CaneFee,
        Self::JuiceFee,
        Self::BoilFee,
        Self::JarFee,
        Self::JarPrice,
        Self::LeastFee,
        Self::Hours,
        Self::Settled,
        Self::Patronage,
        Self::Loss,
        Self::Payment,
        Self::Answer,
    ];

    /// The word the store uses.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Entitled => "entitled",
            Self::Jarred => "jarred",
            Self::CaneFee => "cane_fee",
            Self::JuiceFee => "juice_fee",
            Self::BoilFee => "boil_fee",
            Self::JarFee => "jar_fee",
            Self::JarPrice => "jar_price",
            Self::LeastFee => "least_fee",
            Self::Hours => "hours",
            Self::Settled => "settled",
            Self::Patronage => "patronage",
            Self::Loss => "loss",
            Self::Payment => "payment",
            Self::Answer => "answer",
        }
    }

    /// Reads the word back.
    ///
    /// # Errors
    /// None of these words.
    pub fn parse(word: &str) -> Result<Self, Refused> {
        Self::ALL
            .into_iter()
            .find(|entry| entry.word() == word)
            .ok_or_else(|| Refused::new("That is no kind of ledger line."))
    }

    /// The kind a fee's line is.
    pub const fn of_fee(line: &FeeLine) -> Self {
        match line {
            FeeLine::Cane { .. } => Self::CaneFee,
            FeeLine::Juice { .. } => Self::JuiceFee,
            FeeLine::Boil(_) => Self::BoilFee,
            FeeLine::Filling { .. } => Self::JarFee,
            FeeLine::TopUp { .. } => Self::LeastFee,
            FeeLine::Glass { .. } => Self::JarPrice,
        }
    }
}

/// A fee with its sum: "187.107 kg (412.5 lb) of cane × 2.25 ¢ = 420.99075 ¢, to the nearest cent".
pub fn fee_says(line: &FeeLine, units: Units) -> String {
    match line {
        FeeLine::Cane { cane, rate, .. } => {
            let own = match units {
                Units::Us => format!(" ({})", cane.show(units)),
                Units::Metric => String::new(),
            };
            let kg = fixed(cane.kg(), 3, units);
            format!(
                "{kg} kg{own} of cane × {} a kg = {} ¢, to the nearest cent",
                rate.show(),
                exact_cents(*rate, cane.get())
            )
        }
        FeeLine::Juice { juice, rate, .. } => {
            let own = match units {
                Units::Us => format!(" ({})", juice.show(units)),
                Units::Metric => String::new(),
            };
            let litres = fixed(juice.litres(), 3, units);
            format!(
                "{litres} L{own} of juice × {} a litre = {} ¢, to the nearest cent",
                rate.show(),
                exact_cents(*rate, juice.get())
            )
        }
        FeeLine::Boil(part) => format!(
            "{} for the boil × {} ÷ {} of what its members brought = {} ¢, cut to the cent, and odd \
             cents to those of whom most was cut off",
            part.fee.show(),
            part.own,
            part.all,
            part.cents.get()
        ),
        FeeLine::Filling { count, each, .. } => {
            format!(
                "{} filled × {}",
                count_of(*count, "jar", "jars"),
                each.show()
            )
        }
        FeeLine::TopUp { least, .. } => {
            format!(
                "brings the pressing fees up to the least charge of {}",
                least.show()
            )
        }
        FeeLine::Glass {
            name, count, each, ..
        } => format!(
            "{} ({name}) × {}",
            count_of(*count, "empty jar", "empty jars"),
            each.show()
        ),
    }
}

/// Rate times amount before it is rounded, in cents: thousandths of a cent times thousandths of the
/// unit are millionths.
fn exact_cents(rate: MilliCents, amount: i64) -> String {
    let millionths = i128::from(rate.get()) * i128::from(amount);
    let text = format!("{}.{:06}", millionths / 1_000_000, millionths % 1_000_000);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A line of a boil that was put right: "put right in version 2: entitled to 4,217 g of the 9,200 g in
/// jars; 4,100 g before". `says` is the whole line of the corrected division, empty when it has none.
pub fn put_right_says(version: i64, says: &str, before: &str) -> String {
    let says = if says.is_empty() { "nothing" } else { says };
    format!("put right in version {version}: {says}; {before} before")
}

/// "entitled to 4,217 g of the 9,200 g in jars".
pub fn entitled_says(grams: Grams, of: Grams, units: Units) -> String {
    format!(
        "entitled to {} of the {} in jars",
        grams.grams_text(units),
        of.grams_text(units)
    )
}

/// "in jars set aside: 3 × quart of 1,360 g + 1 × pint of 680 g".
pub fn jarred_says(part: &Part, division: &Division, units: Units) -> String {
    let kinds = part.jars.iter().zip(&division.kinds);
    let jars: Vec<String> = kinds
        .filter(|(count, _)| **count > 0)
        .map(|(count, kind)| format!("{count} × {}", kind_says(kind, units)))
        .collect();
    format!("in jars set aside: {}", jars.join(" + "))
}

/// "quart of 1,360 g", "part-jar of 777 g".
pub fn kind_says(kind: &Kind, units: Units) -> String {
    jar_says(&kind.name, kind.net, kind.part, units)
}

/// A jar in words, from its size, net weight and whether it is a part-jar.
pub fn jar_says(name: &str, net: Grams, part: bool, units: Units) -> String {
    let name = if part { "part-jar" } else { name };
    format!("{name} of {}", net.grams_text(units))
}

/// A balance of money in words: who owes whom.
pub fn money_says(balance: Cents) -> String {
    match balance.get() {
        0 => "nothing is owed either way".to_owned(),
        1.. => format!("{} to pay", balance.show()),
        _ => format!("{} in credit", (-balance).show()),
    }
}

/// A balance of syrup in words.
pub fn grams_says(balance: Grams, units: Units) -> String {
    match balance.get() {
        0 => "nothing is carried".to_owned(),
        1.. => format!("{} still to come", balance.grams_text(units)),
        _ => format!("{} had in advance", (-balance).grams_text(units)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Millilitres;

    #[test]
    fn every_kind_has_one_word() {
        for entry in Entry::ALL {
            assert_eq!(Entry::parse(entry.word()), Ok(entry));
        }
        assert!(Entry::parse("gift").is_err());
    }

    #[test]
    fn a_fee_says_its_own_sum() {
        let cane = FeeLine::Cane {
            cane: Grams::new(187_107),
            rate: MilliCents::new(2250),
            cents: Cents::new(421),
        };
        assert_eq!(
            fee_says(&cane, Units::Us),
            "187.107 kg (412.5 lb) of cane × 2.25 ¢ a kg = 420.99075 ¢, to the nearest cent"
        );
        let juice = FeeLine::Juice {
            juice: Millilitres::new(84_500),
            rate: MilliCents::new(3000),
            cents: Cents::new(254),
        };
        assert_eq!(
            fee_says(&juice, Units::Metric),
            "84.500 L of juice × 3 ¢ a litre = 253.5 ¢, to the nearest cent"
        );
    }

    #[test]
    fn balances_say_who_owes_whom() {
        assert_eq!(money_says(Cents::new(1250)), "$12.50 to pay");
        assert_eq!(money_says(Cents::new(-1250)), "$12.50 in credit");
        assert_eq!(
            grams_says(Grams::new(-58), Units::Us),
            "58 g had in advance"
        );
        assert_eq!(
            grams_says(Grams::new(1058), Units::Us),
            "1,058 g still to come"
        );
    }
}
