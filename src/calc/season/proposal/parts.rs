//! Parts of a season solved one after the other, each with the rest as it stands: some plantings on some days, as a
//! mixed-integer program that also weighs anew how much cane the other turns of these days and plantings bring. What the
//! search by small changes does not find, because several turns and many amounts have to change at once, is found here (a
//! large-neighbourhood search whose neighbourhoods are solved exactly, common practice in planning).

use super::best::Best;
use super::part::{Ask, Part};
use super::program::{Goal, Program};
use super::{Piece, Season, edge};
use rand::{Rng, RngExt};

/// How many pieces it is asked of in one part whether they stand, at most.
const ASKED: usize = 100;
/// Steps of the search for one part.
const NODES: u64 = 100;
/// Most days of a part, how many it has where few are enough, and how often that is.
const DAYS: (usize, usize, f64) = (16, 3, 0.25);
/// Cane below this is rounding, kg.
const NOTHING_KG: f64 = 1e-5;

/// Work for each round of the search: to make the cost small, and to make a step fairer; in pivots of the solver times the
/// pieces that are asked of or stand.
const WORK: (u64, u64) = (200, 100);

/// Solves parts of a season for what they cost, chosen by chance, with as much work as so many rounds are given.
pub(super) fn cheaper(season: &Season, best: &mut Best, rounds: usize, chance: &mut impl Rng) {
    let mut left = work(rounds, WORK.0);
    let bearable = edge(best.score.0, 1.0, season.step);
    while left > 0 && !best.pieces.is_empty() {
        let owner = season.patches[chance.random_range(0..season.patches.len())].owner;
        let part = chosen(season, &best.pieces, |of| of == owner, chance);
        if let Some(pieces) = solved(&part, &best.pieces, Goal::Cost(bearable), &mut left) {
            best.take(season, &pieces);
        }
    }
}

fn work(rounds: usize, each: u64) -> u64 {
    u64::try_from(rounds).map_or(u64::MAX, |r| r.saturating_mul(each))
}

/// Solves parts of a season so that nobody loses as much as the worst-off member, step by step, until as much work as so many
/// rounds are given is done for a step in vain.
pub(super) fn fairer(season: &Season, best: &mut Best, rounds: usize, chance: &mut impl Rng) {
    while best.score.0 > 0 && !best.pieces.is_empty() {
        let step = best.score.0;
        let bearable = edge(step - 1, 1.0, season.step);
        let mut left = work(rounds, WORK.1);
        let mut pieces = best.pieces.clone();
        let mut above = above_by_member(season, &pieces, bearable);
        while left > 0 && above.iter().any(|kg| *kg > 0.0) {
            let part = chosen(season, &pieces, |of| above[of] > 0.0, chance);
            if let Some(found) = solved(&part, &pieces, Goal::Above(bearable), &mut left) {
                let next = above_by_member(season, &found, bearable);
                if next.iter().sum::<f64>() <= above.iter().sum() {
                    (pieces, above) = (found, next);
                }
            }
        }
        best.take(season, &pieces);
        if best.score.0 == step {
            return;
        }
    }
}

/// What each member loses above a part of the cane, beyond what could not be helped, kg.
fn above_by_member(season: &Season, pieces: &[Piece], bearable: f64) -> Vec<f64> {
    let mut cane = vec![0.0; season.members()];
    for patch in &season.patches {
        cane[patch.owner] += patch.cane_kg;
    }
    let lost = season.beyond_by_member(pieces).into_iter();
    lost.zip(cane)
        .map(|(lost, cane)| (lost - bearable).max(0.0) * cane)
        .map(|kg| if kg > NOTHING_KG { kg } else { 0.0 })
        .collect()
}

/// The pieces with a part of them solved anew; takes the work off what is left.
fn solved(part: &Part<'_>, pieces: &[Piece], goal: Goal, left: &mut u64) -> Option<Vec<Piece>> {
    let program = Program::of(part, goal);
    let outcome = program.solved(pieces, NODES);
    let pivots = outcome.as_ref().map_or(0, |o| o.stats().lp_iterations);
    let all = u64::try_from(part.asked() + pieces.len()).unwrap_or(u64::MAX);
    *left = left.saturating_sub((pivots + 20).saturating_mul(all));
    program.pieces(&outcome?)
}

/// A part of a season by chance: few days with all that could stand there, or few plantings with all their days, or between.
fn chosen<'a>(
    season: &'a Season,
    pieces: &[Piece],
    likes: impl Fn(usize) -> bool,
    chance: &mut impl Rng,
) -> Part<'a> {
    let days = some_days(season, pieces, chance);
    let many = ASKED / days.iter().filter(|d| **d).count().max(1);
    let plantings = some_plantings(season, pieces, (&days, many, likes), chance);
    Part::of(season, pieces, |patch, day| {
        match (plantings[patch], days[day]) {
            (true, true) => Ask::Piece,
            (true, false) | (false, true) => Ask::Amount,
            (false, false) => Ask::Nothing,
        }
    })
}

/// Two or more days, at least one of them open.
fn some_days(season: &Season, pieces: &[Piece], chance: &mut impl Rng) -> Vec<bool> {
    let count = season.days.len();
    let mut chosen = vec![false; count];
    if !pieces.is_empty() {
        chosen[pieces[chance.random_range(0..pieces.len())].day] = true;
    }
    let most = count.min(DAYS.0);
    let many = if chance.random_bool(DAYS.2) {
        DAYS.1.min(most)
    } else {
        chance.random_range(1..=most)
    };
    let mut left = many.saturating_sub(1);
    while left > 0 {
        chosen[chance.random_range(0..count)] = true;
        left -= 1;
    }
    chosen
}

/// So many plantings: rather those that stand on these days, those that are split or left over, and those of members that
/// are liked.
fn some_plantings(
    season: &Season,
    pieces: &[Piece],
    (days, many, likes): (&[bool], usize, impl Fn(usize) -> bool),
    chance: &mut impl Rng,
) -> Vec<bool> {
    let patches = &season.patches;
    let mut order: Vec<(f64, usize)> = (0..patches.len())
        .map(|n| {
            let own = || pieces.iter().filter(|p| p.patch == n);
            let placed: f64 = own().map(|p| p.kg).sum();
            let uneven = own().count() > 1 || placed < patches[n].cane_kg - 1e-3;
            let reasons = [
                (own().any(|p| days[p.day]), 0.5),
                (uneven, 0.5),
                (likes(patches[n].owner), 0.5),
            ];
            let weight: f64 = reasons.iter().filter(|l| l.0).map(|l| l.1).sum();
            (weight + chance.random::<f64>(), n)
        })
        .collect();
    order.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    let mut chosen = vec![false; patches.len()];
    for (_, n) in order.into_iter().take(many.max(2)) {
        chosen[n] = true;
    }
    chosen
}

#[cfg(test)]
#[path = "parts_tests.rs"]
mod tests;
