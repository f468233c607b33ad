//! Room offered to those who wait for a press day: which minutes, until when, what came of it.

use crate::calc::turns::waiting::Answer;
use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, StoreError, Stored, one_row};
use crate::units::{
    ClockTime, Grams, MemberId, MemberName, Minutes, OfferId, PlantingId, PressDate, PressDayId,
    UtcSecond, WaitingId,
};

/// Room offered to one who waits.
#[derive(Debug, Clone)]
pub struct Offer {
    /// Id of the offer.
    pub id: OfferId,
    /// The place on the waiting list that it is made to.
    pub waiting_id: WaitingId,
    /// The press day.
    pub press_day_id: PressDayId,
    /// Civil date of the press day.
    pub date: PressDate,
    /// The member it is made to.
    pub member_id: MemberId,
    /// That member's name.
    pub member: MemberName,
    /// Its start.
    pub start: ClockTime,
    /// Minutes for pressing and change-over.
    pub minutes: Minutes,
    /// Cane to expect.
    pub cane: Grams,
    /// When it was made.
    pub made_at: UtcSecond,
    /// When the offer runs out.
    pub ends_at: UtcSecond,
    /// How it was answered; `None`: it stands.
    pub answer: Option<Answer>,
    /// Why it was withdrawn, if it was.
    pub why: String,
    /// Name of who answered; `None`: nobody did, or not yet.
    pub answered_by: Option<MemberName>,
    /// When it was answered.
    pub answered_at: Option<UtcSecond>,
    /// Whether it comes from the season's proposal, for plantings that are named.
    pub proposed: bool,
    /// Those plantings, by variety; empty for an offer of another kind.
    pub planted: String,
}

struct OfferRow {
    id: OfferId,
    waiting_id: WaitingId,
    press_day_id: PressDayId,
    date: PressDate,
    member_id: MemberId,
    member: MemberName,
    start: ClockTime,
    minutes: Minutes,
    cane: Grams,
    made_at: UtcSecond,
    ends_at: UtcSecond,
    answer: Option<String>,
    why: String,
    answered_by: Option<MemberName>,
    answered_at: Option<UtcSecond>,
    proposed: bool,
    planted: String,
}

impl OfferRow {
    fn read(self) -> Stored<Offer> {
        let answer = match self.answer {
            None => None,
            Some(word) => Some(Answer::of_word(&word).ok_or(StoreError::Corrupt {
                what: "offers.answer",
                found: word,
            })?),
        };
        Ok(Offer {
            id: self.id,
            waiting_id: self.waiting_id,
            press_day_id: self.press_day_id,
            date: self.date,
            member_id: self.member_id,
            member: self.member,
            start: self.start,
            minutes: self.minutes,
            cane: self.cane,
            made_at: self.made_at,
            ends_at: self.ends_at,
            answer,
            why: self.why,
            answered_by: self.answered_by,
            answered_at: self.answered_at,
            proposed: self.proposed,
            planted: self.planted,
        })
    }
}

macro_rules! offers {
    ($rest:tt, $($bound:expr),*) => {
        question!(
            OfferRow,
            r#"select o.id as "id: OfferId", o.waiting_id as "waiting_id: WaitingId", w.press_day_id as "press_day_id: PressDayId",
            d.date as "date: PressDate", w.member_id as "member_id: MemberId", m.name as "member: MemberName",
            o.start_min + 1440 * o.start_again as "start!: ClockTime", o.minutes as "minutes: Minutes", w.cane_g as "cane: Grams",
            o.made_at as "made_at: UtcSecond", o.ends_at as "ends_at: UtcSecond", o.answer, o.why,
            a.name as "answered_by?: MemberName", o.answered_at as "answered_at: UtcSecond",
            exists (select 1 from offer_plantings p where p.offer_id = o.id) as "proposed!: bool",
            coalesce((select group_concat(v.variety, ', ') from offer_plantings p join planting_versions v on v.planting_id = p.planting_id
              where p.offer_id = o.id and v.version = (select max(x.version) from planting_versions x where x.planting_id = p.planting_id)), '')
              as "planted!: String"
            from offers o join waiting w on w.id = o.waiting_id join press_days d on d.id = w.press_day_id
            join members m on m.id = w.member_id left join members a on a.id = o.answered_by where "#
                + $rest,
            $($bound),*
        )
        .try_map(|rows| rows.into_iter().map(OfferRow::read).collect::<Stored<Vec<Offer>>>())
    };
}

/// Notes for which plantings a turn is offered.
pub async fn name_plantings(
    conn: &mut Conn,
    offer: OfferId,
    plantings: &[(PlantingId, Grams)],
) -> Stored<()> {
    for (planting, cane) in plantings {
        sqlx::query!(
            "insert into offer_plantings (offer_id, planting_id, cane_g) values (?1, ?2, ?3) on conflict do nothing",
            offer,
            planting,
            cane
        )
        .execute(&mut *conn)
        .await?;
    }
    Ok(())
}

/// The plantings for which a turn is offered.
pub async fn plantings(conn: &mut Conn, offer: OfferId) -> Stored<Vec<PlantingId>> {
    Ok(sqlx::query_scalar!(
        r#"select planting_id as "id: PlantingId" from offer_plantings where offer_id = ?1 order by planting_id"#,
        offer
    )
    .fetch_all(conn)
    .await?)
}

/// The offer with this id.
pub fn find(id: OfferId) -> Question<Option<Offer>> {
    offers!("o.id = ?1", id).first()
}

/// All offers of a day, answered ones included, in the order they were made.
pub fn of_day(day: PressDayId) -> Question<Vec<Offer>> {
    offers!("w.press_day_id = ?1 order by o.made_at, o.id", day)
}

/// The offers of a day that were not answered, run out or not, in order of start.
pub fn standing_of_day(day: PressDayId) -> Question<Vec<Offer>> {
    offers!(
        "w.press_day_id = ?1 and o.answer is null order by o.start_min, o.start_again",
        day
    )
}

/// The offers to a member that were not answered and have not run out, first to run out first.
pub fn standing_of_member(member: MemberId, at: UtcSecond) -> Question<Vec<Offer>> {
    offers!(
        "w.member_id = ?1 and o.answer is null and o.ends_at > ?2 and d.closed_at is null order by o.ends_at, o.id",
        member,
        at
    )
}

/// Minutes that an offer holds, for reckoning room.
#[derive(Debug, Clone, Copy)]
pub struct SeasonOffer {
    /// Its press day.
    pub press_day_id: PressDayId,
    /// The member it is made to.
    pub member_id: MemberId,
    /// Its start.
    pub start: ClockTime,
    /// Minutes for pressing and change-over.
    pub minutes: Minutes,
    /// Cane to expect.
    pub cane: Grams,
}

/// The offers that hold minutes of the days of a JSON array of ids.
pub fn standing_of_days(days: &str) -> Question<Vec<SeasonOffer>> {
    question!(
        SeasonOffer,
        r#"select w.press_day_id as "press_day_id: PressDayId", w.member_id as "member_id: MemberId",
        o.start_min + 1440 * o.start_again as "start!: ClockTime", o.minutes as "minutes: Minutes", w.cane_g as "cane: Grams"
        from offers o join waiting w on w.id = o.waiting_id
        where w.press_day_id in (select value from json_each(?1)) and o.answer is null"#,
        days
    )
}

/// The press days with offers that ran out by then and are not noted so.
pub async fn days_run_out(conn: &mut Conn, at: UtcSecond) -> Stored<Vec<PressDayId>> {
    Ok(sqlx::query_scalar!(
        r#"select distinct w.press_day_id as "id: PressDayId" from offers o join waiting w on w.id = o.waiting_id
        where o.answer is null and o.ends_at <= ?1 order by 1"#,
        at
    )
    .fetch_all(conn)
    .await?)
}

/// Adds an offer; the minutes it holds are added apart.
pub async fn insert(
    conn: &mut Conn,
    id: OfferId,
    waiting: WaitingId,
    (start, minutes): (ClockTime, Minutes),
    (at, ends_at): (UtcSecond, UtcSecond),
) -> Stored<()> {
    let (minute, again) = (start.minute(), start.again());
    sqlx::query!(
        r#"insert into offers (id, waiting_id, start_min, start_again, minutes, made_at, ends_at)
        values (?1, ?2, ?3, ?4, ?5, ?6, ?7)"#,
        id,
        waiting,
        minute,
        again,
        minutes,
        at,
        ends_at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Notes what came of an offer that stands; `by`: nobody, when the time ran out.
pub async fn answer(
    conn: &mut Conn,
    id: OfferId,
    answer: Answer,
    why: &str,
    by: Option<MemberId>,
    at: UtcSecond,
) -> Stored<()> {
    let word = answer.word();
    let done = sqlx::query!(
        r#"update offers set answer = ?2, why = ?3, answered_by = ?4, answered_at = ?5
        where id = ?1 and answer is null"#,
        id,
        word,
        why,
        by,
        at
    )
    .execute(conn)
    .await?;
    one_row(&done, "answer an offer")
}

/// Takes the five minutes from a start for an offer; the key refuses minutes already taken.
pub async fn take_five(
    conn: &mut Conn,
    day: PressDayId,
    minute: ClockTime,
    id: OfferId,
) -> Stored<()> {
    sqlx::query!(
        "insert into booked_minutes (press_day_id, minute, offer_id) values (?1, ?2, ?3)",
        day,
        minute,
        id
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Frees all minutes that an offer holds.
pub async fn free_minutes(conn: &mut Conn, id: OfferId) -> Stored<()> {
    sqlx::query!("delete from booked_minutes where offer_id = ?1", id)
        .execute(conn)
        .await?;
    Ok(())
}
