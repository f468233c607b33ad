//! The functions of [`super::paths`] for what is kept in the books: divisions, hand-overs, ledger,
//! fills, labels, statements, the season's close, members who leave or come back; and the addresses of trace.

use crate::units::{LotCode, MemberId, TicketId};

/// A page or file of a season: `part` is one of `close`, `what-if`, `statements/print`, `shares.csv`,
/// `ledger.csv`, `loads.csv`, `plan`, `proposal`, `frost`, `frost-forecast`.
pub fn season_part(year: i64, part: &str) -> String {
    format!("/seasons/{year}/{part}")
}
/// Confirm a draft of the rules.
pub fn confirm_rules(year: i64, number: i64) -> String {
    format!("/seasons/{year}/rules/{number}/confirm")
}
/// Put the day right from which a version of the rules holds.
pub fn rules_day(year: i64, number: i64) -> String {
    format!("/seasons/{year}/rules/{number}/day")
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
pub const SEASON_PICTURE: &str = "/members/{id}/season/{year}";
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
/// Note hours of a member.
pub fn hours(id: MemberId) -> String {
    format!("/members/{id}/hours")
}
/// Settle what is carried for a member.
pub fn settle(id: MemberId) -> String {
    format!("/members/{id}/settle")
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
pub const RECEIPT_OF_MONEY: &str = "/payments/{number}";
/// The receipt of a payment.
pub fn receipt_of_money(number: i64) -> String {
    format!("/payments/{number}")
}
/// Correct a fill.
pub fn fix_fill(lot: &LotCode, number: i64) -> String {
    format!("/boils/{}/fills/{number}/correct", lot.as_str())
}
/// The sheet of labels of a lot.
pub fn label_sheet(lot: &LotCode) -> String {
    format!("/boils/{}/labels/sheet", lot.as_str())
}
/// Additions to a boil beside juice.
pub fn additions(lot: &LotCode) -> String {
    format!("/boils/{}/additions", lot.as_str())
}
/// A lot's public page.
pub fn lot(lot: &LotCode) -> String {
    format!("/L/{}", lot.as_str())
}
/// A lot's public page, by a code as somebody typed it.
pub fn lot_as_typed(typed: &str) -> String {
    format!("/L/{}", super::paths::encode(typed).replace('/', "%2F"))
}
/// A lot's public page, for somebody who would be led inside.
pub fn lot_public(lot: &LotCode) -> String {
    format!("/L/{}?public=yes", lot.as_str())
}
/// Find anything by its code, number, name or date.
pub const FIND: &str = "/find";
/// The cane in a lot, and where its jars are.
pub const LOT_TRACE: &str = "/boils/{lot}/trace";
/// Where a lot came from and where it went, one step each way, to print.
pub const LOT_RECORD: &str = "/boils/{lot}/record";
/// Where one lot came from and went, to print.
pub fn lot_record(lot: &LotCode) -> String {
    format!("/boils/{}/record", lot.as_str())
}
/// The lots that a ticket's cane went into.
pub const TICKET_TRACE: &str = "/tickets/{id}/trace";
/// The cane in a lot, and where its jars are.
pub fn lot_trace(lot: &LotCode) -> String {
    format!("/boils/{}/trace", lot.as_str())
}
/// The lots that a ticket's cane went into.
pub fn ticket_trace(id: TicketId) -> String {
    format!("/tickets/{id}/trace")
}
/// Let a member go.
pub fn let_go(id: MemberId) -> String {
    format!("/members/{id}/let-go")
}
/// Take a member back.
pub fn take_back(id: MemberId) -> String {
    format!("/members/{id}/take-back")
}
/// Note hours worked.
pub const HOURS: &str = "/members/{id}/hours";
/// Settle the syrup that a member carries.
pub const SETTLE: &str = "/members/{id}/settle";
/// Settle what is owed in jars of the mill's own.
pub const SETTLE_JARS: &str = "/members/{id}/settle-jars";
/// Note a payment.
pub const PAYMENT: &str = "/members/{id}/payment";
