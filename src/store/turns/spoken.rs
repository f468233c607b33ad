//! Cane of a season that has its turn, or has been asked about: turns held, offers, and the plantings that offers of the season's
//! proposal were made for.

use crate::store::Question;
use crate::store::question::question;
use crate::units::{
    ClockTime, Grams, MemberId, MemberName, Minutes, OfferId, PlantingId, PressDate, SeasonId,
    TurnId, UtcSecond,
};

/// A turn that is held.
#[derive(Debug, Clone)]
pub struct HeldTurn {
    /// Id of the turn.
    pub id: TurnId,
    /// Its press day.
    pub date: PressDate,
    /// The member whose turn it is.
    pub member_id: MemberId,
    /// That member's name.
    pub member: MemberName,
    /// Its start.
    pub start: ClockTime,
    /// Minutes for pressing and change-over.
    pub minutes: Minutes,
    /// Cane to expect.
    pub cane: Grams,
}

/// The turns held on the press days of a season, in order; without those whose cane was not pressed: on a day that was closed since, or
/// whose member was noted as not come. That cane still stands in the field.
pub fn turns(season: SeasonId) -> Question<Vec<HeldTurn>> {
    question!(
        HeldTurn,
        r#"select b.id as "id: TurnId", d.date as "date: PressDate", b.member_id as "member_id: MemberId", m.name as "member: MemberName",
        b.start_min + 1440 * b.start_again as "start!: ClockTime", b.minutes as "minutes: Minutes", b.cane_g as "cane: Grams"
        from turns b join press_days d on d.id = b.press_day_id join members m on m.id = b.member_id
        where d.season_id = ?1 and b.state = 'held'
          and ((d.closed_at is null and b.no_show_at is null)
            or exists (select 1 from tickets t where t.turn_id = b.id
              and not exists (select 1 from dropped_tickets o where o.ticket_id = t.id)))
        order by d.date, b.start_min, b.start_again"#,
        season
    )
}

/// An offer that stands, or one of the proposal that nobody took.
#[derive(Debug, Clone)]
pub struct MadeOffer {
    /// Id of the offer.
    pub id: OfferId,
    /// Its press day.
    pub date: PressDate,
    /// The member it was made to.
    pub member_id: MemberId,
    /// That member's name.
    pub member: MemberName,
    /// Its start.
    pub start: ClockTime,
    /// Minutes for pressing and change-over.
    pub minutes: Minutes,
    /// Cane to expect.
    pub cane: Grams,
    /// When the offer runs out.
    pub ends_at: UtcSecond,
    /// How it was answered, by the stored word; `None`: it stands.
    pub answer: Option<String>,
}

/// The offers on the press days of a season that stand, and those that ran out or were declined, in order.
pub fn offers(season: SeasonId) -> Question<Vec<MadeOffer>> {
    question!(
        MadeOffer,
        r#"select o.id as "id: OfferId", d.date as "date: PressDate", w.member_id as "member_id: MemberId", m.name as "member: MemberName",
        o.start_min + 1440 * o.start_again as "start!: ClockTime", o.minutes as "minutes: Minutes", w.cane_g as "cane: Grams",
        o.ends_at as "ends_at: UtcSecond", o.answer
        from offers o join waiting w on w.id = o.waiting_id join press_days d on d.id = w.press_day_id join members m on m.id = w.member_id
        where d.season_id = ?1 and (o.answer is null or o.answer in ('lapsed', 'declined'))
        order by d.date, o.start_min, o.start_again, o.made_at"#,
        season
    )
}

/// Cane of a planting that an offer was made for.
#[derive(Debug, Clone)]
pub struct NamedPlanting {
    /// The offer.
    pub offer_id: OfferId,
    /// The turn that it came to.
    pub turn_id: Option<TurnId>,
    /// The planting.
    pub planting_id: PlantingId,
    /// How much of its cane; `None`: that was not kept.
    pub cane: Option<Grams>,
}

/// The plantings of a season that offers of its proposal were made for.
pub fn plantings(season: SeasonId) -> Question<Vec<NamedPlanting>> {
    question!(
        NamedPlanting,
        r#"select n.offer_id as "offer_id: OfferId", w.turn_id as "turn_id: TurnId", n.planting_id as "planting_id: PlantingId",
        n.cane_g as "cane: Grams"
        from plantings p join offer_plantings n on n.planting_id = p.id join offers o on o.id = n.offer_id join waiting w on w.id = o.waiting_id
        where p.season_id = ?1 order by n.offer_id, n.planting_id"#,
        season
    )
}

/// A task that a member can do at the mill.
#[derive(Debug, Clone)]
pub struct MemberTask {
    /// The member's id.
    pub member_id: MemberId,
    /// The task, by the stored word.
    pub task: String,
}

/// The tasks that members can do at the mill, of those who said so.
pub fn tasks() -> Question<Vec<MemberTask>> {
    question!(
        MemberTask,
        r#"select member_id as "member_id: MemberId", task from member_tasks order by member_id, task"#
    )
}
