//! Whose cane is pressed on which day: a proposal for a season, from what each planting would lose on
//! each day and what the days can take. Knows no names, no dates and no pages; see `ripeness` for what a
//! day costs a planting.
//!
//! What is weighed, in this order:
//! 1. The member who loses most loses as little as can be (in steps, see [`Season::step`]): nobody's cane is left to
//!    rot for the sake of the average. What counts is what is lost beyond the least that this member could lose with all days
//!    to the own cane alone: cane that no day suits is lost whatever is proposed.
//! 2. All losses together, with what the days cost (opening them, a pan that is not full, juice that waits) and what hauling
//!    a planting on several days costs, are as small as
//!    can be.
//!
//! The proposal is built planting by planting and then improved by taking a few turns out and putting them
//! back (a large-neighbourhood search, common practice in planning); how much cane each turn brings is then reckoned
//! by a linear program. Then parts of it, some plantings on some days, are solved one after the other as mixed-integer programs,
//! which also finds what several turns and amounts have to change for at once. A small season is solved to the end by branch
//! and bound ([`SMALL`]); a larger one is not always the best there is: how far off it can be at most is said beside it ([`Proposal::bound_kg`], from the same search cut short, and
//! from prices for the room of each day: Lagrangian relaxation, a textbook method). The same season and the same seed give the same proposal.

mod again;
mod amounts;
mod best;
mod bound;
mod exact;
mod least;
mod moves;
mod part;
mod parts;
mod place;
mod program;
mod search;

pub use again::{is_worth_moving, propose_again};
pub use bound::least_cost;
pub use exact::SMALL;
pub use search::{how_far, propose, propose_near};

/// Cane below this is not worth a turn of its own, kg: a planting is not split into less (common practice).
pub const LEAST_PIECE_KG: f64 = 50.0;

/// A planting that waits for its day.
#[derive(Debug, Clone, PartialEq)]
pub struct WaitingPlanting {
    /// The member whose it is, by place in the list of members.
    pub owner: usize,
    /// Its cane, kg; above nought.
    pub cane_kg: f64,
    /// For each day of the season's list the part of its sugar that is lost if it is pressed then, 0 to 1;
    /// `None`: it cannot be pressed then.
    pub lost: Vec<Option<f64>>,
    /// Cost of each kilogram on each day beside that loss, kg: for moving what was already told to somebody.
    pub moved: Vec<f64>,
    /// Cane that its member can bring on each day, kg, by the hours in which the member can come; empty: no less than the day can take.
    pub most_kg: Vec<f64>,
}

/// A day on which the mill could press.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Day {
    /// Minutes of the mill that are free.
    pub minutes: f64,
    /// Cane it presses in a minute, kg; above nought.
    pub kg_per_minute: f64,
    /// Minutes of cleaning between two turns.
    pub changeover: f64,
    /// Cane whose juice vessels and pans can hold and boil in time, kg.
    pub most_kg: f64,
    /// Cost of the crew's coming, as kilograms of cane lost; nought for a day that is open anyway.
    pub opening_kg: f64,
    /// Cane whose juice fills a pan, kg: a day that is opened for less boils a pan that is not full.
    pub pan_kg: f64,
    /// Cost of each kilogram that is missing to that, kg; nought for a day that is open anyway.
    pub short: f64,
    /// Cane whose juice the pans boil as it comes, kg: the juice of what is more waits.
    pub prompt_kg: f64,
    /// Cost of each kilogram of cane whose juice waits, kg.
    pub waiting: f64,
}

impl Day {
    /// What pressing so much cane on this day costs beside what the cane loses, kg; the day is opened for it.
    pub fn cost_kg(&self, kg: f64) -> f64 {
        let missing = (self.pan_kg - kg).max(0.0);
        let waits = (kg - self.prompt_kg).max(0.0);
        self.opening_kg + self.short * missing + self.waiting * waits
    }
}

/// The plantings and days that a proposal is made for.
#[derive(Debug, Clone, PartialEq)]
pub struct Season {
    /// The plantings.
    pub patches: Vec<WaitingPlanting>,
    /// The days.
    pub days: Vec<Day>,
    /// Losses of the worst-off member are told apart in steps of this part, like 0.05.
    pub step: f64,
    /// Cost of each further day on which cane of one planting is hauled, kg: it costs its grower a day.
    pub haul_kg: f64,
    /// Where cane was put before: the search begins from there, so that little moves.
    pub before: Vec<Piece>,
}

/// Cane of a planting put on a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Piece {
    /// Place of the planting in the season's list.
    pub patch: usize,
    /// Place of the day in the season's list.
    pub day: usize,
    /// Its cane, kg.
    pub kg: f64,
}

/// The proposal for a season.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    /// The pieces, in the order of days, then of plantings.
    pub pieces: Vec<Piece>,
    /// Cane of each planting that no day had room for, kg.
    pub left_kg: Vec<f64>,
    /// Part of the worst-off member's cane that is lost beyond the least that this member could lose.
    pub worst: f64,
    /// All losses and what the days cost, kg of cane.
    pub cost_kg: f64,
    /// No proposal that is as good to the worst-off member can cost less than this, kg of cane.
    pub bound_kg: f64,
    /// No better proposal exists (to one part in a million of the cane that is kept).
    pub exact: bool,
}

impl Season {
    /// What a planting's cane on a day counts, for each kilogram; `None`: it cannot be pressed then.
    fn cost(&self, patch: usize, day: usize) -> Option<f64> {
        let patch = &self.patches[patch];
        patch.lost[day].map(|lost| lost + patch.moved[day])
    }

    /// Cane that a planting's member can bring on a day, kg.
    fn most_kg(&self, patch: usize, day: usize) -> f64 {
        let most = self.patches[patch].most_kg.get(day);
        most.copied().unwrap_or(f64::INFINITY)
    }

    /// How many members have a planting.
    fn members(&self) -> usize {
        self.patches.iter().map(|p| p.owner + 1).max().unwrap_or(0)
    }

    /// Part of each member's cane that is lost with these pieces; what is left out is lost wholly.
    pub fn lost_by_member(&self, pieces: &[Piece]) -> Vec<f64> {
        let (mut cane, mut lost) = (vec![0.0; self.members()], vec![0.0; self.members()]);
        for patch in &self.patches {
            cane[patch.owner] += patch.cane_kg;
            lost[patch.owner] += patch.cane_kg;
        }
        for piece in pieces {
            let patch = &self.patches[piece.patch];
            let part = patch.lost[piece.day].unwrap_or(1.0);
            lost[patch.owner] -= piece.kg * (1.0 - part);
        }
        lost.iter()
            .zip(&cane)
            .map(|(lost, cane)| if *cane > 0.0 { lost / cane } else { 0.0 })
            .collect()
    }

    /// What pieces cost together, kg of cane: what they lose, what is left out, and the days they are pressed on.
    pub fn cost_kg(&self, pieces: &[Piece]) -> f64 {
        let all: f64 = self.patches.iter().map(|p| p.cane_kg).sum();
        let mut on_day = vec![None; self.days.len()];
        let mut hauled = vec![false; self.patches.len()];
        let mut hauls = 0.0;
        for piece in pieces {
            if std::mem::replace(&mut hauled[piece.patch], true) {
                hauls += self.haul_kg;
            }
            *on_day[piece.day].get_or_insert(0.0) += piece.kg;
        }
        let costs = |(day, kg): (&Day, Option<f64>)| kg.map(|kg| day.cost_kg(kg));
        let days: f64 = self.days.iter().zip(on_day).filter_map(costs).sum();
        let saved: f64 = pieces
            .iter()
            .map(|p| p.kg * (1.0 - self.cost(p.patch, p.day).unwrap_or(1.0)))
            .sum();
        all - saved + days + hauls
    }
}

/// Number of whole steps that a part of a loss makes.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a part of 1 divided by a step is a small number"
)]
fn steps(part: f64, step: f64) -> i64 {
    ((part + 1e-9) / step).floor().max(0.0) as i64
}

/// The part at which a number of steps ends, with so many steps more, or just below it.
#[expect(clippy::cast_precision_loss, reason = "steps of a part of 1 are few")]
fn edge(steps: i64, more: f64, step: f64) -> f64 {
    ((steps as f64 + more) * step - 1e-6).max(0.0)
}

#[cfg(test)]
#[path = "tests.rs"]
mod tests;

#[cfg(test)]
mod haul_tests;
