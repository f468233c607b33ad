//! A season proposed once more, where a proposal was shown before: what has to change is looked for near that one first, and all is
//! moved only for what is worth it.

use super::{Proposal, SMALL, Season, propose, propose_near};

/// Part of all cane that a proposal has to save, beyond what moving costs, before it takes the place of one in which less moves (our own
/// figure: another search of the same season finds as much by chance).
const WORTH: f64 = 0.0025;

/// The rounds of the whole search, against those near what was shown.
const NEAR: usize = 4;

/// Proposes a season anew from what was shown before, [`Season::before`].
pub fn propose_again(season: &Season, rounds: usize, seed: u64) -> Proposal {
    let near = propose_near(season, rounds / NEAR, seed);
    if season.patches.len() <= SMALL {
        return near;
    }
    let whole = propose(season, rounds, seed);
    let score = |of: &Proposal| (season.worst_step(&of.pieces), of.cost_kg);
    if is_worth_moving(season, score(&whole), score(&near)) {
        return whole;
    }
    Proposal {
        bound_kg: near.bound_kg.max(whole.bound_kg).min(near.cost_kg),
        ..near
    }
}

/// Whether a proposal is so much better than another, in which less moves, that it is worth moving for: each with the steps that the
/// worst-off member loses, and the cost.
pub fn is_worth_moving(season: &Season, other: (i64, f64), stays: (i64, f64)) -> bool {
    let all: f64 = season.patches.iter().map(|p| p.cane_kg).sum();
    other.0 < stays.0 || (other.0 == stays.0 && other.1 < stays.1 - WORTH * all)
}
