//! What the home pages show: a member's next turn and last results, the mill's running day, and
//! what a steward has to decide.

use super::question::question;
use super::shares::ledger::balance_of;
use super::{Question, Together};
use crate::units::{
    Cents, ClockTime, Grams, JuiceId, LotCode, MemberId, MemberName, MinuteOfDay, Minutes,
    PressDate, PressDayId, TicketId, TurnId, UtcSecond,
};

/// A turn still to come.
#[derive(Debug, Clone)]
pub struct NextTurn {
    /// Id of the turn.
    pub id: TurnId,
    /// Its press day.
    pub date: PressDate,
    /// Its start.
    pub start: ClockTime,
    /// Its length.
    pub minutes: Minutes,
    /// Cane expected.
    pub cane: Grams,
    /// When it was confirmed.
    pub confirmed_at: Option<UtcSecond>,
}

/// A member's turns from a date on that have no ticket yet, in order.
pub fn turns_from(member: MemberId, date: PressDate) -> Question<Vec<NextTurn>> {
    question!(
        NextTurn,
        r#"select b.id as "id: TurnId", d.date as "date: PressDate", b.start_min + 1440 * b.start_again as "start!: ClockTime",
        b.minutes as "minutes: Minutes", b.cane_g as "cane: Grams", b.confirmed_at as "confirmed_at: UtcSecond"
        from turns b join press_days d on d.id = b.press_day_id
        where b.member_id = ?1 and b.state = 'held' and d.date >= ?2
        and not exists (select 1 from tickets t where t.turn_id = b.id)
        order by d.date, b.start_min, b.start_again limit 6"#,
        member,
        date
    )
}

/// The turn of a member that passed last, on a day before `today` and not before `since`, of which nobody weighed cane in or noted
/// anything; none once another turn is to come or cane of the member's was weighed in since.
pub fn passed_turn(
    member: MemberId,
    (since, today): (PressDate, PressDate),
) -> Question<Option<NextTurn>> {
    question!(
        NextTurn,
        r#"select b.id as "id: TurnId", d.date as "date: PressDate", b.start_min + 1440 * b.start_again as "start!: ClockTime",
        b.minutes as "minutes: Minutes", b.cane_g as "cane: Grams", b.confirmed_at as "confirmed_at: UtcSecond"
        from turns b join press_days d on d.id = b.press_day_id
        where b.member_id = ?1 and b.state = 'held' and d.date >= ?2 and d.date < ?3
        and not exists (select 1 from tickets t where t.turn_id = b.id)
        and not exists (select 1 from turns l join press_days e on e.id = l.press_day_id
          where l.member_id = ?1 and l.state = 'held' and e.date >= ?3)
        and not exists (select 1 from tickets t join press_days e on e.id = t.press_day_id
          where t.member_id = ?1 and e.date >= d.date)
        order by d.date desc, b.start_min desc limit 1"#,
        member,
        since,
        today
    )
    .first()
}

/// A member's part of a divided boil.
#[derive(Debug, Clone)]
pub struct LastShare {
    /// The lot.
    pub lot: LotCode,
    /// Its press day.
    pub date: PressDate,
    /// Solids the member brought.
    pub solids: Grams,
    /// Syrup that the member is entitled to.
    pub entitled: Grams,
    /// Syrup in jars set aside.
    pub jarred: Grams,
    /// It is open to be put right, and will be divided again.
    pub reopened: bool,
}

/// A member's last shares, latest first.
pub fn last_shares(member: MemberId) -> Question<Vec<LastShare>> {
    question!(
        LastShare,
        r#"select b.lot_code as "lot: LotCode", d.date as "date: PressDate", s.solids_g as "solids: Grams",
        s.entitled_g as "entitled: Grams", s.jarred_g as "jarred: Grams",
        not exists (select 1 from closed_boils c where c.boil_id = v.boil_id) as "reopened!: bool"
        from shares s join latest_divisions v on v.id = s.division_id join boils b on b.id = v.boil_id
        join press_days d on d.id = b.press_day_id
        where s.member_id = ?1 and (s.entitled_g > 0 or s.jarred_g > 0) order by v.at desc, b.lot_code desc limit 3"#,
        member
    )
}

/// Lots with a share of a member's that were divided and are open to be put right.
pub fn reopened_lots(member: MemberId) -> Question<Vec<LotCode>> {
    question!(
        r#"select b.lot_code as "lot: LotCode" from boils b where b.id in (select k.boil_id from corrections k)
        and not exists (select 1 from closed_boils c where c.boil_id = b.id)
        and exists (select 1 from latest_divisions v join shares s on s.division_id = v.id
          where v.boil_id = b.id and s.member_id = ?1) order by b.lit_at"#,
        member
    )
    .map(|rows| rows.into_iter().map(|row| row.lot).collect())
}

/// A sharer's balance.
#[derive(Debug, Clone, Copy)]
pub struct Balance {
    /// Syrup owed to the member, beyond jars set aside.
    pub grams: Grams,
    /// Money owed by the member.
    pub cents: Cents,
    /// Jars set aside and not handed over.
    pub jars: i64,
}

impl Balance {
    /// Whether anything is owed either way, or jars wait.
    pub fn is_open(&self) -> bool {
        self.grams != Grams::ZERO || self.cents != Cents::ZERO || self.jars != 0
    }
}

/// A member's balance by the ledger, and the jars that wait.
pub fn balance(member: MemberId) -> Question<Balance> {
    let jars = question!(
        r#"select coalesce(sum(max(set_aside - gone, 0)), 0) as "jars!: i64" from jars_set_aside where member_id = ?1"#,
        member
    )
    .one();
    (balance_of(member), jars)
        .together()
        .map(|((grams, cents), waiting)| Balance {
            grams,
            cents,
            jars: waiting.jars,
        })
}

/// A press day in the lists of home.
#[derive(Debug, Clone)]
pub struct DayLine {
    /// Id of the press day.
    pub id: PressDayId,
    /// Date.
    pub date: PressDate,
    /// When the mill starts.
    pub opens: MinuteOfDay,
    /// When the mill stops.
    pub closes: MinuteOfDay,
    /// Turns held.
    pub turns: i64,
    /// Tickets written.
    pub tickets: i64,
}

/// Press days that are not closed, of seasons that are not locked, in order of date.
pub fn open_days() -> Question<Vec<DayLine>> {
    question!(
        DayLine,
        r#"select d.id as "id: PressDayId", d.date as "date: PressDate", d.opens_min as "opens: MinuteOfDay",
        d.closes_min as "closes: MinuteOfDay",
        (select count(*) from turns b where b.press_day_id = d.id and b.state = 'held') as "turns!: i64",
        (select count(*) from tickets t where t.press_day_id = d.id) as "tickets!: i64"
        from press_days d where d.closed_at is null and d.season_id not in (select l.season_id from locked_seasons l)
        order by d.date"#
    )
}

/// A turn of the running day that has not come yet.
#[derive(Debug, Clone)]
pub struct Expected {
    /// The turn.
    pub id: TurnId,
    /// Name of the member whose turn it is.
    pub name: MemberName,
    /// Its start.
    pub start: ClockTime,
    /// Cane expected.
    pub cane: Grams,
}

/// The turns still expected on a press day, in order.
pub fn expected(day: PressDayId) -> Question<Vec<Expected>> {
    question!(
        Expected,
        r#"select b.id as "id: TurnId", m.name as "name: MemberName", b.start_min + 1440 * b.start_again as "start!: ClockTime",
        b.cane_g as "cane: Grams"
        from turns b join members m on m.id = b.member_id
        where b.press_day_id = ?1 and b.state = 'held'
        and not exists (select 1 from tickets t where t.turn_id = b.id)
        order by b.start_min, b.start_again"#,
        day
    )
}

/// A ticket whose cane has been weighed and whose juice has not been measured.
#[derive(Debug, Clone)]
pub struct Unpressed {
    /// Id of the ticket.
    pub id: TicketId,
    /// Ticket number.
    pub ticket: i64,
    /// Name of the member whose cane it is.
    pub name: MemberName,
    /// When its first load was on the scale.
    pub made_at: UtcSecond,
}

/// Tickets on a press day that wait for the mill, in order: none crossed out, none gone home unpressed.
pub fn unpressed(day: PressDayId) -> Question<Vec<Unpressed>> {
    question!(
        Unpressed,
        r#"select t.id as "id: TicketId", t.ticket, m.name as "name: MemberName",
        coalesce((select l.weighed_at from loads l where l.ticket_id = t.id and l.number = 1
          order by l.version desc limit 1), t.made_at) as "made_at!: UtcSecond"
        from tickets t join members m on m.id = t.member_id
        where t.press_day_id = ?1 and not exists (select 1 from pressed_tickets j where j.ticket_id = t.id)
        and not exists (select 1 from dropped_tickets o where o.ticket_id = t.id)
        order by t.ticket"#,
        day
    )
}

/// A juice that stands in a vessel, not all poured into a boil.
#[derive(Debug, Clone)]
pub struct WaitingJuice {
    /// Id of the juice.
    pub id: JuiceId,
    /// Ticket number.
    pub ticket: i64,
    /// Name of the member whose juice it is.
    pub name: MemberName,
    /// Name of the vessel that it stands in.
    pub vessel: String,
    /// When it was pressed.
    pub pressed_at: UtcSecond,
}

/// Juices of a press day that still stand in a vessel, oldest first.
pub fn waiting(day: PressDayId) -> Question<Vec<WaitingJuice>> {
    question!(
        WaitingJuice,
        r#"select j.id as "id: JuiceId", t.ticket, m.name as "name: MemberName", v.name as vessel,
        coalesce(q.pressed_at, j.pressed_at) as "pressed_at!: UtcSecond"
        from juices j join tickets t on t.id = j.ticket_id join members m on m.id = t.member_id
        join vessels v on v.id = j.vessel_id
        join juice_measures q on q.juice_id = j.id
         and q.version = (select max(x.version) from juice_measures x where x.juice_id = j.id)
        where t.press_day_id = ?1 and q.void = 0
        and not exists (select 1 from draws r where r.juice_id = j.id and r.whole = 1
         and r.version = (select max(x.version) from draws x where x.boil_id = r.boil_id and x.juice_id = r.juice_id))
        order by coalesce(q.pressed_at, j.pressed_at)"#,
        day
    )
}

/// A boil that is not divided.
#[derive(Debug, Clone)]
pub struct OpenBoil {
    /// The lot.
    pub lot: LotCode,
    /// Its press day.
    pub date: PressDate,
    /// When it was lit.
    pub lit_at: UtcSecond,
    /// Whether it was finished.
    pub finished: bool,
}

/// Boils that are not divided, oldest first; a season that is locked has none, so that its boils are not looked at.
pub fn open_boils() -> Question<Vec<OpenBoil>> {
    question!(
        OpenBoil,
        r#"select b.lot_code as "lot: LotCode", d.date as "date: PressDate", b.lit_at as "lit_at: UtcSecond",
        exists (select 1 from finishes f where f.boil_id = b.id) as "finished!: bool"
        from boils b join press_days d on d.id = b.press_day_id
        where b.season_id in (select s.id from seasons s where not exists (select 1 from season_locks k
          where k.season_id = s.id and k.locked = 1 and k.number = (select max(x.number) from season_locks x where x.season_id = s.id)))
        and not exists (select 1 from closed_boils v where v.boil_id = b.id)
        order by b.lit_at"#
    )
}

/// Counts that a steward looks at.
#[derive(Debug, Clone, Copy)]
pub struct Desk {
    /// Members who cannot sign in yet.
    pub without_account: i64,
    /// Members who owe money.
    pub owing: i64,
    /// Money that they owe together.
    pub owed: Cents,
    /// Jars set aside and not handed over, the mill's included.
    pub jars: i64,
}

/// Counts the members, money and jars that a steward looks at.
pub fn desk() -> Question<Desk> {
    question!(Desk,
        r#"select (select count(*) from members m where m.left_at is null
         and not exists (select 1 from accounts a where a.member_id = m.id)) as "without_account!: i64",
        (select count(*) from (select 1 from ledger where member_id is not null group by member_id
         having sum(cents) > 0)) as "owing!: i64",
        (select coalesce(sum(c), 0) from (select sum(cents) as c from ledger where member_id is not null
         group by member_id having sum(cents) > 0)) as "owed!: Cents",
        (select coalesce(sum(max(set_aside - gone, 0)), 0) from jars_set_aside) as "jars!: i64""#).one()
}
