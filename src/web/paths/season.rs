//! Addresses of seasons, rules, plantings, the plan and the close.

use crate::units::{MemberId, PlantingId};

/// All seasons; opening one.
pub const SEASONS: &str = "/seasons";
/// A season: its rules and their versions.
pub const SEASON: &str = "/seasons/{year}";
/// A new version of a season's rules.
pub const RULES: &str = "/seasons/{year}/rules";
/// Confirm a draft of the rules.
pub const CONFIRM_RULES: &str = "/seasons/{year}/rules/{number}/confirm";
/// Put the day right from which a version of the rules holds.
pub const RULES_DAY: &str = "/seasons/{year}/rules/{number}/day";
/// The season's close: who owes, who is owed; the margin.
pub const SEASON_CLOSE: &str = "/seasons/{year}/close";
/// Close a season and lock it, or lift the lock.
pub const SEASON_LOCK: &str = "/seasons/{year}/lock";
/// The season's boils under another basis or toll.
pub const WHAT_IF: &str = "/seasons/{year}/what-if";
/// The plan of a season.
pub const SEASON_PLAN: &str = "/seasons/{year}/plan";
/// The season proposed: whose cane on which day; asking the members.
pub const SEASON_PROPOSAL: &str = "/seasons/{year}/proposal";
/// Sent: when the first frost is expected.
pub const SEASON_FROST: &str = "/seasons/{year}/frost";
/// Sent: the night for which frost is forecast.
pub const SEASON_FORECAST: &str = "/seasons/{year}/frost-forecast";
/// Plantings of a member.
pub const PLANTINGS: &str = "/members/{id}/plantings";
/// A new planting of a member.
pub const NEW_PLANTING: &str = "/members/{id}/plantings/new";
/// Take a member's plantings over from the season before.
pub const PLANTINGS_AGAIN: &str = "/members/{id}/plantings/again";
/// Change what was said of a planting.
pub const EDIT_PLANTING: &str = "/plantings/{id}/edit";
/// Take a planting off the record.
pub const REMOVE_PLANTING: &str = "/plantings/{id}/remove";
/// Syrup of a boil that was lost.
pub const LOSS: &str = "/boils/{lot}/loss";
/// Let the season bear a boil's loss.
pub const BEAR_LOSS: &str = "/boils/{lot}/loss/bear";
/// Take a boil's loss back.
pub const BOIL_NOT_LOST: &str = "/boils/{lot}/loss/back";
/// Note hours worked.
pub const HOURS: &str = "/members/{id}/hours";
/// Settle the syrup that a member carries.
pub const SETTLE: &str = "/members/{id}/settle";

/// Plantings of a member.
pub fn plantings(id: MemberId) -> String {
    format!("/members/{id}/plantings")
}

/// A new planting of a member.
pub fn new_planting(id: MemberId) -> String {
    format!("/members/{id}/plantings/new")
}

/// Take a member’s plantings over from the season before.
pub fn plantings_again(id: MemberId) -> String {
    format!("/members/{id}/plantings/again")
}

/// Change what was said of a planting.
pub fn edit_planting(id: PlantingId) -> String {
    format!("/plantings/{id}/edit")
}

/// Take a planting off the record.
pub fn remove_planting(id: PlantingId) -> String {
    format!("/plantings/{id}/remove")
}

/// The plan of a season.
pub fn season_plan(year: i64) -> String {
    format!("/seasons/{year}/plan")
}

/// A season.
pub fn season(year: i64) -> String {
    format!("/seasons/{year}")
}

/// A new version of a season's rules.
pub fn rules(year: i64) -> String {
    format!("/seasons/{year}/rules")
}

/// A page or file of a season: `part` is one of `close`, `what-if`, `statements/print`, `shares.csv`,
/// `ledger.csv`, `loads.csv`, `plan`, `proposal`, `frost`, `frost-forecast`.
pub fn season_part(year: i64, part: &str) -> String {
    format!("/seasons/{year}/{part}")
}

/// Confirm a draft of the rules.
pub fn confirm_rules(year: i64, number: i64) -> String {
    format!("/seasons/{year}/rules/{number}/confirm")
}

/// Put the day right from which a version of the rules holds.
pub fn rules_day(year: i64, number: i64) -> String {
    format!("/seasons/{year}/rules/{number}/day")
}

/// Note hours of a member.
pub fn hours(id: MemberId) -> String {
    format!("/members/{id}/hours")
}

/// Settle what is carried for a member.
pub fn settle(id: MemberId) -> String {
    format!("/members/{id}/settle")
}
