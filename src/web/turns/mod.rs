//! Pages of press days and turns.

mod asked;
pub(in crate::web) mod day_changes;
pub(in crate::web) mod day_line;
pub(in crate::web) mod possible_days;
pub(in crate::web) mod press_days;
pub(in crate::web) mod roster;
pub(in crate::web) mod turn;
pub(in crate::web) mod waiting;
