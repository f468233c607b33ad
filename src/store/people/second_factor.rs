//! Second factors of signing in, and the codes for whoever lost one.

use crate::store::Question;
use crate::store::question::question;
use crate::store::sealing::digest_of;
use crate::store::{Conn, Stored, one_row};
use crate::units::{MemberId, UtcSecond};

/// A member's second factor.
#[derive(Debug)]
pub struct SecondFactor {
    /// The secret, in base32.
    pub secret: String,
    /// When it was set up.
    pub made_at: UtcSecond,
    /// Time step of the code that was used last.
    pub last_step: i64,
    /// Recovery codes that were not used.
    pub codes_left: i64,
}

/// The second factor of a member, if there is one.
pub fn find(member: MemberId) -> Question<Option<SecondFactor>> {
    question!(SecondFactor,
        r#"select f.secret, f.made_at as "made_at: UtcSecond", f.last_step,
        (select count(*) from recovery_codes c where c.member_id = f.member_id and c.used_at is null)
        as "codes_left!: i64"
        from second_factors f where f.member_id = ?1"#,
        member).first()
}

/// Whether a member has a second factor.
pub fn is_set(member: MemberId) -> Question<bool> {
    find(member).map(|found| found.is_some())
}

/// Gives a member one; `step` is that of the code it was shown with.
pub async fn insert(
    conn: &mut Conn,
    member: MemberId,
    secret: &str,
    step: i64,
    at: UtcSecond,
) -> Stored<()> {
    let mark = digest_of(secret);
    sqlx::query!(
        "insert into second_factors (member_id, secret, made_at, last_step, secret_hash) values (?1, ?2, ?3, ?4, ?5)",
        member,
        secret,
        at,
        step,
        mark
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Keeps a recovery code.
pub async fn insert_code(conn: &mut Conn, member: MemberId, code_hash: &str) -> Stored<()> {
    sqlx::query!(
        "insert into recovery_codes (member_id, code_hash) values (?1, ?2)",
        member,
        code_hash
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Notes the step of the code that was used.
pub async fn use_step(conn: &mut Conn, member: MemberId, step: i64) -> Stored<()> {
    let done = sqlx::query!(
        "update second_factors set last_step = ?2 where member_id = ?1 and last_step < ?2",
        member,
        step
    )
    .execute(conn)
    .await?;
    one_row(&done, "use a code of a second factor")
}

/// Uses a recovery code; `false`: there is none such, or it was used.
pub async fn use_code(
    conn: &mut Conn,
    member: MemberId,
    code_hash: &str,
    at: UtcSecond,
) -> Stored<bool> {
    let done = sqlx::query!(
        "update recovery_codes set used_at = ?3 where member_id = ?1 and code_hash = ?2 and used_at is null",
        member,
        code_hash,
        at
    )
    .execute(conn)
    .await?;
    Ok(done.rows_affected() == 1)
}

/// Takes a member's second factor away, with its recovery codes; `false`: there was none.
pub async fn remove(conn: &mut Conn, member: MemberId) -> Stored<bool> {
    let done = sqlx::query!("delete from second_factors where member_id = ?1", member)
        .execute(conn)
        .await?;
    Ok(done.rows_affected() == 1)
}

/// Notes the digest of the secrets that were there before digests were noted; not once they are among what is covered.
pub(in crate::store) async fn note_digests(conn: &mut Conn) -> Stored<()> {
    let covered: bool = sqlx::query_scalar(
        "select exists (select 1 from sqlite_schema where name = 'record_second_factors_made')",
    )
    .fetch_one(&mut *conn)
    .await?;
    if covered {
        return Ok(());
    }
    let all: Vec<(String, String)> = sqlx::query_as("select member_id, secret from second_factors")
        .fetch_all(&mut *conn)
        .await?;
    for (member, secret) in all {
        sqlx::query("update second_factors set secret_hash = ?2 where member_id = ?1")
            .bind(member)
            .bind(digest_of(&secret))
            .execute(&mut *conn)
            .await?;
    }
    Ok(())
}

/// The members whose secret is not that of its digest.
pub async fn other_secrets(conn: &mut Conn) -> Stored<Vec<String>> {
    let all = sqlx::query!("select member_id, secret, secret_hash from second_factors")
        .fetch_all(conn)
        .await?;
    let other = all
        .into_iter()
        .filter(|row| digest_of(&row.secret) != row.secret_hash);
    Ok(other.map(|row| row.member_id).collect())
}
