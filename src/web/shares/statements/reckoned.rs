//! "How this was reckoned": the rules in words, with every rounding named.

use crate::calc::Basis;
use crate::calc::sources::source;
use crate::facts::shares::statement::Statement;
use crate::store::season::seasons::Rules;
use crate::units::{Cents, MilliCents, RateUnit, Zone};

pub(super) fn lines(statement: &Statement, zone: &Zone) -> Vec<String> {
    let mut used: Vec<&Rules> = statement.lots.iter().map(|l| &l.rules).collect();
    if used.is_empty() {
        used.push(&statement.rules);
    }
    used.sort_by_key(|r| r.number);
    used.dedup_by_key(|r| r.number);
    let mut out: Vec<String> = used.into_iter().map(|r| version(r, zone)).collect();
    out.push(
        "Rounding: juice and solids to the nearest gram, halves up; Brix at 20 °C to 0.01; of shares \
         the parts of a gram are cut off, and the grams left over go, one each, to those of whom most \
         was cut off; each fee to the nearest cent, half a cent upward."
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

fn version(rules: &Rules, zone: &Zone) -> String {
    let basis = match rules.basis {
        Basis::Solids => "dissolved solids: grams of juice × Brix at 20 °C ÷ 100",
        Basis::JuiceMass => "grams of juice",
        Basis::JuiceVolume => "millilitres of juice at 20 °C",
        Basis::CaneMass => "grams of cane behind the juice poured",
    };
    let line = format!(
        "Version {} of the season’s rules, made on {}, in force when these boils were lit: divided by \
         {basis}. Share = members’ part of the syrup in jars × your own ÷ everybody’s. The mill keeps {}.",
        rules.number,
        zone.show(rules.made_at),
        rules.toll.show()
    );
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
        return format!("{line} No pressing fees.");
    }
    format!(
        "{line} Fees: {}; and the price of the jars.",
        fees.join(", ")
    )
}
