//! Tablets signed in as the mill's own station, who stands at them, the PINs of the crew, and what was sent
//! from a station. Secrets come hashed.

use crate::store::Question;
use crate::store::question::{change, question};
use crate::store::{Conn, Stored, one_row};
use crate::units::{FormKey, MemberId, MemberName, StationId, Units, UtcSecond, by_name};

/// A station, in the list of them.
#[derive(Debug, Clone)]
pub struct Station {
    /// Id of the station.
    pub id: StationId,
    /// Name, such as of the place where the tablet lies.
    pub name: String,
    /// Name of the steward who signed it in.
    pub made_by_name: MemberName,
    /// When it was signed in.
    pub made_at: UtcSecond,
    /// When it was last used.
    pub seen_at: UtcSecond,
    /// When it was signed out; `None` while it is signed in.
    pub ended_at: Option<UtcSecond>,
}

/// A station that is signed in, as a request finds it.
#[derive(Debug, Clone)]
pub struct SignedInStation {
    /// Id of the station.
    pub id: StationId,
    /// Name of the station.
    pub name: String,
    /// When it was last used.
    pub seen_at: UtcSecond,
    /// The person who was picked last, if one was.
    pub picked: Option<Picked>,
}

/// The person who was picked at a station.
#[derive(Debug, Clone)]
pub struct Picked {
    /// The member.
    pub id: MemberId,
    /// The member's name.
    pub name: MemberName,
    /// Units this person reads and types in.
    pub units: Units,
    /// When this person last used the station.
    pub at: UtcSecond,
}

/// One of the crew, as one is picked at a station.
#[derive(Debug, Clone)]
pub struct Hand {
    /// The member.
    pub id: MemberId,
    /// The member's name.
    pub name: MemberName,
    /// Whether the member has a PIN.
    pub has_pin: bool,
}

/// Adds a station.
pub async fn insert(
    conn: &mut Conn,
    (id, name): (StationId, &str),
    token_hash: &str,
    by: MemberId,
    at: UtcSecond,
) -> Stored<()> {
    sqlx::query!(
        r#"insert into stations (id, name, token_hash, made_by, made_at, seen_at)
        values (?1, ?2, ?3, ?4, ?5, ?5)"#,
        id,
        name,
        token_hash,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// All stations, those signed in first.
pub async fn list(conn: &mut Conn) -> Stored<Vec<Station>> {
    let all = sqlx::query_as!(
        Station,
        r#"select s.id as "id: StationId", s.name, m.name as "made_by_name: MemberName",
        s.made_at as "made_at: UtcSecond", s.seen_at as "seen_at: UtcSecond",
        s.ended_at as "ended_at: UtcSecond"
        from stations s join members m on m.id = s.made_by
        order by s.made_at desc"#
    )
    .fetch_all(conn)
    .await?;
    Ok(by_name(all, |station| {
        (station.ended_at.is_some(), station.name.as_str())
    }))
}

/// Whether a station of this name is signed in.
pub async fn name_taken(conn: &mut Conn, name: &str) -> Stored<bool> {
    Ok(sqlx::query_scalar!(
        r#"select exists (select 1 from stations where name = ?1 and ended_at is null) as "taken!: bool""#,
        name
    )
    .fetch_one(conn)
    .await?)
}

/// The station of that token while it is signed in; whoever is picked must be crew and not have left.
pub fn standing(token_hash: &str) -> Question<Option<SignedInStation>> {
    question!(r#"select s.id as "id: StationId", s.name, s.seen_at as "seen_at: UtcSecond",
        m.id as "picked?: MemberId", m.name as "picked_name?: MemberName", m.units as "picked_units?: Units",
        s.picked_at as "picked_at: UtcSecond"
        from stations s left join members m on m.id = s.picked_id and m.left_at is null and m.role <> 'member'
        where s.token_hash = ?1 and s.ended_at is null"#,
        token_hash).first().map(|row| row.map(|row| SignedInStation {
        id: row.id,
        name: row.name,
        seen_at: row.seen_at,
        picked: match (row.picked, row.picked_name, row.picked_units, row.picked_at) {
            (Some(id), Some(name), Some(units), Some(at)) => Some(Picked {
                id,
                name,
                units,
                at,
            }),
            _ => None,
        },
    }))
}

/// Writes who stands at a station; `None`: nobody.
pub async fn pick(
    conn: &mut Conn,
    id: StationId,
    member: Option<MemberId>,
    at: UtcSecond,
) -> Stored<()> {
    let picked_at = member.map(|_| at);
    let done = sqlx::query!(
        r#"update stations set picked_id = ?2, picked_at = ?3, seen_at = ?4
        where id = ?1 and ended_at is null"#,
        id,
        member,
        picked_at,
        at
    )
    .execute(conn)
    .await?;
    one_row(&done, "pick who stands at a station")
}

/// Notes that a station was used, and by whom: only while it is still the same person's turn.
pub async fn touch(
    conn: &mut Conn,
    id: StationId,
    member: Option<MemberId>,
    at: UtcSecond,
) -> Stored<()> {
    sqlx::query!(
        r#"update stations set seen_at = ?3, picked_at = case when picked_id = ?2 then ?3 else picked_at end
        where id = ?1 and ended_at is null"#,
        id,
        member,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Signs a station out for good; whether it was signed in.
pub async fn end(conn: &mut Conn, id: StationId, by: MemberId, at: UtcSecond) -> Stored<bool> {
    let done = sqlx::query!(
        r#"update stations set ended_by = ?2, ended_at = ?3, picked_id = null, picked_at = null
        where id = ?1 and ended_at is null"#,
        id,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(done.rows_affected() == 1)
}

/// The crew and stewards, by name, and whether each has a PIN.
pub async fn hands(conn: &mut Conn) -> Stored<Vec<Hand>> {
    let all = sqlx::query_as!(
        Hand,
        r#"select m.id as "id: MemberId", m.name as "name: MemberName",
        p.member_id is not null as "has_pin!: bool"
        from members m left join station_pins p on p.member_id = m.id
        where m.left_at is null and m.role <> 'member' order by m.number"#
    )
    .fetch_all(conn)
    .await?;
    Ok(by_name(all, |hand| ((), hand.name.as_str())))
}

/// The hash of the PIN of one of the crew.
pub async fn pin_hash(conn: &mut Conn, member: MemberId) -> Stored<Option<String>> {
    Ok(sqlx::query_scalar!(
        r#"select p.pin_hash from station_pins p join members m on m.id = p.member_id
        where p.member_id = ?1 and m.left_at is null and m.role <> 'member'"#,
        member
    )
    .fetch_optional(conn)
    .await?)
}

/// Gives one of the crew a PIN, over any earlier one.
pub async fn put_pin(
    conn: &mut Conn,
    member: MemberId,
    hash: &str,
    by: MemberId,
    at: UtcSecond,
) -> Stored<()> {
    sqlx::query!(
        r#"insert into station_pins (member_id, pin_hash, set_by, changed_at) values (?1, ?2, ?3, ?4)
        on conflict (member_id) do update set pin_hash = ?2, set_by = ?3, changed_at = ?4"#,
        member,
        hash,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// A form that was sent from a station.
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
    /// The member who stood at the station.
    pub member: MemberId,
    /// The station.
    pub station: StationId,
    /// When the form was sent.
    pub at: UtcSecond,
}

/// Notes that a PIN is tried; what was tried before `since` is forgotten.
pub async fn note_try(
    conn: &mut Conn,
    (station, member): (StationId, MemberId),
    at: UtcSecond,
    since: UtcSecond,
) -> Stored<()> {
    sqlx::query!("delete from pin_tries where at < ?1", since)
        .execute(&mut *conn)
        .await?;
    sqlx::query!(
        "insert into pin_tries (station_id, member_id, at) values (?1, ?2, ?3)",
        station,
        member,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Times since `since` at which a person's PIN was tried at any station, the earliest first.
pub async fn tries_of_person(
    conn: &mut Conn,
    member: MemberId,
    since: UtcSecond,
) -> Stored<Vec<UtcSecond>> {
    Ok(sqlx::query_scalar!(
        r#"select at as "at: UtcSecond" from pin_tries where member_id = ?1 and at >= ?2 order by at"#,
        member,
        since
    )
    .fetch_all(conn)
    .await?)
}

/// Times since `since` at which anybody's PIN was tried at a station, the earliest first.
pub async fn tries_at_station(
    conn: &mut Conn,
    station: StationId,
    since: UtcSecond,
) -> Stored<Vec<UtcSecond>> {
    Ok(sqlx::query_scalar!(
        r#"select at as "at: UtcSecond" from pin_tries where station_id = ?1 and at >= ?2 order by at"#,
        station,
        since
    )
    .fetch_all(conn)
    .await?)
}

/// Forgets the tries of a person whose PIN was right.
pub async fn forget_tries(conn: &mut Conn, member: MemberId) -> Stored<()> {
    sqlx::query!("delete from pin_tries where member_id = ?1", member)
        .execute(conn)
        .await?;
    Ok(())
}

/// The station that an entry of a record came from.
#[derive(Debug, Clone)]
pub struct SentRow {
    /// When it was written down.
    pub at: UtcSecond,
    /// Name of the station.
    pub station: String,
}

/// Keeps that a form came from a station, with the form.
pub fn insert_sent(s: &NewSentRow<'_>) -> Question<()> {
    change!(
        r"insert into sent_from_station (form_key, action, target, record, member_id, station_id, at)
        values (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        s.key,
        s.action,
        s.target,
        s.record,
        s.member,
        s.station,
        s.at
    )
}

/// The entries of a record that came from stations.
pub fn sent_of(record: &str) -> Question<Vec<SentRow>> {
    question!(
        SentRow,
        r#"select s.at as "at: UtcSecond", t.name as station from sent_from_station s
        join stations t on t.id = s.station_id where s.record = ?1 order by s.at"#,
        record
    )
}
