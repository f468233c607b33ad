//! The jars of a lot in words: in whose hands they are, counted place by place, and what became of some.

use crate::calc::shares::jar_places::{Became, LotCount};
use crate::facts::shares::trace::{KeptJars, LotTrace};
use crate::store::shares::jar_moves::JarMove;
use crate::units::{Grams, Units, Zone, count_of};
use crate::web::paths;
use std::fmt::Write as _;

/// Jars of a lot in one pair of hands.
pub(super) struct JarLine {
    pub(super) who: String,
    pub(super) href: String,
    pub(super) jars: String,
    pub(super) at_mill: i64,
    pub(super) handed: i64,
    pub(super) lost: i64,
}

pub(super) fn jar_words(size: &str, net: Grams, part: bool, count: i64, units: Units) -> String {
    let kind = if part { "part-jar" } else { size };
    format!("{count} × {kind} of {}", net.small(units))
}

pub(super) fn keeper(jar: &KeptJars) -> String {
    match &jar.member {
        Some((_, name)) => name.to_string(),
        None => "the mill".to_owned(),
    }
}

pub(super) fn jar_line(jar: &KeptJars, units: Units) -> JarLine {
    JarLine {
        who: keeper(jar),
        href: jar
            .member
            .as_ref()
            .map_or_else(String::new, |(id, _)| paths::member(*id)),
        jars: jar_words(&jar.size_name, jar.net, jar.part, jar.set_aside, units),
        at_mill: jar.shelf,
        handed: jar.handed,
        lost: jar.lost,
    }
}

/// What became of the jars, counted: the places sum to what was filled, or it says by how many they do not.
pub(super) fn counted(trace: &LotTrace) -> String {
    let count = &trace.places.count;
    if trace.kept.is_empty() {
        return format!(
            "{} at the mill, filled and not divided yet.",
            count_of(count.filled, "jar is", "jars are")
        );
    }
    let given: i64 = trace.kept.iter().map(|k| k.set_aside).sum();
    let filled = count_of(count.filled, "jar", "jars");
    let mut out = format!(
        "{filled} filled; {given} set aside by the division: {}.",
        places(count)
    );
    if count.unaccounted > 0 {
        let missing = count_of(count.unaccounted, "jar is", "jars are");
        let _ = write!(out, " {missing} not accounted for.");
    }
    if count.returned > 0 {
        let back = count_of(count.returned, "jar was", "jars were");
        let _ = write!(out, " {back} brought back once.");
    }
    if !count.adds_up() {
        out.push_str(" These numbers do not add up: please count again.");
    }
    out
}

/// "4 handed over, 1 broken, 3 at the mill": places with jars, and always the first and the last.
fn places(count: &LotCount) -> String {
    let mut out = vec![format!("{} handed over", count.handed + count.sold)];
    if count.sold > 0 {
        let _ = write!(out[0], " ({} of the mill’s own)", count.sold);
    }
    if count.broken > 0 {
        out.push(format!("{} broken", count.broken));
    }
    out.push(format!("{} at the mill", count.shelf));
    out.join(", ")
}

/// Words for what became of jars: "were brought back".
pub(in crate::web::shares) fn became_words(became: Became) -> &'static str {
    match became {
        Became::Returned => "brought back",
        Became::Miscounted => "never left: the receipt was counted wrong",
        Became::Broken => "broken on the shelf",
        Became::Missing => "not to be found on the shelf",
        Became::Found => "found again",
        Became::NotBroken => "not broken: noted as broken by mistake",
    }
}

/// "Sat 19 Sep 2026 16:40, Ruth Bell: 2 × quart of 48 oz of Amos Trout broken on the shelf. It fell."
pub(in crate::web::shares) fn move_line(of: &JarMove, units: Units, zone: &Zone) -> String {
    let jars = &of.jars;
    let whose = of
        .member_name
        .as_ref()
        .map_or_else(|| "the mill".to_owned(), ToString::to_string);
    let receipt = jars
        .receipt
        .map_or_else(String::new, |n| format!(", receipt {n}"));
    format!(
        "{}, {}: {} of {whose}{receipt}: {}. {}",
        zone.show(of.at),
        of.by_name,
        jar_words(&jars.size_name, jars.net, jars.part, jars.count, units),
        became_words(of.became),
        of.why
    )
}

#[cfg(test)]
pub(super) fn sample(handed: i64, who: &str) -> JarLine {
    JarLine {
        who: who.to_owned(),
        href: if handed == 0 {
            String::new()
        } else {
            "/members/x".to_owned()
        },
        jars: "12 × quart <wide> of 48 oz".to_owned(),
        at_mill: 12 - handed,
        handed,
        lost: handed % 2,
    }
}
