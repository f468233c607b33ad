//! Pans, and a boil from lighting to filling.

pub mod additions;
pub mod boils;
pub mod boils_finish;
pub mod empty_jars;
pub mod jar_checks;
mod next_lot;
pub mod other_rules;
pub mod pans;
pub mod probes;
