//! Pages of the season: rules, plantings, plan, close.

pub(in crate::web) mod plantings;
pub(in crate::web) mod proposal;
pub(in crate::web) mod rules_days;
pub(in crate::web) mod rules_lacking;
pub(in crate::web) mod season_close;
pub(in crate::web) mod season_plan;
pub(in crate::web) mod seasons;
pub(in crate::web) mod what_if;
