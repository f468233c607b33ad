//! "How this was reckoned": the rules in words, with every rounding named.

use crate::calc::Basis;
use crate::calc::shares::division::Way;
use crate::calc::sources::source;
use crate::facts::shares::statements::{LotPart, Statement};
use crate::store::season::seasons::Rules;
use crate::units::{Cents, MilliCents, RateUnit, Zone};

pub(super) fn lines(statement: &Statement, zone: &Zone) -> Vec<String> {
    let mut used: Vec<&Rules> = statement.lots.iter().map(|l| &l.rules).collect();
    if used.is_empty() {
        used.push(&statement.rules);
    }
    used.sort_by_key(|r| r.number);
    used.dedup_by_key(|r| r.number);
    let used = used.into_iter();
    let used: Vec<Version> = used.map(|r| version(r, &statement.lots)).collect();
    let mut out = told(&used);
    out.extend(statement.lots.iter().filter_map(|lot| moved(lot, zone)));
    out.push(
        "Rounding: juice and solids to the nearest gram, halves up; Brix at 20 °C to 0.01; of shares \
         the parts of a gram are cut off, and the grams left over go, one each, to those of whom most \
         was cut off; each fee to the nearest cent, half a cent upward; of the fee for a whole boil, which its members share, \
         the parts of a cent are cut off, and the odd cents go to those of whom most was cut off."
            .to_owned(),
    );
    out.push(
        "Jars: the largest first, each to whoever is due most at that moment, the mill like any member; \
         then jars are exchanged where that brings two people closer to what is due, and swapped \
         for as much in the sizes wished for. What is left, or had in advance, is carried to the next lot, and to the next \
         season."
            .to_owned(),
    );
    out.push("A pound is 453.59237 g, exactly. Sums go in whole grams.".to_owned());
    for key in ["density", "refractometer_correction"] {
        if let Some(source) = source(key) {
            out.push(format!(
                "{} ({}).",
                source.text.trim_end_matches('.'),
                source.standing.words()
            ));
        }
    }
    out
}

/// A version of the rules, and what it says, part by part.
struct Version {
    number: i64,
    /// The day from which it holds.
    from: String,
    /// "26000-Q, 26001-X": the lots that are divided by it.
    lots: String,
    says: [String; 3],
}

/// What the versions say; what all of them say is said once.
fn told(versions: &[Version]) -> Vec<String> {
    let (first, others) = match versions {
        [] => return Vec::new(),
        [only] => {
            return vec![format!(
                "Version {} of the season’s rules{}: {}",
                only.number,
                only.from,
                only.says.join(" ")
            )];
        }
        [first, others @ ..] => (first, others),
    };
    let parts = |version: &Version, common: bool| {
        let all = version.says.iter().enumerate();
        let of = all.filter(|(part, _)| {
            let same = |other: &Version| other.says[*part] == first.says[*part];
            others.iter().all(same) == common
        });
        let of: Vec<&str> = of.map(|(_, says)| says.as_str()).collect();
        of.join(" ")
    };
    let called: Vec<String> = versions
        .iter()
        .map(|v| format!("{}{}", v.number, v.from))
        .collect();
    let head = format!(
        "Versions {} of the season’s rules: {}",
        called.join(" and "),
        parts(first, true)
    );
    let own = versions.iter().map(|v| {
        let (own, lots) = (parts(v, false), &v.lots);
        (!own.is_empty()).then(|| format!("Version {}, for {lots}: {own}", v.number))
    });
    std::iter::once(head).chain(own.flatten()).collect()
}

/// " (holds from Thu 1 Oct 2026)"; nothing of a version that nobody confirmed.
fn holds(rules: &Rules) -> String {
    let from = rules.holds_from;
    from.map_or_else(String::new, |day| format!(" (holds from {})", day.show()))
}

/// That a lot was lit under another version, who moved it, when and why.
fn moved(lot: &LotPart, zone: &Zone) -> Option<String> {
    let moved = lot.moved.as_ref()?;
    Some(format!(
        "Lot {} was lit under another version of the rules; {} moved it to version {} on {}: “{}”",
        lot.boil.lot,
        moved.by_name,
        lot.rules.number,
        zone.show(moved.at),
        moved.why
    ))
}

fn version(rules: &Rules, lots: &[LotPart]) -> Version {
    let lots = lots.iter().filter(|lot| lot.rules.number == rules.number);
    let ways = lots.clone().filter_map(|lot| lot.divided.as_ref());
    let mill_too = ways.map(|(row, _)| row.way).all(Way::bounds_the_mill);
    let lots: Vec<&str> = lots.map(|lot| lot.boil.lot.as_str()).collect();
    Version {
        number: rules.number,
        from: holds(rules),
        lots: lots.join(", "),
        says: [
            basis(rules),
            format!(
                "The mill keeps {}.{}",
                rules.toll.show(),
                repaid(rules, mill_too)
            ),
            fees(rules),
        ],
    }
}

/// How much of a lot may repay what is owed from earlier ones to those without juice in it, and to the mill, but in lots that were
/// divided before that held; nothing where it is not bounded.
fn repaid(rules: &Rules, mill_too: bool) -> String {
    let who = if mill_too {
        "the mill beyond that, and members without juice in a lot, are"
    } else {
        "members without juice in a lot are"
    };
    match rules.lots_repay_pct {
        None | Some(100) => String::new(),
        Some(0) => format!(" What {who} owed from earlier lots is repaid by no jar of it."),
        Some(pct) => {
            format!(" What {who} owed from earlier lots is repaid by at most {pct} of 100 of it.")
        }
    }
}

fn basis(rules: &Rules) -> String {
    let basis = match rules.basis {
        Basis::Solids => "dissolved solids: grams of juice × Brix at 20 °C ÷ 100",
        Basis::JuiceMass => "grams of juice",
        Basis::JuiceVolume => "millilitres of juice at 20 °C",
        Basis::CaneMass => "grams of cane behind the juice poured",
    };
    format!(
        "divided by {basis}. Share = members’ part of the syrup in jars × your own ÷ everybody’s."
    )
}

fn fees(rules: &Rules) -> String {
    let mut fees = Vec::new();
    if rules.cane_rate > MilliCents::ZERO {
        fees.push(format!(
            "{} per {} of cane",
            rules.cane_rate.show(),
            RateUnit::of_mass(rules.rates_in).sign()
        ));
    }
    if rules.juice_rate > MilliCents::ZERO {
        fees.push(format!(
            "{} per {} of juice",
            rules.juice_rate.show(),
            RateUnit::of_volume(rules.rates_in).sign()
        ));
    }
    if rules.boil_fee > Cents::ZERO {
        fees.push(format!(
            "{} a boil, shared by what its members brought",
            rules.boil_fee.show()
        ));
    }
    if rules.jar_fee > Cents::ZERO {
        fees.push(format!("{} a jar filled", rules.jar_fee.show()));
    }
    if rules.least > Cents::ZERO {
        fees.push(format!("at least {} a boil", rules.least.show()));
    }
    if fees.is_empty() {
        return "No pressing fees.".to_owned();
    }
    format!("Fees: {}; and the price of the jars.", fees.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn version(number: i64, lots: &str, says: [&str; 3]) -> Version {
        Version {
            number,
            from: format!(" (holds from day {number})"),
            lots: lots.to_owned(),
            says: says.map(ToOwned::to_owned),
        }
    }

    #[test]
    fn what_all_versions_say_is_said_once() {
        let one = version(
            1,
            "26000-Q",
            ["divided by cane.", "The mill keeps 10 %.", "No fees."],
        );
        let two = version(
            2,
            "26001-X",
            ["divided by cane.", "The mill keeps 12 %.", "No fees."],
        );
        let alone = told(std::slice::from_ref(&one));
        assert_eq!(
            alone,
            [
                "Version 1 of the season’s rules (holds from day 1): divided by cane. The mill keeps 10 %. No fees."
            ]
        );
        assert_eq!(
            told(&[one, two]),
            [
                "Versions 1 (holds from day 1) and 2 (holds from day 2) of the season’s rules: divided by cane. No fees.",
                "Version 1, for 26000-Q: The mill keeps 10 %.",
                "Version 2, for 26001-X: The mill keeps 12 %.",
            ]
        );
    }
}
