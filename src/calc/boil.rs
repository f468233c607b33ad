//! A boil as sums: the parts of juices poured into it, what each member brought, how far it has
//! come, and whether its finish can be true. Never watches the pan, never divides.

use super::juice::{Portion, Stock, solids_of};
use super::label::LEAST_SOLIDS;
use super::Unmet;
use crate::units::{BrixAt20C, Celsius, Grams, MemberId, Millilitres, Units, UtcSecond};

/// How far a boil has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// On the fire: takes juice and readings.
    Lit,
    /// Drawn off and measured: takes fills.
    Finished,
    /// Divided: closed.
    Divided,
}

impl Stage {
    /// The stage of a boil that has a finish, or a division, or neither.
    pub const fn of(finished: bool, divided: bool) -> Self {
        match (finished, divided) {
            (_, true) => Self::Divided,
            (true, false) => Self::Finished,
            (false, false) => Self::Lit,
        }
    }

    /// The words a page prints.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Lit => "on the fire",
            Self::Finished => "finished",
            Self::Divided => "divided",
        }
    }
}

/// One draw of a juice, as it was written down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Draw {
    /// As weighed; not looked at when `whole`.
    pub amount: Grams,
    /// All that was left at that point.
    pub whole: bool,
}

/// A juice poured out: the part of each draw, and what stays.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Poured {
    /// One part for each draw, in the order given.
    pub parts: Vec<Portion>,
    /// What is left.
    pub left: Portion,
    /// How much more was written down than there is; nought when all is well. It comes about when
    /// a juice is corrected downwards after it was poured.
    pub over: Grams,
}

const NOTHING: Portion = Portion {
    volume: Millilitres::ZERO,
    mass: Grams::ZERO,
    solids: Grams::ZERO,
};

/// Pours a juice out, draw by draw, in the order the boils were lit.
///
/// Worked on the running total: all poured so far is turned into solids and volume, rounded to the
/// nearest gram and millilitre (halves up), and what had been counted before is taken off. So the
/// parts and what is left add up to the juice exactly. A draw gets no more than is left.
pub fn pour(of: Stock, draws: &[Draw]) -> Poured {
    let (mut so_far, mut over) = (Grams::ZERO, Grams::ZERO);
    let parts = draws
        .iter()
        .map(|draw| {
            let left = of.mass - so_far;
            let wanted = if draw.whole { left } else { draw.amount };
            let taken = wanted.max(Grams::ZERO).min(left);
            over += wanted.max(Grams::ZERO) - taken;
            let part = between(of, so_far, so_far + taken);
            so_far += taken;
            part
        })
        .collect();
    Poured {
        parts,
        left: between(of, so_far, of.mass),
        over,
    }
}

/// The part of a juice between two running totals of its mass.
fn between(of: Stock, from: Grams, to: Grams) -> Portion {
    Portion {
        mass: to - from,
        solids: Grams::new(share(of.solids.get(), to, of.mass) - share(of.solids.get(), from, of.mass)),
        volume: Millilitres::new(
            share(of.volume.get(), to, of.mass) - share(of.volume.get(), from, of.mass),
        ),
    }
}

/// `whole` × `part` / `mass`, to the nearest, halves up.
fn share(whole: i64, part: Grams, mass: Grams) -> i64 {
    let (part, mass) = (i128::from(part.get()), i128::from(mass.get()));
    let twice = 2 * i128::from(whole) * part + mass;
    i64::try_from(twice.div_euclid(2 * mass.max(1))).unwrap_or(i64::MAX)
}

/// The sum of parts.
pub fn total(parts: impl IntoIterator<Item = Portion>) -> Portion {
    parts.into_iter().fold(NOTHING, |sum, part| Portion {
        volume: sum.volume + part.volume,
        mass: sum.mass + part.mass,
        solids: sum.solids + part.solids,
    })
}

/// What each member brought into a boil, in the order they first appear.
pub fn by_member(parts: &[(MemberId, Portion)]) -> Vec<(MemberId, Portion)> {
    let mut sums: Vec<(MemberId, Portion)> = Vec::new();
    for (member, part) in parts {
        match sums.iter_mut().find(|(id, _)| id == member) {
            Some((_, sum)) => *sum = total([*sum, *part]),
            None => sums.push((*member, *part)),
        }
    }
    sums
}
