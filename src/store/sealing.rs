//! Seals what one transaction wrote: each record gets its digest, which takes in the one before.

use crate::calc::chain::{Link, digest, sha256_hex};
use crate::units::{MemberId, UtcSecond};
use sqlx::SqliteConnection;

/// The number of the last record; before the table was made: nought.
pub(super) async fn last(conn: &mut SqliteConnection) -> sqlx::Result<i64> {
    let made: bool =
        sqlx::query_scalar("select exists (select 1 from sqlite_schema where name = 'records')")
            .fetch_one(&mut *conn)
            .await?;
    if !made {
        return Ok(0);
    }
    sqlx::query_scalar("select coalesce(max(number), 0) from records")
        .fetch_one(conn)
        .await
}

/// Seals the records that one transaction wrote: those after `after`. Whatever stood unsealed before was not written by the
/// program, and stays so.
pub(super) async fn seal(
    conn: &mut SqliteConnection,
    after: i64,
    by: Option<MemberId>,
    at: Option<UtcSecond>,
) -> sqlx::Result<()> {
    let fresh = sqlx::query!(
        "select number, what, op, key, content from records where number > ?1 order by number",
        after
    )
    .fetch_all(&mut *conn)
    .await?;
    if fresh.is_empty() {
        return Ok(());
    }
    let mut before = sqlx::query_scalar!(
        "select digest from records where number <= ?1 and digest <> '' order by number desc limit 1",
        after
    )
    .fetch_optional(&mut *conn)
    .await?
    .unwrap_or_default();
    let who = by.map_or_else(String::new, |id| id.to_string());
    let when = at.map_or_else(String::new, |at| at.get().to_string());
    for row in fresh {
        let content_digest = sha256_hex(&row.content);
        let link = Link {
            number: row.number,
            what: &row.what,
            op: &row.op,
            key: &row.key,
            content_digest: &content_digest,
            by: &who,
            at: &when,
        };
        before = digest(&before, &link);
        sqlx::query!(
            "update records set content_digest = ?2, digest = ?3, by_id = ?4, at = ?5 where number = ?1",
            row.number,
            content_digest,
            before,
            by,
            at
        )
        .execute(&mut *conn)
        .await?;
    }
    Ok(())
}
