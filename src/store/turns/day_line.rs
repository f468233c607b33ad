//! The line of a press day: its turns and walk-ins, with what the board on the wall and the sheet for
//! the clipboard say of each.

use crate::store::Question;
use crate::store::question::question;
use crate::units::{
    ClockTime, Grams, MemberId, MemberName, Minutes, Phone, PressDayId, TicketId, TurnId, UtcSecond,
};

/// A turn, or a ticket without one.
#[derive(Debug, Clone)]
pub struct InLine {
    /// The turn; `None`: walked in.
    pub turn_id: Option<TurnId>,
    /// Its ticket, once there is one.
    pub ticket_id: Option<TicketId>,
    /// The member whose turn or ticket it is.
    pub member_id: MemberId,
    /// That member's name.
    pub name: MemberName,
    /// Whether others may see the first name in the queue.
    pub named: bool,
    /// That member's telephone.
    pub phone: Phone,
    /// The co-op's number of that member.
    pub number: i64,
    /// Start of the turn; `None`: walked in.
    pub start: Option<ClockTime>,
    /// Pressing and change-over, of a turn.
    pub minutes: Option<Minutes>,
    /// Cane expected of the turn, or weighed in on the ticket of a walk-in.
    pub cane: Grams,
    /// Remark of the turn.
    pub note: String,
    /// Number of its ticket, once there is one.
    pub ticket: Option<i64>,
    /// When its first load was on the scale.
    pub weighed_at: Option<UtcSecond>,
    /// Whether its juice is measured.
    pub pressed: bool,
    /// Whether the crew noted that nobody came.
    pub missed: bool,
}

/// The turns held on a day in order of their starts, then the walk-ins by ticket. Cane that went home unpressed, or of which no
/// load counts, is in no line.
pub fn of_day(day: PressDayId) -> Question<Vec<InLine>> {
    question!(
        InLine,
        r#"select i.turn_id as "turn_id?: TurnId", d.id as "ticket_id?: TicketId", m.id as "member_id!: MemberId",
        m.name as "name!: MemberName", m.in_queue as "named!: bool", m.phone as "phone!: Phone",
        m.number as "number!: i64", b.start_min + 1440 * b.start_again as "start?: ClockTime", b.minutes as "minutes?: Minutes",
        coalesce(b.cane_g, (select sum(coalesce(l.net_g, l.gross_g - l.tare_g)) from loads l where l.ticket_id = d.id
          and l.void = 0 and l.version = (select max(x.version) from loads x
          where x.ticket_id = l.ticket_id and x.number = l.number)), 0) as "cane!: Grams",
        coalesce(b.note, '') as "note!: String", d.ticket as "ticket?: i64",
        (select min(coalesce(l.weighed_at, l.at)) from loads l where l.ticket_id = d.id)
          as "weighed_at?: UtcSecond",
        exists (select 1 from pressed_tickets j where j.ticket_id = d.id) as "pressed!: bool",
        (b.no_show_at is not null and d.id is null) as "missed!: bool"
        from (select id as turn_id, null as ticket_id, member_id from turns
            where press_day_id = ?1 and state = 'held'
          union all select null, id, member_id from tickets
            where press_day_id = ?1 and turn_id is null) i
        join members m on m.id = i.member_id
        left join turns b on b.id = i.turn_id
        left join tickets d on d.id = i.ticket_id or d.turn_id = i.turn_id
        where not exists (select 1 from dropped_tickets o where o.ticket_id = d.id)
        order by b.start_min is null, b.start_min, b.start_again, d.ticket"#,
        day
    )
}
