//! What a season's close goes by: hours worked, boils lost, solids brought, what is still open.

use crate::store::question::question;
use crate::store::season::seasons;
use crate::store::{Conn, Question, Stored, Together};
use crate::units::{
    BoilId, Cents, Grams, LotCode, MemberId, MemberName, PressDate, SeasonId, UtcSecond,
};

/// Hours worked, with the credit they were given.
#[derive(Debug, Clone)]
pub struct HoursRow {
    /// Number of the line that credits them.
    pub line: i64,
    /// The member who worked.
    pub member_id: MemberId,
    /// That member's name.
    pub name: MemberName,
    /// Minutes worked.
    pub minutes: i64,
    /// Minutes that are credited.
    pub credited: i64,
    /// Money credited for them.
    pub cents: Cents,
    /// The work that was done.
    pub what: String,
    /// The day on which they were worked; `None`: written down before that was asked.
    pub worked_on: Option<PressDate>,
    /// Whether the line was taken back.
    pub taken_back: bool,
}

/// Hours to be written down.
#[derive(Debug, Clone)]
pub struct NewHoursRow {
    /// Number of the ledger line that credits them.
    pub line: i64,
    /// The season.
    pub season_id: SeasonId,
    /// The member who worked.
    pub member_id: MemberId,
    /// Minutes worked.
    pub minutes: i64,
    /// Minutes that are credited.
    pub credited: i64,
    /// The work that was done.
    pub what: String,
    /// The day on which they were worked.
    pub worked_on: PressDate,
}

/// Syrup of a boil that was lost.
#[derive(Debug, Clone)]
pub struct LossRow {
    /// The boil.
    pub boil_id: BoilId,
    /// Its lot code.
    pub lot: LotCode,
    /// How it was lost: `scorched`, `spilled` or `other`.
    pub what: String,
    /// Syrup lost.
    pub lost: Grams,
    /// Whether nothing was left to put in jars.
    pub whole: bool,
    /// Why it was lost.
    pub why: String,
    /// Name of who wrote it down.
    pub by_name: MemberName,
    /// When it was written down.
    pub at: UtcSecond,
    /// Whether the season bears it already.
    pub borne: bool,
}

/// The hours of a season, latest first.
pub fn hours(season: SeasonId) -> Question<Vec<HoursRow>> {
    question!(
        HoursRow,
        r#"select h.line, h.member_id as "member_id: MemberId", m.name as "name: MemberName", h.minutes, h.credited_min as credited,
        l.cents as "cents: Cents", h.what, h.worked_on as "worked_on: PressDate",
        exists (select 1 from ledger a where a.answers = h.line) as "taken_back!: bool"
        from hours h join members m on m.id = h.member_id join ledger l on l.number = h.line
        where h.season_id = ?1 order by h.line desc"#,
        season
    )
}

/// Minutes noted for a member's work of that name in a season and not taken back, if there are any.
pub fn hours_noted(season: SeasonId, member: MemberId, what: &str) -> Question<Option<i64>> {
    question!(
        r#"select h.minutes as "minutes: i64" from hours h where h.season_id = ?1 and h.member_id = ?2 and h.what = ?3
        and not exists (select 1 from ledger a where a.answers = h.line) order by h.line desc limit 1"#,
        season,
        member,
        what
    )
    .first()
    .map(|row| row.map(|row| row.minutes))
}

/// Minutes credited to a member in a season, without those taken back.
pub fn credited(season: SeasonId, member: MemberId) -> Question<i64> {
    question!(
        r#"select coalesce(sum(h.credited_min), 0) as "n!: i64" from hours h
        where h.season_id = ?1 and h.member_id = ?2
        and not exists (select 1 from ledger a where a.answers = h.line)"#,
        season,
        member
    )
    .one()
    .map(|row| row.n)
}

/// Writes hours down.
pub async fn insert_hours(conn: &mut Conn, h: &NewHoursRow) -> Stored<()> {
    sqlx::query!(
        "insert into hours (line, season_id, member_id, minutes, credited_min, what, worked_on)
        values (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        h.line,
        h.season_id,
        h.member_id,
        h.minutes,
        h.credited,
        h.what,
        h.worked_on
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Solids that each member brought to the divided boils of a season.
pub fn solids(season: SeasonId) -> Question<Vec<(MemberId, Grams)>> {
    question!(r#"select s.member_id as "member_id!: MemberId", sum(s.solids_g) as "solids!: Grams"
        from shares s join latest_divisions d on d.id = s.division_id join boils b on b.id = d.boil_id
        where b.season_id = ?1 and s.member_id is not null
        group by s.member_id having sum(s.solids_g) > 0"#,
        season).map(|rows| rows.into_iter().map(|r| (r.member_id, r.solids)).collect())
}

/// The lots of a season that hold juice or syrup and are neither divided nor lost.
pub fn open_lots(season: SeasonId) -> Question<Vec<LotCode>> {
    question!(r#"select b.lot_code as "lot: LotCode" from boils b where b.season_id = ?1
        and not exists (select 1 from closed_boils c where c.boil_id = b.id)
        and (exists (select 1 from finishes f where f.boil_id = b.id) or exists
          (select 1 from draws r where r.boil_id = b.id and (r.amount_g > 0 or r.whole = 1) and r.version =
            (select max(x.version) from draws x where x.boil_id = r.boil_id and x.juice_id = r.juice_id)))
        order by b.lit_at, b.id"#,
        season).map(|rows| rows.into_iter().map(|row| row.lot).collect())
}

/// Money that a season's pressing charged its members, lines taken back left out: fees and glass,
/// and the credit for hours.
pub fn charged(season: SeasonId) -> Question<(Cents, Cents)> {
    question!(r#"select coalesce(sum(case when l.kind <> 'hours' then l.cents end), 0) as "fees!: Cents",
        coalesce(sum(case when l.kind = 'hours' then l.cents end), 0) as "hours!: Cents" from ledger l
        where l.season_id = ?1 and not exists (select 1 from ledger a where a.answers = l.number) and l.kind in
        ('cane_fee', 'juice_fee', 'boil_fee', 'jar_fee', 'jar_price', 'least_fee', 'hours')"#,
        season).one().map(|row| (row.fees, row.hours))
}

/// The time at which a season was locked, if it is, and its last press day.
pub fn locked_and_last_day(season: SeasonId) -> Question<(Option<UtcSecond>, Option<PressDate>)> {
    question!(
        r#"select (select l.at from season_locks l where l.season_id = ?1 and l.locked = 1
          and l.number = (select max(x.number) from season_locks x where x.season_id = ?1)) as "locked: UtcSecond",
        (select max(d.date) from press_days d where d.season_id = ?1) as "last: PressDate""#,
        season
    )
    .one()
    .map(|row| (row.locked, row.last))
}

/// Whether the margin of a season went back already, and was not taken back.
pub fn margin_returned(season: SeasonId) -> Question<bool> {
    question!(
        r#"select exists (select 1 from ledger l where l.season_id = ?1 and l.kind = 'patronage'
        and not exists (select 1 from ledger a where a.answers = l.number)) as "yes!: bool""#,
        season
    )
    .one()
    .map(|row| row.yes)
}

macro_rules! losses {
    ($rest:literal, $($bound:expr),*) => {
        question!(
            LossRow,
            r#"select l.boil_id as "boil_id: BoilId", b.lot_code as "lot: LotCode", l.what as "what!: String", l.lost_g as "lost!: Grams",
            l.whole as "whole!: bool", l.why as "why!: String", m.name as "by_name: MemberName", l.at as "at!: UtcSecond",
            exists (select 1 from ledger x where x.boil_id = l.boil_id and x.kind = 'loss') as "borne!: bool"
            from counted_losses l join boils b on b.id = l.boil_id join members m on m.id = l.by_id where "#
                + $rest,
            $($bound),*
        )
    };
}

/// The loss of a boil as it counts, if there is one.
pub fn loss(boil: BoilId) -> Question<Option<LossRow>> {
    losses!("l.boil_id = ?1", boil).first()
}

/// The losses of a season, in the order the boils were lit.
pub fn losses(season: SeasonId) -> Question<Vec<LossRow>> {
    losses!("b.season_id = ?1 order by b.lit_at, b.id", season)
}

/// One entry of a boil's loss.
#[derive(Debug, Clone)]
pub struct LossLine {
    /// How it was lost: `scorched`, `spilled` or `other`.
    pub what: String,
    /// Syrup lost; nought: the loss was taken back.
    pub lost: Grams,
    /// Whether nothing was left to put in jars.
    pub whole: bool,
    /// Why it was lost, or why the loss was taken back.
    pub why: String,
    /// Name of who wrote it down.
    pub by_name: MemberName,
    /// When it was written down.
    pub at: UtcSecond,
}

/// All that was written of a boil's loss, in order; the last counts.
pub fn loss_lines(boil: BoilId) -> Question<Vec<LossLine>> {
    question!(
        LossLine,
        r#"select l.what as "what!: String", l.lost_g as "lost!: Grams", l.whole as "whole!: bool", l.why as "why!: String",
        m.name as "by_name!: MemberName", l.at as "at!: UtcSecond" from (
          select 1 as number, what, lost_g, whole, why, by_id, at from losses where boil_id = ?1
          union all select number, what, lost_g, whole, why, by_id, at from loss_changes where boil_id = ?1
        ) l join members m on m.id = l.by_id order by l.number"#,
        boil
    )
}

/// Writes the first line of a boil's loss.
pub async fn insert_loss(
    conn: &mut Conn,
    boil: BoilId,
    (what, lost, whole): (&str, Grams, bool),
    why: &str,
    (by, at): (MemberId, UtcSecond),
) -> Stored<()> {
    sqlx::query!(
        "insert into losses (boil_id, what, lost_g, whole, why, by_id, at) values (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        boil,
        what,
        lost,
        whole,
        why,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Writes a further line of a boil's loss; no grams: it is taken back.
pub async fn insert_loss_change(
    conn: &mut Conn,
    boil: BoilId,
    (what, lost, whole): (&str, Grams, bool),
    why: &str,
    (by, at): (MemberId, UtcSecond),
) -> Stored<()> {
    sqlx::query!(
        r#"insert into loss_changes (boil_id, number, what, lost_g, whole, why, by_id, at)
        select ?1, coalesce(max(number), 1) + 1, ?2, ?3, ?4, ?5, ?6, ?7 from loss_changes where boil_id = ?1"#,
        boil,
        what,
        lost,
        whole,
        why,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Whether a loss of that season was shared out over all who pressed in it.
pub fn losses_borne(season: SeasonId) -> Question<bool> {
    question!(r#"select exists (select 1 from ledger where season_id = ?1 and kind = 'loss' and boil_id is not null) as "yes!: bool""#,
        season).one().map(|row| row.yes)
}

/// What the season bearing a boil's loss moved for one sharer.
#[derive(Debug, Clone)]
pub struct MovedRow {
    /// Id of the member; `None`: the mill.
    pub member_id: Option<MemberId>,
    /// That member's name.
    pub name: Option<MemberName>,
    /// Syrup made good.
    pub made_good: Grams,
    /// Syrup given up.
    pub borne: Grams,
}

/// What the season bearing a boil's loss moved, by sharer; nothing where it does not bear it.
pub fn moved(boil: BoilId) -> Question<Vec<MovedRow>> {
    question!(
        MovedRow,
        r#"select l.member_id as "member_id?: MemberId", m.name as "name?: MemberName",
        coalesce(sum(case when l.grams > 0 then l.grams end), 0) as "made_good!: Grams",
        coalesce(sum(case when l.grams < 0 then -l.grams end), 0) as "borne!: Grams"
        from ledger l left join members m on m.id = l.member_id
        where l.boil_id = ?1 and l.kind = 'loss' group by l.member_id"#,
        boil
    )
}

/// A season closed and locked, or opened again.
#[derive(Debug, Clone)]
pub struct LockRow {
    /// Number in its season, from 1.
    pub number: i64,
    /// Whether it was locked; else opened again.
    pub locked: bool,
    /// Why it was locked or opened again.
    pub why: String,
    /// Name of who did it.
    pub by_name: MemberName,
    /// When it was done.
    pub at: UtcSecond,
}

/// The entries of locking a season and opening it again, in order; the last counts.
pub fn locks(season: SeasonId) -> Question<Vec<LockRow>> {
    question!(
        LockRow,
        r#"select l.number, l.locked as "locked: bool", l.why, m.name as "by_name: MemberName", l.at as "at: UtcSecond"
        from season_locks l join members m on m.id = l.by_id where l.season_id = ?1 order by l.number"#,
        season
    )
}

/// Whether a season is locked.
pub fn is_locked(season: SeasonId) -> Question<bool> {
    locks(season).map(|all| all.last().is_some_and(|lock| lock.locked))
}

/// The year of a season that is locked; `None`: it is not.
pub fn locked_year(season: SeasonId) -> Question<Option<i64>> {
    (is_locked(season), seasons::find(season))
        .together()
        .map(|(locked, season)| season.filter(|_| locked).map(|s| s.year))
}

/// The years of the seasons that are locked, latest first.
pub async fn locked_years(conn: &mut Conn) -> Stored<Vec<i64>> {
    Ok(sqlx::query_scalar!(
        "select s.year from seasons s where s.id in (select season_id from locked_seasons) order by s.year desc"
    )
    .fetch_all(conn)
    .await?)
}

/// Locks a season, or opens it again, under its next number.
pub async fn insert_lock(
    conn: &mut Conn,
    season: SeasonId,
    (locked, why): (bool, &str),
    (by, at): (MemberId, UtcSecond),
) -> Stored<()> {
    sqlx::query!(
        r#"insert into season_locks (season_id, number, locked, why, by_id, at)
        select ?1, 1 + coalesce(max(number), 0), ?2, ?3, ?4, ?5 from season_locks where season_id = ?1"#,
        season,
        locked,
        why,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}
