//! Queries about seasons: their rules, what was planted, what their close goes by.

pub mod forbidden_days;
pub mod frosts;
pub mod in_use;
pub mod plantings;
pub mod rules_days;
pub mod season_close;
pub mod seasons;
pub mod weights;
