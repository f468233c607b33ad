//! Where somebody is signed in: the open sessions of a member, for the member to see and to end.

use crate::store::{Conn, Stored};
use crate::units::{MemberId, UtcSecond};

/// An open session.
#[derive(Debug)]
pub struct Open {
    /// SHA-256 of its cookie, which lets nobody in.
    pub token_hash: String,
    /// When it began.
    pub made_at: UtcSecond,
    /// When it was used last.
    pub seen_at: UtcSecond,
    /// The name that its browser gives itself; empty: unknown.
    pub device: String,
}

/// The sessions of a member that were used since `since` and end after `at`, the one used last first.
pub async fn of_member(
    conn: &mut Conn,
    member: MemberId,
    since: UtcSecond,
    at: UtcSecond,
) -> Stored<Vec<Open>> {
    Ok(sqlx::query_as!(
        Open,
        r#"select token_hash, made_at as "made_at: UtcSecond", seen_at as "seen_at: UtcSecond", device
        from sessions where member_id = ?1 and seen_at > ?2 and ends_at > ?3
        order by seen_at desc, made_at desc, token_hash"#,
        member,
        since,
        at
    )
    .fetch_all(conn)
    .await?)
}

/// Names the device of a session.
pub async fn put_device(conn: &mut Conn, token_hash: &str, device: &str) -> Stored<()> {
    sqlx::query!(
        "update sessions set device = ?2 where token_hash = ?1",
        token_hash,
        device
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Forgets sessions that ended before `ended` or were not used since `since`: nobody can use them any more.
pub async fn prune(conn: &mut Conn, ended: UtcSecond, since: UtcSecond) -> Stored<()> {
    sqlx::query!(
        "delete from sessions where ends_at < ?1 or seen_at < ?2",
        ended,
        since
    )
    .execute(conn)
    .await?;
    Ok(())
}
