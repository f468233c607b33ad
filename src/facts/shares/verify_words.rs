//! What working the books again found, in words: whose figure it is, of what, what it comes to and what stands.

use crate::calc::Basis;
use crate::calc::people::forgetting::is_in_place;
use crate::calc::shares::division::{Division, Part};
use crate::calc::shares::ledger::Entry;
use crate::calc::shares::split::Sharer;
use crate::store::Question;
use crate::store::people::members;
use crate::units::{Cents, Grams, MemberId, Units};
use std::collections::{BTreeMap, BTreeSet};

/// What members are called in a finding.
pub(super) struct Called(BTreeMap<MemberId, String>);

impl Called {
    pub(super) fn read() -> Question<Self> {
        members::called().map(|all| {
            let names = all.into_iter().map(|(id, number, name)| {
                let name = if is_in_place(&name, number) {
                    "forgotten".to_owned()
                } else {
                    name
                };
                (id, format!("member {number} ({name})"))
            });
            Self(names.collect())
        })
    }

    /// "member 17 (Amos Trout)", "the mill".
    pub(super) fn who(&self, sharer: Sharer) -> &str {
        match sharer {
            Sharer::Mill => "the mill",
            Sharer::Member(id) => self.0.get(&id).map_or("a member unknown", String::as_str),
        }
    }

    /// Whose shares a division has and should not have, or should have and has not.
    pub(super) fn other_sharers(&self, redone: &Division, frozen: &Division) -> String {
        let who = |d: &Division| -> BTreeSet<Sharer> { d.parts.iter().map(|p| p.sharer).collect() };
        let (is, was) = (who(redone), who(frozen));
        let list = |of: Vec<&Sharer>| {
            let names: Vec<&str> = of.into_iter().map(|s| self.who(*s)).collect();
            names.join(", ")
        };
        let lacking = list(is.difference(&was).collect());
        let beyond = list(was.difference(&is).collect());
        let told = [
            (lacking, "by what was measured there is a share for"),
            (beyond, "by what was measured there is no share for"),
        ];
        let told: Vec<String> = told
            .into_iter()
            .filter(|(names, _)| !names.is_empty())
            .map(|(names, says)| format!("{says} {names}"))
            .collect();
        if told.is_empty() {
            return "its shares stand in another order than they were made".to_owned();
        }
        told.join("; ")
    }
}

/// A figure of a share: its name, and how it is read.
pub(super) type Figure = (&'static str, fn(&Part) -> i64);

/// The figures of a share that are worked out again.
pub(super) const FIGURES: [Figure; 6] = [
    ("brought", |p| i64::try_from(p.weight).unwrap_or(i64::MAX)),
    ("dissolved solids", |p| p.solids.get()),
    ("carried here", |p| p.carried.get()),
    ("share", |p| p.entitled.get()),
    ("in jars", |p| p.jarred.get()),
    ("carried on", |p| p.carry.get()),
];

/// A figure of a share with its unit.
pub(super) fn figure_says(name: &str, figure: i64, basis: Basis) -> String {
    if name == "brought" && basis == Basis::JuiceVolume {
        return format!("{figure} mL");
    }
    grams(Grams::new(figure))
}

/// "1,302 g".
pub(super) fn grams(grams: Grams) -> String {
    grams.grams_text(Units::Us)
}

/// "13,200 g of syrup with 10,296 g of solids".
pub(super) fn syrup(d: &Division) -> String {
    let solids = grams(d.solids_out);
    format!("{} of syrup with {solids} of solids", grams(d.syrup))
}

/// The ledger's lines of a division, of one sharer and kind, that come to something else than the division: the amount by the
/// division, and that in the ledger.
pub(super) fn lines_say(word: &str, division: (Grams, Cents), ledger: (Grams, Cents)) -> String {
    let kind = match Entry::parse(word) {
        Ok(kind) => kind.says(),
        Err(_) => word,
    };
    let amount = |(of_syrup, of_money): (Grams, Cents)| match (of_syrup, of_money) {
        (Grams::ZERO, Cents::ZERO) => "nothing".to_owned(),
        (of_syrup, Cents::ZERO) => grams(of_syrup),
        (Grams::ZERO, of_money) => of_money.show(),
        (of_syrup, of_money) => format!("{} and {}", grams(of_syrup), of_money.show()),
    };
    format!(
        "{kind}: {} by its division, {} in the ledger",
        amount(division),
        amount(ledger)
    )
}
