//! The addresses of days that are possible, of who can come, and of who does what.

use crate::units::{MemberId, PressDate};

/// The days on which a member can come.
pub const CAN_COME: &str = "/members/{id}/days";
/// The possible days of a season; adding some.
pub const POSSIBLE_DAYS: &str = "/seasons/{year}/possible-days";
/// Take possible days off the list.
pub const REMOVE_POSSIBLE_DAYS: &str = "/seasons/{year}/possible-days/remove";
/// The roster of a press day: who does what.
pub const ROSTER: &str = "/days/{date}/roster";
/// Save who does what on a press day.
pub const SAVE_ROSTER: &str = "/days/{date}/roster/save";
/// Hours worked on a press day, from its roster.
pub const ROSTER_HOURS: &str = "/days/{date}/hours";

/// The days on which a member can come.
pub fn can_come(id: MemberId) -> String {
    format!("/members/{id}/days")
}
/// The roster of a press day: who does what.
pub fn roster(date: PressDate) -> String {
    format!("/days/{date}/roster")
}
/// Hours worked on a press day, from its roster.
pub fn roster_hours(date: PressDate) -> String {
    format!("/days/{date}/hours")
}
/// Save who does what on a press day.
pub fn save_roster(date: PressDate) -> String {
    format!("/days/{date}/roster/save")
}
