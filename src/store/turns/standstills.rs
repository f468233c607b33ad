//! When the mill stands on a press day, from a time on, until it runs again.

use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, Stored, one_row};
use crate::units::{ClockTime, DayChangeId, MemberId, Minutes, PressDayId, UtcSecond};

/// A time in which the mill stands.
#[derive(Debug, Clone, Copy)]
pub struct Standstill {
    /// The change that it made.
    pub change_id: DayChangeId,
    /// Its press day.
    pub press_day_id: PressDayId,
    /// When it begins.
    pub start: ClockTime,
    /// How long it lasts, as it was noted.
    pub minutes: Minutes,
    /// When the mill ran again before its time.
    pub ended_at: Option<UtcSecond>,
}

/// Notes a standstill.
pub async fn insert(conn: &mut Conn, new: &Standstill) -> Stored<()> {
    let (minute, again) = (new.start.minute(), new.start.again());
    sqlx::query!(
        r#"insert into standstills (change_id, press_day_id, start_min, start_again, minutes)
        values (?1, ?2, ?3, ?4, ?5)"#,
        new.change_id,
        new.press_day_id,
        minute,
        again,
        new.minutes
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// The standstill of a change, if it made one.
pub fn find(change: DayChangeId) -> Question<Option<Standstill>> {
    question!(
        Standstill,
        r#"select change_id as "change_id: DayChangeId", press_day_id as "press_day_id: PressDayId",
        start_min + 1440 * start_again as "start!: ClockTime", minutes as "minutes: Minutes",
        ended_at as "ended_at: UtcSecond" from standstills where change_id = ?1"#,
        change
    )
    .first()
}

/// The standstills of the days of a JSON array of ids that were not ended.
pub fn of_days(days: &str) -> Question<Vec<Standstill>> {
    question!(
        Standstill,
        r#"select change_id as "change_id: DayChangeId", press_day_id as "press_day_id: PressDayId",
        start_min + 1440 * start_again as "start!: ClockTime", minutes as "minutes: Minutes",
        ended_at as "ended_at: UtcSecond" from standstills
        where press_day_id in (select value from json_each(?1)) and ended_at is null"#,
        days
    )
}

/// The standstills of a day that were not ended.
pub fn of_day(day: PressDayId) -> Question<Vec<Standstill>> {
    question!(
        Standstill,
        r#"select change_id as "change_id: DayChangeId", press_day_id as "press_day_id: PressDayId",
        start_min + 1440 * start_again as "start!: ClockTime", minutes as "minutes: Minutes",
        ended_at as "ended_at: UtcSecond" from standstills where press_day_id = ?1 and ended_at is null"#,
        day
    )
}

/// All standstills of a day, those too that were ended.
pub fn all_of_day(day: PressDayId) -> Question<Vec<Standstill>> {
    question!(
        Standstill,
        r#"select change_id as "change_id: DayChangeId", press_day_id as "press_day_id: PressDayId",
        start_min + 1440 * start_again as "start!: ClockTime", minutes as "minutes: Minutes",
        ended_at as "ended_at: UtcSecond" from standstills where press_day_id = ?1"#,
        day
    )
}

/// Notes that the mill runs again before its time.
pub async fn end(conn: &mut Conn, change: DayChangeId, by: MemberId, at: UtcSecond) -> Stored<()> {
    let done = sqlx::query!(
        "update standstills set ended_at = ?2, ended_by = ?3 where change_id = ?1 and ended_at is null",
        change,
        at,
        by
    )
    .execute(conn)
    .await?;
    one_row(&done, "end a standstill")
}
