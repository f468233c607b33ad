//! The addresses of waiting lists and offers: patterns, and functions that fill them in.

use crate::units::{OfferId, PressDate, WaitingId};

/// The waiting list of a press day; sent: a place on it.
pub const DAY_WAITING: &str = "/days/{date}/waiting";
/// A place on a waiting list.
pub const WAITING: &str = "/waiting/{id}";
/// Sent: leave a waiting list.
pub const LEAVE_WAITING: &str = "/waiting/{id}/leave";
/// Sent: go on waiting after an offer ran out.
pub const STILL_WAIT: &str = "/waiting/{id}/still";
/// Give somebody who waits a turn out of order.
pub const PLACE_WAITING: &str = "/waiting/{id}/place";
/// Sent: take somebody off a waiting list.
pub const TAKE_OFF_WAITING: &str = "/waiting/{id}/off";
/// Sent: take the turn on offer.
pub const TAKE_OFFER: &str = "/offers/{id}/take";
/// Sent: decline the turn on offer.
pub const DECLINE_OFFER: &str = "/offers/{id}/decline";
/// Decline a turn of the season's proposal for another day.
pub const ANOTHER_DAY: &str = "/offers/{id}/another-day";
/// Sent: decline the turn on offer, and any other this year.
pub const NOT_THIS_YEAR: &str = "/offers/{id}/not-this-year";
/// Sent: withdraw an offer.
pub const WITHDRAW_OFFER: &str = "/offers/{id}/withdraw";

/// The waiting list of a press day.
pub fn day_waiting(date: PressDate) -> String {
    format!("/days/{date}/waiting")
}
/// A place on a waiting list.
pub fn waiting(id: WaitingId) -> String {
    format!("/waiting/{id}")
}
/// Sent: leave a waiting list.
pub fn leave_waiting(id: WaitingId) -> String {
    format!("/waiting/{id}/leave")
}
/// Sent: go on waiting after an offer ran out.
pub fn still_wait(id: WaitingId) -> String {
    format!("/waiting/{id}/still")
}
/// Give somebody who waits a turn out of order.
pub fn place_waiting(id: WaitingId) -> String {
    format!("/waiting/{id}/place")
}
/// Sent: take somebody off a waiting list.
pub fn take_off_waiting(id: WaitingId) -> String {
    format!("/waiting/{id}/off")
}
/// Sent: take the turn on offer.
pub fn take_offer(id: OfferId) -> String {
    format!("/offers/{id}/take")
}
/// Sent: decline the turn on offer.
pub fn decline_offer(id: OfferId) -> String {
    format!("/offers/{id}/decline")
}
/// Sent: withdraw an offer.
pub fn withdraw_offer(id: OfferId) -> String {
    format!("/offers/{id}/withdraw")
}
/// Decline a turn of the season's proposal for another day.
pub fn another_day(id: OfferId) -> String {
    format!("/offers/{id}/another-day")
}
/// Sent: decline the turn on offer, and any other this year.
pub fn not_this_year(id: OfferId) -> String {
    format!("/offers/{id}/not-this-year")
}
