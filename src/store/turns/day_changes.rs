//! Turns moved together by a steward: what was done, and where each turn went.

use crate::calc::turns::repack::MoveKind;
use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, StoreError, Stored};
use crate::units::{
    ClockTime, DayChangeId, Grams, MemberId, MemberName, Minutes, Phone, PressDate, PressDayId,
    SeasonId, TicketId, TurnId, UtcSecond, WaitingId,
};

/// A turn held, as it is looked at before turns are moved together.
#[derive(Debug, Clone)]
pub struct MovableTurn {
    /// Id of the turn.
    pub id: TurnId,
    /// Its press day.
    pub press_day_id: PressDayId,
    /// Civil date of its press day.
    pub date: PressDate,
    /// The member whose turn it is.
    pub member_id: MemberId,
    /// Name of that member.
    pub member: MemberName,
    /// Whether the member's juice may be boiled together with that of others.
    pub pools: bool,
    /// Telephone of that member.
    pub phone: Phone,
    /// Its start.
    pub start: ClockTime,
    /// Minutes for pressing and change-over.
    pub minutes: Minutes,
    /// Cane to expect.
    pub cane: Grams,
    /// Its ticket, once the cane is there.
    pub ticket_id: Option<TicketId>,
    /// Whether juice of it was measured.
    pub pressed: bool,
    /// Whether the crew noted that nobody came.
    pub missed: bool,
}

/// The turns held on a season's open days from a date on, in order.
pub fn movable_turns(season: SeasonId, from: PressDate) -> Question<Vec<MovableTurn>> {
    question!(
        MovableTurn,
        r#"select b.id as "id: TurnId", b.press_day_id as "press_day_id: PressDayId", d.date as "date: PressDate",
        b.member_id as "member_id: MemberId", m.name as "member: MemberName", m.pools as "pools: bool", m.phone as "phone: Phone",
        b.start_min + 1440 * b.start_again as "start!: ClockTime", b.minutes as "minutes: Minutes",
        b.cane_g as "cane: Grams", t.id as "ticket_id?: TicketId",
        exists (select 1 from juices j where j.ticket_id = t.id) as "pressed!: bool",
        b.no_show_at is not null as "missed!: bool"
        from turns b join press_days d on d.id = b.press_day_id join members m on m.id = b.member_id
        left join tickets t on t.turn_id = b.id
        where d.season_id = ?1 and d.date >= ?2 and d.closed_at is null and b.state = 'held'
        order by d.date, b.start_min, b.start_again"#,
        season,
        from
    )
}

/// The turns that a change put on a list because they found no room, and whose members still wait there.
pub fn turns_listed(change: DayChangeId) -> Question<Vec<MovableTurn>> {
    question!(
        MovableTurn,
        r#"select b.id as "id: TurnId", b.press_day_id as "press_day_id: PressDayId", d.date as "date: PressDate",
        b.member_id as "member_id: MemberId", m.name as "member: MemberName", m.pools as "pools: bool", m.phone as "phone: Phone",
        b.start_min + 1440 * b.start_again as "start!: ClockTime", b.minutes as "minutes: Minutes",
        b.cane_g as "cane: Grams", null as "ticket_id?: TicketId", 0 as "pressed!: bool", 0 as "missed!: bool"
        from day_change_turns c join turns b on b.id = c.turn_id join press_days d on d.id = b.press_day_id
        join members m on m.id = b.member_id
        where c.change_id = ?1 and c.to_min is null and b.state <> 'held' and m.left_at is null
        and exists (select 1 from waiting w where w.from_turn_id = b.id and w.state in ('waiting', 'declined', 'missed'))
        order by c.place"#,
        change
    )
}

/// A change that moved several turns of a day together.
#[derive(Debug, Clone)]
pub struct DayChange {
    /// Id of the change.
    pub id: DayChangeId,
    /// The day that was changed.
    pub press_day_id: PressDayId,
    /// Its civil date.
    pub date: PressDate,
    /// The way in which they were moved.
    pub kind: MoveKind,
    /// Why they were moved.
    pub why: String,
    /// Name of the steward who moved them.
    pub by: MemberName,
    /// When they were moved.
    pub at: UtcSecond,
    /// How many turns it moved.
    pub turns: i64,
}

struct ChangeRow {
    id: DayChangeId,
    press_day_id: PressDayId,
    date: PressDate,
    kind: String,
    why: String,
    by: MemberName,
    at: UtcSecond,
    turns: i64,
}

impl ChangeRow {
    fn read(self) -> Stored<DayChange> {
        Ok(DayChange {
            id: self.id,
            press_day_id: self.press_day_id,
            date: self.date,
            kind: MoveKind::of_word(&self.kind).ok_or(StoreError::Corrupt {
                what: "day_changes.kind",
                found: self.kind,
            })?,
            why: self.why,
            by: self.by,
            at: self.at,
            turns: self.turns,
        })
    }
}

macro_rules! changes {
    ($rest:tt, $($bound:expr),*) => {
        question!(
            ChangeRow,
            r#"select c.id as "id: DayChangeId", c.press_day_id as "press_day_id: PressDayId", d.date as "date: PressDate",
            c.kind, c.why, m.name as "by: MemberName", c.at as "at: UtcSecond",
            (select count(*) from day_change_turns t where t.change_id = c.id) as "turns!: i64"
            from day_changes c join press_days d on d.id = c.press_day_id join members m on m.id = c.by_id where "#
                + $rest,
            $($bound),*
        )
    };
}

/// The change with this id.
pub fn find(id: DayChangeId) -> Question<Option<DayChange>> {
    changes!("c.id = ?1", id)
        .first()
        .try_map(|row| row.map(ChangeRow::read).transpose())
}

/// The changes that a day's turns went through, or that brought turns to it, latest first.
pub fn of_day(day: PressDayId) -> Question<Vec<DayChange>> {
    changes!(
        "c.press_day_id = ?1 or exists (select 1 from day_change_turns t where t.change_id = c.id
        and (t.to_day_id = ?1 or t.from_day_id = ?1)) order by c.at desc, c.id desc",
        day
    )
    .try_map(|rows| rows.into_iter().map(ChangeRow::read).collect())
}

/// Notes turns moved together; each turn is added apart.
pub async fn insert(
    conn: &mut Conn,
    id: DayChangeId,
    (day, kind): (PressDayId, MoveKind),
    why: &str,
    (by, at): (MemberId, UtcSecond),
) -> Stored<()> {
    let word = kind.word();
    sqlx::query!(
        "insert into day_changes (id, press_day_id, kind, why, by_id, at) values (?1, ?2, ?3, ?4, ?5, ?6)",
        id,
        day,
        word,
        why,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Where a change put a turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WentTo {
    /// A start on the day.
    Start(ClockTime),
    /// The day's waiting list.
    List(WaitingId),
}

/// One turn of a change.
#[derive(Debug, Clone, Copy)]
pub struct NewMoved {
    /// Its place in the order, from 0.
    pub place: i64,
    /// The turn.
    pub turn_id: TurnId,
    /// The day it was on.
    pub from_day: PressDayId,
    /// Its start there.
    pub from: ClockTime,
    /// The day it came to, or on whose list it is.
    pub to_day: PressDayId,
    /// The start, or the place on the waiting list, that it came to.
    pub to: WentTo,
}

/// Notes where a turn of a change went.
pub async fn insert_turn(conn: &mut Conn, change: DayChangeId, new: &NewMoved) -> Stored<()> {
    let (from, from_again) = (new.from.minute(), new.from.again());
    let (to, again, waiting) = match new.to {
        WentTo::Start(start) => (Some(start.minute()), Some(start.again()), None),
        WentTo::List(id) => (None, None, Some(id)),
    };
    sqlx::query!(
        r#"insert into day_change_turns (change_id, place, turn_id, from_day_id, from_min, from_again, to_day_id,
        to_min, to_again, waiting_id) values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)"#,
        change,
        new.place,
        new.turn_id,
        new.from_day,
        from,
        from_again,
        new.to_day,
        to,
        again,
        waiting
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// One turn of a change, for reading.
#[derive(Debug, Clone)]
pub struct Moved {
    /// The turn.
    pub turn_id: TurnId,
    /// The member whose turn it is.
    pub member_id: MemberId,
    /// Name of that member.
    pub member: MemberName,
    /// Telephone of that member.
    pub phone: Phone,
    /// Civil date of the day it was on.
    pub from_date: PressDate,
    /// Its start there.
    pub from: ClockTime,
    /// Civil date of the day it came to, or on whose list it is.
    pub to_date: PressDate,
    /// Its start there; none: on the list.
    pub to: Option<ClockTime>,
}

/// The turns of a change, in order.
pub fn turns(change: DayChangeId) -> Question<Vec<Moved>> {
    question!(
        Moved,
        r#"select t.turn_id as "turn_id: TurnId", m.id as "member_id: MemberId", m.name as "member: MemberName",
        m.phone as "phone: Phone", f.date as "from_date: PressDate",
        t.from_min + 1440 * t.from_again as "from!: ClockTime", d.date as "to_date: PressDate",
        t.to_min + 1440 * t.to_again as "to?: ClockTime"
        from day_change_turns t join turns b on b.id = t.turn_id join members m on m.id = b.member_id
        join press_days f on f.id = t.from_day_id join press_days d on d.id = t.to_day_id
        where t.change_id = ?1 order by t.place"#,
        change
    )
}
