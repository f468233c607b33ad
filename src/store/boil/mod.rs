//! Queries about pans and boils: draws, readings, additions, finishes, fills.

pub mod additions;
pub mod boil_readings;
pub mod boils;
pub mod boils_rules;
pub mod boils_write;
mod draws;
pub mod empty_jars;
pub mod jar_checks;
pub mod pans;
pub mod probes;
