//! The addresses of turns, filled in. The patterns they fill stand in `paths.rs`.

use crate::calc::turns::repack::Kind;
use crate::units::{DayChangeId, MemberId, Phone, PressDate, TurnId};
use std::fmt::Write as _;

/// Book a turn.
pub fn book(date: PressDate) -> String {
    format!("/days/{date}/book")
}
/// Book a turn for a member's cane.
pub fn book_for(date: PressDate, member: MemberId) -> String {
    format!("/days/{date}/book?member={member}")
}
/// The board of a press day that does not renew itself.
pub fn still_board(date: PressDate) -> String {
    format!("/days/{date}/board?still=yes")
}
/// The queue of a press day.
pub fn queue(date: PressDate) -> String {
    format!("/days/{date}/queue")
}
/// One turn.
pub fn turn(id: TurnId) -> String {
    format!("/turns/{id}")
}
/// Move a turn.
pub fn move_turn(id: TurnId) -> String {
    format!("/turns/{id}/move")
}
/// Cancel a turn.
pub fn cancel_turn(id: TurnId) -> String {
    format!("/turns/{id}/cancel")
}
/// Undo what was just done with a turn.
pub fn undo_turn(id: TurnId) -> String {
    format!("/turns/{id}/undo")
}
/// Confirm a turn.
pub fn confirm_turn(id: TurnId) -> String {
    format!("/turns/{id}/confirm")
}
/// Note that nobody came to a turn, or somebody after all.
pub fn miss_turn(id: TurnId) -> String {
    format!("/turns/{id}/missed")
}
/// The word of an address for how turns are moved together.
const fn change_word(kind: Kind) -> &'static str {
    match kind {
        Kind::Later => "later",
        Kind::OtherDay => "other-day",
        Kind::Frost => "frost",
    }
}
/// The way of moving turns together that this word of an address stands for.
pub fn kind_of_change(word: &str) -> Option<Kind> {
    [Kind::Later, Kind::OtherDay, Kind::Frost]
        .into_iter()
        .find(|kind| change_word(*kind) == word)
}
/// Move a day's turns together.
pub fn change_turns(date: PressDate, kind: Kind) -> String {
    format!("/days/{date}/turns/{}", change_word(kind))
}
/// Turns that were moved together.
pub fn change(id: DayChangeId) -> String {
    format!("/changes/{id}")
}
/// The mill runs again before its time.
pub fn runs_again(id: DayChangeId) -> String {
    format!("/changes/{id}/runs-again")
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
