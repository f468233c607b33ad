//! The addresses of what members are told: patterns, and functions that fill them in.

use super::paths;
use crate::store::people::notices::Notice;
use crate::units::NoticeId;

/// The list of members whom somebody has to call.
pub const CALLS: &str = "/calls";
/// Sent: a call was made.
pub const CALL_TOLD: &str = "/calls/{id}/told";
/// A call was not made after all.
pub const CALL_NOT_TOLD: &str = "/calls/{id}/not-told";
/// Put a notice of one's own away.
pub const PUT_AWAY: &str = "/notices/{id}/put-away";

/// Sent: a call was made.
pub fn call_told(id: NoticeId) -> String {
    format!("/calls/{id}/told")
}
/// A call was not made after all.
pub fn call_not_told(id: NoticeId) -> String {
    format!("/calls/{id}/not-told")
}
/// Put a notice of one's own away.
pub fn put_away(id: NoticeId) -> String {
    format!("/notices/{id}/put-away")
}
/// The page that shows what a notice tells of.
pub fn of_notice(notice: &Notice) -> String {
    if let Some(offer) = notice.offer {
        return paths::waiting(offer.waiting_id);
    }
    match (&notice.turn, notice.year) {
        (Some(turn), _) => paths::turn(turn.id),
        (None, Some(year)) => paths::statement(notice.member_id, year),
        (None, None) => paths::HOME.to_owned(),
    }
}
