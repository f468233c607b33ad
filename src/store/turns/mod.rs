//! Queries about press days and the turns on them, waiting lists and offers included.

pub mod booked;
pub mod day_board;
pub mod day_changes;
pub mod day_line;
pub mod offers;
pub mod possible_days;
pub mod press_days;
pub mod roster;
pub mod row_left;
pub mod spoken;
pub mod standstills;
pub mod turn;
pub mod turn_events;
pub mod turn_habit;
pub mod waiting;
