//! Turns on press days: who holds which minutes, and what happened to each turn.

use crate::calc::turns::turn_cane::AmountTold;
use crate::store::Question;
use crate::store::question::{change, question};
use crate::store::{Conn, StoreError, Stored, one_row};
use crate::units::{
    ClockTime, Grams, MemberId, MemberName, Minutes, Phone, PressDate, PressDayId, TicketId,
    TurnId, UtcSecond,
};

/// A turn.
#[derive(Debug, Clone)]
pub struct Turn {
    /// Id of the turn.
    pub id: TurnId,
    /// Its press day.
    pub press_day_id: PressDayId,
    /// Civil date of the press day.
    pub date: PressDate,
    /// The member whose turn it is.
    pub member_id: MemberId,
    /// Name of that member.
    pub member: MemberName,
    /// Its start.
    pub start: ClockTime,
    /// Minutes for pressing and change-over.
    pub minutes: Minutes,
    /// Cane to expect.
    pub cane: Grams,
    /// How the member told the amount of cane.
    pub told: AmountTold,
    /// The learned figure that a row was reckoned with, kg of cane a metre; none: the season's rules
    /// of when it was booked, or not told by row.
    pub row_kg_per_m: Option<f64>,
    /// Whether it stands; else it was cancelled.
    pub held: bool,
    /// Number of the latest event of the turn, one more with each.
    pub version: i64,
    /// When it was booked.
    pub made_at: UtcSecond,
    /// When its member confirmed it where it is; none: not yet.
    pub confirmed_at: Option<UtcSecond>,
    /// The person who confirmed it; `None`: nobody did, or it was not noted.
    pub confirmed_by: Option<(MemberId, MemberName)>,
    /// When the crew noted that nobody came; none: not noted.
    pub no_show_at: Option<UtcSecond>,
}

/// A turn held on a press day, as the crew reads it.
#[derive(Debug, Clone)]
pub struct HeldTurn {
    /// Id of the turn.
    pub id: TurnId,
    /// The member whose turn it is.
    pub member_id: MemberId,
    /// Name of that member.
    pub member: MemberName,
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
}

struct TurnRow {
    id: TurnId,
    press_day_id: PressDayId,
    date: PressDate,
    member_id: MemberId,
    member: MemberName,
    start: ClockTime,
    minutes: Minutes,
    cane: Grams,
    told_as: String,
    told_amount: f64,
    row_kg_per_m: Option<f64>,
    held: bool,
    version: i64,
    made_at: UtcSecond,
    confirmed_at: Option<UtcSecond>,
    confirmed_by_id: Option<MemberId>,
    confirmed_by: Option<MemberName>,
    no_show_at: Option<UtcSecond>,
}

impl TurnRow {
    fn read(self) -> Stored<Turn> {
        let told = AmountTold::stored(&self.told_as, self.told_amount).map_err(|_| {
            StoreError::Corrupt {
                what: "turns.told_as",
                found: format!("{} {}", self.told_as, self.told_amount),
            }
        })?;
        Ok(Turn {
            id: self.id,
            press_day_id: self.press_day_id,
            date: self.date,
            member_id: self.member_id,
            member: self.member,
            start: self.start,
            minutes: self.minutes,
            cane: self.cane,
            told,
            row_kg_per_m: self.row_kg_per_m,
            held: self.held,
            version: self.version,
            made_at: self.made_at,
            confirmed_at: self.confirmed_at,
            confirmed_by: self.confirmed_by_id.zip(self.confirmed_by),
            no_show_at: self.no_show_at,
        })
    }
}

/// The turn with this id.
pub fn find(id: TurnId) -> Question<Option<Turn>> {
    question!(TurnRow,
        r#"select b.id as "id: TurnId", b.press_day_id as "press_day_id: PressDayId", d.date as "date: PressDate",
        b.member_id as "member_id: MemberId", m.name as "member: MemberName", b.start_min + 1440 * b.start_again as "start!: ClockTime",
        b.minutes as "minutes: Minutes", b.cane_g as "cane: Grams", b.told_as, b.told_amount, b.row_kg_per_m,
        b.state = 'held' as "held!: bool", b.version, b.made_at as "made_at: UtcSecond",
        b.confirmed_at as "confirmed_at: UtcSecond", b.no_show_at as "no_show_at: UtcSecond",
        b.confirmed_by as "confirmed_by_id: MemberId", c.name as "confirmed_by?: MemberName"
        from turns b join press_days d on d.id = b.press_day_id join members m on m.id = b.member_id
        left join members c on c.id = b.confirmed_by
        where b.id = ?1"#,
        id).first().try_map(|row| row.map(TurnRow::read).transpose())
}

/// The turns held on a press day, in order of start.
pub fn held_of_day(day: PressDayId) -> Question<Vec<HeldTurn>> {
    question!(
        HeldTurn,
        r#"select b.id as "id: TurnId", b.member_id as "member_id: MemberId", m.name as "member: MemberName",
        m.phone as "phone: Phone", b.start_min + 1440 * b.start_again as "start!: ClockTime", b.minutes as "minutes: Minutes",
        b.cane_g as "cane: Grams", t.id as "ticket_id: TicketId"
        from turns b join members m on m.id = b.member_id left join tickets t on t.turn_id = b.id
        where b.press_day_id = ?1 and b.state = 'held' order by b.start_min, b.start_again"#,
        day
    )
}

/// A turn held on a day, for reckoning room.
#[derive(Debug, Clone, Copy)]
pub struct SeasonTurn {
    /// Id of the turn.
    pub id: TurnId,
    /// Its press day.
    pub press_day_id: PressDayId,
    /// The member whose turn it is.
    pub member_id: MemberId,
    /// Its start.
    pub start: ClockTime,
    /// Minutes for pressing and change-over.
    pub minutes: Minutes,
    /// Cane to expect.
    pub cane: Grams,
    /// Whether its cane is there.
    pub weighed_in: bool,
}

/// The turns held on the days of a JSON array of ids, in order.
pub fn held_of_days(days: &str) -> Question<Vec<SeasonTurn>> {
    question!(
        SeasonTurn,
        r#"select b.id as "id: TurnId", b.press_day_id as "press_day_id: PressDayId", b.member_id as "member_id: MemberId",
        b.start_min + 1440 * b.start_again as "start!: ClockTime", b.minutes as "minutes: Minutes", b.cane_g as "cane: Grams",
        exists (select 1 from tickets t where t.turn_id = b.id) as "weighed_in!: bool"
        from turns b where b.press_day_id in (select value from json_each(?1)) and b.state = 'held'
        order by b.press_day_id, b.start_min, b.start_again"#,
        days
    )
}

/// The ticket of a turn, once its cane is there.
pub fn ticket(id: TurnId) -> Question<Option<TicketId>> {
    question!(
        r#"select id as "id: TicketId" from tickets where turn_id = ?1"#,
        id
    )
    .first()
    .map(|row| row.map(|row| row.id))
}

/// Adds a turn; the minutes it holds are added apart.
pub fn insert(turn: &Turn, by: MemberId) -> Question<()> {
    let (word, amount) = (turn.told.word(), turn.told.amount());
    let (minute, again) = (turn.start.minute(), turn.start.again());
    change!(
        r"insert into turns (id, press_day_id, member_id, start_min, minutes, cane_g, told_as, told_amount,
        state, made_by, made_at, start_again, row_kg_per_m) values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, 'held', ?9, ?10, ?11, ?12)",
        turn.id,
        turn.press_day_id,
        turn.member_id,
        minute,
        turn.minutes,
        turn.cane,
        word,
        amount,
        by,
        turn.made_at,
        again,
        turn.row_kg_per_m
    )
}

/// Writes where a turn is and whether it stands, over the version it was read at. Not confirmed any more, nobody
/// has confirmed it.
pub async fn update(conn: &mut Conn, turn: &Turn) -> Stored<()> {
    let state = if turn.held { "held" } else { "cancelled" };
    let (minute, again) = (turn.start.minute(), turn.start.again());
    let done = sqlx::query!(
        r#"update turns set press_day_id = ?2, start_min = ?3, minutes = ?4, state = ?5, version = version + 1,
        confirmed_at = ?7, confirmed_by = case when ?7 is null then null else confirmed_by end,
        no_show_at = ?8, start_again = ?9
        where id = ?1 and version = ?6"#,
        turn.id,
        turn.press_day_id,
        minute,
        turn.minutes,
        state,
        turn.version,
        turn.confirmed_at,
        turn.no_show_at,
        again
    )
    .execute(conn)
    .await?;
    one_row(&done, "update a turn")
}

/// Notes that a turn is confirmed, by whom and when.
pub async fn confirm(conn: &mut Conn, id: TurnId, by: MemberId, at: UtcSecond) -> Stored<()> {
    let done = sqlx::query!(
        "update turns set confirmed_at = ?2, confirmed_by = ?3 where id = ?1",
        id,
        at,
        by
    )
    .execute(conn)
    .await?;
    one_row(&done, "confirm a turn")
}

/// Notes that nobody came to a turn, or takes it back.
pub async fn miss(conn: &mut Conn, id: TurnId, no_show_at: Option<UtcSecond>) -> Stored<()> {
    let done = sqlx::query!(
        "update turns set no_show_at = ?2 where id = ?1",
        id,
        no_show_at
    )
    .execute(conn)
    .await?;
    one_row(&done, "note that nobody came to a turn")
}

/// Frees those of some five minutes of a day, a JSON array of their starts, that turns held whose cane is there by now: such a turn
/// is pressed in the order of the line, whatever was planned.
pub fn free_of_weighed_in(day: PressDayId, fives: &str) -> Question<()> {
    change!(
        "delete from booked_minutes where press_day_id = ?1 and minute in (select value from json_each(?2))
        and exists (select 1 from tickets t where t.turn_id = booked_minutes.turn_id)",
        day,
        fives
    )
}

/// Takes the five minutes from a start for a turn; the key refuses minutes already taken.
pub fn take_five(day: PressDayId, minute: ClockTime, id: TurnId) -> Question<()> {
    change!(
        "insert into booked_minutes (press_day_id, minute, turn_id) values (?1, ?2, ?3)",
        day,
        minute,
        id
    )
}

/// Frees all minutes that a turn holds.
pub async fn free_minutes(conn: &mut Conn, id: TurnId) -> Stored<()> {
    sqlx::query!("delete from booked_minutes where turn_id = ?1", id)
        .execute(conn)
        .await?;
    Ok(())
}
