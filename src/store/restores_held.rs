//! What a file holds that is compared with another, when a backup is put in the place of the database. Nothing here is checked when
//! the program is built, since it reads files of whatever content: a copy of each, brought up to date.

use super::restores::{GapRow, LostRow};
use super::{Conn, Stored, in_json};
use crate::units::{LotCode, MemberId, PressDate, UtcSecond};
use std::collections::BTreeMap;

/// A row that bears a number: its table, the season whose numbers they are (0: they run on), what tells it from others, its number.
pub type NumberedRow = (String, i64, String, i64);

/// Every row that bears a number people know it by, boils left out.
pub async fn numbered(conn: &mut Conn) -> Stored<Vec<NumberedRow>> {
    Ok(sqlx::query_as(
        "select 'tickets', s.year, t.id, t.ticket from tickets t join seasons s on s.id = t.season_id
        union all select 'hand_overs', 0, id, number from hand_overs
        union all select 'payments', 0, l.member_id || ' ' || l.at || ' ' || l.cents, p.receipt
          from payments p join ledger l on l.number = p.line
        union all select 'members', 0, id, number from members
        union all select 'recalls', 0, id, number from recalls",
    )
    .fetch_all(conn)
    .await?)
}

/// Every boil: the year of its season, its id, its lot code.
pub async fn boils(conn: &mut Conn) -> Stored<Vec<(i64, String, LotCode)>> {
    let rows: Vec<(i64, String, LotCode)> = sqlx::query_as(
        "select s.year, b.id, b.lot_code from boils b join seasons s on s.id = b.season_id",
    )
    .fetch_all(conn)
    .await?;
    Ok(rows)
}

/// A number that was given though no row bears it: its table, the season whose numbers they are (0: they run on), the highest that
/// is known to have been given, and the highest that somebody guessed or typed.
pub type GivenRow = (String, i64, i64, i64);

/// Numbers that were given though no row bears them: those that phones hold, and those of files that were set aside. Where such a file
/// was not read, what is noted is a guess or was typed, but for the numbers of rows that were missing.
pub async fn given_besides(conn: &mut Conn) -> Stored<Vec<GivenRow>> {
    Ok(sqlx::query_as(
        "select 'tickets', s.year, max(n.number), 0 from ticket_numbers n join seasons s on s.id = n.season_id group by s.year
        union all select g.what, g.year, max(case when r.unread = '' then g.given else coalesce(g.last, 0) end),
          (select x.given from restore_gaps x where x.what = g.what and x.year = g.year order by x.restore desc limit 1)
          from restore_gaps g join restores r on r.number = g.restore where g.given is not null group by g.what, g.year",
    )
    .fetch_all(conn)
    .await?)
}

/// The years of all seasons.
pub async fn years(conn: &mut Conn) -> Stored<Vec<i64>> {
    Ok(sqlx::query_scalar("select year from seasons order by year")
        .fetch_all(conn)
        .await?)
}

/// A record that the program wrote.
#[derive(Debug, Clone, Default, sqlx::FromRow)]
pub struct ChainRow {
    /// Its number.
    pub number: i64,
    /// Its digest.
    pub digest: String,
    /// The table.
    pub what: String,
    /// What was done to the row: made, changed, removed or found.
    pub op: String,
    /// The row's key.
    pub key: String,
    /// Id of the lot, recall, press day, season, rules or member that the row belongs to, or its own; `None`: it has none.
    pub about: Option<String>,
    /// Of a hold: 1 when the lot was held from there on, 0 when it was released.
    pub held: Option<i64>,
    /// Who sent the form, and when.
    pub by_id: Option<String>,
    /// When the form was sent.
    pub at: Option<i64>,
}

/// Every record that the program wrote, in order.
pub async fn chain(conn: &mut Conn) -> Stored<Vec<ChainRow>> {
    Ok(sqlx::query_as(
        "select number, digest, what, op, key, case when json_valid(content) then cast(coalesce(content ->> 'boil_id', content ->> 'recall_id',
          content ->> 'press_day_id', content ->> 'season_id', content ->> 'rules_id', content ->> 'member_id', content ->> 'id') as text)
          end as about,
        case when what = 'lot_holds' and json_valid(content) then content ->> 'held' end as held, by_id, at
        from records where digest <> '' order by number",
    )
    .fetch_all(conn)
    .await?)
}

/// What seasons, their rules and press days are called, by their ids.
pub async fn called(conn: &mut Conn) -> Stored<BTreeMap<String, String>> {
    let rows: Vec<(String, String)> = sqlx::query_as(
        "select id, cast(year as text) from seasons
        union all select r.id, cast(s.year as text) from season_rules r join seasons s on s.id = r.season_id
        union all select id, date from press_days",
    )
    .fetch_all(conn)
    .await?;
    let words = |text: String| PressDate::parse(&text).map_or(text, PressDate::show);
    let named = rows.into_iter().map(|(id, text)| (id, words(text)));
    Ok(named.collect())
}

/// A restore that a file notes.
#[derive(Debug, Clone, Default)]
pub struct EarlierRestore {
    /// Its number.
    pub number: i64,
    /// When it was, seconds.
    pub at: i64,
    /// Why the file set aside then was not compared; empty: it was.
    pub unread: String,
    /// The last time at which somebody wrote into that file, seconds.
    pub lost_until: Option<i64>,
    /// What was missing then.
    pub gaps: Vec<GapRow>,
    /// What else.
    pub lost: Vec<LostRow>,
}

/// Every restore that a file notes.
pub async fn earlier(conn: &mut Conn) -> Stored<Vec<EarlierRestore>> {
    let rows: Vec<(i64, i64, String, Option<i64>)> =
        sqlx::query_as("select number, at, unread, lost_until from restores order by number")
            .fetch_all(&mut *conn)
            .await?;
    let mut out = Vec::new();
    for (number, at, unread, lost_until) in rows {
        out.push(EarlierRestore {
            number,
            at,
            unread,
            lost_until,
            gaps: super::restores::gaps(number).ask(conn).await?,
            lost: super::restores::lost(number).ask(conn).await?,
        });
    }
    Ok(out)
}

/// The last time at which somebody wrote something.
pub async fn written_until(conn: &mut Conn) -> Stored<Option<UtcSecond>> {
    Ok(
        sqlx::query_scalar("select max(at) from records where by_id is not null")
            .fetch_one(conn)
            .await?,
    )
}

/// Somebody who was forgotten.
#[derive(Debug, Clone, sqlx::FromRow)]
pub struct ForgottenRow {
    /// Id of the member.
    pub member_id: MemberId,
    /// Id of the steward who did it.
    pub by_id: MemberId,
    /// When the member was forgotten.
    pub at: UtcSecond,
    /// When the member had left.
    pub left_at: Option<UtcSecond>,
    /// The day until which the name is kept apart.
    pub kept_until: Option<PressDate>,
}

/// Everybody who was forgotten, and whoever came back with an earlier restore and could not be forgotten again yet.
pub async fn forgotten(conn: &mut Conn) -> Stored<Vec<ForgottenRow>> {
    Ok(sqlx::query_as(
        "select f.member_id, f.by_id, f.at, m.left_at, k.until as kept_until from forgotten f
        join members m on m.id = f.member_id left join kept_names k on k.member_id = f.member_id
        union all select b.member_id, b.member_id, max(b.at), m.left_at, null from restore_forgotten b join members m on m.id = b.member_id
        where b.member_id not in (select member_id from forgotten) group by b.member_id",
    )
    .fetch_all(conn)
    .await?)
}

/// A record that a forgotten member's name was taken out of: whose, the record's number and digest, its content since then.
pub type BlankedRow = (MemberId, i64, String, String);

/// Every record that somebody's name was taken out of.
pub async fn blanked(conn: &mut Conn) -> Stored<Vec<BlankedRow>> {
    Ok(sqlx::query_as(
        "select distinct f.member_id, r.number, r.digest, r.content from forgotten_rows f join records r on r.number = f.record
        where r.digest <> '' order by r.number",
    )
    .fetch_all(conn)
    .await?)
}

/// Some records by their numbers: number, table, content.
pub async fn contents(conn: &mut Conn, numbers: &[i64]) -> Stored<Vec<(i64, String, String)>> {
    let numbers = numbers.iter().map(i64::to_string);
    Ok(sqlx::query_as(
        "select number, what, content from records where number in (select cast(value as integer) from json_each(?1))",
    )
    .bind(in_json(numbers))
    .fetch_all(conn)
    .await?)
}
