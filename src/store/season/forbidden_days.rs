//! Days of a season on which nothing is to be proposed.

use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, Stored};
use crate::units::{MemberId, MemberName, PressDate, SeasonId, UtcSecond};

/// The latest that was said of a day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SaidOfDay {
    /// The day.
    pub date: PressDate,
    /// Version of the entry, from 1.
    pub version: i64,
    /// Whether nothing is to be proposed on it; else it was allowed again.
    pub forbidden: bool,
    /// Name of who said so.
    pub by: MemberName,
    /// When it was said.
    pub at: UtcSecond,
}

/// The latest version of each day of a season of which anything was said, in order of date.
pub fn of_season(season: SeasonId) -> Question<Vec<SaidOfDay>> {
    question!(
        SaidOfDay,
        r#"select f.date as "date: PressDate", f.version, f.forbidden as "forbidden: bool", m.name as "by: MemberName",
        f.at as "at: UtcSecond"
        from forbidden_days f join members m on m.id = f.by_id where f.season_id = ?1 and f.version =
          (select max(version) from forbidden_days where season_id = f.season_id and date = f.date)
        order by f.date"#,
        season
    )
}

/// Adds a version.
pub async fn insert(
    conn: &mut Conn,
    (season, date, version): (SeasonId, PressDate, i64),
    forbidden: bool,
    (by, at): (MemberId, UtcSecond),
) -> Stored<()> {
    sqlx::query!(
        "insert into forbidden_days (season_id, date, version, forbidden, by_id, at) values (?1, ?2, ?3, ?4, ?5, ?6)",
        season,
        date,
        version,
        forbidden,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}
