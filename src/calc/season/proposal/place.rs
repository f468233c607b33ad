//! A proposal while it is worked on: what stands where, what that costs, and how to go back. Every change is noted, so
//! that a try which is not worth it costs no more than itself.

use super::least::least_lost;
use super::{LEAST_PIECE_KG, Piece, Season};

/// Cane below this is rounding, kg.
pub(super) const NOTHING_KG: f64 = 1e-6;

/// How plantings are put in: never quite the same way, so that the search finds more than one.
#[derive(Debug, Clone, Default)]
pub(super) struct Variation {
    /// Place of a day that takes no cane for now.
    pub(super) shut: Option<usize>,
    /// Cost of each turn more, kg: where minutes are short, its change-over takes room from others.
    pub(super) turn_kg: f64,
    /// Factor of each day's gain, about 1; empty: all gains as they are.
    pub(super) liking: Vec<f64>,
}

/// How far a solver of linear programs may be out, kg.
const ROUNDED_KG: f64 = 1e-3;

/// How much harder a member's loss above what is bearable counts for each step of it, unless told otherwise.
pub(super) const HARD: f64 = 12.0;

/// A piece before it was changed, with all figures that depend on it.
#[derive(Debug, Clone, Copy)]
struct Change {
    piece: Piece,
    minutes: f64,
    room: f64,
    left: f64,
    lost: f64,
    cost: f64,
    hard: f64,
}

/// Pieces with what they leave of each day.
#[derive(Debug, Clone)]
pub(super) struct Placed<'a> {
    pub(super) season: &'a Season,
    /// By planting and day: what a kilogram there saves of the cost and of the loss; less than nothing could, where it cannot be pressed.
    worth: Vec<f64>,
    keeps: Vec<f64>,
    /// Cane of each planting on each day, kg.
    kg: Vec<f64>,
    /// Days of each planting, plantings of each day.
    pub(super) days: Vec<Vec<usize>>,
    pub(super) on: Vec<Vec<usize>>,
    /// Cane of each planting that stands nowhere, kg.
    pub(super) left: Vec<f64>,
    minutes: Vec<f64>,
    room: Vec<f64>,
    /// Losses by member beyond the least that each could lose, kg of their cane, and all their cane.
    lost: Vec<f64>,
    cane: Vec<f64>,
    cost: f64,
    hard: f64,
    /// Part of a member's cane up to which a loss counts as what it is; above, much more.
    bearable: f64,
    how_hard: f64,
    noted: Vec<Change>,
    /// The way in which plantings are put in at present.
    pub(super) variation: Variation,
}

impl<'a> Placed<'a> {
    /// A proposal with nothing placed: all cane is lost.
    pub(super) fn empty(season: &'a Season) -> Self {
        let (patches, days) = (season.patches.len(), season.days.len());
        let mut cane = vec![0.0; season.members()];
        for patch in &season.patches {
            cane[patch.owner] += patch.cane_kg;
        }
        let least = least_lost(season).into_iter();
        let lost_beyond = cane.iter().zip(least).map(|(c, l)| c - l).collect();
        let of_all = |what: &dyn Fn(usize, usize) -> Option<f64>| -> Vec<f64> {
            (0..patches * days)
                .map(|n| what(n / days, n % days).unwrap_or(f64::NEG_INFINITY))
                .collect()
        };
        Self {
            season,
            worth: of_all(&|p, d| season.cost(p, d).map(|cost| 1.0 - cost)),
            keeps: of_all(&|p, d| season.patches[p].lost[d].map(|lost| 1.0 - lost)),
            kg: vec![0.0; patches * days],
            days: vec![Vec::new(); patches],
            on: vec![Vec::new(); days],
            left: season.patches.iter().map(|p| p.cane_kg).collect(),
            minutes: season.days.iter().map(|d| d.minutes).collect(),
            room: season.days.iter().map(|d| d.most_kg).collect(),
            lost: lost_beyond,
            cost: cane.iter().sum(),
            cane,
            hard: 0.0,
            bearable: 1.0,
            how_hard: HARD,
            noted: Vec::new(),
            variation: Variation::default(),
        }
    }

    /// These pieces, as far as they fit; what is over by a rounding is taken off.
    pub(super) fn with(season: &'a Season, pieces: &[Piece]) -> Self {
        let mut placed = Self::empty(season);
        for piece in pieces {
            let (patch, day) = (piece.patch, piece.day);
            let kg = piece.kg.min(placed.left[patch]);
            let room = placed.room(day).min(season.most_kg(patch, day));
            let fits = kg >= placed.least(patch) - ROUNDED_KG && kg <= room + ROUNDED_KG;
            if fits && placed.can(patch, day) && placed.kg(patch, day) <= 0.0 {
                placed.put(patch, day, kg.min(room));
            }
        }
        placed.keep();
        placed
    }

    /// Makes each member's loss above this part of the cane count so much more from now on.
    pub(super) fn weigh_loss_above(&mut self, part: f64, how_hard: f64) {
        self.bearable = part;
        self.how_hard = how_hard;
        self.hard = (0..self.cane.len())
            .map(|m| self.hard(m, self.lost[m]))
            .sum();
    }

    pub(super) fn can(&self, patch: usize, day: usize) -> bool {
        self.worth[patch * self.on.len() + day].is_finite()
    }

    /// What a kilogram of a planting saves on a day, kg; minus infinity where it cannot be pressed.
    pub(super) fn worth(&self, patch: usize, day: usize) -> f64 {
        self.worth[patch * self.on.len() + day]
    }

    pub(super) fn kg(&self, patch: usize, day: usize) -> f64 {
        self.kg[patch * self.on.len() + day]
    }

    /// The least piece of a planting that is worth a turn, kg.
    fn least(&self, patch: usize) -> f64 {
        LEAST_PIECE_KG.min(self.season.patches[patch].cane_kg) - NOTHING_KG
    }

    /// Cane that a day could still take in one more piece, kg.
    pub(super) fn room(&self, day: usize) -> f64 {
        let of = &self.season.days[day];
        let minutes = self.minutes[day] - of.changeover;
        (minutes * of.kg_per_minute).min(self.room[day]).max(0.0)
    }

    /// Cane that a day could still take in a piece that stands there already, kg.
    fn more(&self, day: usize) -> f64 {
        let kg = self.minutes[day] * self.season.days[day].kg_per_minute;
        kg.min(self.room[day]).max(0.0)
    }

    /// What a day costs with so much more cane on it, kg.
    fn with_more(&self, day: usize, more_kg: f64) -> f64 {
        let of = &self.season.days[day];
        of.cost_kg(of.most_kg - self.room[day] + more_kg)
    }

    /// What a day costs as it stands: a day on which nothing stands costs nothing.
    fn costs(&self, day: usize) -> f64 {
        if self.on[day].is_empty() {
            return 0.0;
        }
        self.with_more(day, 0.0)
    }

    /// Puts a piece of a planting on a day, or changes the piece that stands there; nought kilograms take it away.
    pub(super) fn put(&mut self, patch: usize, day: usize, kg: f64) {
        let cell = patch * self.on.len() + day;
        let owner = self.season.patches[patch].owner;
        let was = self.kg[cell];
        self.noted.push(Change {
            piece: Piece {
                patch,
                day,
                kg: was,
            },
            minutes: self.minutes[day],
            room: self.room[day],
            left: self.left[patch],
            lost: self.lost[owner],
            cost: self.cost,
            hard: self.hard,
        });
        let of = &self.season.days[day];
        let (more, minute) = (kg - was, 1.0 / of.kg_per_minute);
        let cost = self.costs(day);
        if self.standing(patch, day, was, kg) {
            let turn = if kg > 0.0 { 1.0 } else { -1.0 };
            self.minutes[day] -= turn * of.changeover;
            if self.days[patch].len() > usize::from(kg > 0.0) {
                self.cost += turn * self.season.haul_kg;
            }
        }
        self.minutes[day] -= more * minute;
        self.room[day] -= more;
        self.left[patch] -= more;
        self.cost += self.costs(day) - cost - more * self.worth[cell];
        let hard = self.hard(owner, self.lost[owner]);
        self.lost[owner] -= more * self.keeps[cell];
        self.hard += self.hard(owner, self.lost[owner]) - hard;
        self.kg[cell] = kg;
    }

    /// Notes on the lists whether a piece stands on a day; answers whether that has changed.
    fn standing(&mut self, patch: usize, day: usize, was: f64, kg: f64) -> bool {
        if (was > 0.0) == (kg > 0.0) {
            return false;
        }
        if kg > 0.0 {
            self.days[patch].push(day);
            self.on[day].push(patch);
        } else {
            self.days[patch].retain(|d| *d != day);
            self.on[day].retain(|p| *p != patch);
        }
        true
    }

    /// Everything as it was when it was kept last.
    pub(super) fn back(&mut self) {
        while let Some(change) = self.noted.pop() {
            let Piece { patch, day, kg } = change.piece;
            let cell = patch * self.on.len() + day;
            self.standing(patch, day, self.kg[cell], kg);
            self.kg[cell] = kg;
            self.minutes[day] = change.minutes;
            self.room[day] = change.room;
            self.left[patch] = change.left;
            self.lost[self.season.patches[patch].owner] = change.lost;
            self.cost = change.cost;
            self.hard = change.hard;
        }
    }

    /// Keeps the changes made since: they can no longer be undone.
    pub(super) fn keep(&mut self) {
        self.noted.clear();
    }

    /// Takes a planting out, wherever it stands.
    pub(super) fn take_out(&mut self, patch: usize) {
        while let Some(day) = self.days[patch].last().copied() {
            self.put(patch, day, 0.0);
        }
    }

    /// What a member's loss above the bearable part counts in addition, kg.
    fn hard(&self, owner: usize, lost: f64) -> f64 {
        let cane = self.cane[owner];
        let over = (lost - self.bearable * cane).max(0.0);
        if over <= 0.0 {
            return 0.0;
        }
        self.how_hard * over * (1.0 + over / (cane * self.season.step))
    }

    /// Cane of a planting's owner that is lost above what is bearable, kg.
    pub(super) fn unbearable(&self, patch: usize) -> f64 {
        let owner = self.season.patches[patch].owner;
        (self.lost[owner] - self.bearable * self.cane[owner]).max(0.0)
    }

    /// Cost with what is hard on somebody, kg: what the search makes small.
    pub(super) fn weight(&self) -> f64 {
        self.cost + self.hard
    }

    /// What so much more of a planting on that day would change, kg: negative is a gain.
    fn gain(&self, patch: usize, day: usize, kg: f64) -> f64 {
        let cell = patch * self.on.len() + day;
        let owner = self.season.patches[patch].owner;
        let lost = self.lost[owner];
        let hard = self.hard(owner, lost);
        let hard = if hard > 0.0 {
            self.hard(owner, lost - kg * self.keeps[cell]) - hard
        } else {
            0.0
        };
        let turn = if self.kg[cell] > 0.0 {
            0.0
        } else {
            self.variation.turn_kg + self.haul(patch)
        };
        hard + self.with_more(day, kg) - self.costs(day) + turn - kg * self.worth[cell]
    }

    /// What one day of hauling more costs a planting, kg: nothing for its first.
    fn haul(&self, patch: usize) -> f64 {
        if self.days[patch].is_empty() {
            0.0
        } else {
            self.season.haul_kg
        }
    }

    /// The cheapest day for what of a planting stands nowhere, and what the second costs more: how much waiting would cost.
    pub(super) fn regret(&self, patch: usize) -> f64 {
        let (mut best, mut second) = (0.0_f64, 0.0_f64);
        for day in 0..self.on.len() {
            let part = self.piece(patch, day, self.left[patch]);
            if part <= 0.0 {
                continue;
            }
            let gain = self.gain(patch, day, part);
            if gain < best {
                (best, second) = (gain, best);
            } else if gain < second {
                second = gain;
            }
        }
        second - best
    }

    /// How much of `rest` a day takes, so that neither the piece nor what is left over is too small.
    pub(super) fn piece(&self, patch: usize, day: usize, rest: f64) -> f64 {
        if self.variation.shut == Some(day) || !self.can(patch, day) {
            return 0.0;
        }
        let most = self.season.most_kg(patch, day);
        if self.kg(patch, day) > 0.0 {
            let more = (most - self.kg(patch, day)).max(0.0);
            return self.more(day).min(rest).min(more);
        }
        let room = self.room(day).min(most);
        if rest < self.least(patch) {
            return 0.0;
        }
        if room >= rest {
            return rest;
        }
        let part = room.min(rest - LEAST_PIECE_KG);
        if part >= LEAST_PIECE_KG { part } else { 0.0 }
    }

    /// Puts cane of a planting that stands nowhere yet where it costs least: on one day if one has room for it, else
    /// split over the days that save most, no piece too small for a turn. `part`: at most this part of it.
    pub(super) fn put_in(&mut self, patch: usize, part: f64) {
        let kept = self.season.patches[patch].cane_kg * (1.0 - part);
        loop {
            let rest = self.left[patch] - kept;
            if rest <= NOTHING_KG {
                return;
            }
            let mut best = (-NOTHING_KG, None);
            for day in 0..self.on.len() {
                let part = self.piece(patch, day, rest);
                if part <= NOTHING_KG {
                    continue;
                }
                let mut gain = self.gain(patch, day, part);
                if gain >= -NOTHING_KG {
                    continue;
                }
                if let Some(liking) = self.variation.liking.get(day) {
                    gain *= liking;
                }
                // The rest that does not go there is counted at about what it would cost on the best other day.
                if rest - part > NOTHING_KG {
                    gain += self.rest_gain(patch, day, rest - part);
                }
                if gain < best.0 {
                    best = (gain, Some((day, part)));
                }
            }
            let Some((day, part)) = best.1 else { return };
            self.put(patch, day, self.kg(patch, day) + part);
        }
    }

    fn rest_gain(&self, patch: usize, but: usize, rest: f64) -> f64 {
        // Beside the part that goes there the rest is a haul of its own.
        let haul = self.season.haul_kg - self.haul(patch);
        (0..self.on.len())
            .filter(|day| *day != but)
            .map(|day| (day, self.piece(patch, day, rest)))
            .filter(|(_, part)| *part > 0.0)
            .fold(0.0, |best, (day, part)| {
                best.min(self.gain(patch, day, part) + haul)
            })
    }

    /// Part that the worst-off member loses.
    pub(super) fn worst(&self) -> (usize, f64) {
        let parts = self.lost.iter().zip(&self.cane);
        let parts = parts.map(|(lost, cane)| lost / cane.max(NOTHING_KG));
        parts.enumerate().fold(
            (0, 0.0),
            |worst, one| if one.1 > worst.1 { one } else { worst },
        )
    }

    /// Part of all cane that is lost.
    pub(super) fn mean(&self) -> f64 {
        self.lost.iter().sum::<f64>() / self.cane.iter().sum::<f64>().max(NOTHING_KG)
    }

    /// Cost of the whole proposal, kg of cane.
    pub(super) fn cost(&self) -> f64 {
        self.cost
    }

    /// The pieces in the order of days, then of plantings.
    pub(super) fn list(&self) -> Vec<Piece> {
        let days = self.on.len();
        let piece = |(n, kg): (usize, &f64)| Piece {
            patch: n / days,
            day: n % days,
            kg: *kg,
        };
        let standing = self.kg.iter().enumerate().filter(|(_, kg)| **kg > 0.0);
        let mut list: Vec<Piece> = standing.map(piece).collect();
        list.sort_by_key(|p| (p.day, p.patch));
        list
    }
}
