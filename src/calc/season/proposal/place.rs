//! A proposal while it is worked on: what stands where, and where a planting is put best.

use super::{LEAST_PIECE_KG, Piece, Season};

/// Cane below this is rounding, kg.
const NOTHING_KG: f64 = 1e-6;

/// Pieces with what they leave of each day.
#[derive(Debug, Clone)]
pub(super) struct Placed<'a> {
    pub(super) season: &'a Season,
    /// By planting: day and kg.
    pub(super) pieces: Vec<Vec<(usize, f64)>>,
    minutes: Vec<f64>,
    kg: Vec<f64>,
    turns: Vec<usize>,
    /// Losses by member, kg of their cane, and all their cane.
    lost: Vec<f64>,
    cane: Vec<f64>,
    cost: f64,
    /// Days that may be used.
    pub(super) allowed: Vec<bool>,
    /// Part of a member's cane up to which a loss counts as what it is; above, much more.
    pub(super) bearable: f64,
    /// A day that is tried: what opening it costs is not looked at while plantings are put in.
    pub(super) wanted: Option<usize>,
    /// What a turn more counts while plantings are put in, kg: where minutes are short its change-over takes room from others.
    pub(super) turn_kg: f64,
    /// By day, how much its gain is believed while plantings are put in, about 1.
    pub(super) liking: Vec<f64>,
}

/// How much harder a member's loss above what is bearable counts, for each such step of it.
const HARD: f64 = 12.0;

impl<'a> Placed<'a> {
    /// Nothing placed: all is lost.
    pub(super) fn empty(season: &'a Season) -> Self {
        let mut cane = vec![0.0; season.members()];
        for patch in &season.patches {
            cane[patch.owner] += patch.cane_kg;
        }
        Self {
            season,
            pieces: vec![Vec::new(); season.patches.len()],
            minutes: season.days.iter().map(|d| d.minutes).collect(),
            kg: season.days.iter().map(|d| d.most_kg).collect(),
            turns: vec![0; season.days.len()],
            lost: cane.clone(),
            cost: cane.iter().sum(),
            cane,
            allowed: vec![true; season.days.len()],
            bearable: season.step,
            wanted: None,
            turn_kg: 0.0,
            liking: vec![1.0; season.days.len()],
        }
    }

    /// Cane that a day could still take in one more piece, kg.
    fn room(&self, day: usize) -> f64 {
        let of = &self.season.days[day];
        let minutes = (self.minutes[day] - of.changeover).max(0.0);
        (minutes * of.kg_per_minute).min(self.kg[day]).max(0.0)
    }

    /// What a day costs as it stands; with so much more cane on it.
    fn day_cost(&self, day: usize, more_kg: f64) -> f64 {
        let of = &self.season.days[day];
        if self.turns[day] == 0 && more_kg <= 0.0 {
            return 0.0;
        }
        of.cost_kg(of.most_kg - self.kg[day] + more_kg)
    }

    fn book(&mut self, patch: usize, day: usize, kg: f64, sign: f64) {
        self.minutes[day] -= sign * kg / self.season.days[day].kg_per_minute;
        self.kg[day] -= sign * kg;
        let planting = &self.season.patches[patch];
        let lost = planting.lost[day].unwrap_or(1.0);
        self.lost[planting.owner] -= sign * kg * (1.0 - lost);
        self.cost -= sign * kg * (1.0 - lost - planting.moved[day]);
    }

    fn put(&mut self, patch: usize, day: usize, kg: f64) {
        self.cost += self.day_cost(day, kg) - self.day_cost(day, 0.0);
        self.book(patch, day, kg, 1.0);
        if let Some(piece) = self.pieces[patch].iter_mut().find(|(d, _)| *d == day) {
            piece.1 += kg;
            return;
        }
        self.minutes[day] -= self.season.days[day].changeover;
        self.turns[day] += 1;
        self.pieces[patch].push((day, kg));
    }

    /// Puts what stood somewhere before there again, as far as that is still possible.
    pub(super) fn put_as_before(&mut self) {
        for piece in &self.season.before {
            let planting = &self.season.patches[piece.patch];
            let placed: f64 = self.pieces[piece.patch].iter().map(|(_, kg)| kg).sum();
            let kg = piece.kg.min(planting.cane_kg - placed);
            let fits = kg >= LEAST_PIECE_KG.min(planting.cane_kg) && kg <= self.room(piece.day);
            if fits && planting.lost[piece.day].is_some() {
                self.put(piece.patch, piece.day, kg);
            }
        }
    }

    /// Takes a planting out, wherever it stands.
    pub(super) fn take_out(&mut self, patch: usize) {
        for (day, kg) in std::mem::take(&mut self.pieces[patch]) {
            let before = self.day_cost(day, 0.0);
            self.book(patch, day, kg, -1.0);
            self.minutes[day] += self.season.days[day].changeover;
            self.turns[day] -= 1;
            self.cost += self.day_cost(day, 0.0) - before;
        }
    }

    /// What so much of a planting would change, if it went to that day: negative is a gain.
    fn gain(&self, patch: usize, day: usize, kg: f64) -> Option<f64> {
        let cost = self.season.cost(patch, day)?;
        let planting = &self.season.patches[patch];
        let saved = kg * (1.0 - planting.lost[day].unwrap_or(1.0));
        let owner = planting.owner;
        let hard = self.hard(owner, self.lost[owner] - saved) - self.hard(owner, self.lost[owner]);
        let opening = if self.turns[day] == 0 && self.wanted == Some(day) {
            0.0
        } else {
            self.day_cost(day, kg) - self.day_cost(day, 0.0)
        };
        let stands = self.pieces[patch].iter().any(|(d, _)| *d == day);
        let turn = if stands { 0.0 } else { self.turn_kg };
        Some(kg * (cost - 1.0) + hard + opening + turn)
    }

    /// What a member's loss above what is bearable counts beside itself, kg.
    fn hard(&self, owner: usize, lost: f64) -> f64 {
        let cane = self.cane[owner].max(NOTHING_KG);
        let over = (lost / cane - self.bearable).max(0.0) / self.season.step;
        HARD * cane * self.season.step * over * (1.0 + over)
    }

    /// Cost with what is hard on somebody: what the search makes small.
    pub(super) fn weight(&self) -> f64 {
        let hard: f64 = (0..self.cane.len())
            .map(|m| self.hard(m, self.lost[m]))
            .sum();
        self.cost + hard
    }

    /// The cheapest day for the whole, and what the second costs more: how much waiting would cost.
    pub(super) fn best_and_regret(&self, patch: usize) -> (f64, f64) {
        let kg = self.season.patches[patch].cane_kg;
        let (mut best, mut second) = (0.0_f64, 0.0_f64);
        for day in 0..self.season.days.len() {
            let part = self.piece(day, kg);
            let Some(gain) = self.gain(patch, day, part) else {
                continue;
            };
            if gain < best {
                second = best;
                best = gain;
            } else if gain < second {
                second = gain;
            }
        }
        (best, second - best)
    }

    /// Puts what of a planting does not stand yet where it costs least: on one day if one has room for all of
    /// it, else on the days that save most, split so that no piece is too small to be worth a turn. Not more of it
    /// than `part`.
    pub(super) fn put_in(&mut self, patch: usize, part: f64) {
        let placed: f64 = self.pieces[patch].iter().map(|(_, kg)| kg).sum();
        let mut rest = self.season.patches[patch].cane_kg * part - placed;
        while rest > NOTHING_KG {
            let mut best: Option<(f64, usize, f64)> = None;
            for day in 0..self.season.days.len() {
                let here = self.pieces[patch].iter().any(|(d, _)| *d == day);
                let part = if here {
                    self.more(day).min(rest)
                } else {
                    self.piece(day, rest)
                };
                if part <= NOTHING_KG {
                    continue;
                }
                let Some(gain) = self.gain(patch, day, part) else {
                    continue;
                };
                // What does not go there is counted at what it would cost on the best other day, nearly.
                let left = rest - part;
                let rest_gain = if left > NOTHING_KG {
                    self.rest_gain(patch, day, left)
                } else {
                    0.0
                };
                let all = gain * self.liking[day] + rest_gain;
                if gain < -NOTHING_KG && best.is_none_or(|(b, ..)| all < b - 1e-12) {
                    best = Some((all, day, part));
                }
            }
            let Some((_, day, part)) = best else { return };
            self.put(patch, day, part);
            rest -= part;
        }
    }

    /// Cane that a day could take in a piece that stands there already, kg.
    fn more(&self, day: usize) -> f64 {
        let minutes = self.minutes[day].max(0.0);
        (minutes * self.season.days[day].kg_per_minute)
            .min(self.kg[day])
            .max(0.0)
    }

    /// How much of `rest` a day takes, so that neither the piece nor what is left over is too small.
    fn piece(&self, day: usize, rest: f64) -> f64 {
        if !self.allowed[day] {
            return 0.0;
        }
        let room = self.room(day);
        if room >= rest {
            return rest;
        }
        let part = room.min(rest - LEAST_PIECE_KG);
        if part >= LEAST_PIECE_KG { part } else { 0.0 }
    }

    fn rest_gain(&self, patch: usize, but: usize, rest: f64) -> f64 {
        let mut best = 0.0_f64;
        for day in (0..self.season.days.len()).filter(|d| *d != but) {
            let part = self.piece(day, rest);
            if let Some(gain) = self.gain(patch, day, part) {
                best = best.min(gain);
            }
        }
        best
    }

    /// Whether some of a planting's cane loses more where it stands than it would on that day.
    pub(super) fn would_rather(&self, patch: usize, day: usize) -> bool {
        let Some(there) = self.season.cost(patch, day) else {
            return false;
        };
        let placed: f64 = self.pieces[patch].iter().map(|(_, kg)| kg).sum();
        placed + NOTHING_KG < self.season.patches[patch].cane_kg
            || self.pieces[patch]
                .iter()
                .any(|(d, _)| self.season.cost(patch, *d).unwrap_or(1.0) > there)
    }

    /// Days that something is put on.
    pub(super) fn open_days(&self) -> Vec<usize> {
        (0..self.turns.len())
            .filter(|d| self.turns[*d] > 0)
            .collect()
    }

    /// Plantings on a day.
    pub(super) fn on(&self, day: usize) -> Vec<usize> {
        (0..self.pieces.len())
            .filter(|p| self.pieces[*p].iter().any(|(d, _)| *d == day))
            .collect()
    }

    /// Part that the worst-off member loses.
    pub(super) fn worst(&self) -> (usize, f64) {
        let parts = self
            .lost
            .iter()
            .zip(&self.cane)
            .map(|(lost, cane)| lost / cane.max(NOTHING_KG));
        parts.enumerate().fold(
            (0, 0.0),
            |worst, one| if one.1 > worst.1 { one } else { worst },
        )
    }

    /// Part of all cane that is lost.
    pub(super) fn mean(&self) -> f64 {
        self.lost.iter().sum::<f64>() / self.cane.iter().sum::<f64>().max(NOTHING_KG)
    }

    /// All together, kg.
    pub(super) fn cost(&self) -> f64 {
        self.cost
    }

    /// In the order of days, then of plantings.
    pub(super) fn list(&self) -> Vec<Piece> {
        let mut list: Vec<Piece> = self
            .pieces
            .iter()
            .enumerate()
            .flat_map(|(patch, own)| {
                own.iter().map(move |(day, kg)| Piece {
                    patch,
                    day: *day,
                    kg: *kg,
                })
            })
            .collect();
        list.sort_by_key(|p| (p.day, p.patch));
        list
    }
}
