//! Addresses of members, accounts, stations, notices and calendar addresses.

use super::{HOME, encode, statement, waiting};
use crate::store::people::notices::Notice;
use crate::units::{MemberId, NoticeId, Phone, StationId, TurnId};
use std::fmt::Write as _;

/// Sets the site up at its first start.
pub const SET_UP: &str = "/set-up";
/// Sign in.
pub const SIGN_IN: &str = "/sign-in";
/// Sign out.
pub const SIGN_OUT: &str = "/sign-out";
/// Change of passphrase.
pub const PASSPHRASE: &str = "/passphrase";
/// The page that an invitation opens.
pub const JOIN: &str = "/join/{token}";
/// All members.
pub const MEMBERS: &str = "/members";
/// A new member.
pub const NEW_MEMBER: &str = "/members/new";
/// One member.
pub const MEMBER: &str = "/members/{id}";
/// Change a member's card.
pub const EDIT_MEMBER: &str = "/members/{id}/edit";
/// Invite a member.
pub const INVITE_MEMBER: &str = "/members/{id}/invite";
/// Let a member go.
pub const LET_GO: &str = "/members/{id}/let-go";
/// Take a member back.
pub const TAKE_BACK: &str = "/members/{id}/take-back";
/// Addresses of calendar feeds.
pub const CALENDAR: &str = "/calendar";
/// Revoke the address of a feed.
pub const REVOKE_FEED: &str = "/calendar/revoke";
/// A feed; its token and `.ics`.
pub const FEED: &str = "/calendar/{token}";
/// One turn as a calendar file.
pub const TURN_ICS: &str = "/turns/{id}/ics";
/// Members from pasted lines.
pub const PASTE_MEMBERS: &str = "/members/paste";
/// Invitations for everybody without an account, on one print.
pub const INVITE_ALL: &str = "/members/invitations";
/// All that is kept about a member, as a file.
pub const ALL_ABOUT: &str = "/members/{id}/all.zip";
/// The list of members whom somebody has to call.
pub const CALLS: &str = "/calls";
/// Sent: a call was made.
pub const CALL_TOLD: &str = "/calls/{id}/told";
/// A call was not made after all.
pub const CALL_NOT_TOLD: &str = "/calls/{id}/not-told";
/// Put a notice of one's own away.
pub const PUT_AWAY: &str = "/notices/{id}/put-away";
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
/// The people who act for a member's card.
pub const HOUSEHOLD: &str = "/members/{id}/household";
/// Somebody acts for a member's card no more.
pub const END_HOUSEHOLD: &str = "/members/{id}/household/{person}/end";
/// Somebody who acts for a member's card gets its letters, too.
pub const HOUSEHOLD_LETTERS: &str = "/members/{id}/household/{person}/letters";
/// Somebody who acts for a member's card gets no letters of it any more.
pub const NO_HOUSEHOLD_LETTERS: &str = "/members/{id}/household/{person}/no-letters";
/// Forget a member who has left.
pub const FORGET: &str = "/members/{id}/forget";
/// Delete the name of a forgotten member that was kept.
pub const DELETE_KEPT_NAME: &str = "/members/{id}/forget/name";
/// The stations; sent: this browser is to be one.
pub const STATIONS: &str = "/mill/stations";
/// Sign a station out.
pub const END_STATION: &str = "/mill/stations/{id}/sign-out";
/// The page on which whoever stands at the station is picked; sent: somebody else stands there.
pub const STATION: &str = "/station";
/// Sent: nobody stands at the station any more.
pub const STATION_LEFT: &str = "/station/done";
/// The PIN of one of the crew.
pub const PIN: &str = "/members/{id}/pin";

/// A calendar feed.
pub fn feed(token: &str) -> String {
    format!("/calendar/{token}.ics")
}

/// One turn as a calendar file.
pub fn turn_ics(id: TurnId) -> String {
    format!("/turns/{id}/ics")
}

/// One member.
pub fn member(id: MemberId) -> String {
    format!("/members/{id}")
}

/// Change a member's card.
pub fn edit_member(id: MemberId) -> String {
    format!("/members/{id}/edit")
}

/// Invite a member.
pub fn invite_member(id: MemberId) -> String {
    format!("/members/{id}/invite")
}

/// The page that an invitation opens.
pub fn join(token: &str) -> String {
    format!("/join/{token}")
}

/// Sign in, then go to `next`.
pub fn sign_in_then(next: &str) -> String {
    format!("{SIGN_IN}?next={}", encode(next))
}

/// Let a member go.
pub fn let_go(id: MemberId) -> String {
    format!("/members/{id}/let-go")
}

/// Take a member back.
pub fn take_back(id: MemberId) -> String {
    format!("/members/{id}/take-back")
}

/// All that is kept about a member, as a file.
pub fn all_about(id: MemberId) -> String {
    format!("/members/{id}/all.zip")
}

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
        return waiting(offer.waiting_id);
    }
    match (&notice.turn, notice.year) {
        (Some(turn), _) => super::turn(turn.id),
        (None, Some(year)) => statement(notice.member_id, year),
        (None, None) => HOME.to_owned(),
    }
}

/// Sign one of one's own devices out; `mark` is what its page names it by.
pub fn end_session(mark: &str) -> String {
    format!("/sessions/{mark}/end")
}

/// Sign a member out everywhere.
pub fn sign_member_out(member: MemberId) -> String {
    format!("/members/{member}/sign-out")
}

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
pub fn forget(id: MemberId) -> String {
    format!("/members/{id}/forget")
}

/// Delete the name of a forgotten member that was kept.
pub fn delete_kept_name(id: MemberId) -> String {
    format!("/members/{id}/forget/name")
}

/// Sign a station out.
pub fn end_station(id: StationId) -> String {
    format!("/mill/stations/{id}/sign-out")
}

/// Who stands at the station, with somebody chosen who still has to type the PIN.
pub fn station_for(member: MemberId, next: &str) -> String {
    let next = encode(next);
    format!("/station?who={member}&next={next}")
}

/// The page on which somebody is picked, leading on to `next`.
pub fn station_then(next: &str) -> String {
    format!("/station?next={}", encode(next))
}

/// The PIN of one of the crew.
pub fn pin(member: MemberId) -> String {
    format!("/members/{member}/pin")
}

/// Dials a telephone number (RFC 3966).
pub fn dials(phone: &Phone) -> String {
    format!("tel:{}", digits(phone))
}

/// Dials a number as somebody wrote it (RFC 3966); empty: none was written.
pub fn dials_written(phone: &str) -> String {
    Phone::parse(phone).map_or_else(|_| String::new(), |phone| dials(&phone))
}

/// Writes a text message to a telephone number (RFC 5724), with words to send.
pub fn texts(phone: &Phone, words: &str) -> String {
    let mut body = String::new();
    for byte in words.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~".contains(&byte) {
            body.push(char::from(byte));
        } else {
            // Writing to a string cannot fail.
            let _ = write!(body, "%{byte:02X}");
        }
    }
    format!("sms:{}?body={body}", digits(phone))
}

fn digits(phone: &Phone) -> String {
    phone
        .as_str()
        .chars()
        .filter(|c| c.is_ascii_digit() || *c == '+')
        .collect()
}
