//! The arithmetic, rules and states of the press: the heart. No clock, no chance, no input or
//! output; takes plain quantities and small structs of its own, never a database row.
#![deny(clippy::disallowed_methods)]

pub mod balance;
mod boil_belief;
pub mod boil_plan;
pub mod boil_watch;
pub mod density;
pub mod elevation;
pub mod energy;
pub mod juice;
pub mod learned;
pub mod pooling;
mod pooling_search;
pub mod refractometer;
pub mod sources;
pub mod steam;
mod unmet;

pub use unmet::Unmet;
