//! Turns on a press day: how long they take, when they may start, what the day has room for, who
//! waits, and how they move together.

pub mod day_board;
mod day_boiling;
pub mod day_room;
pub mod pan_charges;
pub mod queue;
pub mod repack;
pub mod roster;
pub mod row_left;
pub mod starts;
pub mod turn_cane;
pub mod turn_habit;
pub mod turn_states;
pub mod waiting;
