//! Press days.

use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, Stored, one_row};
use crate::units::{
    Grams, MemberId, MinuteOfDay, Minutes, PressDate, PressDayId, SeasonId, UtcSecond,
};

/// A press day.
#[derive(Debug, Clone)]
pub struct PressDay {
    /// Id of the press day.
    pub id: PressDayId,
    /// Its season.
    pub season_id: SeasonId,
    /// Civil date in the co-op's place.
    pub date: PressDate,
    /// When the mill starts.
    pub opens: MinuteOfDay,
    /// When the mill stops.
    pub closes: MinuteOfDay,
    /// Cane the mill takes in an hour.
    pub mill_per_h: Grams,
    /// Cleaning between two members' cane.
    pub changeover: Minutes,
    /// Remark, shown to members.
    pub note: String,
    /// When it was closed; `None` while it takes turns and tickets.
    pub closed_at: Option<UtcSecond>,
    /// Number of the latest change, one more with each.
    pub version: i64,
}

macro_rules! press_days {
    ($which:literal, $bound:expr) => {
        question!(
            PressDay,
            r#"select id as "id: PressDayId", season_id as "season_id: SeasonId", date as "date: PressDate",
            opens_min as "opens: MinuteOfDay", closes_min as "closes: MinuteOfDay",
            mill_g_per_h as "mill_per_h: Grams", changeover_min as "changeover: Minutes", note,
            closed_at as "closed_at: UtcSecond", version
            from press_days "#
                + $which,
            $bound
        )
    };
}

/// The press day of that date.
pub fn of_date(date: PressDate) -> Question<Option<PressDay>> {
    press_days!("where date = ?1", date).first()
}

/// The press day of that id.
pub fn find(id: PressDayId) -> Question<Option<PressDay>> {
    press_days!("where id = ?1", id).first()
}

/// The press days up to a date that are not closed, of seasons that are not locked, in order of date.
pub fn running(until: PressDate) -> Question<Vec<PressDay>> {
    press_days!(
        "where closed_at is null and date <= ?1 and season_id not in (select season_id from locked_seasons) order by date",
        until
    )
}

/// The press days of a season, in order of date.
pub fn of_season(season: SeasonId) -> Question<Vec<PressDay>> {
    press_days!("where season_id = ?1 order by date", season)
}

/// The press days of the season of one of them, in order of date.
pub fn beside(day: PressDayId) -> Question<Vec<PressDay>> {
    press_days!(
        "where season_id = (select own.season_id from press_days own where own.id = ?1) order by date",
        day
    )
}

/// The press days from a date on that are not closed, in order of date, at most `most`.
pub fn open_from(from: PressDate, most: i64) -> Question<Vec<PressDay>> {
    question!(
        PressDay,
        r#"select id as "id: PressDayId", season_id as "season_id: SeasonId", date as "date: PressDate",
        opens_min as "opens: MinuteOfDay", closes_min as "closes: MinuteOfDay",
        mill_g_per_h as "mill_per_h: Grams", changeover_min as "changeover: Minutes", note,
        closed_at as "closed_at: UtcSecond", version
        from press_days where closed_at is null and date >= ?1 order by date limit ?2"#,
        from,
        most
    )
}

/// Adds a press day.
pub async fn insert(conn: &mut Conn, day: &PressDay, by: MemberId, at: UtcSecond) -> Stored<()> {
    sqlx::query!(
        r#"insert into press_days (id, season_id, date, opens_min, closes_min, mill_g_per_h, changeover_min,
        note, made_by, made_at) values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)"#,
        day.id,
        day.season_id,
        day.date,
        day.opens,
        day.closes,
        day.mill_per_h,
        day.changeover,
        day.note,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Writes a changed press day over the version it was read at.
pub async fn update(conn: &mut Conn, day: &PressDay) -> Stored<()> {
    let done = sqlx::query!(
        r#"update press_days set opens_min = ?2, closes_min = ?3, mill_g_per_h = ?4, changeover_min = ?5,
        note = ?6, closed_at = ?7, version = version + 1 where id = ?1 and version = ?8"#,
        day.id,
        day.opens,
        day.closes,
        day.mill_per_h,
        day.changeover,
        day.note,
        day.closed_at,
        day.version
    )
    .execute(conn)
    .await?;
    one_row(&done, "update a press day")
}
