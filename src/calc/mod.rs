//! The arithmetic, rules and states of the press: the heart. No clock, no chance, no input or
//! output; takes plain quantities and small structs of its own, never a database row.
#![deny(clippy::disallowed_methods)]

pub mod apportion;
pub mod exchange;
pub mod fees;
pub mod jars;
pub mod label;
pub mod label_sheet;
pub mod panel;
pub mod qr;
pub mod scale;
pub mod split;
mod unmet;

pub use unmet::Unmet;
