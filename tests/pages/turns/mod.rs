//! Page tests of the theme `turns`.

pub mod bookings;
pub mod clock_change;
pub mod day_changes;
pub mod day_line;
pub mod days;
pub mod row_yield;
pub mod turn_states;
pub mod waiting;
