//! The pan of a press day, as far as boils are planned one after another.

use crate::units::{Millilitres, Minutes, UtcSecond};

/// The pan of the day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PanDay {
    /// Least charge that covers the pan to its end.
    pub least: Millilitres,
    /// Greatest charge that does not boil over.
    pub greatest: Millilitres,
    /// When it is free for the next boil.
    pub free: UtcSecond,
    /// Minutes of every boil besides evaporating: heating up, finishing, cleaning.
    pub overhead: Minutes,
    /// Juice it boils down in an hour, L.
    pub litres_h: f64,
}

impl PanDay {
    /// Seconds for which a boil of this many millilitres holds the pan.
    pub(in crate::calc) fn seconds(&self, ml: i64) -> i64 {
        let hours = Millilitres::new(ml).litres() / self.litres_h;
        #[expect(
            clippy::cast_possible_truncation,
            reason = "`as` saturates; boils last hours"
        )]
        let boiling = (hours * 3600.0).round() as i64;
        self.overhead.get() * 60 + boiling
    }
}
