//! Opening a season, its rules, plantings, and its close.

pub mod forbidden_days;
pub mod frosts;
pub mod hours;
pub mod plantings;
pub mod rules_days;
pub mod season_close;
pub mod season_lock;
pub mod season_losses;
pub mod seasons;
