//! By how much pure sugar boils above water, worked once for a boil and then looked up: a belief
//! asks for it hundreds of times a minute. Straight lines between quarters of a degree Brix, within
//! 0.002 °C of the formula in `elevation`.

use super::thickness::brix_of;
use crate::calc::physics::elevation::{Factor, rise_c};

/// Figures that the table keeps for each degree Brix.
const TO_A_BRIX: f64 = 4.0;
/// Highest Brix in the table.
const MOST_BRIX: u32 = 95;

/// The rise over boiling water, °C, by quarters of a degree Brix from 0 to 95.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct RiseTable(Vec<f64>);

impl RiseTable {
    /// Makes the table for a day on which water boils at `water` °C.
    pub(super) fn new(water: f64) -> Self {
        let places = 0..=(MOST_BRIX * 4);
        Self(
            places
                .map(|place| rise_c(f64::from(place) / TO_A_BRIX, water, Factor::PURE))
                .collect(),
        )
    }

    /// The rise over boiling water at this water per solids, °C.
    pub(super) fn at(&self, u: f64) -> f64 {
        let place = brix_of(u) * TO_A_BRIX;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a Brix of 0 to 94 in quarters"
        )]
        let below = place as usize;
        #[expect(clippy::cast_precision_loss, reason = "below 400")]
        let over = place - below as f64;
        self.0[below] + (self.0[below + 1] - self.0[below]) * over
    }

    /// The most that any syrup boils over water, °C: see [`Self::u_at`].
    pub(super) fn most(&self) -> f64 {
        self.0[self.0.len() - 5]
    }

    /// Water per solids of syrup that boils `rise` °C above water; `None` at or below water, or beyond 94
    /// °Bx.
    pub(super) fn u_at(&self, rise: f64) -> Option<f64> {
        let after = self.0.partition_point(|r| *r < rise);
        if rise <= 0.0 || after == 0 || after >= self.0.len() - 4 {
            return None;
        }
        let (low, high) = (self.0[after - 1], self.0[after]);
        #[expect(clippy::cast_precision_loss, reason = "below 400")]
        let brix = (after as f64 - 1.0 + (rise - low) / (high - low)) / TO_A_BRIX;
        Some(100.0 / brix - 1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_agrees_with_the_formula_between_its_places() {
        let table = RiseTable::new(98.6);
        for tenths in 10..880_u32 {
            let brix = f64::from(tenths) / 10.0 + 0.03;
            let exact = rise_c(brix, 98.6, Factor::PURE);
            let found = table.at(100.0 / brix - 1.0);
            assert!((found - exact).abs() < 0.004, "{brix}: {found} {exact}");
        }
    }

    #[test]
    fn the_table_is_read_both_ways() {
        let table = RiseTable::new(99.9);
        for brix in [5.0, 30.0, 62.2, 78.0, 88.0] {
            let u = 100.0 / brix - 1.0;
            let back = table.u_at(table.at(u)).unwrap();
            assert!((back - u).abs() < 1e-9, "{brix}: {back} {u}");
        }
        assert_eq!(table.u_at(-0.5), None);
        assert_eq!(table.u_at(60.0), None);
    }

    #[test]
    fn what_boils_no_higher_than_water_or_beyond_94_brix_is_no_syrup() {
        let table = RiseTable::new(100.0);
        assert_eq!(table.u_at(0.0), None);
        assert!(table.u_at(0.001).is_some_and(|u| u > 100.0));
        // Up to 94 °Bx, a degree short of the table's end.
        let rise = |brix: f64| rise_c(brix, 100.0, Factor::PURE);
        let brix = |rise| table.u_at(rise).map(|u| 100.0 / (1.0 + u));
        assert!((brix(rise(94.0)).unwrap() - 94.0).abs() < 1e-6);
        assert_eq!(brix(rise(94.26)), None);
        // At a figure of the table and between two.
        for asked in [20.0, 20.1, 77.99, 78.0] {
            assert!((brix(rise(asked)).unwrap() - asked).abs() < 0.02, "{asked}");
        }
    }
}
