//! What counts how much when a season's turns are proposed: the figures that a version of the rules votes, and those to
//! start from. Never proposes.

use super::proposal::Day;
use crate::units::Grams;

/// The figures of one version of the rules. Percents as they are typed, 0 to 100.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weights {
    /// Cost of opening the mill for a day, as cane lost.
    pub day: Grams,
    /// Cost of each of the crew who must come, as cane lost.
    pub person: Grams,
    /// Part of the cane missing to fill a pan that counts as lost, %.
    pub short_pct: f64,
    /// Part of the cane whose juice waits, as the pans boil slower than the mill presses, that counts as lost, %.
    pub wait_pct: f64,
    /// Part of the cane moved from the day it had before that counts as lost, %.
    pub move_pct: f64,
    /// Step in which losses of the worst-off member are told apart, %.
    pub step_pct: f64,
    /// Sugar lost at either end of the days on which a planting is ready, %.
    pub edge_pct: f64,
    /// Sugar lost for each day before them, %.
    pub early_pct: f64,
    /// Sugar lost for each day after them, %.
    pub late_pct: f64,
    /// Part that is lost of cane which a frost has killed, %.
    pub frost_pct: f64,
}

/// People that a press day takes: two at the rollers, one at the pan, one at the scale (common practice).
pub const CREW: i64 = 4;

impl Weights {
    /// The figures to start from: see `calc::sources`.
    pub const DEFAULT: Self = Self {
        day: Grams::new(40_000),
        person: Grams::new(15_000),
        short_pct: 5.0,
        wait_pct: 2.0,
        move_pct: 2.0,
        step_pct: 5.0,
        edge_pct: 4.0,
        early_pct: 1.4,
        late_pct: 1.8,
        frost_pct: 60.0,
    };

    /// Each figure by its box, in the units of `rules::RANGES`: kg and percent.
    pub fn figures(&self) -> [(&'static str, f64); 10] {
        [
            ("weigh_day", self.day.kg()),
            ("weigh_person", self.person.kg()),
            ("weigh_short", self.short_pct),
            ("weigh_wait", self.wait_pct),
            ("weigh_move", self.move_pct),
            ("weigh_step", self.step_pct),
            ("weigh_edge", self.edge_pct),
            ("weigh_early", self.early_pct),
            ("weigh_late", self.late_pct),
            ("weigh_frost", self.frost_pct),
        ]
    }

    /// What it costs to open the mill for a day with its crew, as cane lost.
    pub fn opening(&self) -> Grams {
        Grams::new(self.day.get() + CREW * self.person.get())
    }

    /// A day with its costs by these weights; its minutes and cane stay as they are given. A day that is open anyway
    /// costs nothing to open, nor does its pan wait to be full.
    pub fn weigh(&self, day: Day, is_open: bool) -> Day {
        let anew = |figure: f64| if is_open { 0.0 } else { figure };
        Day {
            opening_kg: anew(self.opening().kg()),
            short: anew(self.short_pct / 100.0),
            waiting: self.wait_pct / 100.0,
            ..day
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::season::rules::within;

    #[test]
    fn the_figures_to_start_from_lie_in_their_ranges_and_a_day_costs_its_crew() {
        for (at, figure) in Weights::DEFAULT.figures() {
            assert_eq!(within(at, figure), Ok(figure), "{at}");
            assert!(within(at, -1.0).is_err(), "{at} has no range");
        }
        // 40 kg for the mill and 15 kg for each of four people.
        assert_eq!(Weights::DEFAULT.opening(), Grams::new(100_000));
    }
}
