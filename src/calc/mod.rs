//! The arithmetic, rules and states of the press: the heart. No clock, no input or output, and
//! chance only from a seed that is handed in; takes plain quantities and small structs of its own, never a database row.
#![deny(clippy::disallowed_methods)]

pub mod boil;
pub mod cane;
pub mod chain;
pub mod paper;
pub mod people;
pub mod physics;
mod rule_refusal;
pub mod season;
pub mod shares;
pub mod sources;
pub mod turns;

pub use rule_refusal::{MAY_BE_SO, RuleRefusal};
pub use shares::split::Basis;
