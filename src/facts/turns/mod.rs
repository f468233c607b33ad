//! Facts of press days and turns: room, habits, who waits, what a change would do.

pub mod brought_back;
pub mod day_change;
mod day_change_queue;
mod held_by_day;
pub mod possible_days;
pub mod press_day;
pub mod queue;
pub mod room;
pub mod roster;
pub mod running_line;
pub mod turn;
pub mod turn_habit;
pub mod waiting;
