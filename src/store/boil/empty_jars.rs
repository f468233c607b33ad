//! Empty jars, counted and bought; what was filled of each size.

use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, Stored};
use crate::units::{Grams, MemberId, MemberName, SeasonId, UtcSecond};

/// An entry of empty jars that were counted or bought.
#[derive(Debug, Clone)]
pub struct EmptyRow {
    /// Number of the entry, from 1.
    pub number: i64,
    /// The size's name.
    pub size_name: String,
    /// Whether `count` is what was counted where they stand; otherwise it is what came in.
    pub counted: bool,
    /// How many jars.
    pub count: i64,
    /// Remark.
    pub note: String,
    /// Name of who wrote it.
    pub by_name: MemberName,
    /// When it was written.
    pub at: UtcSecond,
}

/// All that was written of empty jars, latest first.
pub fn list() -> Question<Vec<EmptyRow>> {
    question!(
        EmptyRow,
        r#"select e.number as "number!", e.size_name, e.counted as "counted: bool", e.count, e.note,
        m.name as "by_name: MemberName", e.at as "at: UtcSecond" from empty_jars e join members m on m.id = e.by_id
        order by e.number desc"#
    )
}

/// How many jars of a size were filled after an instant (`None`: ever), those put right as they count now.
pub fn filled_since(size: &str, since: Option<UtcSecond>) -> Question<i64> {
    question!(r#"select coalesce(sum(f.count), 0) as "n!: i64" from fills f where f.size_name = ?1
        and f.version = (select max(v.version) from fills v where v.boil_id = f.boil_id and v.number = f.number)
        and (?2 is null or (select coalesce(v.filled_at, v.at) from fills v where v.boil_id = f.boil_id and v.number = f.number
          order by v.version limit 1) > ?2)"#,
        size,
        since).one().map(|row| row.n)
}

/// Syrup filled into whole jars of a size in a season.
pub fn grams_filled(season: SeasonId, size: &str) -> Question<Grams> {
    question!(r#"select coalesce(sum(f.count * f.net_g), 0) as "g!: Grams" from fills f join boils b on b.id = f.boil_id
        where b.season_id = ?1 and f.size_name = ?2 and f.part = 0
        and f.version = (select max(v.version) from fills v where v.boil_id = f.boil_id and v.number = f.number)"#,
        season,
        size).one().map(|row| row.g)
}

/// Cane that stands in the turns of a press day.
pub fn cane_booked(day: crate::units::PressDayId) -> Question<Grams> {
    question!(r#"select coalesce(sum(cane_g), 0) as "g!: Grams" from turns where press_day_id = ?1 and state = 'held'"#,
        day).one().map(|row| row.g)
}

/// Writes a count or a purchase down, under the next number.
pub async fn insert(
    conn: &mut Conn,
    (size, counted, count): (&str, bool, i64),
    note: &str,
    (by, at): (MemberId, UtcSecond),
) -> Stored<()> {
    sqlx::query!(
        r#"insert into empty_jars (number, size_name, counted, count, note, by_id, at)
        select 1 + coalesce(max(number), 0), ?1, ?2, ?3, ?4, ?5, ?6 from empty_jars"#,
        size,
        counted,
        count,
        note,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}
