//! Pages of the mill: outfit, morning, tickets, juice, and the figures of a day.

mod after_all;
pub(in crate::web) mod cane_words;
pub(in crate::web) mod day_figures;
pub(in crate::web) mod juice;
pub(in crate::web) mod mill;
pub(in crate::web) mod morning;
mod of_path;
mod pressed_times;
pub(in crate::web) mod tags;
pub(in crate::web) mod tickets;
