//! Cane at the mill: the morning's checks, weighing, and the juice it gave.

pub mod day_juice;
pub mod expected;
pub mod gaps;
pub mod juice;
pub mod learned;
pub mod mill_watch;
pub mod morning;
pub mod own_number;
pub mod press_times;
pub mod same_juice;
pub mod same_load;
pub mod scale;
pub mod second_reading;
pub mod tickets;
pub mod trash;
pub mod undo;
pub mod went_home;
