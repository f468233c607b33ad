//! Dividing a boil again after something measured was put right. The jars set aside stay as they
//! were; only what the corrected figures make different is dealt anew. Never takes back a jar that
//! was handed over.
//!
//! *Entitlements and fees* are reckoned as if the boil were divided for the first time. *Jars*: of
//! each kind so many are added or taken away as the corrected count differs. One that is missing is
//! taken from whoever is owed least at this moment, of those with such a jar still at the mill; one
//! that was found goes to whoever is owed most, as in [`super::jars`]. So who stands best gives and
//! who stands worst receives, and with nothing found and nothing missing nobody's jars move. Where the season's rules bound what a lot repays,
//! the mill claims its share of this lot alone. What
//! remains between entitlement and jars is carried, like any balance: the sums of all balances do
//! not change. No exchanges are made: jars may have been labelled and fetched already.

use super::apportion::Tie;
use super::claims::{Claim, deal};
use super::division::{Division, DivisionCase, Kind, Measured, SharerLine, as_jars, as_kind};
use super::jars::Jars;
use super::ledger::jar_says;
use super::split::Sharer;
use crate::calc::RuleRefusal;
use crate::units::{Cents, Grams, PressDate, Units, UtcSecond};
use std::collections::{BTreeMap, BTreeSet};

/// Jars of one kind in the division that is put right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeldJars {
    /// Size as the rules named it.
    pub name: String,
    /// Net weight of syrup in each jar.
    pub net: Grams,
    /// Whether it is a part-jar.
    pub part: bool,
    /// How many were set aside.
    pub count: u32,
    /// How many of these are no longer on the shelf: handed over, broken or missing.
    pub gone: u32,
    /// What was noted of those that broke or are missing.
    pub noted: Vec<Noted>,
}

/// Jars that broke on a shelf or are missing from it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Noted {
    /// How many.
    pub count: u32,
    /// Whether they are missing; else they broke.
    pub missing: bool,
    /// Name of who wrote it.
    pub by: String,
    /// The day on which it was written.
    pub on: PressDate,
}

impl Noted {
    /// "1 broke, as Ruth Bell wrote on Sat 3 Oct 2026".
    fn says(&self) -> String {
        let became = match (self.missing, self.count) {
            (false, _) => "broke",
            (true, 1) => "is missing",
            (true, _) => "are missing",
        };
        format!(
            "{} {became}, as {} wrote on {}",
            self.count,
            self.by,
            self.on.show()
        )
    }
}

/// One sharer in the division that is put right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShareBefore {
    /// The sharer.
    pub sharer: Sharer,
    /// Syrup that the division entitled the sharer to.
    pub entitled: Grams,
    /// When a lot had last favoured the sharer before the boil was first divided.
    pub favoured_at: Option<UtcSecond>,
    /// The sharer's jars.
    pub jars: Vec<HeldJars>,
}

/// A sharer while the jars are dealt again.
struct Seat {
    sharer: Sharer,
    owed_g: i64,
    favoured_at: Option<UtcSecond>,
    tie: Tie,
    /// Whether the sharer stands in the division whether a jar comes or not.
    stays: bool,
    /// Whether a jar that was found may go to this sharer.
    may_gain: bool,
    jars: Vec<u32>,
    gone: Vec<u32>,
}

/// Divides again. `case` holds the corrected figures, and balances as they stand at this moment,
/// later lots and this one included; `held` is the division put right; `before` are the balances
/// before the boil was first divided.
///
/// # Errors
/// As [`super::division::divide`]; more jars left the shelf than there were by the corrected count.
///
/// # Panics
/// When the parts do not add up to the whole: nothing may be stored then.
pub fn divide_again(
    case: &DivisionCase<'_>,
    held: &[ShareBefore],
    before: &BTreeMap<Sharer, Grams>,
) -> Result<Division, RuleRefusal> {
    let measured = Measured::of(case)?;
    let kinds = kinds(case, held);
    let mut seats = seats(case, held, &measured, &kinds);
    for (place, kind) in kinds.iter().enumerate() {
        take_missing(&mut seats, (place, kind), held)?;
    }
    deal_found(&mut seats, &kinds);
    let used: Vec<bool> = kinds.iter().map(|k| k.count > 0).collect();
    let keep = |jars: &[u32]| {
        let pairs = jars.iter().zip(&used);
        pairs.filter(|(_, used)| **used).map(|(n, _)| *n).collect()
    };
    let rows = seats
        .iter()
        .filter(|seat| seat.stays || seat.jars.iter().any(|n| *n > 0))
        .map(|seat| SharerLine {
            sharer: seat.sharer,
            carried: before.get(&seat.sharer).copied().unwrap_or(Grams::ZERO),
            favoured_at: seat.favoured_at,
            jars: keep(&seat.jars),
        })
        .collect();
    let kinds = kinds.into_iter().filter(|k| k.count > 0).collect();
    Ok(measured.division(case, kinds, rows, Vec::new()))
}

/// The kinds of before and of the corrected count, largest first; a kind no longer filled counts 0.
fn kinds(case: &DivisionCase<'_>, held: &[ShareBefore]) -> Vec<Kind> {
    let mut all: Vec<Jars> = Vec::new();
    let mut add = |jars: Jars| match all.iter_mut().find(|j| j.kind == jars.kind) {
        Some(same) => same.count += jars.count,
        None => all.push(jars),
    };
    for filled in case.filled {
        add(as_jars(filled));
    }
    let gone = held.iter().flat_map(|h| &h.jars).map(|j| Kind {
        name: j.name.clone(),
        net: j.net,
        part: j.part,
        count: 0,
        price: Cents::ZERO,
    });
    let mut kinds: Vec<Kind> = all.iter().map(|j| as_kind(j, case.filled)).collect();
    for kind in gone {
        if !kinds.iter().any(|k| same(k, &kind)) {
            kinds.push(kind);
        }
    }
    kinds.sort_by(|a, b| (b.net, &a.name, a.part).cmp(&(a.net, &b.name, b.part)));
    kinds
}

fn same(a: &Kind, b: &Kind) -> bool {
    a.name == b.name && a.net == b.net && a.part == b.part
}

/// Everybody who may gain or lose a jar, in the order of sharers: those of before, those entitled
/// by the corrected figures, and whoever is owed something.
fn seats(
    case: &DivisionCase<'_>,
    held: &[ShareBefore],
    measured: &Measured,
    kinds: &[Kind],
) -> Vec<Seat> {
    let entitled = |who| {
        let own = measured.entitled.iter().find(|e| e.sharer == who);
        own.map(|e| e.grams)
    };
    let mut sharers: BTreeSet<Sharer> = held.iter().map(|h| h.sharer).collect();
    sharers.extend(measured.entitled.iter().map(|e| e.sharer));
    let bound = case.bounds_what_is_repaid();
    let owed = case.carried.iter().filter(|s| s.carried > Grams::ZERO);
    sharers.extend(owed.map(|s| s.sharer));
    sharers
        .into_iter()
        .map(|sharer| {
            let was = held.iter().find(|h| h.sharer == sharer);
            let stands = case.carried.iter().find(|s| s.sharer == sharer);
            let more =
                entitled(sharer).unwrap_or(Grams::ZERO) - was.map_or(Grams::ZERO, |h| h.entitled);
            let count = |of: fn(&HeldJars) -> u32| -> Vec<u32> {
                let jars = |kind: &Kind| {
                    let own = was.iter().flat_map(|h| &h.jars);
                    own.filter(|j| j.name == kind.name && j.net == kind.net && j.part == kind.part)
                        .map(of)
                        .sum()
                };
                kinds.iter().map(jars).collect()
            };
            let owed = stands.map_or(Grams::ZERO, |s| s.carried) + more;
            Seat {
                sharer,
                owed_g: if sharer == Sharer::Mill && case.bounds_the_mill() {
                    owed.min(lacking(was, entitled(sharer))).get()
                } else {
                    owed.get()
                },
                favoured_at: match was {
                    Some(was) => was.favoured_at,
                    None => stands.and_then(|s| s.favoured_at),
                },
                tie: Tie::of(case.lot, &sharer.key()),
                stays: was.is_some() || entitled(sharer).is_some(),
                may_gain: !bound
                    || entitled(sharer).is_some()
                    || (sharer == Sharer::Mill && !case.bounds_the_mill()),
                jars: count(|j| j.count),
                gone: count(|j| j.gone),
            }
        })
        .collect()
}

/// What the mill lacks of its own share of the lot: all that it claims where the season's rules bound what a lot repays.
fn lacking(was: Option<&ShareBefore>, entitled: Option<Grams>) -> Grams {
    let weigh = |j: &HeldJars| Grams::new(j.net.get() * i64::from(j.count));
    let jarred: Grams = was.iter().flat_map(|h| &h.jars).map(weigh).sum();
    entitled.unwrap_or(Grams::ZERO) - jarred
}

/// Takes jars that were counted too many from whoever is owed least and has one at the mill.
fn take_missing(
    seats: &mut [Seat],
    (place, kind): (usize, &Kind),
    held: &[ShareBefore],
) -> Result<(), RuleRefusal> {
    let mut set_aside: u32 = seats.iter().map(|s| s.jars[place]).sum();
    while set_aside > kind.count {
        let there = seats.iter_mut().filter(|s| s.jars[place] > s.gone[place]);
        let Some(seat) = there.min_by_key(|s| (s.owed_g, s.tie)) else {
            return Err(too_few(kind, set_aside, held));
        };
        seat.jars[place] -= 1;
        seat.owed_g += kind.net.get();
        set_aside -= 1;
    }
    Ok(())
}

/// Refuses a count below the jars that are no longer on the shelf, and says where they went.
fn too_few(kind: &Kind, gone: u32, held: &[ShareBefore]) -> RuleRefusal {
    let jars = held.iter().flat_map(|h| &h.jars);
    let of_kind = jars.filter(|j| (&j.name, j.net, j.part) == (&kind.name, kind.net, kind.part));
    let noted: Vec<&Noted> = of_kind.flat_map(|j| &j.noted).collect();
    let handed = gone.saturating_sub(noted.iter().map(|n| n.count).sum());
    let (name, net, count) = (&kind.name, kind.net.get(), kind.count);
    if noted.is_empty() {
        return RuleRefusal::new(
            "handed-over-already",
            format!(
                "{gone} jars ({name}, {net} g) of this boil were handed over, and the corrected count says there were {count}. \
                 Jars that left the mill were there: please correct the count."
            ),
        );
    }
    let left = (handed > 0).then(|| format!("{handed} handed over"));
    let all: Vec<String> = left
        .into_iter()
        .chain(noted.iter().map(|n| n.says()))
        .collect();
    let before = put_right_before(&noted);
    RuleRefusal::new(
        "gone-from-the-shelf",
        format!(
            "Of the jars ({name}, {net} g) of this boil, {gone} left the shelf: {}. The corrected count says there were {count}. \
             What broke or is missing was filled too: please put the count of jars right first, with them in it.{before}",
            all.join("; ")
        ),
    )
}

/// What is to be put right on the page of a shelf before the jars noted there can be counted out.
fn put_right_before(noted: &[&Noted]) -> String {
    let mut out = String::new();
    if noted.iter().any(|n| n.missing) {
        out.push_str(
            " If one that is missing never was, note it as found on the page of that shelf before.",
        );
    }
    if noted.iter().any(|n| !n.missing) {
        out.push_str(" If one was noted as broken by mistake, take that back on the page of that shelf before.");
    }
    out
}

/// Refuses beside the box that is typed in, `at`, a count of jars of a kind below those that are no longer on the shelf, and says who has
/// them: `name` is what a sharer is called.
pub fn not_below_gone(
    (at, units): (&'static str, Units),
    (kind, count): (&HeldJars, i64),
    held: &[ShareBefore],
    name: impl Fn(Sharer) -> String,
) -> Result<(), RuleRefusal> {
    let same = |j: &&HeldJars| (&j.name, j.net, j.part) == (&kind.name, kind.net, kind.part);
    let jars = held
        .iter()
        .flat_map(|h| h.jars.iter().filter(same).map(|j| (h.sharer, j)));
    let gone: Vec<(Sharer, &HeldJars)> = jars.filter(|(_, j)| j.gone > 0).collect();
    let all: i64 = gone.iter().map(|(_, j)| i64::from(j.gone)).sum();
    if count >= all {
        return Ok(());
    }
    let mut who = Vec::new();
    for (sharer, jars) in &gone {
        let whose = name(*sharer);
        let handed = jars
            .gone
            .saturating_sub(jars.noted.iter().map(|n| n.count).sum());
        if handed > 0 {
            who.push(match sharer {
                Sharer::Mill => format!("{handed} of the mill’s own sold or given out"),
                Sharer::Member(_) => format!("{whose} has {handed}"),
            });
        }
        who.extend(
            jars.noted
                .iter()
                .map(|n| format!("of {whose}’s, {}", n.says())),
        );
    }
    let noted: Vec<&Noted> = gone.iter().flat_map(|(_, j)| &j.noted).collect();
    let sentence = format!(
        "{all} × {} of this boil left the shelf, so at least {all} were filled, not {count}: {}. If a receipt was counted wrong, please put \
         that right on its page before.{}",
        jar_says(&kind.name, kind.net, kind.part, units),
        who.join("; "),
        put_right_before(&noted)
    );
    Err(RuleRefusal::beside(at, "left-the-shelf", sentence))
}

/// Deals jars that were counted too few, largest first, to whoever is owed most; where the season's rules bound what a lot repays,
/// of those with juice in it.
fn deal_found(seats: &mut [Seat], kinds: &[Kind]) {
    let found: Vec<(i64, u32)> = kinds
        .iter()
        .enumerate()
        .map(|(place, kind)| {
            let set_aside: u32 = seats.iter().map(|s| s.jars[place]).sum();
            (kind.net.get(), kind.count - set_aside)
        })
        .collect();
    let mut seats: Vec<&mut Seat> = seats.iter_mut().filter(|s| s.may_gain).collect();
    let claims: Vec<Claim> = seats
        .iter()
        .map(|s| Claim {
            owed_g: s.owed_g,
            favoured_at: s.favoured_at,
            tie: s.tie,
        })
        .collect();
    for (seat, more) in seats.iter_mut().zip(deal(&claims, &found)) {
        for (jars, more) in seat.jars.iter_mut().zip(more) {
            *jars += more;
        }
    }
}

#[cfg(test)]
#[path = "correction_tests.rs"]
mod tests;
