//! Facts of boils: a boil with all that belongs to it, what juices wait, what was learned.

pub mod boil_sums;
pub mod season_boils;
