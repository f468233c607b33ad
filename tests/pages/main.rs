//! Page tests, through the router: for each form one sending that is taken, one that is not, and one
//! by somebody who may not.
#![expect(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

mod accounts;
mod additions;
mod boils;
mod bookings;
mod calendar;
mod day_line;
mod days;
mod juice;
mod labels;
mod live;
mod members;
mod mill;
mod morning;
mod pans;
mod plan;
mod plantings;
mod roles;
mod seasons;
mod shares;
mod site;
mod statements;
mod turn_states;
mod weighing;
