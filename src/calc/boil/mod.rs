//! A boil: which juices go into it, its plan, how it is watched, and what its finish says.

pub mod additions;
pub mod balance;
pub mod boil_chart;
pub mod boil_habit;
pub mod boil_lit;
pub mod boil_plan;
pub mod boil_rules;
pub mod day_sum;
pub mod empty_jars;
pub mod fire;
pub mod flow_picture;
pub mod fuel_burnt;
pub mod full_jars;
pub mod jar_tolerance;
pub mod pan;
pub mod pan_day;
pub mod pooling;
pub(in crate::calc) mod pooling_search;
pub mod poured_later;
pub mod probes;
pub mod sums;
pub mod thinning;
