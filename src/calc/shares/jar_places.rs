//! Where jars are: filled, on the shelf of whose they are, handed over, sold, broken, not to be found. For every kind of every
//! lot the places sum to what was filled. Knows no database.

use crate::units::{BoilId, Cents, Grams, MemberId};
use std::collections::{BTreeMap, BTreeSet};

/// One kind of jar of one lot.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Kind {
    /// The boil they were filled from.
    pub boil: BoilId,
    /// Name of the size.
    pub size_name: String,
    /// Net weight of syrup in each jar, g.
    pub net: Grams,
    /// Whether it is a part-jar.
    pub part: bool,
}

/// A number of jars of one kind, with their sharer and the receipt they left with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Counted {
    /// The kind.
    pub kind: Kind,
    /// The member whose they are; `None`: the mill.
    pub member: Option<MemberId>,
    /// Number of the receipt they left with; `None`: they did not leave.
    pub receipt: Option<i64>,
    /// How many jars.
    pub count: i64,
}

/// Where jars are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    /// Set aside for somebody, at the mill.
    Shelf,
    /// Filled, not divided yet, at the mill.
    Undivided,
    /// Handed over to a member.
    Handed,
    /// The mill's own, sold or given out.
    Sold,
    /// Broken at the mill.
    Broken,
    /// Filled, and nobody can say where they are.
    Unaccounted,
}

impl Place {
    /// Every place.
    pub const ALL: [Self; 6] = [
        Self::Shelf,
        Self::Undivided,
        Self::Handed,
        Self::Sold,
        Self::Broken,
        Self::Unaccounted,
    ];

    /// The word under which the database keeps it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Shelf => "shelf",
            Self::Undivided => "undivided",
            Self::Handed => "handed",
            Self::Sold => "sold",
            Self::Broken => "broken",
            Self::Unaccounted => "unaccounted",
        }
    }

    /// The place that this word stands for.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|place| place.word() == word)
    }
}

/// Jars of a kind in one place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Placed {
    /// The kind.
    pub kind: Kind,
    /// Where they are.
    pub place: Place,
    /// The member whose they are; `None`: the mill's, or nobody's yet.
    pub member: Option<MemberId>,
    /// Number of the receipt they left with; `None`: they did not leave.
    pub receipt: Option<i64>,
    /// How many jars, above nought.
    pub count: i64,
}

impl Placed {
    /// Syrup in these jars, g.
    pub fn grams(&self) -> Grams {
        Grams::new(self.kind.net.get() * self.count)
    }
}

/// What became of jars after they were divided.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Became {
    /// Brought back: from a receipt to the shelf.
    Returned,
    /// They never left: the receipt was counted wrong.
    Miscounted,
    /// Broken on the shelf.
    Broken,
    /// Not to be found on the shelf.
    Missing,
    /// Missing before, found again.
    Found,
    /// Noted as broken before, and it had not broken.
    NotBroken,
}

impl Became {
    /// All of them.
    pub const ALL: [Self; 6] = [
        Self::Returned,
        Self::Miscounted,
        Self::Broken,
        Self::Missing,
        Self::Found,
        Self::NotBroken,
    ];

    /// The word that a form uses.
    pub fn word(self) -> &'static str {
        match self {
            Self::Returned => "returned",
            Self::Miscounted => "miscounted",
            Self::Broken => "broken",
            Self::Missing => "missing",
            Self::Found => "found",
            Self::NotBroken => "not-broken",
        }
    }

    /// What became of them by this word.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }

    /// By how many one such jar changes the shelf of its owner: 1 or −1.
    pub fn to_the_shelf(self) -> i64 {
        match self {
            Self::Returned | Self::Miscounted | Self::Found | Self::NotBroken => 1,
            Self::Broken | Self::Missing => -1,
        }
    }
}

/// Takes jars that are found off those that are missing. Nobody finds more than are missing: only entries of before, which did not say which
/// jars were meant, take the rest off those that were noted as broken. What is over stands among the missing, below nought.
pub fn take_found((missing, broken): (&mut i64, &mut i64), found: i64) {
    let again = found.min((*missing).max(0));
    let by_mistake = (found - again).min((*broken).max(0));
    *broken -= by_mistake;
    *missing -= found - by_mistake;
}

/// What is still credited for the glass of missing jars of a kind, and of broken ones, by its entries in order, each with its count and what
/// its lines of the ledger moved. Who finds a jar is charged what was credited for such a one.
pub fn glass_credited(entries: &[(Became, i64, Cents)]) -> (Cents, Cents) {
    let (mut missing, mut broken) = ((0, Cents::ZERO), (0, Cents::ZERO));
    for (became, count, cents) in entries {
        match became {
            Became::Missing => missing = (missing.0 + count, missing.1 - *cents),
            Became::Broken => broken = (broken.0 + count, broken.1 - *cents),
            Became::NotBroken => broken = (broken.0 - count, broken.1 - *cents),
            Became::Found => {
                let before = missing.0;
                take_found((&mut missing.0, &mut broken.0), *count);
                let all_missing = before - missing.0 == *count;
                let of_missing = if all_missing {
                    *cents
                } else {
                    (*cents).min(missing.1.max(Cents::ZERO))
                };
                missing.1 = missing.1 - of_missing;
                broken.1 = broken.1 - (*cents - of_missing);
            }
            Became::Returned | Became::Miscounted => {}
        }
    }
    (missing.1, broken.1)
}

/// Where the jars of some lots are.
#[derive(Debug, Clone, Default)]
pub struct Jars {
    /// Filled, in the version that counts.
    pub filled: Vec<(Kind, i64)>,
    /// Set aside by the division that counts.
    pub aside: Vec<Counted>,
    /// Handed over, by receipt, as it was written.
    pub handed: Vec<Counted>,
    /// What became of jars afterwards; those that came back bear their receipt.
    pub moved: Vec<(Became, Counted)>,
}

/// Where every jar is. For each kind of each lot the places sum to what was filled, unless more jars left
/// than were ever filled; what is in no place is unaccounted.
pub fn placed(jars: &Jars) -> Vec<Placed> {
    let mut out = Vec::new();
    let mut kinds: BTreeMap<&Kind, i64> = BTreeMap::new();
    for (kind, count) in &jars.filled {
        *kinds.entry(kind).or_default() += count;
    }
    let moved = jars.moved.iter().map(|(_, one)| one);
    for one in jars.aside.iter().chain(&jars.handed).chain(moved) {
        kinds.entry(&one.kind).or_default();
    }
    let divided: BTreeSet<BoilId> = jars.aside.iter().map(|a| a.kind.boil).collect();
    for (kind, filled) in kinds {
        let from = out.len();
        of_kind(kind, jars, &mut out);
        let known: i64 = out[from..].iter().map(|p| p.count).sum();
        if filled > known {
            let place = if divided.contains(&kind.boil) {
                Place::Unaccounted
            } else {
                Place::Undivided
            };
            out.push(Placed {
                kind: kind.clone(),
                place,
                member: None,
                receipt: None,
                count: filled - known,
            });
        }
    }
    out
}

/// Jars of one kind by whose they are, on the shelf, broken, missing; and by receipt.
#[derive(Debug, Default)]
struct OfKind {
    shelf: BTreeMap<Option<MemberId>, i64>,
    broken: BTreeMap<Option<MemberId>, i64>,
    missing: BTreeMap<Option<MemberId>, i64>,
    gone: BTreeMap<(Option<MemberId>, Option<i64>), i64>,
}

impl OfKind {
    fn of(kind: &Kind, jars: &Jars) -> Self {
        let mut sums = Self::default();
        for one in jars.aside.iter().filter(|a| a.kind == *kind) {
            *sums.shelf.entry(one.member).or_default() += one.count;
        }
        for one in jars.handed.iter().filter(|h| h.kind == *kind) {
            *sums.shelf.entry(one.member).or_default() -= one.count;
            let gone = sums.gone.entry((one.member, one.receipt)).or_default();
            *gone += one.count;
        }
        for (became, one) in jars.moved.iter().filter(|(_, m)| m.kind == *kind) {
            *sums.shelf.entry(one.member).or_default() += became.to_the_shelf() * one.count;
            match became {
                Became::Returned | Became::Miscounted => {
                    let gone = sums.gone.entry((one.member, one.receipt)).or_default();
                    *gone -= one.count;
                }
                Became::Broken => *sums.broken.entry(one.member).or_default() += one.count,
                Became::Missing => *sums.missing.entry(one.member).or_default() += one.count,
                Became::Found => {
                    let missing = sums.missing.entry(one.member).or_default();
                    let broken = sums.broken.entry(one.member).or_default();
                    take_found((missing, broken), one.count);
                }
                Became::NotBroken => *sums.broken.entry(one.member).or_default() -= one.count,
            }
        }
        sums
    }
}

fn of_kind(kind: &Kind, jars: &Jars, out: &mut Vec<Placed>) {
    let sums = OfKind::of(kind, jars);
    let mut put = |place, member, receipt, count| {
        if count > 0 {
            out.push(Placed {
                kind: kind.clone(),
                place,
                member,
                receipt,
                count,
            });
        }
    };
    for ((member, receipt), count) in sums.gone {
        let place = if member.is_none() {
            Place::Sold
        } else {
            Place::Handed
        };
        put(place, member, receipt, count);
    }
    let others = [
        (sums.broken, Place::Broken),
        (sums.missing, Place::Unaccounted),
        (sums.shelf, Place::Shelf),
    ];
    for (all, place) in others {
        for (member, count) in all {
            put(place, member, None, count);
        }
    }
}

/// The jars of a lot, counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct LotCount {
    /// Jars filled.
    pub filled: i64,
    /// Jars not divided yet.
    pub undivided: i64,
    /// Jars on the shelf that are set aside for their owners.
    pub shelf: i64,
    /// Jars handed over to members.
    pub handed: i64,
    /// The mill's own, sold or given out.
    pub sold: i64,
    /// Jars broken.
    pub broken: i64,
    /// Jars that cannot be found.
    pub unaccounted: i64,
    /// Brought back once; they stand in one of the places above.
    pub returned: i64,
}

impl LotCount {
    /// Counts the jars of a lot.
    pub fn of(boil: BoilId, jars: &Jars, placed: &[Placed]) -> Self {
        let mut count = Self {
            filled: jars
                .filled
                .iter()
                .filter(|(k, _)| k.boil == boil)
                .map(|(_, n)| n)
                .sum(),
            ..Self::default()
        };
        for one in placed.iter().filter(|p| p.kind.boil == boil) {
            let place = match one.place {
                Place::Shelf => &mut count.shelf,
                Place::Undivided => &mut count.undivided,
                Place::Handed => &mut count.handed,
                Place::Sold => &mut count.sold,
                Place::Broken => &mut count.broken,
                Place::Unaccounted => &mut count.unaccounted,
            };
            *place += one.count;
        }
        let back = |(became, one): &&(Became, Counted)| {
            *became == Became::Returned && one.kind.boil == boil
        };
        count.returned = jars
            .moved
            .iter()
            .filter(back)
            .map(|(_, one)| one.count)
            .sum();
        count
    }

    /// Jars in all places added up.
    pub fn together(&self) -> i64 {
        self.undivided + self.shelf + self.handed + self.sold + self.broken + self.unaccounted
    }

    /// Whether the places sum to what was filled.
    pub fn adds_up(&self) -> bool {
        self.filled == self.together()
    }
}

/// Kinds of jars of which more left than there were, with the number too many: off somebody's shelf, off a receipt, or
/// found that were not missing, or were never noted as broken. Empty: all is in order.
pub fn too_many(jars: &Jars) -> Vec<(Kind, i64)> {
    let moved = jars.moved.iter().map(|(_, one)| &one.kind);
    let handed = jars.handed.iter().map(|one| &one.kind);
    let kinds: BTreeSet<&Kind> = moved.chain(handed).collect();
    let short = |kind: &&Kind| {
        let sums = OfKind::of(kind, jars);
        let all = sums.shelf.values().chain(sums.missing.values());
        let all = all.chain(sums.broken.values());
        all.chain(sums.gone.values())
            .filter(|n| **n < 0)
            .sum::<i64>()
    };
    let all = kinds.into_iter().map(|kind| (kind.clone(), -short(&kind)));
    all.filter(|(_, many)| *many > 0).collect()
}

#[cfg(test)]
#[path = "jar_places_tests.rs"]
mod tests;
