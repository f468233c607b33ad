//! The cells: which boils are judged together.

use crate::fire::face::{Cell, KKnown};

/// When the crew reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pace {
    /// By its own habit: every 10 to 15 min, then 5, then 2 to 4.
    Fixed,
    /// When the watcher asks, late by some minutes, sometimes forgotten.
    Advised,
    /// A probe sends by itself; a hand reads now and then.
    Probe,
}

/// What the crew has to read with: a column of the goals.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Column {
    /// Thermometer and refractometer; the factor K learned in one boil of two.
    Refractometer,
    /// Thermometer only, factor K learned.
    Learned,
    /// Thermometer only, factor K unknown.
    Unknown,
}

/// One cell of the goal table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plan {
    /// When readings are taken.
    pub pace: Pace,
    /// With what.
    pub column: Column,
    /// The cook lets the fire down at "check".
    pub eased: bool,
    /// True factor K, from and to.
    pub k_range: (f64, f64),
    /// Share of figures typed wrongly.
    pub slips: f64,
    /// The cook says what becomes of the fire when told "check".
    pub says_fire: bool,
}

impl Plan {
    /// The cell's name, such as `fixed/learned/eased/K0.9-1.5/slips`.
    #[must_use]
    pub fn name(&self) -> String {
        let pace = match self.pace {
            Pace::Fixed => "fixed",
            Pace::Advised => "advised",
            Pace::Probe => "probe",
        };
        let column = match self.column {
            Column::Refractometer => "refr",
            Column::Learned => "learned",
            Column::Unknown => "unknown",
        };
        let eased = if self.eased { "eased" } else { "not-eased" };
        let slips = if self.slips > 0.0 { "slips" } else { "clean" };
        let (low, high) = self.k_range;
        format!("{pace}/{column}/{eased}/K{low:.1}-{high:.1}/{slips}")
    }

    /// What the boil of `seed` is made by.
    #[must_use]
    pub fn boil(&self, seed: u64) -> Cell {
        let learned = KKnown::Learned {
            boils: 3 + u32::try_from(seed % 7).unwrap_or(0),
        };
        let k_known = match self.column {
            Column::Learned => learned,
            Column::Refractometer if seed.is_multiple_of(2) => learned,
            Column::Refractometer | Column::Unknown => KKnown::Unknown,
        };
        Cell {
            k_range: self.k_range,
            eased: self.eased,
            k_known,
        }
    }
}

/// All 48 cells read by hand, then the 4 with a probe.
#[must_use]
pub fn all() -> Vec<Plan> {
    let mut plans = Vec::new();
    for pace in [Pace::Fixed, Pace::Advised, Pace::Probe] {
        for column in [Column::Refractometer, Column::Learned, Column::Unknown] {
            for eased in [false, true] {
                for k_range in [(1.0, 1.3), (0.9, 1.5)] {
                    for slips in [0.0, 0.05] {
                        // The goals speak of a probe with the factor learned only; a probe does not mistype.
                        if pace != Pace::Probe || (column == Column::Learned && slips < 0.01) {
                            plans.push(Plan {
                                pace,
                                column,
                                eased,
                                k_range,
                                slips,
                                says_fire: false,
                            });
                        }
                    }
                }
            }
        }
    }
    plans
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn every_cell_is_there_once() {
        let plans = all();
        let names: HashSet<_> = plans.iter().map(Plan::name).collect();
        assert_eq!(plans.len(), 52);
        assert_eq!(names.len(), 52);
    }

    #[test]
    fn only_the_unknown_column_never_knows_k() {
        for plan in all() {
            let known = (0..20)
                .filter(|&seed| plan.boil(seed).k_known != KKnown::Unknown)
                .count();
            let expected = match plan.column {
                Column::Refractometer => 10,
                Column::Learned => 20,
                Column::Unknown => 0,
            };
            assert_eq!(known, expected, "{}", plan.name());
        }
    }
}
