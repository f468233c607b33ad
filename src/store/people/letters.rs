//! Letters to be sent: written with the notice they carry, sent afterwards, each by itself.

use crate::store::{Conn, Stored, one_row};
use crate::units::{NoticeId, UtcSecond};

/// A letter that waits.
#[derive(Debug, Clone)]
pub struct WaitingLetter {
    /// The notice it carries.
    pub notice_id: NoticeId,
    /// The e-mail address it goes to.
    pub address: String,
    /// How many times it was tried so far.
    pub tries: i64,
}

/// Writes a letter, to be sent at once.
pub async fn insert(conn: &mut Conn, id: NoticeId, address: &str, at: UtcSecond) -> Stored<()> {
    sqlx::query!(
        "insert into letters (notice_id, address, next_at) values (?1, ?2, ?3)",
        id,
        address,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// The letters whose next try is due, longest due first.
pub async fn due(conn: &mut Conn, at: UtcSecond, most: i64) -> Stored<Vec<WaitingLetter>> {
    Ok(sqlx::query_as!(
        WaitingLetter,
        r#"select notice_id as "notice_id: NoticeId", address, tries from letters
        where state = 'waiting' and next_at <= ?1 order by next_at, notice_id limit ?2"#,
        at,
        most
    )
    .fetch_all(conn)
    .await?)
}

/// The letter of a notice, if it still waits.
pub async fn find_waiting(conn: &mut Conn, id: NoticeId) -> Stored<Option<WaitingLetter>> {
    Ok(sqlx::query_as!(
        WaitingLetter,
        r#"select notice_id as "notice_id: NoticeId", address, tries from letters
        where notice_id = ?1 and state = 'waiting'"#,
        id
    )
    .fetch_optional(conn)
    .await?)
}

/// Notes that a letter is being tried, and when it is tried again should nobody note how it went.
pub async fn mark_tried(
    conn: &mut Conn,
    id: NoticeId,
    tries: i64,
    next_at: UtcSecond,
) -> Stored<()> {
    let done = sqlx::query!(
        "update letters set tries = ?2, next_at = ?3 where notice_id = ?1",
        id,
        tries,
        next_at
    )
    .execute(conn)
    .await?;
    one_row(&done, "note a try of a letter")
}

/// Notes that the mail server took a letter.
pub async fn mark_sent(conn: &mut Conn, id: NoticeId, at: UtcSecond) -> Stored<()> {
    let done = sqlx::query!(
        "update letters set state = 'sent', sent_at = ?2, problem = '' where notice_id = ?1",
        id,
        at
    )
    .execute(conn)
    .await?;
    one_row(&done, "note a letter as sent")
}

/// Notes that a letter was not taken: what came back, and when it is tried again; none: given up.
pub async fn mark_failed(
    conn: &mut Conn,
    id: NoticeId,
    problem: &str,
    next_at: Option<UtcSecond>,
) -> Stored<()> {
    let done = sqlx::query!(
        r#"update letters set state = iif(?3 is null, 'given_up', 'waiting'), problem = ?2,
        next_at = coalesce(?3, next_at) where notice_id = ?1"#,
        id,
        problem,
        next_at
    )
    .execute(conn)
    .await?;
    one_row(&done, "note a letter as not taken")
}

/// Gives up the letters that wait and whose notices were made before an instant; gives how many.
pub async fn give_up_before(conn: &mut Conn, made: UtcSecond, problem: &str) -> Stored<u64> {
    let done = sqlx::query!(
        r#"update letters set state = 'given_up', problem = ?2 where state = 'waiting'
        and notice_id in (select n.id from notices n where n.made_at < ?1)"#,
        made,
        problem
    )
    .execute(conn)
    .await?;
    Ok(done.rows_affected())
}

/// How many letters wait to be taken.
pub async fn waiting(conn: &mut Conn) -> Stored<i64> {
    Ok(
        sqlx::query_scalar!(r#"select count(*) as "n!: i64" from letters where state = 'waiting'"#)
            .fetch_one(conn)
            .await?,
    )
}
