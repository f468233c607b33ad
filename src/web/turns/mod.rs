//! Pages of press days and turns.

pub(in crate::web) mod bookings;
pub(in crate::web) mod day_changes;
pub(in crate::web) mod day_line;
pub(in crate::web) mod days;
pub(in crate::web) mod waiting;
