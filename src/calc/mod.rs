//! The arithmetic, rules and states of the press: the heart. No clock, no chance, no input or
//! output; takes plain quantities and small structs of its own, never a database row.
#![deny(clippy::disallowed_methods)]

pub mod apportion;
pub mod balance;
mod boil_belief;
pub mod boil_plan;
pub mod boil_watch;
pub mod density;
pub mod elevation;
pub mod energy;
pub mod exchange;
pub mod fees;
pub mod jars;
pub mod juice;
pub mod label;
pub mod label_face;
pub mod label_sheet;
pub mod learned;
mod lettering;
pub mod panel;
pub mod qr;
pub mod refractometer;
pub mod scale;
pub mod sources;
pub mod split;
pub mod steam;
mod unmet;

pub use split::Basis;
pub use unmet::Unmet;
