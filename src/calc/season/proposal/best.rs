//! The best proposal that was found so far, and when another one is better.

use super::amounts::weighed;
use super::place::Placed;
use super::{Piece, Season, edge, steps};

/// How two proposals compare: first the steps that the worst-off member loses, then the cost.
pub(super) type Score = (i64, f64);

/// The score of a proposal that is worked on.
pub(super) fn score(placed: &Placed<'_>) -> Score {
    (steps(placed.worst().1, placed.season.step), placed.cost())
}

/// The best that was found, with its score.
pub(super) struct Best {
    pub(super) score: Score,
    pub(super) pieces: Vec<Piece>,
}

impl Best {
    /// Takes other pieces if they are better.
    pub(super) fn take(&mut self, season: &Season, pieces: &[Piece]) {
        let other = Placed::with(season, pieces);
        if better(score(&other), self.score) {
            self.score = score(&other);
            self.pieces = other.list();
        }
    }

    /// Takes these turns, with the amounts that are best, if that is better.
    pub(super) fn weigh(&mut self, season: &Season, turns: &[Piece]) {
        let bearable = edge(self.score.0, 1.0, season.step);
        if let Some(pieces) = weighed(season, turns, Some(bearable)) {
            self.take(season, &pieces);
        }
    }

    /// Takes these turns, with the amounts that are best for the worst-off member, if that is better.
    pub(super) fn weigh_fairly(&mut self, season: &Season, turns: &[Piece]) {
        if let Some(pieces) = weighed(season, turns, None) {
            self.take(season, &pieces);
        }
    }
}

/// Whether one proposal is better than another.
pub(super) fn better(one: Score, other: Score) -> bool {
    one.0 < other.0 || (one.0 == other.0 && one.1 < other.1 - 1e-9)
}
