//! A season as a mixed-integer program: a planting's cane on a day is a number, whether a piece of it stands there and whether
//! a day is opened are yes or no.

use super::least::least_lost;
use super::{Day, LEAST_PIECE_KG, Piece, Season};
use microlp::{
    ComparisonOp, LinearExpr, OptimizationDirection, Problem, SolveOptions, SolveOutcome, Variable,
};

/// A proposal is the best there is when what it keeps is within this part of the bound.
const GAP: f64 = 1e-6;
/// Cane below this is rounding, kg.
const NOTHING_KG: f64 = 1e-3;

struct Cell {
    kg: Variable,
    here: Variable,
    lost: f64,
}

/// The linear program with its variables.
pub(super) struct Program {
    problem: Problem,
    open: Vec<Variable>,
    worst: Variable,
    /// The variables of each planting on each day; `None`: it cannot be pressed then.
    cells: Vec<Vec<Option<Cell>>>,
}

impl Program {
    /// Makes the cost small while nobody loses more than the part `bearable`; without it, makes the worst part small.
    pub(super) fn of(season: &Season, bearable: Option<f64>) -> Self {
        let costs = bearable.is_some();
        let only = |of: f64| if costs { of } else { 0.0 };
        let mut problem = Problem::new(OptimizationDirection::Minimize);
        let open: Vec<Variable> = season
            .days
            .iter()
            .map(|day| problem.add_binary_var(only(day.opening_kg)))
            .collect();
        let worst = problem.add_var(if costs { 0.0 } else { 1.0 }, (0.0, 1.0));
        let mut cells = Vec::new();
        for (p, patch) in season.patches.iter().enumerate() {
            let cane = patch.cane_kg;
            let row: Vec<Option<Cell>> = patch
                .lost
                .iter()
                .zip(&patch.moved)
                .enumerate()
                .map(|(day, (lost, moved))| {
                    let lost = (*lost)?;
                    let most = cane.min(season.most_kg(p, day));
                    let kg = problem.add_var(only(lost + moved - 1.0), (0.0, most));
                    let here = problem.add_binary_var(0.0);
                    Some(Cell { kg, here, lost })
                })
                .collect();
            for (day, cell) in row.iter().enumerate() {
                let Some(cell) = cell else { continue };
                let least = cane.min(LEAST_PIECE_KG);
                problem.add_constraint([(cell.kg, 1.0), (cell.here, -cane)], ComparisonOp::Le, 0.0);
                problem.add_constraint(
                    [(cell.kg, 1.0), (cell.here, -least)],
                    ComparisonOp::Ge,
                    0.0,
                );
                problem.add_constraint(
                    [(cell.here, 1.0), (open[day], -1.0)],
                    ComparisonOp::Le,
                    0.0,
                );
            }
            let all: Vec<(Variable, f64)> = row.iter().flatten().map(|c| (c.kg, 1.0)).collect();
            if !all.is_empty() {
                problem.add_constraint(all, ComparisonOp::Le, cane);
            }
            cells.push(row);
        }
        let mut program = Self {
            problem,
            open,
            worst,
            cells,
        };
        program.room(season, costs);
        program.members(season, bearable);
        program
    }

    /// What a day counts beside opening it: cane missing to fill a pan, and cane whose juice waits.
    fn corners(&mut self, d: usize, day: &Day) {
        let on_day = |expr: &mut LinearExpr, cells: &[Vec<Option<Cell>>], sign: f64| {
            for cell in cells.iter().filter_map(|row| row[d].as_ref()) {
                expr.add(cell.kg, sign);
            }
        };
        if day.short > 0.0 && day.pan_kg > 0.0 {
            let missing = self.problem.add_var(day.short, (0.0, day.pan_kg));
            let mut filled = LinearExpr::empty();
            filled.add(missing, 1.0);
            filled.add(self.open[d], -day.pan_kg);
            on_day(&mut filled, &self.cells, 1.0);
            self.problem.add_constraint(filled, ComparisonOp::Ge, 0.0);
        }
        if day.waiting > 0.0 && day.prompt_kg < day.most_kg {
            let waits = self
                .problem
                .add_var(day.waiting, (0.0, day.most_kg - day.prompt_kg));
            let mut prompt = LinearExpr::empty();
            prompt.add(waits, -1.0);
            on_day(&mut prompt, &self.cells, 1.0);
            self.problem
                .add_constraint(prompt, ComparisonOp::Le, day.prompt_kg);
        }
    }

    /// Bounds what each day can take, and adds what it costs where the cost is made small.
    fn room(&mut self, season: &Season, costs: bool) {
        for (d, day) in season.days.iter().enumerate() {
            let mut minutes = LinearExpr::empty();
            let mut kg = LinearExpr::empty();
            minutes.add(self.open[d], -day.minutes);
            kg.add(self.open[d], -day.most_kg);
            if costs {
                self.corners(d, day);
            }
            for cell in self.cells.iter().filter_map(|row| row[d].as_ref()) {
                minutes.add(cell.kg, 1.0 / day.kg_per_minute);
                minutes.add(cell.here, day.changeover);
                kg.add(cell.kg, 1.0);
            }
            self.problem.add_constraint(minutes, ComparisonOp::Le, 0.0);
            self.problem.add_constraint(kg, ComparisonOp::Le, 0.0);
        }
    }

    /// Bounds each member's loss by what is bearable, or by the worst part, which is made small.
    fn members(&mut self, season: &Season, bearable: Option<f64>) {
        let unhelped = least_lost(season);
        for (member, unhelped) in unhelped.into_iter().enumerate() {
            let mut saved = LinearExpr::empty();
            let mut cane = 0.0;
            for (patch, row) in season.patches.iter().zip(&self.cells) {
                if patch.owner == member {
                    cane += patch.cane_kg;
                    for cell in row.iter().flatten() {
                        saved.add(cell.kg, 1.0 - cell.lost);
                    }
                }
            }
            if cane <= 0.0 {
                continue;
            }
            let least = if let Some(part) = bearable {
                cane * (1.0 - part)
            } else {
                saved.add(self.worst, cane);
                cane
            };
            let least = least - unhelped;
            self.problem.add_constraint(saved, ComparisonOp::Ge, least);
        }
    }

    /// Solves, beginning from pieces that are known to be possible; none when the solver gave up.
    pub(super) fn solved(
        &self,
        season: &Season,
        from: &[Piece],
        nodes: u64,
    ) -> Option<SolveOutcome> {
        let mut options = SolveOptions::default();
        options.node_limit = Some(nodes);
        options.mip_gap = GAP;
        options.warm_start = Some(self.start(season, from));
        self.problem.solve_with(options).ok()
    }

    fn start(&self, season: &Season, from: &[Piece]) -> Vec<(Variable, f64)> {
        let on = |yes: bool| if yes { 1.0 } else { 0.0 };
        let mut start: Vec<(Variable, f64)> = (0..season.days.len())
            .map(|d| (self.open[d], on(from.iter().any(|p| p.day == d))))
            .collect();
        for (p, row) in self.cells.iter().enumerate() {
            for (d, cell) in row.iter().enumerate() {
                let Some(cell) = cell else { continue };
                let piece = from.iter().find(|piece| piece.patch == p && piece.day == d);
                start.push((cell.here, on(piece.is_some())));
            }
        }
        start
    }

    pub(super) fn pieces(&self, outcome: &SolveOutcome) -> Option<Vec<Piece>> {
        let solution = outcome.solution()?;
        let mut pieces = Vec::new();
        for (patch, row) in self.cells.iter().enumerate() {
            for (day, cell) in row.iter().enumerate() {
                let kg = cell.as_ref().map_or(0.0, |c| solution.var_value(c.kg));
                if kg > NOTHING_KG {
                    pieces.push(Piece { patch, day, kg });
                }
            }
        }
        pieces.sort_by_key(|p| (p.day, p.patch));
        Some(pieces)
    }
}
