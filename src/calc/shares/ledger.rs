//! The kinds of ledger lines and the words they are printed in. A line says its own sum, so that it
//! can be redone with a pencil years later. Keeps no balance and changes no line.

use super::division::{Division, Kind, Part};
use super::fees::FeeLine;
use crate::units::{Cents, Grams, Measured, MilliCents, Refused, Units, count_of};

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
    /// The season's margin given back.
    Patronage,
    /// A lost boil, borne by the season.
    Loss,
    /// Money received from a member or paid out.
    Payment,
    /// A line that takes another line back.
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

    /// The word under which the database keeps it.
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

    /// What a line of this kind is for, in words.
    pub const fn says(self) -> &'static str {
        match self {
            Self::Entitled => "share",
            Self::Jarred => "set aside in jars",
            Self::CaneFee => "fee for cane",
            Self::JuiceFee => "fee for juice",
            Self::BoilFee => "part of the fee of the boil",
            Self::JarFee => "fee for filling jars",
            Self::JarPrice => "price of empty jars",
            Self::LeastFee => "fee up to the least charge",
            Self::Hours => "credit for hours",
            Self::Settled => "carried syrup settled",
            Self::Patronage => "margin given back",
            Self::Loss => "loss",
            Self::Payment => "payment",
            Self::Answer => "line taken back",
        }
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

/// A fee with its sum, in the unit that the rate was voted in.
pub fn fee_says(line: &FeeLine, units: Units) -> String {
    match line {
        FeeLine::Cane { cane, rate, .. } => charge_says(*cane, *rate, "cane", units),
        FeeLine::Juice { juice, rate, .. } => charge_says(*juice, *rate, "juice", units),
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

/// "417.5 lb of cane × 1 ¢ per lb = 417.5 ¢, to the nearest cent".
fn charge_says(amount: Measured, rate: MilliCents, what: &str, units: Units) -> String {
    format!(
        "{} of {what} × {} per {} = {} ¢, to the nearest cent",
        amount.show(units),
        rate.show(),
        amount.unit().sign(),
        amount.exact_cents(rate)
    )
}

/// A line of a boil that was put right: "put right in version 2: share: 4,217 g of the 9,200 g in
/// jars; 4,100 g before". `says` is the whole line of the corrected division, empty when it has none.
pub fn put_right_says(version: i64, says: &str, before: &str) -> String {
    let says = if says.is_empty() { "nothing" } else { says };
    format!("put right in version {version}: {says}; {before} before")
}

/// "share: 4,217 g of the 9,200 g in jars".
pub fn entitled_says(grams: Grams, of: Grams, units: Units) -> String {
    format!(
        "share: {} of the {} in jars",
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

/// A kind of jar in words for a sum by hand, in grams: "quart of 1,360 g", "part-jar of 777 g".
pub fn kind_says(kind: &Kind, units: Units) -> String {
    let name = if kind.part { "part-jar" } else { &kind.name };
    format!("{name} of {}", kind.net.grams_text(units))
}

/// A jar in words, from its size, net weight and whether it is a part-jar: "quart of 48 oz".
pub fn jar_says(name: &str, net: Grams, part: bool, units: Units) -> String {
    let name = if part { "part-jar" } else { name };
    format!("{name} of {}", net.small(units))
}

/// A number of jars of one kind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JarsOfKind {
    /// The size's name.
    pub name: String,
    /// Net weight of syrup in each jar.
    pub net: Grams,
    /// Whether it is a part-jar.
    pub part: bool,
    /// How many jars.
    pub count: i64,
}

/// Jars by name, with what they weigh together: "8 quarts, 6 pints (30.2 lb)". Of one name, the kinds are added up; "no jars"
/// for none.
pub fn jars_say(jars: &[JarsOfKind], units: Units) -> String {
    let mut names: Vec<(&str, i64)> = Vec::new();
    // Jars of several lots: the largest first all the same.
    let mut held: Vec<&JarsOfKind> = jars.iter().filter(|j| j.count > 0).collect();
    held.sort_by_key(|j| (j.part, -j.net.get()));
    for some in held {
        let name = if some.part { "part-jar" } else { &some.name };
        match names.iter_mut().find(|(n, _)| *n == name) {
            Some((_, count)) => *count += some.count,
            None => names.push((name, some.count)),
        }
    }
    if names.is_empty() {
        return "no jars".to_owned();
    }
    let weight: Grams = jars
        .iter()
        .map(|j| Grams::new(j.net.get() * j.count.max(0)))
        .sum();
    let names: Vec<String> = names.iter().map(|(n, count)| plural(*count, n)).collect();
    format!("{} ({})", names.join(", "), weight.said(units))
}

/// "1 quart", "8 quarts"; of a name that takes no s: "3 × 12-oz glass".
fn plural(count: i64, name: &str) -> String {
    let takes_s = name.ends_with(|c: char| c.is_ascii_lowercase())
        && !name.ends_with(['s', 'x', 'z', 'y'])
        && !name.ends_with("ch")
        && !name.ends_with("sh");
    match count {
        1 => format!("1 {name}"),
        _ if takes_s => format!("{count} {name}s"),
        _ => format!("{count} × {name}"),
    }
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
        1.. => format!("{} still to come", balance.said(units)),
        _ => format!("{} had in advance", (-balance).said(units)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Millilitres, Pounds};

    #[test]
    fn every_kind_has_one_word() {
        for entry in Entry::ALL {
            assert_eq!(Entry::parse(entry.word()), Ok(entry));
        }
        assert!(Entry::parse("gift").is_err());
    }

    #[test]
    fn a_fee_says_its_own_sum() {
        let pounds = Pounds::new(4_175_000);
        let cane = FeeLine::Cane {
            cane: Measured::cane(pounds.grams(), pounds, Units::Us),
            rate: MilliCents::new(1000),
            cents: Cents::new(418),
        };
        assert_eq!(
            fee_says(&cane, Units::Metric),
            "417.5 lb of cane × 1 ¢ per lb = 417.5 ¢, to the nearest cent"
        );
        let juice = FeeLine::Juice {
            juice: Measured::volume(Millilitres::new(84_500), Units::Metric),
            rate: MilliCents::new(3000),
            cents: Cents::new(254),
        };
        assert_eq!(
            fee_says(&juice, Units::Metric),
            "84.500 L of juice × 3 ¢ per L = 253.5 ¢, to the nearest cent"
        );
    }

    #[test]
    fn jars_are_called_by_their_names() {
        let jars = |name: &str, net, part, count| JarsOfKind {
            name: name.to_owned(),
            net: Grams::new(net),
            part,
            count,
        };
        let all = [
            jars("quart", 1247, false, 8),
            jars("pint", 624, false, 6),
            jars("pint", 300, true, 1),
            jars("quart <tall>", 1247, false, 3),
        ];
        assert_eq!(
            jars_say(&all[..2], Units::Us),
            "8 quarts, 6 pints (30.2 lb)"
        );
        assert_eq!(
            jars_say(&all[1..], Units::Metric),
            "3 × quart <tall>, 6 pints, 1 part-jar (7.8 kg)"
        );
        assert_eq!(jars_say(&[], Units::Us), "no jars");
    }

    #[test]
    fn balances_say_who_owes_whom() {
        assert_eq!(money_says(Cents::new(1250)), "$12.50 to pay");
        assert_eq!(money_says(Cents::new(-1250)), "$12.50 in credit");
        assert_eq!(
            grams_says(Grams::new(-58), Units::Us),
            "2 oz had in advance"
        );
        assert_eq!(
            grams_says(Grams::new(1058), Units::Us),
            "2.3 lb still to come"
        );
    }
}
