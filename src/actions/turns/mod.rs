//! Planning press days, booking, waiting, and moving turns.

mod asker;
pub mod bring_back;
pub mod day_changes;
mod offering;
pub mod offers_together;
pub mod possible_days;
pub mod press_days;
pub mod roster;
pub mod turn;
mod turn_new;
mod turn_place;
mod turn_told;
pub mod turn_undo;
pub mod waiting;
pub mod waiting_overrides;

pub use offering::offer_due;
