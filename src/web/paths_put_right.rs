//! The addresses of what is put right in the yard: patterns, and functions that fill them in.

use crate::units::{JuiceId, TicketId};

/// Give a ticket to whom it belongs to.
pub const MOVE_TICKET: &str = "/tickets/{id}/move";
/// Close a ticket whose cane was not pressed.
pub const END_TICKET: &str = "/tickets/{id}/unpressed";
/// A sample of its cane that was stripped.
pub const SAMPLE: &str = "/tickets/{id}/sample";
/// Take back that a ticket's cane went home unpressed.
pub const REOPEN_TICKET: &str = "/tickets/{id}/unpressed/back";
/// Take back what was just written of a load.
pub const UNDO_LOAD: &str = "/tickets/{id}/loads/{number}/undo";
/// Take back what was just written of a juice.
pub const UNDO_JUICE: &str = "/juices/{id}/undo";
/// Some of a juice is lost.
pub const LOSE_JUICE: &str = "/juices/{id}/lost";
/// A second person reads a juice again.
pub const READ_AGAIN: &str = "/juices/{id}/again";
/// Take a juice's loss back: the juice is there after all.
pub const TAKE_LOSS_BACK: &str = "/juices/{id}/lost/{number}/back";

/// Give a ticket to whom it belongs to.
pub fn move_ticket(id: TicketId) -> String {
    format!("/tickets/{id}/move")
}
/// Close a ticket whose cane was not pressed.
pub fn end_ticket(id: TicketId) -> String {
    format!("/tickets/{id}/unpressed")
}
/// A sample of its cane that was stripped.
pub fn sample(id: TicketId) -> String {
    format!("/tickets/{id}/sample")
}
/// Take back that a ticket's cane went home unpressed.
pub fn reopen_ticket(id: TicketId) -> String {
    format!("/tickets/{id}/unpressed/back")
}
/// Take back what was just written of a load.
pub fn undo_load(id: TicketId, number: i64) -> String {
    format!("/tickets/{id}/loads/{number}/undo")
}
/// Take back what was just written of a juice.
pub fn undo_juice(id: JuiceId) -> String {
    format!("/juices/{id}/undo")
}
/// Some of a juice is lost.
pub fn lose_juice(id: JuiceId) -> String {
    format!("/juices/{id}/lost")
}
/// A second person reads a juice again.
pub fn read_again(id: JuiceId) -> String {
    format!("/juices/{id}/again")
}
/// Take a juice's loss back: the juice is there after all.
pub fn take_loss_back(id: JuiceId, number: i64) -> String {
    format!("/juices/{id}/lost/{number}/back")
}
