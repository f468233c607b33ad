//! Page tests of the theme `turns`.

pub mod clock_change;
pub mod crowd;
pub mod day_changes;
pub mod day_line;
pub mod possible_days;
pub mod press_days;
pub mod queue;
pub mod row_left;
pub mod row_yield;
mod standstills;
pub mod turn;
pub mod turn_states;
pub mod turn_undo;
pub mod waiting;
