//! A season, or a part of it, as a mixed-integer program: a planting's cane on a day is a number, whether a piece of it
//! stands there and whether a day is opened are yes or no.

use super::part::{Ask, Part};
use super::{Day, Piece};
use microlp::{
    ComparisonOp, LinearExpr, OptimizationDirection, Problem, SolveOptions, SolveOutcome, Variable,
};

/// A proposal is the best there is when what it keeps is within this part of the bound.
const GAP: f64 = 1e-6;
/// Cane below this is rounding, kg.
const NOTHING_KG: f64 = 1e-3;

/// What is made as small as can be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Goal {
    /// The part that the worst-off member loses beyond what could not be helped.
    Worst,
    /// What members lose so above this part of their cane, all together.
    Above(f64),
    /// The cost, while nobody of whom anything is asked loses more than this part so.
    Cost(f64),
}

struct Cell {
    kg: Variable,
    /// Whether the piece stands; `None`: it does.
    here: Option<Variable>,
    lost: f64,
}

/// The linear program with its variables.
pub(super) struct Program<'a> {
    part: &'a Part<'a>,
    problem: Problem,
    /// Whether each day is opened; `None`: it is, if anything at all is asked of it.
    open: Vec<Option<Variable>>,
    /// The variables of each planting on each day; `None`: nothing is asked.
    cells: Vec<Vec<Option<Cell>>>,
}

impl<'a> Program<'a> {
    /// The program of a part of a season.
    pub(super) fn of(part: &'a Part<'a>, goal: Goal) -> Self {
        let costs = matches!(goal, Goal::Cost(_));
        let only = |of: f64| if costs { of } else { 0.0 };
        let mut problem = Problem::new(OptimizationDirection::Minimize);
        let days = part.days.iter().zip(&part.opened);
        let open = days
            .map(|(day, asked)| asked.then(|| problem.add_binary_var(only(day.opening_kg))))
            .collect();
        let mut program = Self {
            part,
            problem,
            open,
            cells: Vec::new(),
        };
        for patch in 0..part.asks.len() {
            program.planting(patch, costs);
        }
        program.room(costs);
        program.members(goal);
        program
    }

    /// Adds the pieces of a planting.
    fn planting(&mut self, patch: usize, costs: bool) {
        let part = self.part;
        let of = &part.season.patches[patch];
        let least = part.least(patch);
        let mut row = Vec::new();
        // Days on which it is hauled, beyond the first.
        let (mut hauls, mut further) = (LinearExpr::empty(), -1.0);
        for _ in part.settled.iter().filter(|piece| piece.patch == patch) {
            further += 1.0;
        }
        for (day, ask) in part.asks[patch].iter().enumerate() {
            let lost = of.lost[day].filter(|_| *ask != Ask::Nothing);
            row.push(lost.map(|lost| {
                let most = part.most(patch, day).max(least);
                let saves = if costs {
                    lost + of.moved[day] - 1.0
                } else {
                    0.0
                };
                if *ask == Ask::Amount {
                    let kg = self.problem.add_var(saves, (least, most));
                    further += 1.0;
                    return Cell {
                        kg,
                        here: None,
                        lost,
                    };
                }
                let kg = self.problem.add_var(saves, (0.0, most));
                let here = self.problem.add_binary_var(0.0);
                hauls.add(here, 1.0);
                self.bounded([(kg, 1.0), (here, -most)], ComparisonOp::Le);
                self.bounded([(kg, 1.0), (here, -least)], ComparisonOp::Ge);
                if let Some(open) = self.open[day] {
                    self.bounded([(here, 1.0), (open, -1.0)], ComparisonOp::Le);
                }
                Cell {
                    kg,
                    here: Some(here),
                    lost,
                }
            }));
        }
        let haul = part.season.haul_kg;
        if costs && haul > 0.0 && row.iter().flatten().any(|c| c.here.is_some()) {
            let more = self.problem.add_var(haul, (0.0, f64::INFINITY));
            hauls.add(more, -1.0);
            self.problem
                .add_constraint(hauls, ComparisonOp::Le, -further);
        }
        let all: Vec<(Variable, f64)> = row.iter().flatten().map(|c| (c.kg, 1.0)).collect();
        if !all.is_empty() {
            let cane = part.cane_kg[patch];
            self.problem.add_constraint(all, ComparisonOp::Le, cane);
        }
        self.cells.push(row);
    }

    fn bounded(&mut self, two: [(Variable, f64); 2], op: ComparisonOp) {
        self.problem.add_constraint(two, op, 0.0);
    }

    /// Bounds a sum of a day by so much, where the day is opened.
    fn where_opened(&mut self, mut sum: LinearExpr, d: usize, op: ComparisonOp, by: f64) {
        let by = match self.open[d] {
            Some(open) => {
                sum.add(open, -by);
                0.0
            }
            None => by,
        };
        self.problem.add_constraint(sum, op, by);
    }

    /// What a day counts beside opening it: cane missing to fill a pan, and cane whose juice waits.
    fn corners(&mut self, d: usize, day: &Day) {
        if day.short > 0.0 && day.pan_kg > 0.0 {
            let missing = self.problem.add_var(day.short, (0.0, day.pan_kg));
            let mut filled = self.cane(d);
            filled.add(missing, 1.0);
            self.where_opened(filled, d, ComparisonOp::Ge, day.pan_kg);
        }
        if day.waiting > 0.0 && day.prompt_kg < day.most_kg {
            let most = (day.most_kg - day.prompt_kg).max(0.0);
            let waits = self.problem.add_var(day.waiting, (0.0, most));
            let mut prompt = self.cane(d);
            prompt.add(waits, -1.0);
            self.problem
                .add_constraint(prompt, ComparisonOp::Le, day.prompt_kg);
        }
    }

    /// All cane of which is asked on a day.
    fn cane(&self, d: usize) -> LinearExpr {
        let mut kg = LinearExpr::empty();
        for cell in self.cells.iter().filter_map(|row| row[d].as_ref()) {
            kg.add(cell.kg, 1.0);
        }
        kg
    }

    /// Bounds what each day can take, and adds what it costs where the cost is made small.
    fn room(&mut self, costs: bool) {
        for (d, day) in self.part.days.iter().enumerate() {
            let here = self.cells.iter().filter_map(|row| row[d].as_ref());
            if here.clone().next().is_none() {
                continue;
            }
            let mut minutes = LinearExpr::empty();
            let mut left = day.minutes;
            for cell in here {
                minutes.add(cell.kg, 1.0 / day.kg_per_minute);
                match cell.here {
                    Some(here) => minutes.add(here, day.changeover),
                    None => left -= day.changeover,
                }
            }
            if costs {
                self.corners(d, day);
            }
            self.where_opened(minutes, d, ComparisonOp::Le, left);
            let kg = self.cane(d);
            self.where_opened(kg, d, ComparisonOp::Le, day.most_kg);
        }
    }

    /// Bounds each member's loss by what is bearable, or by what is made small.
    fn members(&mut self, goal: Goal) {
        let season = self.part.season;
        let worst = (goal == Goal::Worst).then(|| self.problem.add_var(1.0, (0.0, 1.0)));
        for (member, kept) in self.part.kept_kg.iter().enumerate() {
            let mut saved = LinearExpr::empty();
            let (mut cane, mut asked) = (0.0, false);
            for (patch, row) in season.patches.iter().zip(&self.cells) {
                if patch.owner == member {
                    cane += patch.cane_kg;
                    for cell in row.iter().flatten() {
                        saved.add(cell.kg, 1.0 - cell.lost);
                        asked = true;
                    }
                }
            }
            // What is settled in a part stays as it is, bearable or not.
            if cane <= 0.0 || !(asked || worst.is_some()) {
                continue;
            }
            let least = match goal {
                Goal::Worst => cane,
                Goal::Above(part) | Goal::Cost(part) => cane * (1.0 - part),
            };
            if let Some(worst) = worst {
                saved.add(worst, cane);
            } else if matches!(goal, Goal::Above(_)) {
                saved.add(self.problem.add_var(1.0, (0.0, cane)), 1.0);
            }
            self.problem
                .add_constraint(saved, ComparisonOp::Ge, least - kept);
        }
    }

    /// Solves, beginning from pieces that are known to be possible; none when the solver gave up.
    pub(super) fn solved(&self, from: &[Piece], nodes: u64) -> Option<SolveOutcome> {
        let mut options = SolveOptions::default();
        options.node_limit = Some(nodes);
        options.mip_gap = GAP;
        options.warm_start = Some(self.start(from));
        self.problem.solve_with(options).ok()
    }

    fn start(&self, from: &[Piece]) -> Vec<(Variable, f64)> {
        let on = |yes: bool| if yes { 1.0 } else { 0.0 };
        let open = self.open.iter().enumerate();
        let mut start: Vec<(Variable, f64)> = open
            .filter_map(|(d, open)| Some(((*open)?, on(from.iter().any(|p| p.day == d)))))
            .collect();
        for (p, row) in self.cells.iter().enumerate() {
            for (d, cell) in row.iter().enumerate() {
                let Some(here) = cell.as_ref().and_then(|c| c.here) else {
                    continue;
                };
                let piece = from.iter().find(|piece| piece.patch == p && piece.day == d);
                start.push((here, on(piece.is_some())));
            }
        }
        start
    }

    /// The pieces that were found, with those that were settled.
    pub(super) fn pieces(&self, outcome: &SolveOutcome) -> Option<Vec<Piece>> {
        let solution = outcome.solution()?;
        let mut pieces = self.part.settled.clone();
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
