//! What a steward has fixed before a season is proposed, and how it was proposed before.

use crate::units::{DayMinute, Grams, PlantingId, PressDate};

/// What a steward has fixed before a season is proposed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Wish {
    /// Turns that stay.
    pub kept: Vec<Kept>,
    /// Turns as they were proposed before: they move only for a reason.
    pub before: Vec<Before>,
    /// The mark of what those were proposed from; empty: it is not known.
    pub from: String,
}

/// A planting that stays on a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Kept {
    /// The planting.
    pub planting: PlantingId,
    /// The press day that it stays on.
    pub date: PressDate,
    /// When its turn there starts, with its cane: both stay. `None`: the day alone does.
    pub turn: Option<(DayMinute, Grams)>,
}

/// A turn of a planting as it was proposed before.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Before {
    /// The planting.
    pub planting: PlantingId,
    /// The press day it was proposed for.
    pub date: PressDate,
    /// When that turn was to start.
    pub start: DayMinute,
    /// Cane of that turn.
    pub cane: Grams,
}

impl Wish {
    /// Whether a planting is kept on a day.
    pub fn keeps(&self, planting: PlantingId, date: PressDate) -> bool {
        let mut kept = self.kept.iter();
        kept.any(|k| k.planting == planting && k.date == date)
    }

    /// The turns of a planting as they were proposed before.
    pub fn before_of(&self, planting: PlantingId) -> impl Iterator<Item = &Before> {
        self.before.iter().filter(move |b| b.planting == planting)
    }
}
