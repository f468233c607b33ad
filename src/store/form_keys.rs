//! Forms already done, by the key each form carries: sent twice, done once, same answer.

use super::{Conn, Stored};
use crate::units::{FormKey, MemberId, UtcSecond};

/// What the form of this key answered, if `action` was done with it.
pub async fn find(conn: &mut Conn, key: FormKey, action: &str) -> Stored<Option<String>> {
    Ok(sqlx::query_scalar!(
        r#"select result from form_keys where key = ?1 and action = ?2"#,
        key,
        action
    )
    .fetch_optional(conn)
    .await?)
}

/// Keeps the answer of a form just done.
pub async fn insert(
    conn: &mut Conn,
    key: FormKey,
    action: &str,
    result: &str,
    member: Option<MemberId>,
    at: UtcSecond,
) -> Stored<()> {
    sqlx::query!(
        r#"insert into form_keys (key, action, result, member_id, done_at) values (?1, ?2, ?3, ?4, ?5)"#,
        key,
        action,
        result,
        member,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}
