//! Page tests of the theme `turns`.

mod amount_box;
pub mod clock_change;
pub mod crowd;
pub mod day_changes;
pub mod day_line;
mod day_past;
pub mod possible_days;
pub mod press_days;
mod pressed_early;
pub mod queue;
pub mod row_left;
pub mod row_yield;
mod standstills;
pub mod turn;
pub mod turn_states;
pub mod turn_told;
pub mod turn_undo;
pub mod waiting;
mod waits_already;
