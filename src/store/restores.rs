//! Backups that were put in the place of the database: what is noted of it.

use super::Question;
use super::question::{change, question};
use crate::units::{LotCode, MemberId, MemberName, SeasonId, UtcSecond};

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

/// What became of rows that a file set aside held and the backup does not, but for the numbered ones that were made.
#[derive(Debug, Clone, PartialEq, Eq, sqlx::FromRow)]
pub struct LostRow {
    /// The table.
    pub what: String,
    /// What became of them: made, changed, removed, or undone: made, and removed again.
    pub op: String,
    /// Whose rows, or of what: lot codes, numbers of members, dates; empty: of the whole co-op.
    pub about: String,
    /// How many rows.
    pub many: i64,
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

/// The latest restore, if there was one.
pub fn latest() -> Question<Option<RestoreRow>> {
    restores!("order by r.number desc limit 1").first()
}

/// The latest restore of those after `since` that may have brought older passphrases back.
pub fn older_passphrases(since: UtcSecond) -> Question<Option<RestoreRow>> {
    restores!(
        "where r.at > ?1 and (r.unread <> '' or exists (select 1 from restore_lost l where l.restore = r.number
        and l.what in ('accounts', 'second_factors'))) order by r.number desc limit 1",
        since
    )
    .first()
}

/// What else was missing after a restore.
pub fn lost(restore: i64) -> Question<Vec<LostRow>> {
    question!(
        LostRow,
        "select what, op, about, many from restore_lost where restore = ?1 order by what, op",
        restore
    )
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

/// Notes what else was missing after a restore.
pub fn insert_lost(restore: i64, lost: &LostRow) -> Question<()> {
    change!(
        "insert into restore_lost (restore, what, op, about, many) values (?1, ?2, ?3, ?4, ?5)",
        restore,
        lost.what,
        lost.op,
        lost.about,
        lost.many
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

/// The lot code that was given last in a season, if there is one, and the highest place of one in that year as the last restore that
/// knows of any has it.
pub fn last_lot(season: SeasonId) -> Question<(Option<LotCode>, i64)> {
    question!(
        r#"select (select max(b.lot_code) from boils b where b.season_id = ?1) as "lot?: LotCode",
        coalesce((select g.given from restore_gaps g where g.what = 'boils'
          and g.year = (select s.year from seasons s where s.id = ?1) order by g.restore desc limit 1), 0) as "given!: i64""#,
        season
    )
    .one()
    .map(|row| (row.lot, row.given))
}

/// The highest number of a sort of rows that a file had given before a backup was put in its place, as the last restore that knows of
/// any has it: what somebody knew then takes the place of an earlier guess. Of those that run on through all seasons.
pub fn given(what: &str) -> Question<i64> {
    question!(
        r#"select coalesce((select given from restore_gaps where what = ?1 and year = 0 order by restore desc limit 1), 0) as "n!: i64""#,
        what
    )
    .one()
    .map(|row| row.n)
}
