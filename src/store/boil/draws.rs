//! Draws: what was poured from a juice into a boil, in its latest version.

use crate::store::Question;
use crate::store::question::question;
use crate::units::{
    BoilId, Grams, JuiceId, LotCode, MemberId, MemberName, PressDayId, SeasonId, TicketId,
    UtcSecond, VesselId,
};

/// A draw from one juice into one boil, in its latest version.
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
    /// The member whose juice it is.
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
    /// Weight as it was measured; when `whole`, what was left when it was poured.
    pub amount: Grams,
    /// All that was left in the vessel, whatever the juice's reading is corrected to.
    pub whole: bool,
    /// When the juice was pressed.
    pub pressed_at: UtcSecond,
    /// When it was first noted that it was poured into this boil.
    pub noted_at: UtcSecond,
}

macro_rules! draws {
    ($which:literal, $($arg:expr),*) => {
        question!(
            DrawRow,
            r#"select r.boil_id as "boil_id: BoilId", b.lot_code as "lot: LotCode", b.lit_at as "lit_at: UtcSecond",
            exists (select 1 from closed_boils d where d.boil_id = b.id) as "divided!: bool",
            r.juice_id as "juice_id: JuiceId", j.ticket_id as "ticket_id: TicketId", t.ticket as "ticket!",
            t.member_id as "member_id: MemberId", m.name as "member_name: MemberName", m.named as "named: bool",
            v.name as "vessel!", v.id as "vessel_id!: VesselId", r.version as "version!", r.amount_g as "amount: Grams", r.whole as "whole: bool",
            j.pressed_at as "pressed_at: UtcSecond",
            (select min(y.at) from draws y where y.boil_id = r.boil_id and y.juice_id = r.juice_id) as "noted_at!: UtcSecond"
            from draws r join boils b on b.id = r.boil_id join juices j on j.id = r.juice_id
            join tickets t on t.id = j.ticket_id join members m on m.id = t.member_id
            join vessels v on v.id = j.vessel_id
            where r.version = (select max(x.version) from draws x where x.boil_id = r.boil_id and x.juice_id = r.juice_id)
            and (r.amount_g > 0 or r.whole = 1) "#
                + $which,
            $($arg),*
        )
    };
}

/// What is in a boil, by ticket: latest versions, without what was taken out again.
pub fn draws(boil: BoilId) -> Question<Vec<DrawRow>> {
    draws!("and r.boil_id = ?1 order by t.ticket, v.name, j.id", boil)
}

/// What was drawn of a juice across all boils, in the order they were lit: latest versions,
/// without what was taken out again.
pub fn draws_of_juice(juice: JuiceId) -> Question<Vec<DrawRow>> {
    draws!("and r.juice_id = ?1 order by b.lit_at, b.id", juice)
}

/// What was drawn of the juices of a JSON array of ids, in the order the boils were lit.
pub fn draws_of_juices(juices: &str) -> Question<Vec<DrawRow>> {
    draws!(
        "and r.juice_id in (select value from json_each(?1)) order by b.lit_at, b.id",
        juices
    )
}

/// What was drawn of all juices that the boils of a JSON array of ids hold any of, in the order the boils were lit.
pub fn draws_with(boils: &str) -> Question<Vec<DrawRow>> {
    draws!(
        "and r.juice_id in (select y.juice_id from draws y where y.boil_id in (select value from json_each(?1)))
        order by b.lit_at, b.id",
        boils
    )
}

/// What is in the boils that hold any of a member's juices of a season, in the order they were lit.
pub fn draws_beside(season: SeasonId, member: MemberId) -> Question<Vec<DrawRow>> {
    draws!(
        "and r.boil_id in (select y.boil_id from draws y join juices i on i.id = y.juice_id
        join tickets k on k.id = i.ticket_id where k.season_id = ?1 and k.member_id = ?2)
        order by b.lit_at, b.id",
        season,
        member
    )
}

/// What was drawn of the juices pressed on a day, across all boils, in the order they were lit.
pub fn draws_of_day(day: PressDayId) -> Question<Vec<DrawRow>> {
    draws!("and t.press_day_id = ?1 order by b.lit_at, b.id", day)
}

/// What was drawn in a season, across all boils, in the order they were lit.
pub fn draws_of_season(season: SeasonId) -> Question<Vec<DrawRow>> {
    draws!("and b.season_id = ?1 order by b.lit_at, b.id", season)
}

/// The latest version of one draw, also if it was taken out again: 0 when there is none.
pub fn draw_version(boil: BoilId, juice: JuiceId) -> Question<i64> {
    question!(r#"select coalesce(max(version), 0) as "n!: i64" from draws where boil_id = ?1 and juice_id = ?2"#,
        boil,
        juice).one().map(|row| row.n)
}

/// One version of what was poured from one juice into one boil.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DrawnThen {
    /// The juice.
    pub juice_id: JuiceId,
    /// How much of it was in the boil by this version; when all that was left, what that was.
    pub amount: Grams,
    /// When it was written down.
    pub at: UtcSecond,
}

/// What was poured into a boil, version by version, juice by juice.
pub fn draws_then(boil: BoilId) -> Question<Vec<DrawnThen>> {
    question!(
        DrawnThen,
        r#"select juice_id as "juice_id: JuiceId", amount_g as "amount: Grams", at as "at: UtcSecond"
        from draws where boil_id = ?1 order by juice_id, version"#,
        boil
    )
}
