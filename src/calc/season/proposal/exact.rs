//! The season as a mixed-integer program (textbook branch and bound, by the crate `microlp`): where it is solved to the end,
//! no better proposal exists; where it is not, what it found is taken if it is better, and its bound is said.
//!
//! A planting's cane on a day is a number, whether a piece of it stands there and whether a day is opened are yes or no.
//! First the part that the worst-off member loses is made as small as can be; then, with nobody above that step, the
//! cost. How far the search goes is counted in its own steps and never in time, so that the same season gives the same proposal.

use super::part::Part;
use super::program::{Goal, Program};
use super::{Piece, Season, edge, steps};
use microlp::{SolveOutcome, TerminationReason};

/// Most plantings of a season that is solved to the end.
pub const SMALL: usize = 12;
/// Steps of the search for those, and for larger ones.
const NODES: (u64, u64) = (20_000, 150);
/// Seasons with more pairs of a planting and a day than this are not tried: one step alone takes too long.
const PAIRS_MOST: usize = 1_000;

/// What solving the linear program gave.
#[derive(Debug, Clone)]
pub(super) struct Solved {
    /// A proposal; none when none was found.
    pub(super) pieces: Option<Vec<Piece>>,
    /// No proposal that is as good to the worst-off member costs less, kg; none when that is not known.
    pub(super) bound_kg: Option<f64>,
    /// Whether it is proved that no better proposal exists.
    pub(super) exact: bool,
}

fn proven(outcome: &SolveOutcome) -> bool {
    matches!(
        outcome.termination_reason(),
        TerminationReason::ProvenOptimal | TerminationReason::MipGap
    )
}

/// Solves a season, beginning from a proposal that is known; nothing for a season that is too large.
pub(super) fn solve(season: &Season, known: &[Piece]) -> Option<Solved> {
    if season.patches.is_empty() || season.patches.len() * season.days.len() > PAIRS_MOST {
        return None;
    }
    let nodes = if season.patches.len() <= SMALL {
        NODES.0
    } else {
        NODES.1
    };
    let worst = |pieces: &[Piece]| season.worst_step(pieces);
    let whole = Part::whole(season);
    let first = Program::of(&whole, Goal::Worst);
    let outcome = first.solved(known, nodes)?;
    let fairest = first.pieces(&outcome);
    let mut step = worst(known);
    let mut from = known;
    if let Some(fair) = fairest.as_deref()
        && worst(fair) < step
    {
        (step, from) = (worst(fair), fair);
    }
    let least = outcome.stats().best_bound.unwrap_or(0.0);
    let step_is_least = proven(&outcome) || steps(least, season.step) >= step;
    let second = Program::of(&whole, Goal::Cost(edge(step, 1.0, season.step)));
    let outcome = second.solved(from, nodes)?;
    let all: f64 = season.patches.iter().map(|p| p.cane_kg).sum();
    let bound_kg = outcome.stats().best_bound.map(|bound| all + bound);
    Some(Solved {
        pieces: second.pieces(&outcome).or(fairest),
        bound_kg: bound_kg.filter(|_| step_is_least),
        exact: step_is_least && proven(&outcome) && outcome.solution().is_some(),
    })
}
