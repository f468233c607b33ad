//! Planning press days, booking, waiting, and moving turns.

pub mod day_changes;
pub mod day_changes_plan;
pub(in crate::actions) mod day_changes_queue;
pub mod press_days;
pub mod rooms;
pub mod turn;
pub(in crate::actions) mod turn_new;
pub mod waiting;
pub mod waiting_overrides;
pub(in crate::actions) mod waiting_settle;
