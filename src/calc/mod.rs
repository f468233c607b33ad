//! The arithmetic, rules and states of the press: the heart. No clock, no chance, no input or
//! output; takes plain quantities and small structs of its own, never a database row.
#![deny(clippy::disallowed_methods)]

pub mod additions;
pub mod apportion;
pub mod balance;
pub mod boil;
mod boil_belief;
pub mod boil_call;
pub mod boil_chart;
pub mod boil_plan;
pub mod boil_rules;
pub mod boil_watch;
pub mod chart;
pub mod day_board;
pub mod day_room;
pub mod day_sum;
pub mod deliveries;
pub mod density;
pub mod division;
mod division_parts;
pub mod elevation;
pub mod energy;
pub mod exchange;
pub mod fees;
pub mod flow_picture;
pub mod frozen;
pub mod jars;
pub mod juice;
pub mod label;
pub mod label_face;
pub mod label_sheet;
pub mod learned;
pub mod ledger;
pub mod mill_watch;
pub mod morning;
pub mod pan;
pub mod panel;
pub mod pooling;
mod pooling_search;
pub mod qr;
pub mod refractometer;
pub mod rules;
pub mod scale;
pub mod season_habit;
pub mod sources;
pub mod split;
pub mod steam;
pub mod turn_cane;
pub mod turn_states;
pub mod turns;
mod unmet;

pub use split::Basis;
pub use unmet::Unmet;
