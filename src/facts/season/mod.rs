//! Facts of a season: its rules, what was planted, what its close goes by.

pub mod losses_borne;
pub mod older_rules;
pub mod plantings;
pub mod proposal;
pub mod proposal_days;
pub mod proposal_fields;
pub mod proposal_fuller;
pub mod proposal_kept;
pub mod proposal_left;
pub mod proposal_loads;
pub mod proposal_order;
pub mod proposal_placed;
pub mod proposal_places;
pub mod proposal_stands;
pub mod proposal_told;
pub mod proposal_wish;
pub mod season_close;
pub mod season_plan;
pub mod seasons;
pub mod still_open;
pub mod what_if;
