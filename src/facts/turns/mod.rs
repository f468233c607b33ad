//! Facts of press days and turns: room, habits, who waits, what a change would do.

pub mod brought_back;
mod day_change_queue;
pub mod day_changes;
mod held_by_day;
pub mod possible_days;
pub mod press_days;
pub mod queue;
pub mod room;
pub mod roster;
pub mod running_line;
pub mod turn;
pub mod turn_habit;
pub mod waiting;
