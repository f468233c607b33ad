//! A boil: which juices go into it, its plan, how it is watched, and what its finish says.

pub mod additions;
pub mod balance;
pub(in crate::calc) mod boil_belief;
pub mod boil_call;
pub mod boil_chart;
pub mod boil_habit;
pub mod boil_lit;
pub mod boil_plan;
pub mod boil_rules;
pub mod boil_watch;
pub mod burnt;
pub mod day_sum;
pub mod pan;
pub mod pooling;
pub(in crate::calc) mod pooling_search;
pub mod probes;
pub mod sums;
