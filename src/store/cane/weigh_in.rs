//! What weighing in asks before there is a ticket: the turns still to come, the scale in use, and what stands already.

use crate::store::Question;
use crate::store::question::question;
use crate::units::{
    ClockTime, Grams, MemberId, MemberName, PressDayId, ScaleId, TicketId, TurnId, UtcSecond,
};

/// A turn with all that a weigh-in needs of it.
#[derive(Debug, Clone)]
pub struct Turn {
    /// The turn.
    pub id: TurnId,
    /// The member whose turn it is.
    pub member_id: MemberId,
    /// That member's name.
    pub member_name: MemberName,
    /// The press day that it is on.
    pub press_day_id: PressDayId,
    /// When it starts.
    pub start: ClockTime,
    /// Cane it expects.
    pub cane: Grams,
    /// Whether it is held and not cancelled.
    pub held: bool,
}

/// The turn of that id, as a weigh-in needs it.
pub fn turn(id: TurnId) -> Question<Option<Turn>> {
    question!(Turn,
        r#"select b.id as "id: TurnId", b.member_id as "member_id: MemberId",
        m.name as "member_name: MemberName", b.press_day_id as "press_day_id: PressDayId",
        b.start_min + 1440 * b.start_again as "start!: ClockTime", b.cane_g as "cane: Grams", b.state = 'held' as "held!: bool"
        from turns b join members m on m.id = b.member_id where b.id = ?1"#,
        id).first()
}

/// The turns of a press day that are held and not weighed in yet, in order of their starts.
pub fn turns_waiting(day: PressDayId) -> Question<Vec<Turn>> {
    question!(
        Turn,
        r#"select b.id as "id: TurnId", b.member_id as "member_id: MemberId",
        m.name as "member_name: MemberName", b.press_day_id as "press_day_id: PressDayId",
        b.start_min + 1440 * b.start_again as "start!: ClockTime", b.cane_g as "cane: Grams", b.state = 'held' as "held!: bool"
        from turns b join members m on m.id = b.member_id
        where b.press_day_id = ?1 and b.state = 'held'
        and not exists (select 1 from tickets d where d.turn_id = b.id) order by b.start_min, b.start_again"#,
        day
    )
}

/// The scale that the last load of a day was weighed on.
pub fn last_scale(day: PressDayId) -> Question<Option<ScaleId>> {
    question!(
        r#"select l.scale_id as "id: ScaleId" from loads l join tickets d on d.id = l.ticket_id
        where d.press_day_id = ?1 order by l.at desc, d.ticket desc limit 1"#,
        day
    )
    .first()
    .map(|row| row.map(|row| row.id))
}

/// A load of a member on a press day, in the version that counts.
#[derive(Debug, Clone)]
pub struct StandingLoad {
    /// Its ticket.
    pub id: TicketId,
    /// Number of its ticket.
    pub ticket: i64,
    /// Net cane of the load.
    pub net: Grams,
    /// When it was on the scale.
    pub weighed: UtcSecond,
    /// Name of who weighed it.
    pub by_name: MemberName,
}

/// The loads of a member on a press day, without those crossed out.
pub fn standing_loads(day: PressDayId, member: MemberId) -> Question<Vec<StandingLoad>> {
    question!(
        StandingLoad,
        r#"select t.id as "id: TicketId", t.ticket, coalesce(l.net_g, l.gross_g - l.tare_g) as "net!: Grams",
        coalesce(l.weighed_at, l.at) as "weighed!: UtcSecond", b.name as "by_name: MemberName"
        from tickets t join loads l on l.ticket_id = t.id join members b on b.id = l.by_id
        where t.press_day_id = ?1 and t.member_id = ?2 and l.void = 0 and l.version =
        (select max(x.version) from loads x where x.ticket_id = l.ticket_id and x.number = l.number)"#,
        day,
        member
    )
}

/// The weights of a member's earlier load, in the version that counts.
#[derive(Debug, Clone, Copy)]
pub struct PastLoad {
    /// Its ticket.
    pub ticket_id: TicketId,
    /// Number of the load on that ticket.
    pub number: i64,
    /// Tare of the load.
    pub tare: Grams,
    /// Net cane of the load.
    pub net: Grams,
}

/// The last loads of a member on any day, without those crossed out, the latest first; at most thirty.
pub fn past_loads(member: MemberId) -> Question<Vec<PastLoad>> {
    question!(
        PastLoad,
        r#"select l.ticket_id as "ticket_id: TicketId", l.number, l.tare_g as "tare: Grams",
        coalesce(l.net_g, l.gross_g - l.tare_g) as "net!: Grams"
        from tickets t join loads l on l.ticket_id = t.id
        where t.member_id = ?1 and l.void = 0 and l.version =
        (select max(x.version) from loads x where x.ticket_id = l.ticket_id and x.number = l.number)
        order by l.at desc, l.number desc limit 30"#,
        member
    )
}
