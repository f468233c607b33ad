//! Addresses of press days, turns, waiting lists and rosters.

use crate::calc::turns::repack::MoveKind;
use crate::units::{DayChangeId, MemberId, OfferId, PressDate, TurnId, WaitingId};

/// The press days of the season.
pub const DAYS: &str = "/days";
/// A new press day.
pub const NEW_DAY: &str = "/days/new";
/// A press day: its turns, tickets, juices and boils.
pub const DAY: &str = "/days/{date}";
/// Change a press day.
pub const EDIT_DAY: &str = "/days/{date}/edit";
/// Close a press day, or open it again.
pub const CLOSE_DAY: &str = "/days/{date}/close";
/// Opens a closed press day again.
pub const OPEN_DAY: &str = "/days/{date}/open-again";
/// The board of a press day, for a screen at the mill.
pub const BOARD: &str = "/days/{date}/board";
/// The queue of a press day, for members.
pub const QUEUE: &str = "/days/{date}/queue";
/// The sheet of a press day, to print and write on.
pub const DAY_SHEET: &str = "/days/{date}/sheet";
/// Book a turn.
pub const BOOK: &str = "/days/{date}/book";
/// One turn.
pub const TURN: &str = "/turns/{id}";
/// Move a turn.
pub const MOVE_TURN: &str = "/turns/{id}/move";
/// Move a day's turns together.
pub const CHANGE_TURNS: &str = "/days/{date}/turns/{how}";
/// Turns that were moved together.
pub const CHANGE: &str = "/changes/{id}";
/// The mill runs again before its time.
pub const RUNS_AGAIN: &str = "/changes/{id}/runs-again";
/// Turns that a standstill put off go back to where they were.
pub const BRING_BACK: &str = "/changes/{id}/bring-back";
/// Cancel a turn.
pub const CANCEL_TURN: &str = "/turns/{id}/cancel";
/// Undo what was just done with a turn.
pub const UNDO_TURN: &str = "/turns/{id}/undo";
/// Confirm a turn.
pub const CONFIRM_TURN: &str = "/turns/{id}/confirm";
/// Note that nobody came to a turn, or somebody after all.
pub const MISS_TURN: &str = "/turns/{id}/missed";
/// The days on which a member can come.
pub const CAN_COME: &str = "/members/{id}/days";
/// The possible days of a season; adding some.
pub const POSSIBLE_DAYS: &str = "/seasons/{year}/possible-days";
/// Take possible days off the list.
pub const REMOVE_POSSIBLE_DAYS: &str = "/seasons/{year}/possible-days/remove";
/// The roster of a press day: who does what.
pub const ROSTER: &str = "/days/{date}/roster";
/// Save who does what on a press day.
pub const SAVE_ROSTER: &str = "/days/{date}/roster/save";
/// Hours worked on a press day, from its roster.
pub const ROSTER_HOURS: &str = "/days/{date}/hours";
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

/// The board of a press day, for a screen at the mill.
pub fn board(date: PressDate) -> String {
    format!("/days/{date}/board")
}

/// The sheet of a press day, to print and write on.
pub fn day_sheet(date: PressDate) -> String {
    format!("/days/{date}/sheet")
}

/// The press days of a season.
pub fn days_of(year: i64) -> String {
    format!("{DAYS}?season={year}")
}

/// A press day.
pub fn day(date: PressDate) -> String {
    format!("/days/{date}")
}

/// Change a press day.
pub fn edit_day(date: PressDate) -> String {
    format!("/days/{date}/edit")
}

/// Close a press day, or open it again.
pub fn close_day(date: PressDate) -> String {
    format!("/days/{date}/close")
}

/// Open a closed press day again.
pub fn open_day(date: PressDate) -> String {
    format!("/days/{date}/open-again")
}

/// The days on which a member can come.
pub fn can_come(id: MemberId) -> String {
    format!("/members/{id}/days")
}

/// The roster of a press day: who does what.
pub fn roster(date: PressDate) -> String {
    format!("/days/{date}/roster")
}

/// Hours worked on a press day, from its roster.
pub fn roster_hours(date: PressDate) -> String {
    format!("/days/{date}/hours")
}

/// Save who does what on a press day.
pub fn save_roster(date: PressDate) -> String {
    format!("/days/{date}/roster/save")
}

/// Book a turn.
pub fn book(date: PressDate) -> String {
    format!("/days/{date}/book")
}

/// Book a turn for a member's cane.
pub fn book_for(date: PressDate, member: MemberId) -> String {
    format!("/days/{date}/book?member={member}")
}

/// Book a turn for so much of a member's cane, by weight; where no start is free, the page offers to wait.
pub fn book_weight(date: PressDate, member: MemberId, cane: &str) -> String {
    format!("{}&told=weight&amount={cane}", book_for(date, member))
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
const fn change_word(kind: MoveKind) -> &'static str {
    match kind {
        MoveKind::Later => "later",
        MoveKind::OtherDay => "other-day",
        MoveKind::Frost => "frost",
    }
}

/// The way of moving turns together that this word of an address stands for.
pub fn kind_of_change(word: &str) -> Option<MoveKind> {
    [MoveKind::Later, MoveKind::OtherDay, MoveKind::Frost]
        .into_iter()
        .find(|kind| change_word(*kind) == word)
}

/// Move a day's turns together.
pub fn change_turns(date: PressDate, kind: MoveKind) -> String {
    format!("/days/{date}/turns/{}", change_word(kind))
}

/// Turns that were moved together.
pub fn change(id: DayChangeId) -> String {
    format!("/changes/{id}")
}

/// Turns that a standstill put off go back to where they were.
pub fn bring_back(id: DayChangeId) -> String {
    format!("/changes/{id}/bring-back")
}

/// The mill runs again before its time.
pub fn runs_again(id: DayChangeId) -> String {
    format!("/changes/{id}/runs-again")
}

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
