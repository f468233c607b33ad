//! How much cane each turn brings, where it is settled which plantings stand on which days: a linear program (by the crate
//! `microlp`), solved to the end.

use super::least::least_lost;
use super::{LEAST_PIECE_KG, Piece, Season};
use microlp::{ComparisonOp, LinearExpr, OptimizationDirection, Problem, Variable};

/// Cane below this is rounding, kg.
const NOTHING_KG: f64 = 1e-6;

/// The program: one amount for each piece.
struct Amounts<'a> {
    season: &'a Season,
    pieces: &'a [Piece],
    problem: Problem,
    kg: Vec<Variable>,
}

impl Amounts<'_> {
    /// The sum over the pieces of which there is something to count, for each kilogram.
    fn sum(&self, counts: impl Fn(&Piece) -> Option<f64>) -> LinearExpr {
        let mut sum = LinearExpr::empty();
        for (piece, kg) in self.pieces.iter().zip(&self.kg) {
            if let Some(part) = counts(piece) {
                sum.add(*kg, part);
            }
        }
        sum
    }

    /// No planting has more cane than it has.
    fn plantings(&mut self) {
        for (n, patch) in self.season.patches.iter().enumerate() {
            let all = self.sum(|p| (p.patch == n).then_some(1.0));
            self.problem
                .add_constraint(all, ComparisonOp::Le, patch.cane_kg);
        }
    }

    /// Bounds what each day can take, and adds what it costs where the cost is made small.
    fn days(&mut self, costs: bool) {
        for (d, day) in self.season.days.iter().enumerate() {
            let turns = self.pieces.iter().filter(|p| p.day == d);
            let between: f64 = turns.clone().map(|_| day.changeover).sum();
            if turns.count() == 0 {
                continue;
            }
            let room = ((day.minutes - between) * day.kg_per_minute).min(day.most_kg);
            let here = self.sum(|p| (p.day == d).then_some(1.0));
            self.problem
                .add_constraint(here.clone(), ComparisonOp::Le, room);
            if costs && day.short > 0.0 && day.pan_kg > 0.0 {
                let missing = self.problem.add_var(day.short, (0.0, day.pan_kg));
                let mut filled = here.clone();
                filled.add(missing, 1.0);
                self.problem
                    .add_constraint(filled, ComparisonOp::Ge, day.pan_kg);
            }
            if costs && day.waiting > 0.0 && day.prompt_kg < day.most_kg {
                let most = day.most_kg - day.prompt_kg;
                let waits = self.problem.add_var(day.waiting, (0.0, most));
                let mut prompt = here;
                prompt.add(waits, -1.0);
                self.problem
                    .add_constraint(prompt, ComparisonOp::Le, day.prompt_kg);
            }
        }
    }

    /// Bounds each member's loss by what is bearable, or by the worst part, which is made small.
    fn members(&mut self, bearable: Option<f64>) {
        let worst = self
            .problem
            .add_var(if bearable.is_some() { 0.0 } else { 1.0 }, (0.0, 1.0));
        let mut cane = vec![0.0; self.season.members()];
        for patch in &self.season.patches {
            cane[patch.owner] += patch.cane_kg;
        }
        let unhelped = least_lost(self.season);
        for (member, cane) in cane.into_iter().enumerate() {
            if cane <= 0.0 {
                continue;
            }
            let mut saved = self.sum(|p| {
                let patch = &self.season.patches[p.patch];
                (patch.owner == member).then(|| 1.0 - patch.lost[p.day].unwrap_or(1.0))
            });
            if bearable.is_none() {
                saved.add(worst, cane);
            }
            let least = cane * (1.0 - bearable.unwrap_or(0.0)) - unhelped[member];
            self.problem.add_constraint(saved, ComparisonOp::Ge, least);
        }
    }
}

/// These pieces with the amounts that cost least while nobody loses more than `bearable`; without it, with those by
/// which the worst-off member loses least. `None` when there are no such amounts.
pub(super) fn weighed(
    season: &Season,
    pieces: &[Piece],
    bearable: Option<f64>,
) -> Option<Vec<Piece>> {
    let costs = bearable.is_some();
    let mut problem = Problem::new(OptimizationDirection::Minimize);
    let amount = |piece: &Piece| {
        let cane = season.patches[piece.patch].cane_kg;
        let cost = season.cost(piece.patch, piece.day).unwrap_or(1.0) - 1.0;
        let least = cane.min(LEAST_PIECE_KG);
        let most = cane.min(season.most_kg(piece.patch, piece.day)).max(least);
        problem.add_var(if costs { cost } else { 0.0 }, (least, most))
    };
    let kg = pieces.iter().map(amount).collect();
    let mut amounts = Amounts {
        season,
        pieces,
        problem,
        kg,
    };
    amounts.plantings();
    amounts.days(costs);
    amounts.members(bearable);
    let outcome = amounts.problem.solve().ok()?;
    let solution = outcome.solution()?;
    let weighed = pieces.iter().zip(&amounts.kg).map(|(piece, kg)| Piece {
        kg: solution.var_value(*kg),
        ..*piece
    });
    Some(weighed.filter(|p| p.kg > NOTHING_KG).collect())
}
