//! What is asked of a season: all of it, or a part with the rest as it stands.

use super::least::least_lost;
use super::{Day, LEAST_PIECE_KG, Piece, Season};

/// How far a solver of linear programs may be out, kg.
const ROUNDED_KG: f64 = 1e-3;

/// What is asked of a planting on a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Ask {
    /// Nothing: what stands there stays as it is, and nothing is put there.
    Nothing,
    /// How much cane the piece brings that stands there.
    Amount,
    /// Whether a piece stands there, and how much cane it brings.
    Piece,
}

/// A season or a part of it, with what the rest leaves.
pub(super) struct Part<'a> {
    pub(super) season: &'a Season,
    /// What is asked, by planting, then by day.
    pub(super) asks: Vec<Vec<Ask>>,
    /// The pieces of which nothing is asked.
    pub(super) settled: Vec<Piece>,
    /// Cane of each planting that is not settled, kg.
    pub(super) cane_kg: Vec<f64>,
    /// The days, with what the settled pieces leave of their room, of a full pan and of what is boiled as it comes.
    pub(super) days: Vec<Day>,
    /// Whether it is asked of a day if it is opened: not where something stands on it in any case.
    pub(super) opened: Vec<bool>,
    /// What the settled pieces keep of each member's cane, with what would be lost whatever is proposed, kg.
    pub(super) kept_kg: Vec<f64>,
}

impl<'a> Part<'a> {
    /// The whole season: everything is asked.
    pub(super) fn whole(season: &'a Season) -> Self {
        Self::of(season, &[], |_, _| Ask::Piece)
    }

    /// What is asked of the season in which these pieces stand; an amount is asked only where one of them does.
    pub(super) fn of(
        season: &'a Season,
        pieces: &[Piece],
        ask: impl Fn(usize, usize) -> Ask,
    ) -> Self {
        let days = season.days.len();
        let mut part = Self {
            season,
            asks: vec![vec![Ask::Nothing; days]; season.patches.len()],
            settled: Vec::new(),
            cane_kg: season.patches.iter().map(|p| p.cane_kg).collect(),
            days: season.days.clone(),
            opened: vec![true; days],
            kept_kg: least_lost(season),
        };
        for (patch, row) in part.asks.iter_mut().enumerate() {
            for (day, asked) in row.iter_mut().enumerate() {
                if ask(patch, day) == Ask::Piece && season.cost(patch, day).is_some() {
                    *asked = Ask::Piece;
                }
            }
        }
        for piece in pieces {
            match ask(piece.patch, piece.day) {
                Ask::Piece => continue,
                Ask::Amount => part.asks[piece.patch][piece.day] = Ask::Amount,
                Ask::Nothing => part.take_off(*piece),
            }
            part.opened[piece.day] = false;
        }
        part.leave_out_what_cannot_be(pieces);
        part
    }

    /// Takes what a piece needs off what is left.
    fn take_off(&mut self, piece: Piece) {
        self.settled.push(piece);
        let patch = &self.season.patches[piece.patch];
        self.cane_kg[piece.patch] = (self.cane_kg[piece.patch] - piece.kg).max(0.0);
        self.kept_kg[patch.owner] += piece.kg * (1.0 - patch.lost[piece.day].unwrap_or(1.0));
        let day = &mut self.days[piece.day];
        day.minutes -= day.changeover + piece.kg / day.kg_per_minute;
        day.most_kg -= piece.kg;
        day.pan_kg -= piece.kg;
        day.prompt_kg -= piece.kg;
    }

    /// Asks nothing where the room or the cane that is left is too little for a piece, if none stands there.
    fn leave_out_what_cannot_be(&mut self, pieces: &[Piece]) {
        for patch in 0..self.asks.len() {
            for day in 0..self.days.len() {
                let stands = || pieces.iter().any(|p| p.patch == patch && p.day == day);
                let too_little = self.most(patch, day) < self.least(patch) - ROUNDED_KG;
                if self.asks[patch][day] == Ask::Piece && too_little && !stands() {
                    self.asks[patch][day] = Ask::Nothing;
                }
            }
        }
    }

    /// The least piece of a planting that is worth a turn, kg.
    pub(super) fn least(&self, patch: usize) -> f64 {
        self.season.patches[patch].cane_kg.min(LEAST_PIECE_KG)
    }

    /// The most that a piece of a planting can bring on a day, kg: what is left of it, what its member can bring, and what the
    /// day's room is for one turn.
    pub(super) fn most(&self, patch: usize, day: usize) -> f64 {
        let of = &self.days[day];
        let pressed = (of.minutes - of.changeover) * of.kg_per_minute;
        let brought = self.cane_kg[patch].min(self.season.most_kg(patch, day));
        brought.min(pressed).min(of.most_kg).max(0.0)
    }

    /// How many pieces it is asked of whether they stand.
    pub(super) fn asked(&self) -> usize {
        self.asks
            .iter()
            .flatten()
            .filter(|a| **a == Ask::Piece)
            .count()
    }
}
