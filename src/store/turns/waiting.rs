//! Who waits for room on a press day, in order of the day's list.

use crate::calc::turns::turn_cane::{AmountTold, Estimate};
use crate::calc::turns::waiting::State;
use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, StoreError, Stored, one_row};
use crate::units::{
    Grams, MemberId, MemberName, Phone, PressDate, PressDayId, TurnId, UtcSecond, WaitingId,
};

/// A place on a day's list, as it is made.
#[derive(Debug, Clone, Copy)]
pub struct NewWaiting {
    /// Id of the place.
    pub id: WaitingId,
    /// The press day.
    pub press_day_id: PressDayId,
    /// The member whose cane it is.
    pub member_id: MemberId,
    /// Cane to expect.
    pub cane: Grams,
    /// How the member told the amount of cane.
    pub told: AmountTold,
    /// The learned figure for a row that the cane was estimated with, kg a metre.
    pub row_kg_per_m: Option<f64>,
    /// The turn that no longer fitted; none: the member asked to wait.
    pub from_turn_id: Option<TurnId>,
    /// Beside other places of the member on that day: a turn of the season's proposal, of which a large planting needs several.
    pub beside: bool,
    /// The member who puts it on the list.
    pub by: MemberId,
    /// When it is put on the list.
    pub at: UtcSecond,
}

/// A place on a day's list.
#[derive(Debug, Clone)]
pub struct Entry {
    /// Id of the place.
    pub id: WaitingId,
    /// The press day.
    pub press_day_id: PressDayId,
    /// Civil date of the press day.
    pub date: PressDate,
    /// The member who waits.
    pub member_id: MemberId,
    /// Name of who waits.
    pub member: MemberName,
    /// Telephone of who waits.
    pub phone: Phone,
    /// Whether that member has left the co-op since.
    pub gone: bool,
    /// Order of the day's list, least first.
    pub rank: i64,
    /// Cane to expect.
    pub cane: Grams,
    /// How the member told the amount of cane.
    pub told: AmountTold,
    /// The learned figure for a row that the cane was estimated with, kg a metre.
    pub row_kg_per_m: Option<f64>,
    /// State of the place.
    pub state: State,
    /// The turn that no longer fitted; none: the member asked to wait.
    pub from_turn_id: Option<TurnId>,
    /// The turn that it became, if it became one.
    pub turn_id: Option<TurnId>,
    /// Why it was last changed; empty: not said.
    pub why: String,
    /// Number of the latest change, one more with each.
    pub version: i64,
    /// When it was put on the list.
    pub made_at: UtcSecond,
}

impl Entry {
    /// The estimate of its cane.
    pub fn estimate(&self) -> Estimate {
        Estimate {
            cane: self.cane,
            told: self.told,
            row_kg_per_m: self.row_kg_per_m,
        }
    }
}

struct EntryRow {
    id: WaitingId,
    press_day_id: PressDayId,
    date: PressDate,
    member_id: MemberId,
    member: MemberName,
    phone: Phone,
    gone: bool,
    rank: i64,
    cane: Grams,
    told_as: String,
    told_amount: f64,
    row_kg_per_m: Option<f64>,
    state: String,
    from_turn_id: Option<TurnId>,
    turn_id: Option<TurnId>,
    why: String,
    version: i64,
    made_at: UtcSecond,
}

impl EntryRow {
    fn read(self) -> Stored<Entry> {
        let told = AmountTold::stored(&self.told_as, self.told_amount).map_err(|_| {
            StoreError::Corrupt {
                what: "waiting.told_as",
                found: format!("{} {}", self.told_as, self.told_amount),
            }
        })?;
        let state = State::of_word(&self.state).ok_or(StoreError::Corrupt {
            what: "waiting.state",
            found: self.state,
        })?;
        Ok(Entry {
            id: self.id,
            press_day_id: self.press_day_id,
            date: self.date,
            member_id: self.member_id,
            member: self.member,
            phone: self.phone,
            gone: self.gone,
            rank: self.rank,
            cane: self.cane,
            told,
            row_kg_per_m: self.row_kg_per_m,
            state,
            from_turn_id: self.from_turn_id,
            turn_id: self.turn_id,
            why: self.why,
            version: self.version,
            made_at: self.made_at,
        })
    }
}

async fn insert_at(conn: &mut Conn, new: &NewWaiting, rank: i64) -> Stored<()> {
    let (word, amount) = (new.told.word(), new.told.amount());
    sqlx::query!(
        r#"insert into waiting (id, press_day_id, member_id, rank, cane_g, told_as, told_amount, state,
        from_turn_id, made_by, made_at, row_kg_per_m, part) values (?1, ?2, ?3, ?4, ?5, ?6, ?7, 'waiting', ?8, ?9, ?10, ?11,
        case when ?12 then (select coalesce(max(o.part), -1) + 1 from waiting o where o.press_day_id = ?2 and o.member_id = ?3
          and o.state in ('waiting', 'declined', 'missed') and o.from_turn_id is null) else 0 end)"#,
        new.id,
        new.press_day_id,
        new.member_id,
        rank,
        new.cane,
        word,
        amount,
        new.from_turn_id,
        new.by,
        new.at,
        new.row_kg_per_m,
        new.beside
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// The rank after the last of a day's list.
pub fn end_rank(day: PressDayId) -> Question<i64> {
    question!(
        r#"select coalesce(max(rank), 0) + 1 as "rank!: i64" from waiting where press_day_id = ?1"#,
        day
    )
    .one()
    .map(|row| row.rank)
}

/// Adds a place at the end of its day's list.
pub async fn insert(conn: &mut Conn, new: &NewWaiting) -> Stored<()> {
    let rank = end_rank(new.press_day_id).ask(conn).await?;
    insert_at(conn, new, rank).await
}

/// Adds places at the head of a day's list, all of one day, in the order given, before all who are
/// on it.
pub async fn insert_head(conn: &mut Conn, all: &[NewWaiting]) -> Stored<()> {
    for new in all.iter().rev() {
        let rank = sqlx::query_scalar!(
            r#"select coalesce(min(rank), 1) - 1 as "rank!: i64" from waiting where press_day_id = ?1"#,
            new.press_day_id
        )
        .fetch_one(&mut *conn)
        .await?;
        insert_at(conn, new, rank).await?;
    }
    Ok(())
}

macro_rules! entries {
    ($rest:tt, $($bound:expr),*) => {
        question!(
            EntryRow,
            r#"select w.id as "id: WaitingId", w.press_day_id as "press_day_id: PressDayId", d.date as "date: PressDate",
            w.member_id as "member_id: MemberId", m.name as "member: MemberName", m.phone as "phone: Phone",
            m.left_at is not null as "gone!: bool", w.rank,
            w.cane_g as "cane: Grams", w.told_as, w.told_amount, w.row_kg_per_m, w.state, w.from_turn_id as "from_turn_id: TurnId",
            w.turn_id as "turn_id: TurnId", w.why, w.version, w.made_at as "made_at: UtcSecond"
            from waiting w join press_days d on d.id = w.press_day_id join members m on m.id = w.member_id where "#
                + $rest,
            $($bound),*
        )
        .try_map(|rows| rows.into_iter().map(EntryRow::read).collect::<Stored<Vec<Entry>>>())
    };
}

/// A day's list in its order, with those who are on it no more.
pub fn of_day(day: PressDayId) -> Question<Vec<Entry>> {
    entries!("w.press_day_id = ?1 order by w.rank", day)
}

/// The place with this id.
pub fn find(id: WaitingId) -> Question<Option<Entry>> {
    entries!("w.id = ?1", id).first()
}

/// The place on a list of a turn that no longer fitted, while its member still waits there.
pub fn instead_of(turn: TurnId) -> Question<Option<Entry>> {
    entries!(
        "w.from_turn_id = ?1 and w.state in ('waiting', 'declined', 'missed') order by d.date, w.rank",
        turn
    )
    .first()
}

/// The places on lists that a member still has, from a date on, in order of date.
pub fn of_member(member: MemberId, from: PressDate) -> Question<Vec<Entry>> {
    entries!("w.member_id = ?1 and w.state in ('waiting', 'declined', 'missed') and d.date >= ?2 and d.closed_at is null
        order by d.date, w.rank",
        member,
        from
    )
}

/// The open press days from a date on with somebody who waits and to whom no offer stands.
pub fn days_unasked(from: PressDate) -> Question<Vec<PressDayId>> {
    question!(r#"select distinct w.press_day_id as "id: PressDayId" from waiting w join press_days d on d.id = w.press_day_id
        where w.state = 'waiting' and d.closed_at is null and d.date >= ?1
        and not exists (select 1 from offers o where o.waiting_id = w.id and o.answer is null)"#,
        from).map(|rows| rows.into_iter().map(|row| row.id).collect())
}

/// Writes how a place stands, its rank, its turn and why, over the version it was read at.
pub async fn update(conn: &mut Conn, entry: &Entry) -> Stored<()> {
    let state = entry.state.word();
    let done = sqlx::query!(
        r#"update waiting set state = ?2, rank = ?3, turn_id = ?4, why = ?5, version = version + 1
        where id = ?1 and version = ?6"#,
        entry.id,
        state,
        entry.rank,
        entry.turn_id,
        entry.why,
        entry.version
    )
    .execute(conn)
    .await?;
    one_row(&done, "update a place on a waiting list")
}
