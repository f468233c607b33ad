//! The least that each member could lose, were all the days there for the own cane alone: no plan helps that. Losses are
//! measured against it, so that cane which no day suits does not hide what others lose.

use super::{Piece, Season, WaitingPlanting, steps};
use microlp::{ComparisonOp, OptimizationDirection, Problem, Variable};

impl Season {
    /// Part of each member's cane that would be lost with all days to the own cane alone, no day holding more than it can of it:
    /// no proposal leaves the member less.
    pub fn least_by_member(&self) -> Vec<f64> {
        let mut cane = vec![0.0; self.members()];
        for patch in &self.patches {
            cane[patch.owner] += patch.cane_kg;
        }
        let least = least_lost(self).into_iter().zip(cane);
        least
            .map(|(lost, cane)| if cane > 0.0 { lost / cane } else { 0.0 })
            .collect()
    }

    /// Part of each member's cane that is lost with these pieces beyond [`Self::least_by_member`]: by this who is worst off is told.
    pub fn beyond_by_member(&self, pieces: &[Piece]) -> Vec<f64> {
        let lost = self.lost_by_member(pieces).into_iter();
        lost.zip(self.least_by_member())
            .map(|(lost, least)| (lost - least).max(0.0))
            .collect()
    }

    /// Steps that the worst-off member loses with these pieces, beyond what could not be helped.
    pub fn worst_step(&self, pieces: &[Piece]) -> i64 {
        let lost = self.beyond_by_member(pieces);
        steps(lost.into_iter().fold(0.0, f64::max), self.step)
    }
}

/// That, by member, kg of cane.
pub(super) fn least_lost(season: &Season) -> Vec<f64> {
    let rooms: Vec<f64> = season
        .days
        .iter()
        .map(|day| {
            let pressed = (day.minutes - day.changeover) * day.kg_per_minute;
            pressed.min(day.most_kg).max(0.0)
        })
        .collect();
    let mut own: Vec<Vec<usize>> = vec![Vec::new(); season.members()];
    for (n, patch) in season.patches.iter().enumerate() {
        own[patch.owner].push(n);
    }
    own.iter()
        .map(|own| {
            on_best_days(season, own, &rooms).unwrap_or_else(|| match own.as_slice() {
                [one] => on_days_in_turn(season, *one, &rooms),
                own => by_program(season, own, &rooms),
            })
        })
        .collect()
}

/// A planting's cane on a day, kg, as far as it and the day allow; the part that is lost then.
fn cells<'a>(
    season: &'a Season,
    n: usize,
    rooms: &'a [f64],
) -> impl Iterator<Item = (usize, f64, f64)> + 'a {
    let patch: &WaitingPlanting = &season.patches[n];
    let lost = patch.lost.iter().enumerate();
    lost.filter_map(move |(day, lost)| {
        let most = patch.cane_kg.min(rooms[day]).min(season.most_kg(n, day));
        Some((day, most, (*lost)?))
    })
}

/// The loss where every planting has its best day, if those hold them.
fn on_best_days(season: &Season, own: &[usize], rooms: &[f64]) -> Option<f64> {
    let mut left = rooms.to_vec();
    let mut lost = 0.0;
    for n in own {
        let cane = season.patches[*n].cane_kg;
        let Some((day, most, part)) = cells(season, *n, rooms).min_by(|a, b| a.2.total_cmp(&b.2))
        else {
            lost += cane;
            continue;
        };
        left[day] -= cane;
        if most < cane || left[day] < 0.0 {
            return None;
        }
        lost += cane * part;
    }
    Some(lost)
}

/// The loss of one planting that takes its days from the best on.
fn on_days_in_turn(season: &Season, n: usize, rooms: &[f64]) -> f64 {
    let mut days: Vec<(usize, f64, f64)> = cells(season, n, rooms).collect();
    days.sort_by(|a, b| a.2.total_cmp(&b.2));
    let cane = season.patches[n].cane_kg;
    let (mut rest, mut lost) = (cane, cane);
    for (_, most, part) in days {
        let put = most.min(rest);
        rest -= put;
        lost -= put * (1.0 - part);
    }
    lost
}

/// The loss of several plantings, by a linear program; nought if it cannot be solved, which measures most.
fn by_program(season: &Season, own: &[usize], rooms: &[f64]) -> f64 {
    let mut problem = Problem::new(OptimizationDirection::Minimize);
    let mut on_day: Vec<Vec<(Variable, f64)>> = vec![Vec::new(); rooms.len()];
    let mut cane = 0.0;
    for n in own {
        let mut all = Vec::new();
        for (day, most, part) in cells(season, *n, rooms) {
            let kg = problem.add_var(part - 1.0, (0.0, most));
            on_day[day].push((kg, 1.0));
            all.push((kg, 1.0));
        }
        let own = season.patches[*n].cane_kg;
        cane += own;
        if !all.is_empty() {
            problem.add_constraint(all, ComparisonOp::Le, own);
        }
    }
    for (on, room) in on_day.into_iter().zip(rooms) {
        if !on.is_empty() {
            problem.add_constraint(on, ComparisonOp::Le, *room);
        }
    }
    let solved = problem.solve().ok();
    let saved = solved.as_ref().and_then(|s| s.solution());
    saved.map_or(0.0, |saved| (cane + saved.objective()).max(0.0))
}
