//! What stands in the field: each planting with every version of what was said of it.

use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, Stored};
use crate::units::{
    MemberId, MemberName, Metres, PlantingId, PressDate, SeasonId, UtcSecond, by_name,
};

/// A planting as its latest version has it.
#[derive(Debug, Clone)]
pub struct Planting {
    /// Id of the planting.
    pub id: PlantingId,
    /// The season it is cut in.
    pub season_id: SeasonId,
    /// That season's year.
    pub year: i64,
    /// The member whose planting it is.
    pub member_id: MemberId,
    /// That member's name.
    pub member: MemberName,
    /// Version of the planting, from 1.
    pub version: i64,
    /// The variety in the member's own words.
    pub variety: String,
    /// When it was planted.
    pub planted_on: PressDate,
    /// Length of all rows together.
    pub row: Metres,
    /// Distance from row to row; `None`: not said.
    pub apart: Option<Metres>,
    /// Days from planting to the day it is best cut.
    pub maturity_days: i64,
    /// Remark.
    pub note: String,
    /// Whether it was taken off the record.
    pub void: bool,
}

macro_rules! plantings {
    ($rest:tt, $($bound:expr),*) => {
        question!(
            Planting,
            r#"select p.id as "id: PlantingId", p.season_id as "season_id: SeasonId", s.year,
            p.member_id as "member_id: MemberId", m.name as "member: MemberName", v.version, v.variety,
            v.planted_on as "planted_on: PressDate", v.row_m as "row: Metres", v.apart_m as "apart: Metres",
            v.maturity_days, v.note, v.void as "void: bool"
            from plantings p join seasons s on s.id = p.season_id join members m on m.id = p.member_id
            join planting_versions v on v.planting_id = p.id
            where v.version = (select max(x.version) from planting_versions x where x.planting_id = p.id) and "#
                + $rest,
            $($bound),*
        )
    };
}

/// The planting of that id, taken off the record or not.
pub fn find(id: PlantingId) -> Question<Option<Planting>> {
    plantings!("p.id = ?1", id).first()
}

/// A member's plantings that stand, latest season first, then by date.
pub fn of_member(member: MemberId) -> Question<Vec<Planting>> {
    plantings!(
        "v.void = 0 and p.member_id = ?1 order by s.year desc, v.planted_on, p.id",
        member
    )
}

/// Whether a member has a planting in a season, one taken off the record included.
pub fn any_of(member: MemberId, season: SeasonId) -> Question<bool> {
    question!(r#"select exists (select 1 from plantings where member_id = ?1 and season_id = ?2) as "yes!: bool""#,
        member,
        season).one().map(|row| row.yes)
}

/// The plantings of a season that stand, of members who have not left, by date.
pub fn of_season(season: SeasonId) -> Question<Vec<Planting>> {
    plantings!(
        "v.void = 0 and m.left_at is null and p.season_id = ?1 order by v.planted_on, m.number, p.id",
        season
    )
    .map(|all| by_name(all, |planting| (planting.planted_on, planting.member.as_str())))
}

/// Adds a planting; its first version follows in the same transaction.
pub async fn insert(
    conn: &mut Conn,
    id: PlantingId,
    season: SeasonId,
    member: MemberId,
    by: MemberId,
    at: UtcSecond,
) -> Stored<()> {
    sqlx::query!(
        "insert into plantings (id, season_id, member_id, made_by, made_at) values (?1, ?2, ?3, ?4, ?5)",
        id,
        season,
        member,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Adds a version of what is said of a planting.
pub async fn insert_version(
    conn: &mut Conn,
    p: &Planting,
    by: MemberId,
    at: UtcSecond,
) -> Stored<()> {
    sqlx::query!(
        r#"insert into planting_versions (planting_id, version, variety, planted_on, row_m, apart_m,
        maturity_days, note, void, by_id, at) values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)"#,
        p.id,
        p.version,
        p.variety,
        p.planted_on,
        p.row,
        p.apart,
        p.maturity_days,
        p.note,
        p.void,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}
