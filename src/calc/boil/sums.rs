//! A boil as sums: the parts of juices poured into it, what each member brought, how far it has
//! come, and whether its finish can be true. Never watches the pan, never divides.

use crate::calc::cane::juice::{Portion, Stock};
use crate::units::{Celsius, Grams, MemberId, Millilitres};

/// How far a boil has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// On the fire: juice and readings can be entered.
    Lit,
    /// Drawn off and measured: takes fills.
    Finished,
    /// Divided, and so closed.
    Divided,
    /// Scorched or spilled whole: closed, and nothing to divide.
    Lost,
}

impl Stage {
    /// The stage of a boil that has a finish, or is closed (lost whole, or else divided), or neither.
    pub const fn of(finished: bool, closed: bool, lost: bool) -> Self {
        match (finished, closed) {
            (_, true) if lost => Self::Lost,
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
            Self::Lost => "lost",
        }
    }
}

/// One draw of a juice, as it was written down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Draw {
    /// Weight poured in, g; not looked at when `whole`.
    pub amount: Grams,
    /// All that was left at that point.
    pub whole: bool,
}

/// A juice poured out: the part of each draw, and what stays.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Poured {
    /// One part for each draw, in the order given.
    pub parts: Vec<Portion>,
    /// What is left of the juice.
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
        solids: Grams::new(
            share(of.solids.get(), to, of.mass) - share(of.solids.get(), from, of.mass),
        ),
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

/// Temperature of juices poured together: the mean by mass; nothing without juice.
pub fn warmth(parts: impl IntoIterator<Item = (Celsius, Grams)>) -> Option<Celsius> {
    let (sum, mass) = parts
        .into_iter()
        .fold((0.0, 0.0), |(sum, mass), (temp, part)| {
            (sum + temp.get() * part.as_f64(), mass + part.as_f64())
        });
    (mass > 0.0).then(|| Celsius::new(sum / mass).ok())?
}

/// What each member brought into a boil; the members in the order they first appear.
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

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use uuid::Uuid;

    fn stock(mass: i64, solids: i64, volume: i64) -> Stock {
        Stock {
            volume: Millilitres::new(volume),
            mass: Grams::new(mass),
            solids: Grams::new(solids),
        }
    }
    fn part(amount: i64) -> Draw {
        Draw {
            amount: Grams::new(amount),
            whole: false,
        }
    }
    const WHOLE: Draw = Draw {
        amount: Grams::ZERO,
        whole: true,
    };

    #[test]
    fn the_last_boil_takes_all_that_the_first_one_left() {
        let poured = pour(stock(100_000, 15_001, 94_300), &[part(33_333), WHOLE]);
        assert_eq!(poured.parts[0].solids, Grams::new(5_000));
        assert_eq!(poured.parts[1].mass, Grams::new(66_667));
        assert_eq!(poured.parts[1].solids, Grams::new(10_001));
        assert_eq!(poured.left, NOTHING);
        assert_eq!(poured.over, Grams::ZERO);
    }

    #[test]
    fn a_juice_corrected_downwards_says_how_much_too_much_was_written_down() {
        let poured = pour(stock(50_000, 7_500, 47_000), &[part(40_000), part(20_000)]);
        assert_eq!(poured.parts[1].mass, Grams::new(10_000));
        assert_eq!(poured.over, Grams::new(10_000));
        let void = pour(stock(0, 0, 0), &[WHOLE, part(5)]);
        assert_eq!(total(void.parts), NOTHING);
    }

    #[test]
    fn a_member_with_two_vessels_is_counted_once() {
        let id = |n: u128| MemberId::new(Uuid::from_u128(n));
        let piece = |g| Portion {
            volume: Millilitres::new(g),
            mass: Grams::new(g),
            solids: Grams::new(g / 5),
        };
        let sums = by_member(&[(id(1), piece(10)), (id(2), piece(20)), (id(1), piece(5))]);
        assert_eq!(sums, [(id(1), piece(15)), (id(2), piece(20))]);
    }

    proptest! {
        #[test]
        fn prop_parts_and_what_is_left_add_up_to_the_juice_exactly(
            mass in 0_i64..400_000, percent in 0_i64..30, per_kg in 900_i64..1000,
            draws in proptest::collection::vec((0_i64..150_000, any::<bool>()), 0..6),
        ) {
            let of = stock(mass, mass * percent / 100, mass * per_kg / 1000);
            let draws: Vec<Draw> = draws
                .into_iter()
                .map(|(g, whole)| Draw { amount: Grams::new(g), whole: whole && g % 3 == 0 })
                .collect();
            let poured = pour(of, &draws);
            let sum = total(poured.parts.iter().copied().chain([poured.left]));
            prop_assert_eq!(sum.mass, of.mass);
            prop_assert_eq!(sum.solids, of.solids);
            prop_assert_eq!(sum.volume, of.volume);
            for (part, draw) in poured.parts.iter().zip(&draws) {
                prop_assert!(part.solids >= Grams::ZERO && part.mass >= Grams::ZERO);
                prop_assert!(draw.whole || part.mass <= draw.amount);
                let exact = of.solids.as_f64() * part.mass.as_f64() / of.mass.as_f64().max(1.0);
                prop_assert!((part.solids.as_f64() - exact).abs() <= 1.0);
            }
        }
    }
}
