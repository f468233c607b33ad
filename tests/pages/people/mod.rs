//! Page tests of the theme `people`.

pub mod accounts;
pub mod acting;
pub mod acting_letters;
mod acting_said;
pub mod calendar;
pub mod forgetting;
pub mod household;
pub mod joining;
pub mod members;
pub mod notices;
pub mod signing_in;
pub mod stations;
