//! The addresses of turns, filled in. The patterns they fill stand in `paths.rs`.

use crate::units::{BookingId, OfferId, PressDate, WaitingId};

/// Book a turn.
pub fn book(date: PressDate) -> String {
    format!("/days/{date}/book")
}
/// One turn.
pub fn booking(id: BookingId) -> String {
    format!("/turns/{id}")
}
/// Move a turn.
pub fn move_booking(id: BookingId) -> String {
    format!("/turns/{id}/move")
}
/// Cancel a turn.
pub fn cancel_booking(id: BookingId) -> String {
    format!("/turns/{id}/cancel")
}
/// Confirm a turn.
pub fn confirm_booking(id: BookingId) -> String {
    format!("/turns/{id}/confirm")
}
/// Note that nobody came to a turn, or somebody after all.
pub fn miss_booking(id: BookingId) -> String {
    format!("/turns/{id}/missed")
}
/// The waiting list of a press day.
pub fn day_waiting(date: PressDate) -> String {
    format!("/days/{date}/waiting")
}
/// A place on a waiting list.
pub fn waiting(id: WaitingId) -> String {
    format!("/waiting/{id}")
}
/// Leave the list.
pub fn leave_waiting(id: WaitingId) -> String {
    format!("/waiting/{id}/leave")
}
/// Still wait, after an offer ran out.
pub fn still_wait(id: WaitingId) -> String {
    format!("/waiting/{id}/still")
}
/// Give somebody who waits a turn out of order.
pub fn place_waiting(id: WaitingId) -> String {
    format!("/waiting/{id}/place")
}
/// Take somebody off the list.
pub fn take_off_waiting(id: WaitingId) -> String {
    format!("/waiting/{id}/off")
}
/// Take what is offered.
pub fn take_offer(id: OfferId) -> String {
    format!("/offers/{id}/take")
}
/// Decline what is offered.
pub fn decline_offer(id: OfferId) -> String {
    format!("/offers/{id}/decline")
}
/// Withdraw an offer.
pub fn withdraw_offer(id: OfferId) -> String {
    format!("/offers/{id}/withdraw")
}
