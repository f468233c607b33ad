//! A version of the rules in plain words: sentences, settings with the sources of their defaults,
//! and what one version changed of the one before.

use crate::calc::{Basis, sources};
use crate::facts::season::seasons::SeasonVersions;
use crate::store::season::seasons::{JarSize, Rules};
use crate::units::{
    BasisPoints, Cents, MilliCents, PressDate, RateUnit, Units, fixed, show_row_yield,
};

/// One setting, as text ready to print.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Setting {
    pub(super) name: &'static str,
    pub(super) value: String,
    pub(super) source: String,
}

/// The source of a default, and how well it supports the figure.
fn source_line(key: &str) -> String {
    sources::source(key).map_or_else(String::new, |source| {
        format!("{} ({})", source.text, source.standing.words())
    })
}

fn bx(value: f64, units: Units) -> String {
    let text = fixed(value, 1, units);
    format!("{} °Bx", text.strip_suffix(".0").unwrap_or(&text))
}

fn per_100(value: f64, units: Units) -> String {
    let text = fixed(value, 1, units);
    format!("{} of 100", text.strip_suffix(".0").unwrap_or(&text))
}

/// "quart 44 oz, jar $1.60; pint 22 oz, jar $1.20".
pub(super) fn jars(sizes: &[JarSize], units: Units) -> String {
    let each: Vec<String> = sizes
        .iter()
        .map(|size| {
            format!(
                "{} {}, jar {}",
                size.name,
                size.net.small(units),
                size.price.show()
            )
        })
        .collect();
    each.join("; ")
}

pub(super) fn setting(name: &'static str, value: String, key: &str) -> Setting {
    Setting {
        name,
        value,
        source: source_line(key),
    }
}

/// Every setting of a version, in the order of the form.
pub(super) fn settings(rules: &Rules, sizes: &[JarSize], units: Units) -> Vec<Setting> {
    let line = setting;
    let mut all = vec![
        line(
            "Syrup is divided by",
            rules.basis.label().to_owned(),
            "split",
        ),
        line("Toll, of the syrup", rules.toll.show(), "toll"),
        line("Fee on cane", cane_fee(rules, units), ""),
        line("Fee on juice", juice_fee(rules, units), ""),
        line("Fee per jar filled", rules.jar_fee.show(), ""),
        line("Least charge, per member and boil", rules.least.show(), ""),
        line("Fee of a boil", rules.boil_fee.show(), ""),
        line("Credit for an hour worked", hours(rules), "hours"),
        line(
            "Price of carried syrup",
            if rules.syrup_rate == MilliCents::ZERO {
                "settled in syrup only".to_owned()
            } else {
                rules
                    .syrup_rate
                    .per(RateUnit::of_mass(rules.rates_in), units)
            },
            "",
        ),
        line(
            "The margin",
            if rules.patronage {
                "goes back by solids brought".to_owned()
            } else {
                "stays with the mill".to_owned()
            },
            "patronage",
        ),
        line(
            "Divisions are signed",
            if rules.second_signature {
                "by a second person, with a passphrase or PIN of their own".to_owned()
            } else {
                "only by whoever divides".to_owned()
            },
            "second_signature",
        ),
        line(
            "Read again by a second person",
            match rules.read_again_one_in {
                0 => "no ticket".to_owned(),
                many => format!("one ticket in {many}, drawn by lot"),
            },
            "read_again",
        ),
    ];
    all.extend(losses(rules));
    all.extend(limits(rules, units));
    all.extend(turns(rules));
    all.push(line("Jar sizes", jars(sizes, units), ""));
    all
}

/// A rule that came after the version was voted.
const NOT_VOTED: &str = "not voted: there was no such rule then";

/// The settings of who bears what is lost, and how much a lot may repay.
fn losses(rules: &Rules) -> Vec<Setting> {
    vec![
        setting(
            "A lost boil is borne by",
            rules.loss.label().to_owned(),
            "losses",
        ),
        setting(
            "What breaks or is lost on the mill’s shelf",
            match rules.mill_mends {
                Some(true) => "is made good by the mill".to_owned(),
                Some(false) => "is the loss of whoever owns the jars".to_owned(),
                None => NOT_VOTED.to_owned(),
            },
            "shelf",
        ),
        setting(
            "How much of a lot may repay what is owed from earlier lots, to members without juice in it and to the mill beyond its own share",
            match rules.lots_repay_pct {
                Some(0) => "nothing".to_owned(),
                Some(100) => "all that is owed to them".to_owned(),
                Some(pct) => format!("at most {pct} of 100"),
                None => NOT_VOTED.to_owned(),
            },
            "lots_repay",
        ),
    ]
}

fn hours(rules: &Rules) -> String {
    if rules.hour == Cents::ZERO || rules.hours_most == 0 {
        return "none".to_owned();
    }
    format!(
        "{}, at most {} hours a season",
        rules.hour.show(),
        rules.hours_most
    )
}

/// The settings of juice, cane and boil.
fn limits(rules: &Rules, units: Units) -> Vec<Setting> {
    let line = |name, value: String, key| Setting {
        name,
        value,
        source: source_line(key),
    };
    vec![
        line(
            "Syrup is finished at (20 °C)",
            bx(rules.target_bx, units),
            "finish",
        ),
        line(
            "Juice thinner than this is warned about",
            bx(rules.floor_bx, units),
            "juice_floor",
        ),
        line(
            "Waiting juice is shown amber after, red after",
            format!("{}, {}", rules.hold_amber.show(), rules.hold_red.show()),
            "juice_limit",
        ),
        line(
            "Cut cane lies at most",
            format!("{} days", rules.cane_warn_days),
            "cane_age",
        ),
        line(
            "Leaves and trash that a sample shows",
            if rules.trash_off {
                "taken off the cane’s weight".to_owned()
            } else {
                "noted, nothing is taken off".to_owned()
            },
            "",
        ),
        line(
            "Juice out of the cane is shown amber below, red below",
            format!(
                "{}, {}",
                per_100(rules.yield_amber_pct, units),
                per_100(rules.yield_red_pct, units)
            ),
            "extraction",
        ),
        line(
            "Solids of the juice expected in the jars",
            per_100(rules.recovery_pct, units),
            "recovery",
        ),
        line(
            "Juice expected out of the cane",
            per_100(rules.juice_pct, units),
            "extraction",
        ),
        line(
            "Cane expected of a row",
            show_row_yield(rules.row_kg_per_m, units),
            "row_yield",
        ),
        line(
            "Weight of a stripped stalk",
            rules.stalk.small(units),
            "stalk_weight",
        ),
    ]
}

/// The settings of turns.
fn turns(rules: &Rules) -> Vec<Setting> {
    let line = |name, value: String| Setting {
        name,
        value,
        source: source_line(""),
    };
    let until = match rules.cutoff_h {
        0 => "it begins".to_owned(),
        hours => format!("{hours} h before it"),
    };
    vec![
        line("Members move or cancel a turn until", until),
        line("A turn is offered to one who waits for", rules.offer.show()),
    ]
}

/// How syrup and money are worked out, in sentences for a member.
pub(super) fn sentences(rules: &Rules, units: Units) -> Vec<String> {
    let basis = match rules.basis {
        Basis::Solids => {
            "Syrup is divided by dissolved solids: the weight of your juice, times its Brix at 20 °C, over 100."
        }
        Basis::JuiceMass => {
            "Syrup is divided by juice weight: what your juice weighs, whatever its Brix."
        }
        Basis::JuiceVolume => {
            "Syrup is divided by juice volume: how much juice you had, whatever its Brix."
        }
        Basis::CaneMass => {
            "Syrup is divided by cane weight: what your cane weighed, whatever juice it gave."
        }
    };
    let toll = if rules.toll == BasisPoints::ZERO {
        "The mill keeps no syrup.".to_owned()
    } else {
        format!(
            "First the mill keeps {} of the syrup in jars; the rest is the members’.",
            rules.toll.show()
        )
    };
    vec![
        basis.to_owned(),
        toll,
        "Shares are worked out to the gram and sum to what is in the jars. Jars stay whole, the largest first to whoever is owed most; what is left over is carried to your next boil.".to_owned(),
        money(rules, units),
        rules.loss.sentence().to_owned(),
    ]
}

/// The fee on cane, in the unit it was voted in.
fn cane_fee(rules: &Rules, units: Units) -> String {
    rules
        .cane_rate
        .per(RateUnit::of_mass(rules.rates_in), units)
}

/// The fee on juice, in the unit it was voted in.
fn juice_fee(rules: &Rules, units: Units) -> String {
    rules
        .juice_rate
        .per(RateUnit::of_volume(rules.rates_in), units)
}

fn money(rules: &Rules, units: Units) -> String {
    let mut fees = Vec::new();
    if rules.cane_rate != MilliCents::ZERO {
        fees.push(format!("{} of cane", cane_fee(rules, units)));
    }
    if rules.juice_rate != MilliCents::ZERO {
        fees.push(format!("{} of juice", juice_fee(rules, units)));
    }
    if rules.boil_fee != Cents::ZERO {
        fees.push(format!(
            "{} per boil, shared by its members",
            rules.boil_fee.show()
        ));
    }
    if rules.jar_fee != Cents::ZERO {
        fees.push(format!("{} per jar filled", rules.jar_fee.show()));
    }
    let least = if rules.least == Cents::ZERO {
        String::new()
    } else {
        format!(" The least is {} per member and boil.", rules.least.show())
    };
    if fees.is_empty() && least.is_empty() {
        "Pressing costs no money; empty jars are paid at their price.".to_owned()
    } else if fees.is_empty() {
        format!(
            "Pressing is charged at the least charge.{least} Empty jars are paid at their price."
        )
    } else {
        format!(
            "Pressing costs {}.{least} Empty jars are paid at their price.",
            fees.join(", and ")
        )
    }
}

/// What a version changed of the one before it: "Toll, of the syrup: 10 % → 12 %".
pub(super) fn changes(before: &[Setting], after: &[Setting]) -> Vec<String> {
    before
        .iter()
        .zip(after)
        .filter(|(old, new)| old.value != new.value)
        .map(|(old, new)| format!("{}: {} → {}", new.name, old.value, new.value))
        .collect()
}

/// Why no version of the rules holds today.
pub(super) fn not_yet(of: &SeasonVersions, today: PressDate) -> String {
    let days = of.to_come(today).filter_map(|v| v.rules.holds_from);
    match days.min() {
        Some(from) => format!(
            "The rules of this season hold from {}: before that day no ticket is opened and no boil lit.",
            from.show()
        ),
        None => {
            "No rules of this season are confirmed yet: until they are, no ticket is opened and no boil lit."
                .to_owned()
        }
    }
}
