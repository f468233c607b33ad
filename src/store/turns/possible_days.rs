//! Days on which the mill could press, and on which days people can come.

use super::press_days::PressDay;
use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, Stored};
use crate::units::{
    Grams, MemberId, MemberName, MinuteOfDay, Minutes, PressDate, PressDayId, SeasonId, UtcSecond,
    by_name,
};

/// One member's answer for a possible day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DayAnswer {
    /// The member whose answer it is.
    pub member_id: MemberId,
    /// The day.
    pub date: PressDate,
    /// Whether the member can bring cane.
    pub brings: bool,
    /// Whether the member can help at the mill.
    pub helps: bool,
    /// The earliest that the person can come, in minutes since midnight; `None`: from the start.
    pub from: Option<i64>,
    /// The latest that the person can stay, in minutes since midnight; `None`: to the end.
    pub to: Option<i64>,
}

/// Possible days of a season that are not planned yet, in order of date, as press days that they would be.
pub fn of_season(season: SeasonId) -> Question<Vec<PressDay>> {
    question!(
        PressDay,
        r#"select id as "id: PressDayId", season_id as "season_id: SeasonId", date as "date: PressDate",
        opens_min as "opens: MinuteOfDay", closes_min as "closes: MinuteOfDay",
        mill_g_per_h as "mill_per_h: Grams", changeover_min as "changeover: Minutes", '' as "note!: String",
        null as "closed_at: UtcSecond", 1 as "version!: i64"
        from possible_days where season_id = ?1 order by date"#,
        season
    )
}

/// Adds a possible day; if its date is possible already, that one stays as it is.
pub async fn insert(conn: &mut Conn, day: &PressDay, by: MemberId, at: UtcSecond) -> Stored<()> {
    sqlx::query!(
        r#"insert into possible_days (id, season_id, date, opens_min, closes_min, mill_g_per_h, changeover_min, by_id, at)
        values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9) on conflict (date) do nothing"#,
        day.id,
        day.season_id,
        day.date,
        day.opens,
        day.closes,
        day.mill_per_h,
        day.changeover,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Takes a possible day off the list.
pub async fn remove(conn: &mut Conn, date: PressDate) -> Stored<()> {
    sqlx::query!("delete from possible_days where date = ?1", date)
        .execute(conn)
        .await?;
    Ok(())
}

/// What everybody said of the days of a season; whoever has left says nothing any more.
pub fn answers(season: SeasonId) -> Question<Vec<DayAnswer>> {
    question!(
        DayAnswer,
        r#"select a.member_id as "member_id: MemberId", a.date as "date: PressDate", a.brings as "brings: bool",
        a.helps as "helps: bool", a.from_min as "from: i64", a.to_min as "to: i64"
        from day_answers a join members m on m.id = a.member_id where a.season_id = ?1 and m.left_at is null"#,
        season
    )
}

/// One member's answers for the possible days of a season.
pub fn answers_of(member: MemberId, season: SeasonId) -> Question<Vec<DayAnswer>> {
    question!(
        DayAnswer,
        r#"select member_id as "member_id: MemberId", date as "date: PressDate", brings as "brings: bool",
        helps as "helps: bool", from_min as "from: i64", to_min as "to: i64"
        from day_answers where member_id = ?1 and season_id = ?2 order by date"#,
        member,
        season
    )
}

/// Writes what somebody says of a day over what was said before.
pub async fn answer(
    conn: &mut Conn,
    season: SeasonId,
    answer: &DayAnswer,
    by: MemberId,
    at: UtcSecond,
) -> Stored<()> {
    sqlx::query!(
        r#"insert into day_answers (season_id, member_id, date, brings, helps, from_min, to_min, by_id, at)
        values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9) on conflict (season_id, date, member_id) do update set
        brings = excluded.brings, helps = excluded.helps, from_min = excluded.from_min, to_min = excluded.to_min,
        by_id = excluded.by_id, at = excluded.at"#,
        season,
        answer.member_id,
        answer.date,
        answer.brings,
        answer.helps,
        answer.from,
        answer.to,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Words of the tasks that a member can do.
pub async fn tasks_of(conn: &mut Conn, member: MemberId) -> Stored<Vec<String>> {
    Ok(sqlx::query_scalar!(
        "select task from member_tasks where member_id = ?1 order by task",
        member
    )
    .fetch_all(conn)
    .await?)
}

/// Says anew what a member can do, by the words of the tasks.
pub async fn set_tasks(conn: &mut Conn, member: MemberId, tasks: &[&str]) -> Stored<()> {
    sqlx::query!("delete from member_tasks where member_id = ?1", member)
        .execute(&mut *conn)
        .await?;
    for task in tasks {
        sqlx::query!(
            "insert into member_tasks (member_id, task) values (?1, ?2)",
            member,
            task
        )
        .execute(&mut *conn)
        .await?;
    }
    Ok(())
}

/// Somebody who can help on a day.
#[derive(Debug, Clone)]
pub struct DayHelper {
    /// The member's id.
    pub member_id: MemberId,
    /// The member's name.
    pub name: MemberName,
    /// The earliest that the person can come, in minutes since midnight; `None`: from the start.
    pub from: Option<i64>,
    /// The latest that the person can stay, in minutes since midnight; `None`: to the end.
    pub to: Option<i64>,
    /// Words of the tasks that this person can do, parted by commas; empty: nothing was said.
    pub tasks: String,
    /// Minutes on rosters of other days of the season.
    pub already: i64,
}

/// The people who can help on a day of a season, by name.
pub fn helpers(season: SeasonId, date: PressDate) -> Question<Vec<DayHelper>> {
    question!(
        DayHelper,
        r#"select a.member_id as "member_id: MemberId", m.name as "name: MemberName", a.from_min as "from: i64", a.to_min as "to: i64",
        coalesce((select group_concat(t.task) from member_tasks t where t.member_id = a.member_id), '') as "tasks!: String",
        coalesce((select sum(r.to_min - r.from_min) from roster r join press_days d on d.id = r.press_day_id
          where r.member_id = a.member_id and d.season_id = ?1 and d.date <> ?2), 0) as "already!: i64"
        from day_answers a join members m on m.id = a.member_id
        where a.season_id = ?1 and a.date = ?2 and a.helps = 1 and m.left_at is null order by m.number"#,
        season,
        date
    )
    .map(|all| by_name(all, |helper| ((), helper.name.as_str())))
}
