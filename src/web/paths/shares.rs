//! Addresses of divisions, labels, jars, hand-overs, the ledger, statements and recalls.

use super::encode;
use crate::units::{LotCode, MemberId, TicketId, VesselId};

/// All members' statements, to print.
pub const STATEMENTS_PRINT: &str = "/seasons/{year}/statements/print";
/// Shares of a season, for a spreadsheet.
pub const SHARES_CSV: &str = "/seasons/{year}/shares.csv";
/// Ledger of a season, for a spreadsheet.
pub const LEDGER_CSV: &str = "/seasons/{year}/ledger.csv";
/// Loads of a season, for a spreadsheet.
pub const LOADS_CSV: &str = "/seasons/{year}/loads.csv";
/// The whole book, as tables in one zip.
pub const BOOKS_ZIP: &str = "/books.zip";
/// What was missing once a backup was put in the place of the database.
pub const RESTORE: &str = "/restores/{number}";
/// A steward has seen to that.
pub const RESTORE_SEEN: &str = "/restores/{number}/seen";
/// The history of all that was changed.
pub const HISTORY: &str = "/history";
/// A boil.
pub const BOIL: &str = "/boils/{lot}";
/// Divide a boil.
pub const DIVIDE: &str = "/boils/{lot}/divide";
/// Open a divided boil for a correction.
pub const CORRECT: &str = "/boils/{lot}/correct";
/// Choose labels for a lot.
pub const LABELS: &str = "/boils/{lot}/labels";
/// The sheet of labels, to print.
pub const LABEL_SHEET: &str = "/boils/{lot}/labels/sheet";
/// A lot's public page; upper case, so that its QR code is small.
pub const LOT: &str = "/L/{lot}";
/// A lot's public page by the address that people type; leads on to it.
pub const LOT_TYPED: &str = "/l/{lot}";
/// Jars waiting and handed over.
pub const HAND_OVERS: &str = "/hand-overs";
/// Hand jars over to a member.
pub const NEW_HAND_OVER: &str = "/members/{id}/hand-over";
/// Hand the mill's own jars over: the word stands in the id's place.
pub const MILL_HAND_OVER: &str = "/members/mill/hand-over";
/// A receipt.
pub const HAND_OVER: &str = "/hand-overs/{number}";
/// A member's season on one page.
pub const STATEMENT: &str = "/members/{id}/statement/{year}";
/// A statement to print.
pub const STATEMENT_PRINT: &str = "/members/{id}/statement/{year}/print";
/// The ledger: who owes and who is owed.
pub const LEDGER: &str = "/ledger";
/// A member's season as a picture.
pub const SEASON_PICTURE: &str = "/members/{id}/season/{year}";
/// The receipt of a payment.
pub const RECEIPT_OF_MONEY: &str = "/payments/{number}";
/// Find anything by its code, number, name or date.
pub const FIND: &str = "/find";
/// The cane in a lot, and where its jars are.
pub const LOT_TRACE: &str = "/boils/{lot}/trace";
/// Where a lot came from and where it went, one step each way, to print.
pub const LOT_RECORD: &str = "/boils/{lot}/record";
/// The lots that a ticket's cane went into.
pub const TICKET_TRACE: &str = "/tickets/{id}/trace";
/// Settle what is owed in jars of the mill's own.
pub const SETTLE_JARS: &str = "/members/{id}/settle-jars";
/// Note a payment.
pub const PAYMENT: &str = "/members/{id}/payment";
/// All recalls.
pub const RECALLS: &str = "/recalls";
/// Begin a recall.
pub const NEW_RECALL: &str = "/recalls/new";
/// A recall: its jars and calls.
pub const RECALL: &str = "/recalls/{number}";
/// A call of a recall, to be noted.
pub const RECALL_CALL: &str = "/recalls/{number}/calls/{id}";
/// End a recall.
pub const END_RECALL: &str = "/recalls/{number}/end";
/// Hold a lot, or release it.
pub const HOLD: &str = "/boils/{lot}/hold";
/// Write a complaint about a lot down.
pub const COMPLAINT: &str = "/boils/{lot}/complaint";
/// Everybody's jars at the mill.
pub const SHELF: &str = "/shelf";
/// Jars on somebody's shelf that broke, are missing or were found; `mill` in the id's place for the mill's own.
pub const OWN_SHELF: &str = "/members/{id}/shelf";
/// Jars of a receipt that come back.
pub const JARS_BACK: &str = "/hand-overs/{number}/back";
/// The lots that a vessel's juices went into.
pub const VESSEL_TRACE: &str = "/vessels/{id}/trace";
/// The looks at a lot: colour, taste and the like.
pub const LOT_LOOKS: &str = "/boils/{lot}/looks";
/// The co-op's colour card, and a colour added to it.
pub const COLOURS: &str = "/mill/colours";
/// Take a colour out of use, or back.
pub const RETIRE_COLOUR: &str = "/mill/colours/{number}/retire";
/// Jars that wait, to be signed for by hand, on paper.
pub const HAND_OVER_SHEET: &str = "/hand-overs/sheet";
/// Hand-overs on paper, to key in.
pub const PAPER_HAND_OVERS: &str = "/hand-overs/paper";

/// A boil.
pub fn boil(lot: &LotCode) -> String {
    format!("/boils/{}", lot.as_str())
}

/// A version of a boil's division.
pub fn division(lot: &LotCode, version: i64) -> String {
    format!("/boils/{}/divide?version={version}", lot.as_str())
}

/// Hand jars over to a member.
pub fn new_hand_over(id: MemberId) -> String {
    format!("/members/{id}/hand-over")
}

/// A receipt.
pub fn hand_over(number: i64) -> String {
    format!("/hand-overs/{number}")
}

/// A member's season on one page.
pub fn statement(id: MemberId, year: i64) -> String {
    format!("/members/{id}/statement/{year}")
}

/// A member's season as a picture.
pub fn season_picture(id: MemberId, year: i64) -> String {
    format!("/members/{id}/season/{year}")
}

/// A member's statement of a year, to print.
pub fn statement_print(id: MemberId, year: i64) -> String {
    format!("/members/{id}/statement/{year}/print")
}

/// The ledger of a season.
pub fn ledger_of(year: i64) -> String {
    format!("/ledger?season={year}")
}

/// Settle what is owed to a member in jars of the mill's own.
pub fn settle_jars(id: MemberId) -> String {
    format!("/members/{id}/settle-jars")
}

/// Note a payment of a member.
pub fn payment(id: MemberId) -> String {
    format!("/members/{id}/payment")
}

/// The receipt of a payment.
pub fn receipt_of_money(number: i64) -> String {
    format!("/payments/{number}")
}

/// The sheet of labels of a lot.
pub fn label_sheet(lot: &LotCode) -> String {
    format!("/boils/{}/labels/sheet", lot.as_str())
}

/// A lot's public page.
pub fn lot(lot: &LotCode) -> String {
    format!("/L/{}", lot.as_str())
}

/// A lot's public page, by a code as somebody typed it.
pub fn lot_as_typed(typed: &str) -> String {
    format!("/L/{}", encode(typed).replace('/', "%2F"))
}

/// A lot's public page, for somebody who would be led inside.
pub fn lot_public(lot: &LotCode) -> String {
    format!("/L/{}?public=yes", lot.as_str())
}

/// Where one lot came from and went, to print.
pub fn lot_record(lot: &LotCode) -> String {
    format!("/boils/{}/record", lot.as_str())
}

/// The cane in a lot, and where its jars are.
pub fn lot_trace(lot: &LotCode) -> String {
    format!("/boils/{}/trace", lot.as_str())
}

/// The lots that a ticket's cane went into.
pub fn ticket_trace(id: TicketId) -> String {
    format!("/tickets/{id}/trace")
}

/// A restore, by its number.
pub fn restore(number: i64) -> String {
    format!("/restores/{number}")
}

/// Everything that was changed: what contains some words, after the first ones.
pub fn history(wanted: &str, skip: usize) -> String {
    format!("/history?q={}&skip={skip}", encode(wanted))
}

/// Jars on somebody's shelf that broke, are missing or were found; `None`: the mill's own.
pub fn shelf_of(member: Option<MemberId>) -> String {
    member.map_or_else(
        || "/members/mill/shelf".to_owned(),
        |id| format!("/members/{id}/shelf"),
    )
}

/// The lots that a vessel's juices went into.
pub fn vessel_trace(id: VesselId) -> String {
    format!("/vessels/{id}/trace")
}

/// Take a colour out of use, or back.
pub fn retire_colour(number: i64) -> String {
    format!("/mill/colours/{number}/retire")
}

/// The looks at a lot: colour, taste and the like.
pub fn lot_looks(lot: &LotCode) -> String {
    format!("/boils/{}/looks", lot.as_str())
}

/// Jars of a receipt that come back.
pub fn jars_back(number: i64) -> String {
    format!("/hand-overs/{number}/back")
}

/// Begin a recall from one thing: `kind` is one of `lot`, `ticket`, `load`, `vessel`, `pack`, `member`, `day`.
pub fn recall_from(kind: &str, which: &str) -> String {
    format!("{NEW_RECALL}?kind={kind}&which={}", encode(which))
}

/// A recall: its jars and calls.
pub fn recall(number: i64) -> String {
    format!("/recalls/{number}")
}

/// A call of a recall, to be noted.
pub fn recall_call(number: i64, call: i64) -> String {
    format!("/recalls/{number}/calls/{call}")
}

/// End a recall.
pub fn end_recall(number: i64) -> String {
    format!("/recalls/{number}/end")
}

/// Hold a lot, or release it.
pub fn hold(lot: &LotCode) -> String {
    format!("/boils/{}/hold", lot.as_str())
}

/// Write a complaint about a lot down.
pub fn complaint(lot: &LotCode) -> String {
    format!("/boils/{}/complaint", lot.as_str())
}
