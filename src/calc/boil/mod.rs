//! A boil: which juices go into it, its plan, how it is watched, and what its finish says.

pub mod additions;
pub mod balance;
mod belief;
pub mod boil_chart;
pub mod boil_habit;
pub mod boil_lit;
pub mod boil_plan;
pub mod boil_rules;
pub mod call;
mod course;
#[cfg(test)]
mod course_kit;
pub mod day_sum;
pub mod empty_jars;
pub mod flow_picture;
mod forecast;
pub mod fuel_burnt;
pub mod full_jars;
pub mod looked;
pub mod mav;
pub mod odd;
pub mod on_fire;
pub mod pan;
pub mod pan_day;
pub mod pooling;
pub(in crate::calc) mod pooling_search;
mod prior;
mod probe_merge;
pub mod probes;
mod rise_table;
mod sensors;
mod shake;
pub mod sums;
pub mod surprise;
pub mod thickness;
pub mod thinning;
pub mod watch;
