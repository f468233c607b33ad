//! What happened to each turn: booked, moved, cancelled.

use super::turn::Turn;
use crate::store::Question;
use crate::store::question::{change, question};
use crate::store::{StoreError, Stored};
use crate::units::{
    ClockTime, MemberId, MemberName, Minutes, PressDate, PressDayId, TurnId, UtcSecond,
};

/// The kinds of events in a turn's history.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum What {
    /// It was booked.
    Made,
    /// It was moved.
    Moved,
    /// It was given up.
    Cancelled,
}

impl What {
    /// The word under which the database keeps it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Made => "made",
            Self::Moved => "moved",
            Self::Cancelled => "cancelled",
        }
    }

    fn read(word: String) -> Stored<Self> {
        [Self::Made, Self::Moved, Self::Cancelled]
            .into_iter()
            .find(|what| what.word() == word)
            .ok_or(StoreError::Corrupt {
                what: "turn_events.what",
                found: word,
            })
    }
}

/// One line of a turn's history.
#[derive(Debug, Clone)]
pub struct TurnEvent {
    /// What happened.
    pub what: What,
    /// Date it was on afterwards.
    pub date: PressDate,
    /// Start afterwards.
    pub start: ClockTime,
    /// Its length in minutes afterwards.
    pub minutes: Minutes,
    /// Why it was done; empty: not said.
    pub why: String,
    /// Press day it was on afterwards.
    pub press_day_id: PressDayId,
    /// The member who did it.
    pub by_id: MemberId,
    /// That person's name.
    pub by: MemberName,
    /// When it was done.
    pub at: UtcSecond,
}

/// Adds what happened to a turn, as it stands afterwards.
pub fn insert(turn: &Turn, what: What, why: &str, by: MemberId, at: UtcSecond) -> Question<()> {
    let word = what.word();
    let (minute, again) = (turn.start.minute(), turn.start.again());
    change!(
        r"insert into turn_events (turn_id, version, what, start_min, minutes, press_day_id, why, by_id, at,
        start_again) values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
        turn.id,
        turn.version,
        word,
        minute,
        turn.minutes,
        turn.press_day_id,
        why,
        by,
        at,
        again
    )
}

struct EventRow {
    what: String,
    date: PressDate,
    start: ClockTime,
    minutes: Minutes,
    why: String,
    press_day_id: PressDayId,
    by_id: MemberId,
    by: MemberName,
    at: UtcSecond,
}

/// The history of a turn, in order.
pub fn of_turn(id: TurnId) -> Question<Vec<TurnEvent>> {
    question!(EventRow,
        r#"select e.what, d.date as "date: PressDate", e.start_min + 1440 * e.start_again as "start!: ClockTime",
        e.minutes as "minutes: Minutes", e.why, e.press_day_id as "press_day_id: PressDayId",
        e.by_id as "by_id: MemberId", m.name as "by: MemberName", e.at as "at: UtcSecond"
        from turn_events e join press_days d on d.id = e.press_day_id join members m on m.id = e.by_id
        where e.turn_id = ?1 order by e.version"#,
        id).try_map(|rows| {let read = |row: EventRow| {
        Ok(TurnEvent {
            what: What::read(row.what)?,
            date: row.date,
            start: row.start,
            minutes: row.minutes,
            why: row.why,
            press_day_id: row.press_day_id,
            by_id: row.by_id,
            by: row.by,
            at: row.at,
        })
    };
    rows.into_iter().map(read).collect()})
}
