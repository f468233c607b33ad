//! The addresses of turns, filled in. The patterns they fill stand in `paths.rs`.

use crate::units::{BookingId, PressDate};

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
