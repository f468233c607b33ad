//! Draws: what was poured from a juice into a boil, in its latest version.

use crate::store::{Conn, Stored};
use crate::units::{
    BoilId, Grams, JuiceId, LotCode, MemberId, MemberName, PressDayId, SeasonId, TicketId,
    UtcSecond, VesselId,
};

/// What was poured from one juice into one boil, in its latest version.
#[derive(Debug, Clone)]
pub struct DrawRow {
    /// The boil.
    pub boil_id: BoilId,
    /// Its lot code.
    pub lot: LotCode,
    /// When it was lit.
    pub lit_at: UtcSecond,
    /// Whether it is divided.
    pub divided: bool,
    /// The juice.
    pub juice_id: JuiceId,
    /// The ticket's id.
    pub ticket_id: TicketId,
    /// The ticket's number.
    pub ticket: i64,
    /// Whose juice it is.
    pub member_id: MemberId,
    /// That member's name.
    pub member_name: MemberName,
    /// Whether that member may be named to others.
    pub named: bool,
    /// The vessel it was poured from.
    pub vessel: String,
    /// That vessel.
    pub vessel_id: VesselId,
    /// Version of the draw.
    pub version: i64,
    /// As weighed; when `whole`, what was left when it was poured.
    pub amount: Grams,
    /// All that was left in the vessel, whatever the juice's reading is corrected to.
    pub whole: bool,
}

macro_rules! draws {
    ($which:literal, $arg:expr) => {
        sqlx::query_as!(
            DrawRow,
            r#"select r.boil_id as "boil_id: BoilId", b.lot_code as "lot: LotCode", b.lit_at as "lit_at: UtcSecond",
            exists (select 1 from closed_boils d where d.boil_id = b.id) as "divided!: bool",
            r.juice_id as "juice_id: JuiceId", j.ticket_id as "ticket_id: TicketId", t.ticket as "ticket!",
            t.member_id as "member_id: MemberId", m.name as "member_name: MemberName", m.named as "named: bool",
            v.name as "vessel!", v.id as "vessel_id!: VesselId", r.version as "version!", r.amount_g as "amount: Grams", r.whole as "whole: bool"
            from draws r join boils b on b.id = r.boil_id join juices j on j.id = r.juice_id
            join tickets t on t.id = j.ticket_id join members m on m.id = t.member_id
            join vessels v on v.id = j.vessel_id
            where r.version = (select max(x.version) from draws x where x.boil_id = r.boil_id and x.juice_id = r.juice_id)
            and (r.amount_g > 0 or r.whole = 1) "#
                + $which,
            $arg
        )
    };
}

/// What is in a boil, by ticket: latest versions, without what was taken out again.
pub async fn draws(conn: &mut Conn, boil: BoilId) -> Stored<Vec<DrawRow>> {
    Ok(
        draws!("and r.boil_id = ?1 order by t.ticket, v.name, j.id", boil)
            .fetch_all(conn)
            .await?,
    )
}

/// What is in the boils of a JSON array of ids, by ticket.
pub async fn draws_of_boils(conn: &mut Conn, boils: &str) -> Stored<Vec<DrawRow>> {
    Ok(draws!(
        "and r.boil_id in (select value from json_each(?1)) order by t.ticket, v.name, j.id",
        boils
    )
    .fetch_all(conn)
    .await?)
}

/// What was drawn of a juice across all boils, in the order they were lit: latest versions,
/// without what was taken out again.
pub async fn draws_of_juice(conn: &mut Conn, juice: JuiceId) -> Stored<Vec<DrawRow>> {
    Ok(draws!("and r.juice_id = ?1 order by b.lit_at, b.id", juice)
        .fetch_all(conn)
        .await?)
}

/// What was drawn of the juices of a JSON array of ids, in the order the boils were lit.
pub async fn draws_of_juices(conn: &mut Conn, juices: &str) -> Stored<Vec<DrawRow>> {
    Ok(draws!(
        "and r.juice_id in (select value from json_each(?1)) order by b.lit_at, b.id",
        juices
    )
    .fetch_all(conn)
    .await?)
}

/// What is in the boils that hold any of the juices of a JSON array of ids, in the order they were lit.
pub async fn draws_beside(conn: &mut Conn, juices: &str) -> Stored<Vec<DrawRow>> {
    Ok(draws!(
        "and r.boil_id in (select y.boil_id from draws y where y.juice_id in (select value from json_each(?1)))
        order by b.lit_at, b.id",
        juices
    )
    .fetch_all(conn)
    .await?)
}

/// What was drawn of the juices pressed on a day, across all boils, in the order they were lit.
pub async fn draws_of_day(conn: &mut Conn, day: PressDayId) -> Stored<Vec<DrawRow>> {
    Ok(
        draws!("and t.press_day_id = ?1 order by b.lit_at, b.id", day)
            .fetch_all(conn)
            .await?,
    )
}

/// What was drawn in a season, across all boils, in the order they were lit.
pub async fn draws_of_season(conn: &mut Conn, season: SeasonId) -> Stored<Vec<DrawRow>> {
    Ok(
        draws!("and b.season_id = ?1 order by b.lit_at, b.id", season)
            .fetch_all(conn)
            .await?,
    )
}

/// The latest version of one draw, taken out again or not: 0 when there is none.
pub async fn draw_version(conn: &mut Conn, boil: BoilId, juice: JuiceId) -> Stored<i64> {
    Ok(sqlx::query_scalar!(
        r#"select coalesce(max(version), 0) as "n!: i64" from draws where boil_id = ?1 and juice_id = ?2"#,
        boil,
        juice
    )
    .fetch_one(conn)
    .await?)
}
