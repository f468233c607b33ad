//! Members who were forgotten: that they were, the name that is kept apart for a while, what goes as a whole, and what is still open
//! for somebody who is to be forgotten.

use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, Stored, one_row};
use crate::units::{MemberId, MemberName, PressDate, UtcSecond};
use sqlx::AssertSqlSafe;

/// Rows that go as a whole, in an order in which nothing is left without what it belongs to.
const GOES: [(&str, &str); 12] = [
    (
        "letters",
        "notice_id in (select id from notices where member_id = ?1)",
    ),
    ("notices", "member_id = ?1"),
    ("second_factors", "member_id = ?1"),
    ("sessions", "member_id = ?1"),
    ("invites", "member_id = ?1"),
    ("feeds", "member_id = ?1"),
    ("station_pins", "member_id = ?1"),
    ("pin_tries", "member_id = ?1"),
    ("accounts", "member_id = ?1"),
    ("member_jar_wishes", "member_id = ?1"),
    ("member_tasks", "member_id = ?1"),
    ("ticket_numbers", "member_id = ?1"),
];

/// The forgetting of a member.
#[derive(Debug, Clone)]
pub struct Forgotten {
    /// When the member was forgotten.
    pub at: UtcSecond,
    /// The name that is still kept for the books that the law asks for.
    pub kept: Option<MemberName>,
    /// The day until which that name is kept.
    pub kept_until: Option<PressDate>,
}

/// Whether and when a member was forgotten.
pub fn find(id: MemberId) -> Question<Option<Forgotten>> {
    question!(Forgotten,
        r#"select f.at as "at: UtcSecond", k.name as "kept?: MemberName", k.until as "kept_until?: PressDate"
        from forgotten f left join kept_names k on k.member_id = f.member_id where f.member_id = ?1"#,
        id).first()
}

/// Says that a member is forgotten: what is written from here on in this transaction may take the name out.
pub async fn insert(conn: &mut Conn, id: MemberId, by: MemberId, at: UtcSecond) -> Stored<()> {
    sqlx::query!(
        "insert into forgotten (member_id, by_id, at) values (?1, ?2, ?3)",
        id,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Notes that further words are taken out for a member who was forgotten before: what is written from here on in this transaction may
/// take them out.
pub async fn note_again(conn: &mut Conn, id: MemberId) -> Stored<()> {
    let done = sqlx::query!("update forgotten set at = at where member_id = ?1", id)
        .execute(conn)
        .await?;
    one_row(&done, "note that further words are taken out")
}

/// Keeps the name apart until a day.
pub async fn keep_name(
    conn: &mut Conn,
    id: MemberId,
    name: &MemberName,
    until: PressDate,
) -> Stored<()> {
    sqlx::query!(
        "insert into kept_names (member_id, name, until) values (?1, ?2, ?3)",
        id,
        name,
        until
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Deletes the names that were kept until a day before `today`; gives how many.
pub async fn drop_names(conn: &mut Conn, today: PressDate) -> Stored<u64> {
    let done = sqlx::query!("delete from kept_names where until < ?1", today)
        .execute(conn)
        .await?;
    Ok(done.rows_affected())
}

/// Deletes one name that was kept.
pub async fn drop_name(conn: &mut Conn, id: MemberId) -> Stored<()> {
    sqlx::query!("delete from kept_names where member_id = ?1", id)
        .execute(conn)
        .await?;
    Ok(())
}

/// Deletes what goes as a whole, and takes the member off stations and off what is planned from a day on.
pub async fn delete_all(conn: &mut Conn, id: MemberId, today: PressDate) -> Stored<()> {
    for (table, which) in GOES {
        sqlx::query(AssertSqlSafe(format!("delete from {table} where {which}")))
            .bind(id)
            .execute(&mut *conn)
            .await?;
    }
    sqlx::query!(
        "update stations set picked_id = null, picked_at = null where picked_id = ?1",
        id
    )
    .execute(&mut *conn)
    .await?;
    sqlx::query!(
        r#"update roster set member_id = null where member_id = ?1
        and press_day_id in (select id from press_days where date >= ?2)"#,
        id,
        today
    )
    .execute(&mut *conn)
    .await?;
    sqlx::query!(
        "delete from day_answers where member_id = ?1 and date >= ?2",
        id,
        today
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// What is still open for a member, besides the ledger.
#[derive(Debug, Clone)]
pub struct StillComes {
    /// Turns from today on that have no ticket yet.
    pub turns: i64,
    /// Places on waiting lists of days from today on.
    pub places: i64,
    /// The earliest season that the member brought cane in and that is not closed and locked.
    pub season: Option<i64>,
    /// Recalls that are not ended and ask after the member's jars.
    pub recalls: i64,
    /// The last day that the member's cane was pressed on.
    pub last_pressed: Option<PressDate>,
}

/// What is still open for a member from a day on.
pub fn still_comes(id: MemberId, today: PressDate) -> Question<StillComes> {
    question!(StillComes,
        r#"select (select count(*) from turns b join press_days d on d.id = b.press_day_id
          where b.member_id = ?1 and b.state = 'held' and d.date >= ?2
          and not exists (select 1 from tickets t where t.turn_id = b.id)) as "turns!: i64",
        (select count(*) from waiting w join press_days d on d.id = w.press_day_id
          where w.member_id = ?1 and w.state = 'waiting' and d.date >= ?2) as "places!: i64",
        (select min(s.year) from seasons s join tickets t on t.season_id = s.id where t.member_id = ?1
          and s.id not in (select season_id from locked_seasons)) as "season?: i64",
        (select count(distinct j.recall_id) from recall_jars j where j.member_id = ?1
          and j.recall_id not in (select recall_id from recall_ends)) as "recalls!: i64",
        (select max(d.date) from tickets t join press_days d on d.id = t.press_day_id where t.member_id = ?1)
          as "last_pressed?: PressDate""#,
        id,
        today).one()
}
