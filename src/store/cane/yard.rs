//! What the yard keeps beside tickets and juice: tares seen before, tickets that end without juice or
//! belong to somebody else, and juice that is lost.

use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, Stored};
use crate::units::{
    Grams, JuiceId, MemberId, MemberName, PressDate, PressDayId, SeasonId, TicketId, TurnId,
    UtcSecond,
};

/// A tare that stood on a load that counts.
#[derive(Debug, Clone)]
pub struct KnownTare {
    /// The member whose cane it was.
    pub member_id: MemberId,
    /// Name of the trailer; empty: none was written.
    pub trailer: String,
    /// The tare.
    pub tare: Grams,
    /// The last press day it was weighed on.
    pub date: PressDate,
}

/// Different tares of a member's loads, the latest first; at most ten.
pub fn tares_of_member(member: MemberId) -> Question<Vec<KnownTare>> {
    question!(
        KnownTare,
        r#"select t.member_id as "member_id!: MemberId", l.trailer as "trailer!", l.tare_g as "tare!: Grams",
        max(p.date) as "date!: PressDate"
        from loads l join tickets t on t.id = l.ticket_id join press_days p on p.id = t.press_day_id
        where t.member_id = ?1 and l.void = 0 and l.version =
        (select max(x.version) from loads x where x.ticket_id = l.ticket_id and x.number = l.number)
        group by l.trailer, l.tare_g order by max(p.date) desc, max(l.at) desc limit 10"#,
        member
    )
}

/// As [`tares_of_member`], for everybody who holds a turn of a day that was not weighed in yet.
pub fn tares_of_turns(day: PressDayId) -> Question<Vec<KnownTare>> {
    question!(
        KnownTare,
        r#"select t.member_id as "member_id!: MemberId", l.trailer as "trailer!", l.tare_g as "tare!: Grams",
        max(p.date) as "date!: PressDate"
        from turns b join tickets t on t.member_id = b.member_id join loads l on l.ticket_id = t.id
        join press_days p on p.id = t.press_day_id
        where b.press_day_id = ?1 and b.state = 'held' and not exists (select 1 from tickets d where d.turn_id = b.id)
        and l.void = 0 and l.version =
        (select max(x.version) from loads x where x.ticket_id = l.ticket_id and x.number = l.number)
        group by t.member_id, l.trailer, l.tare_g order by max(p.date) desc, max(l.at) desc"#,
        day
    )
}

/// The last tares without a trailer's name of each member of the co-op, in this season and the one before: at most
/// two of each and two hundred in all, those of who came last first.
pub fn tares_of_others() -> Question<Vec<KnownTare>> {
    question!(
        KnownTare,
        r#"select n.member_id as "member_id!: MemberId", '' as "trailer!", n.tare_g as "tare!: Grams", n.date as "date!: PressDate"
        from (select t.member_id, l.tare_g, max(p.date) as date, max(l.at) as at,
            row_number() over (partition by t.member_id order by max(p.date) desc, max(l.at) desc) as nth
          from tickets t join members m on m.id = t.member_id join loads l on l.ticket_id = t.id
          join press_days p on p.id = t.press_day_id
          where t.season_id in (select s.id from seasons s order by s.year desc limit 2) and m.left_at is null
          and l.trailer = '' and l.tare_g > 0 and l.void = 0 and l.version =
          (select max(x.version) from loads x where x.ticket_id = l.ticket_id and x.number = l.number)
          group by t.member_id, l.tare_g) n
        where n.nth <= 2 order by n.date desc, n.at desc limit 200"#
    )
}

/// The trailers that have a name, with their last tare; by name.
pub fn trailers() -> Question<Vec<KnownTare>> {
    question!(
        KnownTare,
        r#"select t.member_id as "member_id: MemberId", l.trailer, l.tare_g as "tare: Grams", p.date as "date!: PressDate"
        from loads l join tickets t on t.id = l.ticket_id join press_days p on p.id = t.press_day_id
        where l.trailer > '' and l.void = 0 and l.version =
        (select max(x.version) from loads x where x.ticket_id = l.ticket_id and x.number = l.number)
        and not exists (select 1 from loads y where y.trailer = l.trailer and y.void = 0
          and (y.at, y.ticket_id, y.number, y.version) > (l.at, l.ticket_id, l.number, l.version))
        order by l.trailer limit 20"#
    )
}

/// How a ticket ended that gave no juice.
#[derive(Debug, Clone)]
pub struct TicketEnd {
    /// Version, from 1; the highest counts.
    pub version: i64,
    /// Gone home unpressed; else that was taken back.
    pub unpressed: bool,
    /// Words for where the cane went.
    pub went: String,
    /// The member who wrote it.
    pub by: MemberId,
    /// That person's name.
    pub by_name: MemberName,
    /// When it was written.
    pub at: UtcSecond,
}

/// The last word on a ticket's end, if there is one.
pub fn end_of(ticket: TicketId) -> Question<Option<TicketEnd>> {
    question!(
        TicketEnd,
        r#"select e.version, e.unpressed as "unpressed: bool", e.went, e.by_id as "by: MemberId",
        m.name as "by_name: MemberName", e.at as "at: UtcSecond"
        from ticket_ends e join members m on m.id = e.by_id
        where e.ticket_id = ?1 order by e.version desc limit 1"#,
        ticket
    )
    .first()
}

/// Writes a version of a ticket's end.
pub async fn insert_end(
    conn: &mut Conn,
    ticket: TicketId,
    (version, unpressed, went): (i64, bool, &str),
    (by, at): (MemberId, UtcSecond),
) -> Stored<()> {
    sqlx::query!(
        "insert into ticket_ends (ticket_id, version, unpressed, went, by_id, at) values (?1, ?2, ?3, ?4, ?5, ?6)",
        ticket,
        version,
        unpressed,
        went,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// A ticket that was written for somebody else.
#[derive(Debug, Clone)]
pub struct TicketMove {
    /// Number of the move, from 1.
    pub number: i64,
    /// The member whose ticket it was before.
    pub from_member: MemberId,
    /// That member's name.
    pub from_name: MemberName,
    /// The turn it was for before, if it was for one.
    pub from_turn: Option<TurnId>,
    /// The member who moved it.
    pub by: MemberId,
    /// That person's name.
    pub by_name: MemberName,
    /// When it was moved.
    pub at: UtcSecond,
}

/// The moves of a ticket, the last first.
pub fn moves(ticket: TicketId) -> Question<Vec<TicketMove>> {
    question!(
        TicketMove,
        r#"select v.number, v.from_member as "from_member: MemberId", f.name as "from_name: MemberName",
        v.from_turn as "from_turn: TurnId", v.by_id as "by: MemberId", m.name as "by_name: MemberName",
        v.at as "at: UtcSecond"
        from ticket_moves v join members f on f.id = v.from_member join members m on m.id = v.by_id
        where v.ticket_id = ?1 order by v.number desc"#,
        ticket
    )
}

/// A ticket's member and turn, before and after.
#[derive(Debug, Clone, Copy)]
pub struct NewMove {
    /// Member and turn before the move.
    pub from: (MemberId, Option<TurnId>),
    /// Member and turn after the move.
    pub to: (MemberId, Option<TurnId>),
}

/// Gives a ticket to another member, or turn, and keeps whose it was.
pub async fn move_ticket(
    conn: &mut Conn,
    ticket: TicketId,
    new: &NewMove,
    (by, at): (MemberId, UtcSecond),
) -> Stored<()> {
    let ((from, from_turn), (to, to_turn)) = (new.from, new.to);
    sqlx::query!(
        r#"insert into ticket_moves (ticket_id, number, from_member, from_turn, to_member, to_turn, by_id, at)
        values (?1, (select coalesce(max(v.number), 0) + 1 from ticket_moves v where v.ticket_id = ?1),
        ?2, ?3, ?4, ?5, ?6, ?7)"#,
        ticket,
        from,
        from_turn,
        to,
        to_turn,
        by,
        at
    )
    .execute(&mut *conn)
    .await?;
    sqlx::query!(
        "update tickets set member_id = ?2, turn_id = ?3 where id = ?1",
        ticket,
        to,
        to_turn
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Part of a juice that is gone and went into no boil.
#[derive(Debug, Clone)]
pub struct LossRow {
    /// The juice.
    pub juice_id: JuiceId,
    /// Number on its juice, from 1.
    pub number: i64,
    /// Version of the loss, from 1.
    pub version: i64,
    /// Grams lost; nought: taken back.
    pub amount: Grams,
    /// How it was lost: `spilt`, `spoilt`, or `twice` (measured twice).
    pub what: String,
    /// Remark.
    pub note: String,
    /// When it was lost.
    pub lost_at: UtcSecond,
    /// The member who wrote it.
    pub by: MemberId,
    /// That person's name.
    pub by_name: MemberName,
    /// When it was written.
    pub at: UtcSecond,
}

/// The losses of a juice in their latest versions, those taken back included.
pub fn losses(juice: JuiceId) -> Question<Vec<LossRow>> {
    question!(
        LossRow,
        r#"select l.juice_id as "juice_id: JuiceId", l.number, l.version, l.amount_g as "amount: Grams", l.what, l.note,
        l.lost_at as "lost_at: UtcSecond", l.by_id as "by: MemberId", m.name as "by_name: MemberName",
        l.at as "at: UtcSecond"
        from juice_losses l join members m on m.id = l.by_id
        where l.juice_id = ?1 and l.version =
        (select max(v.version) from juice_losses v where v.juice_id = l.juice_id and v.number = l.number)
        order by l.number"#,
        juice
    )
}

/// A loss of a juice that stands: how much, and when.
#[derive(Debug, Clone, Copy)]
pub struct LostPart {
    /// The juice.
    pub juice_id: JuiceId,
    /// Grams lost.
    pub amount: Grams,
    /// Whether it was never there, since it was measured twice.
    pub twice: bool,
    /// Whether it was spoilt.
    pub spoilt: bool,
    /// When it was lost.
    pub lost_at: UtcSecond,
}

macro_rules! lost_parts {
    ($rest:tt, $($bound:expr),*) => {
        question!(
            LostPart,
            r#"select l.juice_id as "juice_id: JuiceId", l.amount_g as "amount: Grams",
            l.what = 'twice' as "twice!: bool", l.what = 'spoilt' as "spoilt!: bool", l.lost_at as "lost_at: UtcSecond"
            from lost_juice l join juices j on j.id = l.juice_id join tickets t on t.id = j.ticket_id where "#
                + $rest,
            $($bound),*
        )
    };
}

/// The lost parts of one juice.
pub fn lost_of_juice(juice: JuiceId) -> Question<Vec<LostPart>> {
    lost_parts!("l.juice_id = ?1", juice)
}

/// The lost parts of the juices of a JSON array of ids.
pub fn lost_of_juices(juices: &str) -> Question<Vec<LostPart>> {
    lost_parts!("l.juice_id in (select value from json_each(?1))", juices)
}

/// The lost parts of the juices of the tickets of a JSON array of ids.
pub fn lost_of_tickets(tickets: &str) -> Question<Vec<LostPart>> {
    lost_parts!("j.ticket_id in (select value from json_each(?1))", tickets)
}

/// The lost parts of all juices that the boils of a JSON array of ids hold any of.
pub fn lost_of_boils(boils: &str) -> Question<Vec<LostPart>> {
    lost_parts!(
        "l.juice_id in (select y.juice_id from draws y where y.boil_id in (select value from json_each(?1)))",
        boils
    )
}

/// The lost parts of a member's juices of a season; of none that is crossed out.
pub fn lost_of_member(season: SeasonId, member: MemberId) -> Question<Vec<LostPart>> {
    lost_parts!(
        "t.season_id = ?1 and t.member_id = ?2 and exists (select 1 from pressed_tickets c where c.juice_id = l.juice_id)",
        season,
        member
    )
}

/// The lost parts of a day's juices.
pub fn lost_of_day(day: PressDayId) -> Question<Vec<LostPart>> {
    lost_parts!("t.press_day_id = ?1", day)
}

/// The lost parts of a season's juices.
pub fn lost_of_season(season: SeasonId) -> Question<Vec<LostPart>> {
    lost_parts!("t.season_id = ?1", season)
}

/// A loss to be written.
#[derive(Debug, Clone, Copy)]
pub struct NewLoss<'a> {
    /// The juice.
    pub juice: JuiceId,
    /// Number of the loss on its juice, and version.
    pub number: (i64, i64),
    /// Grams lost; nought takes the loss back.
    pub amount: Grams,
    /// How it was lost: `spilt`, `spoilt`, or `twice` (measured twice).
    pub what: &'a str,
    /// Remark.
    pub note: &'a str,
    /// When it was lost.
    pub lost_at: UtcSecond,
    /// The member who writes it.
    pub by: MemberId,
    /// When it is written.
    pub at: UtcSecond,
}

/// Writes a version of a loss.
pub async fn insert_loss(conn: &mut Conn, l: &NewLoss<'_>) -> Stored<()> {
    let (number, version) = l.number;
    sqlx::query!(
        r#"insert into juice_losses (juice_id, number, version, amount_g, what, note, lost_at, by_id, at)
        values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)"#,
        l.juice,
        number,
        version,
        l.amount,
        l.what,
        l.note,
        l.lost_at,
        l.by,
        l.at
    )
    .execute(conn)
    .await?;
    Ok(())
}
