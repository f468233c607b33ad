//! The season: which figures its rules may hold, what is planted and what it will come to, and how
//! it is closed in cents.

pub mod dates;
pub mod plantings;
pub mod proposal;
pub mod ripeness;
pub mod rules;
pub mod rules_days;
pub mod season_plan;
pub mod settle;
pub mod versions;
pub mod weights;
pub mod what_if;
pub mod years;
