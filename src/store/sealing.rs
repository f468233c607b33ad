//! Seals what one transaction wrote: each record gets its digest, which takes in the one before.

use super::question::question;
use super::{Conn, Question, Stored};
use crate::calc::chain::{Link, digest, sha256_hex};
use crate::units::{MemberId, UtcSecond};

/// Digest of a text that is not copied into the records: SHA-256, hex.
pub(super) fn digest_of(text: &str) -> String {
    sha256_hex(text)
}

/// The last record.
#[derive(Debug, Clone, Default)]
pub(super) struct Last {
    /// Number of the record; nought: there is none.
    pub(super) number: i64,
    /// Digest of the record; empty: it is not sealed, or there is none.
    digest: String,
}

/// The last record of a database whose schema is this program's.
pub(super) fn last() -> Question<Last> {
    question!(
        Last,
        "select number, digest from records order by number desc limit 1"
    )
    .first()
    .map(Option::unwrap_or_default)
}

/// As [`last`], for a database that may be older than the table of records.
pub(super) async fn last_if_any(conn: &mut Conn) -> Stored<Last> {
    let made: bool =
        sqlx::query_scalar("select exists (select 1 from sqlite_schema where name = 'records')")
            .fetch_one(&mut *conn)
            .await?;
    if made {
        last().ask(conn).await
    } else {
        Ok(Last::default())
    }
}

/// The digest that the next record takes in: that of the last sealed record up to there.
async fn sealed_before(conn: &mut Conn, after: &Last) -> Stored<String> {
    if !after.digest.is_empty() {
        return Ok(after.digest.clone());
    }
    let before = sqlx::query_scalar!(
        "select digest from records where number <= ?1 and digest <> '' order by number desc limit 1",
        after.number
    )
    .fetch_optional(conn)
    .await?;
    Ok(before.unwrap_or_default())
}

/// A record that is not sealed yet.
#[derive(Debug)]
pub(super) struct Fresh {
    number: i64,
    what: String,
    op: String,
    key: String,
    content: String,
}

/// The records that were added after `after`.
pub(super) fn fresh(after: &Last) -> Question<Vec<Fresh>> {
    question!(
        Fresh,
        "select number, what, op, key, content from records where number > ?1 order by number",
        after.number
    )
}

/// Seals the records that one transaction wrote after `after`. Whatever stood unsealed before was not written by the program,
/// and stays so.
pub(super) async fn seal(
    conn: &mut Conn,
    (after, fresh): (&Last, Vec<Fresh>),
    by: Option<MemberId>,
    at: Option<UtcSecond>,
) -> Stored<()> {
    if fresh.is_empty() {
        return Ok(());
    }
    let mut before = sealed_before(conn, after).await?;
    let who = by.map_or_else(String::new, |id| id.to_string());
    let when = at.map_or_else(String::new, |at| at.get().to_string());
    let mut seals = Vec::new();
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
        seals.push(format!(
            "[{},\"{content_digest}\",\"{before}\"]",
            row.number
        ));
    }
    // All at once: each statement is a message to the thread of the connection and back.
    let seals = format!("[{}]", seals.join(","));
    sqlx::query!(
        "update records set content_digest = s.value ->> 1, digest = s.value ->> 2, by_id = ?2, at = ?3
        from json_each(?1) s where records.number = s.value ->> 0",
        seals,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}
