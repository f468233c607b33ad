//! The addresses of signing in beside the passphrase: patterns, and functions that fill them in.

use crate::units::MemberId;

/// The code of a second factor, while signing in.
pub const SIGN_IN_CODE: &str = "/sign-in/code";
/// The devices on which one is signed in.
pub const SESSIONS: &str = "/sessions";
/// Sign one of one's own devices out.
pub const END_SESSION: &str = "/sessions/{number}/end";
/// Sign all others of one's own devices out.
pub const END_OTHERS: &str = "/sessions/end-others";
/// Sign a member out everywhere.
pub const SIGN_MEMBER_OUT: &str = "/members/{id}/sign-out";
/// One's own second factor; sent: set up.
pub const SECOND_FACTOR: &str = "/second-factor";
/// Take one's own second factor away.
pub const NO_SECOND_FACTOR: &str = "/second-factor/take-away";

/// Sign one of one's own devices out; `mark` is what its page names it by.
pub fn end_session(mark: &str) -> String {
    format!("/sessions/{mark}/end")
}
/// Sign a member out everywhere.
pub fn sign_member_out(member: MemberId) -> String {
    format!("/members/{member}/sign-out")
}
/// The people who act for a member's card.
pub const HOUSEHOLD: &str = "/members/{id}/household";
/// Somebody acts for a member's card no more.
pub const END_HOUSEHOLD: &str = "/members/{id}/household/{person}/end";
/// Somebody who acts for a member's card gets its letters, too.
pub const HOUSEHOLD_LETTERS: &str = "/members/{id}/household/{person}/letters";
/// Somebody who acts for a member's card gets no letters of it any more.
pub const NO_HOUSEHOLD_LETTERS: &str = "/members/{id}/household/{person}/no-letters";
/// The people who act for a member's card.
pub fn household(id: MemberId) -> String {
    format!("/members/{id}/household")
}
/// Somebody who acts for a member's card gets its letters, too, or not any more.
pub fn household_letters(id: MemberId, person: MemberId, letters: bool) -> String {
    let word = if letters { "letters" } else { "no-letters" };
    format!("/members/{id}/household/{person}/{word}")
}
/// Somebody acts for a member's card no more.
pub fn end_household(id: MemberId, person: MemberId) -> String {
    format!("/members/{id}/household/{person}/end")
}
/// Forget a member who has left.
pub const FORGET: &str = "/members/{id}/forget";
/// Delete the name of a forgotten member that was kept.
pub const DELETE_KEPT_NAME: &str = "/members/{id}/forget/name";
/// Forget a member who has left.
pub fn forget(id: MemberId) -> String {
    format!("/members/{id}/forget")
}
/// Delete the name of a forgotten member that was kept.
pub fn delete_kept_name(id: MemberId) -> String {
    format!("/members/{id}/forget/name")
}
