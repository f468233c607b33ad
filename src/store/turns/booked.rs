//! The minutes that are held on press days beside the turns and offers that hold them, to be compared.

use crate::store::Question;
use crate::store::question::question;
use crate::units::{ClockTime, MemberName, Minutes, PressDate, PressDayId};

/// A turn that stands, or an offer.
#[derive(Debug, Clone)]
pub struct Holder {
    /// Its id.
    pub id: String,
    /// An offer.
    pub offered: bool,
    /// Number of the member.
    pub number: i64,
    /// Name of the member.
    pub name: MemberName,
    /// Its press day.
    pub press_day_id: PressDayId,
    /// Date of the press day.
    pub date: PressDate,
    /// Its start.
    pub start: ClockTime,
    /// Pressing and change-over.
    pub minutes: Minutes,
    /// A turn whose cane is there, or was weighed in once: of its minutes others may hold some since.
    pub weighed_in: bool,
}

/// Every turn and every offer that stands, in order of their days.
pub fn holders() -> Question<Vec<Holder>> {
    question!(
        Holder,
        r#"select b.id as "id!: String", 0 as "offered!: bool", m.number as "number!: i64", m.name as "name!: MemberName",
        b.press_day_id as "press_day_id!: PressDayId", d.date as "date!: PressDate",
        b.start_min + 1440 * b.start_again as "start!: ClockTime", b.minutes as "minutes!: Minutes",
        (exists (select 1 from tickets t where t.turn_id = b.id) or exists (select 1 from ticket_moves v where v.from_turn = b.id))
          as "weighed_in!: bool"
        from turns b join press_days d on d.id = b.press_day_id join members m on m.id = b.member_id where b.state = 'held'
        union all select o.id, 1, m.number, m.name, w.press_day_id, d.date, o.start_min + 1440 * o.start_again, o.minutes, 0
        from offers o join waiting w on w.id = o.waiting_id join press_days d on d.id = w.press_day_id
        join members m on m.id = w.member_id where o.answer is null order by 6, 7"#
    )
}

/// Five minutes that are held.
#[derive(Debug, Clone)]
pub struct MinutesHeld {
    /// The press day.
    pub press_day_id: PressDayId,
    /// Its date.
    pub date: PressDate,
    /// Their start.
    pub start: ClockTime,
    /// The turn or the offer that they are held for.
    pub by: String,
}

/// Every five minutes that are held.
pub fn held() -> Question<Vec<MinutesHeld>> {
    question!(
        MinutesHeld,
        r#"select k.press_day_id as "press_day_id: PressDayId", d.date as "date: PressDate", k.minute as "start: ClockTime",
        coalesce(k.turn_id, k.offer_id, '') as "by!: String"
        from booked_minutes k join press_days d on d.id = k.press_day_id order by d.date, k.minute"#
    )
}
