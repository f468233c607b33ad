//! Forms already done, by key, action and target: the same sent twice is done once, with the same answer.

use super::question::{change, question};
use super::{Conn, Question, Stored};
use crate::units::{FormKey, MemberId, UtcSecond};

/// A form whose action was done.
#[derive(Debug, Clone)]
pub struct DoneForm {
    /// SHA-256 of what was typed; empty from before digests were kept.
    pub digest: String,
    /// What was typed, as a form is sent, without secrets.
    pub boxes: String,
    /// The id the action answered with.
    pub result: String,
}

/// The form of this key, if `action` was done with it at `target`.
pub fn find(key: FormKey, action: &str, target: &str) -> Question<Option<DoneForm>> {
    question!(
        DoneForm,
        r"select digest, boxes, result from form_keys where key = ?1 and action = ?2 and target in (?3, '')",
        key,
        action,
        target
    )
    .first()
}

/// Whether anything was done with this key at `target`.
pub fn was_done(key: FormKey, target: &str) -> Question<bool> {
    question!(
        r#"select exists (select 1 from form_keys where key = ?1 and target = ?2) as "done!: bool""#,
        key,
        target
    )
    .one()
    .map(|row| row.done)
}

/// Keeps a form just done with its answer.
pub fn insert(
    (key, action, target): (FormKey, &str, &str),
    done: &DoneForm,
    member: Option<MemberId>,
    at: UtcSecond,
) -> Question<()> {
    change!(
        r"insert into form_keys (key, action, target, digest, boxes, result, member_id, done_at)
        values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
        key,
        action,
        target,
        done.digest,
        done.boxes,
        done.result,
        member,
        at
    )
}

/// Forgets forms done before `before`, at most `most` of them at a time; gives how many.
pub async fn prune(conn: &mut Conn, before: UtcSecond, most: i64) -> Stored<u64> {
    Ok(sqlx::query!(
        r#"delete from form_keys where rowid in
        (select rowid from form_keys where done_at < ?1 order by done_at limit ?2)"#,
        before,
        most
    )
    .execute(conn)
    .await?
    .rows_affected())
}
