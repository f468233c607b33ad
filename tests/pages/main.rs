//! Page tests, through the router: for each form one sending that is taken, one that is not, and one
//! by somebody who may not.
#![expect(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

mod boil;
mod cane;
mod dates;
#[path = "../demo_file.rs"]
mod demo_file;
mod form_pairs;
mod guarded;
mod home;
mod people;
mod roles;
mod season;
mod sent_again;
mod shares;
mod site;
mod together;
mod turns;
