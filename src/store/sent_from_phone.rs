//! Forms that came by way of a phone's own store, with their times, and the ticket numbers that phones hold.

use super::{Conn, Stored};
use crate::store::Question;
use crate::store::question::{change, question};
use crate::units::{FormKey, MemberId, MemberName, SeasonId, UtcSecond};

/// A form that a phone kept before it was sent.
#[derive(Debug, Clone, Copy)]
pub struct NewSentRow<'a> {
    /// Key of the form.
    pub key: FormKey,
    /// Name of the action that was done.
    pub action: &'a str,
    /// The address it was sent to.
    pub target: &'a str,
    /// The id that the action answered with.
    pub record: &'a str,
    /// The member who sent it.
    pub member: MemberId,
    /// The tap, by the phone's own clock.
    pub tapped_at: UtcSecond,
    /// How far that clock was ahead of the mill's, seconds; `None`: never measured.
    pub ahead_s: Option<i64>,
    /// The tap, by the mill's clock.
    pub said_at: UtcSecond,
    /// When the form arrived.
    pub arrived_at: UtcSecond,
}

/// When a form was tapped on a phone, and when it arrived.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SentRow {
    /// The tap, by the mill's clock.
    pub said_at: UtcSecond,
    /// When the form arrived.
    pub arrived_at: UtcSecond,
    /// How far the phone's clock was ahead of the mill's, seconds; `None`: never measured.
    pub ahead_s: Option<i64>,
}

/// Keeps what a phone said of a form, with the form.
pub fn insert(s: &NewSentRow<'_>) -> Question<()> {
    change!(
        r"insert into sent_from_phone (form_key, action, target, record, member_id, tapped_at, ahead_s,
        said_at, arrived_at) values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
        s.key,
        s.action,
        s.target,
        s.record,
        s.member,
        s.tapped_at,
        s.ahead_s,
        s.said_at,
        s.arrived_at
    )
}

/// The forms of a record that phones sent, by the time of the tap.
pub fn of_record(record: &str) -> Question<Vec<SentRow>> {
    question!(
        SentRow,
        r#"select said_at as "said_at: UtcSecond", arrived_at as "arrived_at: UtcSecond", ahead_s
        from sent_from_phone where record = ?1 order by said_at"#,
        record
    )
}

/// A ticket number that a phone holds.
#[derive(Debug, Clone)]
pub struct HeldNumber {
    /// The ticket number.
    pub number: i64,
    /// The id that the phone made for itself.
    pub phone: String,
    /// Name of the member who was signed in on the phone.
    pub member_name: MemberName,
}

/// The ticket numbers of a season that phones hold and no ticket bears yet, by number.
pub fn held_numbers(season: SeasonId) -> Question<Vec<HeldNumber>> {
    question!(
        HeldNumber,
        r#"select n.number, n.phone, m.name as "member_name: MemberName" from ticket_numbers n
        join members m on m.id = n.member_id where n.season_id = ?1 and not exists (select 1 from tickets t
        where t.season_id = n.season_id and t.ticket = n.number) order by n.number"#,
        season
    )
}

/// The numbers that the tickets of a season bear, in order.
pub fn borne_numbers(season: SeasonId) -> Question<Vec<i64>> {
    question!(
        "select ticket from tickets where season_id = ?1 order by ticket",
        season
    )
    .map(|rows| rows.into_iter().map(|row| row.ticket).collect())
}

/// Lets a phone hold a ticket number.
pub async fn hold_number(
    conn: &mut Conn,
    (season, number): (SeasonId, i64),
    phone: &str,
    member: MemberId,
    at: UtcSecond,
) -> Stored<()> {
    sqlx::query!(
        r#"insert into ticket_numbers (season_id, number, phone, member_id, held_at)
        values (?1, ?2, ?3, ?4, ?5)"#,
        season,
        number,
        phone,
        member,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}
