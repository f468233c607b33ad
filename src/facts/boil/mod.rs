//! Facts of boils: a boil with all that belongs to it, what a season's boils teach, what stands in
//! tanks to be boiled.

pub mod boil_sums;
pub mod boils;
pub mod finish_of_day;
pub mod jar_checks;
pub mod kept_watch;
pub mod lighting;
pub mod on_fire;
pub mod pans;
pub mod pooling;
pub mod probes;
pub mod season_boils;
