//! Page tests of the theme `cane`.

pub mod juice;
pub mod mill;
pub mod morning;
pub mod tickets;
pub mod yard;
pub mod second_readings;
mod yard_pages;
