//! Page tests of the theme `shares`.

pub mod corrections;
pub mod divisions;
mod history;
pub mod labels;
mod left;
pub mod my_cane;
mod my_steps;
pub mod recalls;
pub mod shelf;
mod sixty;
pub mod statements;
mod syrup_lost;
pub mod trace;
pub mod verify;
