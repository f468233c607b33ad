//! Page tests of the theme `cane`.

mod further_loads;
pub mod juice;
mod kept;
pub mod mill;
pub mod morning;
pub mod paper;
pub mod second_readings;
pub mod tickets;
mod trash;
mod turns_back;
mod twice;
mod went_home;
pub mod yard;
mod yard_pages;
