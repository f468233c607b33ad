//! A boil on the fire: what is believed of it from what was read, and what the cook is told. `watch` is
//! the whole; the rest are its parts.

pub mod alone;
mod aside;
mod belief;
pub mod belief_at;
pub mod call;
mod course;
#[cfg(test)]
mod course_kit;
mod done;
mod expects;
mod forecast;
mod held;
pub mod on_fire;
pub mod outside_belief;
mod pairs;
mod prior;
mod probe_merge;
pub mod probe_sense;
mod rise_table;
pub mod said;
mod sensors;
mod shake;
pub mod surprise;
pub mod thickness;
pub mod watch;
mod watch_aside;
mod watch_done;
mod watch_held;
mod weighted;
