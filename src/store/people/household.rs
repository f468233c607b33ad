//! Who else acts for a member's card: people of the household, each with a sign-in of their own.

use crate::store::{Conn, Stored, WriteTx};
use crate::units::{MemberId, MemberName, UtcSecond};

/// Somebody who acts for a card, or a card that somebody acts for.
#[derive(Debug, Clone)]
pub struct Other {
    /// The other member.
    pub id: MemberId,
    /// Their name.
    pub name: MemberName,
    /// Since when.
    pub since: UtcSecond,
}

/// Who acts for a card, by name; whoever has left is left out.
pub async fn people_of(conn: &mut Conn, member: MemberId) -> Stored<Vec<Other>> {
    Ok(sqlx::query_as!(
        Other,
        r#"select m.id as "id: MemberId", m.name as "name: MemberName", h.at as "since: UtcSecond"
        from household h join members m on m.id = h.person_id
        where h.member_id = ?1 and h.acts = 1 and m.left_at is null
        and h.version = (select max(v.version) from household v where v.member_id = h.member_id and v.person_id = h.person_id)
        order by m.name"#,
        member
    )
    .fetch_all(conn)
    .await?)
}

/// The cards that somebody acts for, by name; of whoever has left none.
pub async fn cards_of(conn: &mut Conn, person: MemberId) -> Stored<Vec<Other>> {
    Ok(sqlx::query_as!(
        Other,
        r#"select m.id as "id: MemberId", m.name as "name: MemberName", h.at as "since: UtcSecond"
        from household h join members m on m.id = h.member_id
        where h.person_id = ?1 and h.acts = 1 and m.left_at is null
        and h.version = (select max(v.version) from household v where v.member_id = h.member_id and v.person_id = h.person_id)
        order by m.name"#,
        person
    )
    .fetch_all(conn)
    .await?)
}

/// What was said of one person and a card.
#[derive(Debug, Clone, Copy)]
pub struct Said {
    /// Who acts, or does not any more.
    pub person_id: MemberId,
    /// Counts what was said of them.
    pub version: i64,
}

/// All that was ever said of who acts for a card.
pub async fn said_of(conn: &mut Conn, member: MemberId) -> Stored<Vec<Said>> {
    Ok(sqlx::query_as!(
        Said,
        r#"select person_id as "person_id: MemberId", version from household where member_id = ?1
        order by person_id, version"#,
        member
    )
    .fetch_all(conn)
    .await?)
}

/// The latest version of what was said of somebody and a card, and whether it lets them act; 0 and no: nothing yet.
pub async fn latest(conn: &mut Conn, member: MemberId, person: MemberId) -> Stored<(i64, bool)> {
    let row = sqlx::query!(
        r#"select version, acts as "acts: bool" from household where member_id = ?1 and person_id = ?2
        order by version desc limit 1"#,
        member,
        person
    )
    .fetch_optional(conn)
    .await?;
    Ok(row.map_or((0, false), |row| (row.version, row.acts)))
}

/// Says from when on somebody acts for a card, or does not any more.
pub async fn insert(
    tx: &mut WriteTx,
    (member, person): (MemberId, MemberId),
    (version, acts): (i64, bool),
    (by, at): (MemberId, UtcSecond),
) -> Stored<()> {
    sqlx::query!(
        "insert into household (member_id, person_id, version, acts, by_id, at) values (?1, ?2, ?3, ?4, ?5, ?6)",
        member,
        person,
        version,
        acts,
        by,
        at
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}
