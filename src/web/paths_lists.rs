//! Addresses of lists, and of what is done with many members at once.

use super::paths::encode;
use crate::units::MemberId;

/// Members from pasted lines.
pub const PASTE_MEMBERS: &str = "/members/paste";
/// Invitations for everybody without an account, on one print.
pub const INVITE_ALL: &str = "/members/invitations";
/// All that is kept about a member, as a file.
pub const ALL_ABOUT: &str = "/members/{id}/all.zip";
/// The tickets of a season.
pub const TICKETS: &str = "/tickets";
/// Help for each role.
pub const HELP: &str = "/help";

/// The tickets of a season.
pub fn tickets_of(year: i64) -> String {
    format!("{TICKETS}?year={year}")
}
/// Everything that was changed: what contains some words, after the first ones.
pub fn history(wanted: &str, skip: usize) -> String {
    format!("/history?q={}&skip={skip}", encode(wanted))
}
/// All that is kept about a member, as a file.
pub fn all_about(id: MemberId) -> String {
    format!("/members/{id}/all.zip")
}
/// A list, as it is searched, from a row on; `list` may name a season: "/boils?year=2026".
pub fn part_of(list: &str, wanted: &str, order: &str, skip: usize) -> String {
    let and = if list.contains('?') { '&' } else { '?' };
    format!("{list}{and}q={}&order={order}&skip={skip}", encode(wanted))
}
