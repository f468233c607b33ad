//! Addresses of tickets, loads and juice, of the mill and its morning.

use crate::units::{JuiceId, PressDate, ScaleId, TicketId, TurnId, VesselId};

/// Scales, vessels and pans of the mill, and the co-op's card.
pub const MILL: &str = "/mill";
/// Change the co-op's card.
pub const COOP: &str = "/mill/co-op";
/// A new scale.
pub const NEW_SCALE: &str = "/mill/scales/new";
/// Take a scale out of use, or back.
pub const RETIRE_SCALE: &str = "/mill/scales/{id}/retire";
/// A new vessel.
pub const NEW_VESSEL: &str = "/mill/vessels/new";
/// Take a vessel out of use, or back.
pub const RETIRE_VESSEL: &str = "/mill/vessels/{id}/retire";
/// The morning's opening checks of a press day.
pub const MORNING: &str = "/days/{date}/morning";
/// A new ticket on a press day.
pub const NEW_TICKET: &str = "/days/{date}/tickets/new";
/// A ticket.
pub const TICKET: &str = "/tickets/{id}";
/// Weigh another load of a ticket.
pub const NEW_LOAD: &str = "/tickets/{id}/loads/new";
/// Correct a load.
pub const FIX_LOAD: &str = "/tickets/{id}/loads/{number}/correct";
/// Measure the juice of a ticket.
pub const NEW_JUICE: &str = "/tickets/{id}/juice/new";
/// A juice.
pub const JUICE: &str = "/juices/{id}";
/// Correct a juice's reading.
pub const FIX_JUICE: &str = "/juices/{id}/correct";
/// A day's sugar from cane to jars.
pub const BALANCE: &str = "/days/{date}/balance";
/// A day's juice from its cane, ticket by ticket.
pub const MILL_DAY: &str = "/days/{date}/mill";
/// The tickets of a season.
pub const TICKETS: &str = "/tickets";
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
/// Tags of a press day, to print.
pub const TAGS: &str = "/days/{date}/tags";
/// Loads on paper, to key in.
pub const PAPER_LOADS: &str = "/days/{date}/paper/loads";
/// Juice on paper, to key in.
pub const PAPER_JUICE: &str = "/days/{date}/paper/juice";
/// The pages of a press day that a phone keeps beforehand.
pub const YARD_PAGES: &str = "/days/{date}/pages";
/// The juice of a ticket that the mill does not know yet.
pub const ANY_JUICE: &str = "/days/{date}/juice/new";
/// Another load of a ticket that the mill does not know yet.
pub const ANY_LOAD: &str = "/days/{date}/loads/new";
/// Ticket numbers for a phone to give out without network.
pub const NUMBERS: &str = "/days/{date}/numbers";

/// Take a scale out of use, or back.
pub fn retire_scale(id: ScaleId) -> String {
    format!("/mill/scales/{id}/retire")
}

/// Take a vessel out of use, or back.
pub fn retire_vessel(id: VesselId) -> String {
    format!("/mill/vessels/{id}/retire")
}

/// The morning's opening checks of a press day.
pub fn morning(date: PressDate) -> String {
    format!("/days/{date}/morning")
}

/// A new ticket on a press day.
pub fn new_ticket(date: PressDate) -> String {
    format!("/days/{date}/tickets/new")
}

/// A new ticket for a turn.
pub fn new_ticket_for(date: PressDate, turn: TurnId) -> String {
    format!("/days/{date}/tickets/new?turn={turn}")
}

/// A ticket.
pub fn ticket(id: TicketId) -> String {
    format!("/tickets/{id}")
}

/// Weigh another load of a ticket.
pub fn new_load(id: TicketId) -> String {
    format!("/tickets/{id}/loads/new")
}

/// Correct a load.
pub fn fix_load(id: TicketId, number: i64) -> String {
    format!("/tickets/{id}/loads/{number}/correct")
}

/// Measure the juice of a ticket.
pub fn new_juice(id: TicketId) -> String {
    format!("/tickets/{id}/juice/new")
}

/// A juice.
pub fn juice(id: JuiceId) -> String {
    format!("/juices/{id}")
}

/// Correct a juice's reading.
pub fn fix_juice(id: JuiceId) -> String {
    format!("/juices/{id}/correct")
}

/// A day's sugar from cane to jars.
pub fn balance(date: PressDate) -> String {
    format!("/days/{date}/balance")
}

/// A day's juice from its cane, ticket by ticket.
pub fn mill_day(date: PressDate) -> String {
    format!("/days/{date}/mill")
}

/// The tickets of a season.
pub fn tickets_of(year: i64) -> String {
    format!("{TICKETS}?year={year}")
}

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

/// Tags of a press day, to print.
pub fn tags(date: PressDate) -> String {
    format!("/days/{date}/tags")
}

/// Loads on paper, to key in.
pub fn paper_loads(date: PressDate) -> String {
    format!("/days/{date}/paper/loads")
}

/// Juice on paper, to key in.
pub fn paper_juice(date: PressDate) -> String {
    format!("/days/{date}/paper/juice")
}

/// The juice of a ticket that the mill does not know yet.
pub fn any_juice(date: PressDate) -> String {
    format!("/days/{date}/juice/new")
}

/// Another load of a ticket that the mill does not know yet.
pub fn any_load(date: PressDate) -> String {
    format!("/days/{date}/loads/new")
}
