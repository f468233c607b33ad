//! When a season's first frost is expected, by the place's climate table.

use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, Stored};
use crate::units::{MemberId, MemberName, PressDate, SeasonId, UtcSecond};

/// The latest entry of a season's first frost.
#[derive(Debug, Clone)]
pub struct Frost {
    /// Version of the entry, from 1.
    pub version: i64,
    /// Date by which frost has come in 10 of 100 years.
    pub early: PressDate,
    /// Date by which frost has come in 50 of 100 years.
    pub middle: PressDate,
    /// Date by which frost has come in 90 of 100 years.
    pub late: PressDate,
    /// The climate table that says so.
    pub source: String,
    /// Name of who wrote it.
    pub by: MemberName,
    /// When it was written.
    pub at: UtcSecond,
}

/// The latest version of a season; `None`: nothing was said.
pub fn of_season(season: SeasonId) -> Question<Option<Frost>> {
    question!(Frost,
        r#"select f.version, f.early_on as "early: PressDate", f.middle_on as "middle: PressDate", f.late_on as "late: PressDate",
        f.source, m.name as "by: MemberName", f.at as "at: UtcSecond"
        from season_frosts f join members m on m.id = f.by_id where f.season_id = ?1 order by f.version desc limit 1"#,
        season).first()
}

/// Adds a version.
pub async fn insert(
    conn: &mut Conn,
    (season, version): (SeasonId, i64),
    (early, middle, late): (PressDate, PressDate, PressDate),
    source: &str,
    (by, at): (MemberId, UtcSecond),
) -> Stored<()> {
    sqlx::query!(
        r#"insert into season_frosts (season_id, version, early_on, middle_on, late_on, source, by_id, at)
        values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)"#,
        season,
        version,
        early,
        middle,
        late,
        source,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// The latest entry of a frost that is forecast.
#[derive(Debug, Clone)]
pub struct Forecast {
    /// Version of the entry, from 1.
    pub version: i64,
    /// The day after which frost is forecast for the night; `None`: none is forecast any more.
    pub night: Option<PressDate>,
    /// Name of who wrote it.
    pub by: MemberName,
    /// When it was written.
    pub at: UtcSecond,
}

/// The latest of a season; `None`: nothing was said.
pub fn forecast(season: SeasonId) -> Question<Option<Forecast>> {
    question!(Forecast,
        r#"select f.version, f.night_on as "night: PressDate", m.name as "by: MemberName", f.at as "at: UtcSecond"
        from frost_forecasts f join members m on m.id = f.by_id where f.season_id = ?1 order by f.version desc limit 1"#,
        season).first()
}

/// Adds a version.
pub async fn insert_forecast(
    conn: &mut Conn,
    (season, version): (SeasonId, i64),
    night: Option<PressDate>,
    (by, at): (MemberId, UtcSecond),
) -> Stored<()> {
    sqlx::query!(
        "insert into frost_forecasts (season_id, version, night_on, by_id, at) values (?1, ?2, ?3, ?4, ?5)",
        season,
        version,
        night,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}
