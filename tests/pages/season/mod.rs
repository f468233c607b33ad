//! Page tests of the theme `season`.

pub mod bearing;
pub mod big_season;
mod lists;
mod locks;
pub mod plantings;
pub mod proposal;
pub mod proposal_asked;
mod proposal_changes;
mod proposal_crew;
pub mod proposal_room;
mod proposal_shown;
mod proposed_days;
mod rules_of_the_day;
mod rules_versions;
pub mod season_close;
pub mod season_plan;
pub mod seasons;
mod settled_back;
