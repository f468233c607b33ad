//! Page tests, through the router: for each form one sending that is taken, one that is not, and one
//! by somebody who may not.
#![expect(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

mod accounts;
mod additions;
mod big_season;
mod boils;
mod bookings;
mod calendar;
mod clock_change;
mod corrections;
mod day_changes;
mod day_line;
mod days;
mod fuel;
mod juice;
mod labels;
mod live;
mod members;
mod mill;
mod morning;
mod notices;
mod pans;
mod plan;
mod plantings;
mod roles;
mod row_yield;
mod season_close;
mod season_plan;
mod seasons;
mod shares;
mod site;
mod statements;
mod turn_states;
mod verify;
mod waiting;
mod weighing;
