//! Backups that were put in the place of the database: what is noted of it, and what a file holds that is compared with another.

use super::question::{change, question};
use super::{Conn, Question, Stored};
use crate::units::{LotCode, MemberId, MemberName, PressDate, SeasonId, UtcSecond};

/// A restore, as it is noted in the restored book.
#[derive(Debug, Clone)]
pub struct RestoreRow {
    /// Its number, from 1.
    pub number: i64,
    /// When the backup was put in place.
    pub at: UtcSecond,
    /// Name of the backup's file.
    pub backup: String,
    /// The last time at which somebody wrote into the backup.
    pub written_until: Option<UtcSecond>,
    /// The same of the file that was set aside.
    pub lost_until: Option<UtcSecond>,
    /// Why the file that was set aside was not compared; empty: it was.
    pub unread: String,
    /// Name of the steward who has seen to it, and when; `None`: nobody yet.
    pub read_by: Option<MemberName>,
    /// When it was seen to.
    pub read_at: Option<UtcSecond>,
}

/// What was missing of one sort of rows, and above which number they go on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GapRow {
    /// The table.
    pub what: String,
    /// The season whose numbers they are; 0: they run on through all seasons.
    pub year: i64,
    /// Rows that the backup does not hold.
    pub missing: i64,
    /// The lowest number of those.
    pub first: Option<i64>,
    /// The highest number of those.
    pub last: Option<i64>,
    /// The highest number that had been given; `None`: such rows bear no number.
    pub given: Option<i64>,
}

/// A member who had been forgotten and came back by name.
#[derive(Debug, Clone)]
pub struct CameBack {
    /// Id of the member.
    pub member_id: MemberId,
    /// The member's number.
    pub number: i64,
    /// When the member had been forgotten.
    pub at: UtcSecond,
    /// Whether the member is forgotten by now.
    pub again: bool,
}

macro_rules! restores {
    ($rest:literal $(, $bound:expr)*) => {
        question!(
            RestoreRow,
            r#"select r.number as "number!", r.at as "at!: UtcSecond", r.backup as "backup!", r.written_until as "written_until: UtcSecond",
            r.lost_until as "lost_until: UtcSecond", r.unread as "unread!", m.name as "read_by?: MemberName", d.at as "read_at?: UtcSecond"
            from restores r left join restores_read d on d.restore = r.number left join members m on m.id = d.by_id "#
                + $rest
            $(, $bound)*
        )
    };
}

/// The restore with this number.
pub fn find(number: i64) -> Question<Option<RestoreRow>> {
    restores!("where r.number = ?1", number).first()
}

/// The restores that no steward has seen to yet, the latest first.
pub fn waiting() -> Question<Vec<RestoreRow>> {
    restores!("where d.restore is null order by r.number desc")
}

/// What was missing after a restore.
pub fn gaps(restore: i64) -> Question<Vec<GapRow>> {
    question!(
        GapRow,
        "select what, year, missing, first, last, given from restore_gaps where restore = ?1 order by year desc, what",
        restore
    )
}

/// Who had been forgotten and came back with a restore.
pub fn came_back(restore: i64) -> Question<Vec<CameBack>> {
    question!(
        CameBack,
        r#"select f.member_id as "member_id: MemberId", m.number, f.at as "at: UtcSecond",
        exists (select 1 from forgotten g where g.member_id = f.member_id) as "again!: bool"
        from restore_forgotten f join members m on m.id = f.member_id where f.restore = ?1 order by m.number"#,
        restore
    )
}

/// The number of the next restore.
pub fn next_number() -> Question<i64> {
    question!(r#"select coalesce(max(number), 0) + 1 as "n!: i64" from restores"#)
        .one()
        .map(|row| row.n)
}

/// Notes a restore.
pub fn insert(r: &RestoreRow) -> Question<()> {
    change!(
        "insert into restores (number, at, backup, written_until, lost_until, unread) values (?1, ?2, ?3, ?4, ?5, ?6)",
        r.number,
        r.at,
        r.backup,
        r.written_until,
        r.lost_until,
        r.unread
    )
}

/// Notes what was missing after a restore.
pub fn insert_gap(restore: i64, gap: &GapRow) -> Question<()> {
    change!(
        "insert into restore_gaps (what, year, restore, missing, first, last, given) values (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        gap.what,
        gap.year,
        restore,
        gap.missing,
        gap.first,
        gap.last,
        gap.given
    )
}

/// Notes that somebody who had been forgotten came back with a restore.
pub fn insert_came_back(restore: i64, member: MemberId, at: UtcSecond) -> Question<()> {
    change!(
        "insert into restore_forgotten (restore, member_id, at) values (?1, ?2, ?3)",
        restore,
        member,
        at
    )
}

/// Notes that a steward has seen to a restore.
pub fn insert_read(restore: i64, by: MemberId, at: UtcSecond) -> Question<()> {
    change!(
        "insert into restores_read (restore, by_id, at) values (?1, ?2, ?3)",
        restore,
        by,
        at
    )
}

/// The lot code that was given last in a season, if there is one, and the highest place of one in that year that a file had
/// given before a backup was put in its place.
pub fn last_lot(season: SeasonId) -> Question<(Option<LotCode>, i64)> {
    question!(
        r#"select (select max(b.lot_code) from boils b where b.season_id = ?1) as "lot?: LotCode",
        (select coalesce(max(g.given), 0) from restore_gaps g where g.what = 'boils'
          and g.year = (select s.year from seasons s where s.id = ?1)) as "given!: i64""#,
        season
    )
    .one()
    .map(|row| (row.lot, row.given))
}

/// The highest number of a sort of rows that a file had given before a backup was put in its place; of those that run on through
/// all seasons.
pub fn given(what: &str) -> Question<i64> {
    question!(
        r#"select coalesce(max(given), 0) as "n!: i64" from restore_gaps where what = ?1 and year = 0"#,
        what
    )
    .one()
    .map(|row| row.n)
}

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

/// Numbers that were given though no row bears them: those that phones hold, and those of files that were set aside.
pub async fn given_besides(conn: &mut Conn) -> Stored<Vec<(String, i64, i64)>> {
    Ok(sqlx::query_as(
        "select 'tickets', s.year, max(n.number) from ticket_numbers n join seasons s on s.id = n.season_id group by s.year
        union all select what, year, max(given) from restore_gaps where given is not null group by what, year",
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

/// A record that the program wrote: its number, its digest, the table, and whether a row was made.
pub type ChainRow = (i64, String, String, bool);

/// Every record that the program wrote, in order.
pub async fn chain(conn: &mut Conn) -> Stored<Vec<ChainRow>> {
    Ok(sqlx::query_as(
        "select number, digest, what, op = 'made' from records where digest <> '' order by number",
    )
    .fetch_all(conn)
    .await?)
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

/// Everybody who was forgotten.
pub async fn forgotten(conn: &mut Conn) -> Stored<Vec<ForgottenRow>> {
    Ok(sqlx::query_as(
        "select f.member_id, f.by_id, f.at, m.left_at, k.until as kept_until from forgotten f
        join members m on m.id = f.member_id left join kept_names k on k.member_id = f.member_id",
    )
    .fetch_all(conn)
    .await?)
}
