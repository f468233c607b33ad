//! Forgetting a member: what there is to be deleted, and where the name stands in words, in rows and in what was written of them
//! (`records`).

use crate::store::records::{as_json, columns};
use crate::store::{Conn, Stored, WriteTx, one_row};
use crate::units::MemberId;
use sqlx::AssertSqlSafe;
use std::collections::BTreeSet;

/// Where people write words of their own, and the program writes sentences that may name somebody: table and columns. Migration
/// 0077 lets these alone change while a member is forgotten.
pub const WORDS: [(&str, &[&str]); 51] = [
    ("additions", &["why"]),
    ("boil_readings", &["note"]),
    ("boil_rules", &["why"]),
    ("boils", &["note"]),
    ("colours", &["name"]),
    ("corrections", &["why"]),
    ("day_changes", &["why"]),
    ("divisions", &["signed_by"]),
    ("draws", &["why"]),
    ("empty_jars", &["note"]),
    ("fills", &["why"]),
    ("finishes", &["why"]),
    ("hand_overs", &["signed_by", "note"]),
    ("hours", &["what"]),
    ("jar_moves", &["why"]),
    ("juice_losses", &["note"]),
    ("juice_measures", &["why"]),
    ("ledger", &["says"]),
    ("letters", &["problem"]),
    ("loads", &["why", "trailer"]),
    ("loss_changes", &["why"]),
    ("losses", &["why"]),
    ("lot_complaints", &["says", "from_whom"]),
    ("lot_holds", &["why"]),
    ("lot_looks", &["taste", "smell"]),
    ("member_names", &["name"]),
    ("members", &["call_by"]),
    ("notices", &["subject", "words"]),
    ("offers", &["why"]),
    ("opening_checks", &["note"]),
    ("pans", &["name"]),
    ("planting_versions", &["note"]),
    ("press_days", &["note"]),
    ("probes", &["name"]),
    ("recall_calls", &["note"]),
    ("recall_ends", &["signed_by", "says"]),
    ("recalls", &["which", "why"]),
    ("scales", &["name"]),
    ("season_frosts", &["source"]),
    ("season_locks", &["why"]),
    ("rules_days", &["why"]),
    ("season_rules", &["note"]),
    ("second_readings", &["note"]),
    ("stations", &["name"]),
    ("ticket_ends", &["went"]),
    ("tickets", &["note"]),
    ("turn_events", &["why"]),
    ("turns", &["note"]),
    ("upkeep", &["words"]),
    ("vessels", &["name"]),
    ("waiting", &["why"]),
];

/// Rows that bear the member's own name or notes whatever stands in them.
const OWN: [(&str, &str); 6] = [
    ("member_names", "member_id = ?1"),
    ("hand_overs", "member_id = ?1"),
    ("divisions", "signed_by_id = ?1"),
    ("tickets", "member_id = ?1"),
    ("turns", "member_id = ?1"),
    (
        "planting_versions",
        "planting_id in (select id from plantings where member_id = ?1)",
    ),
];

/// Tables whose records may bear the member's own name or contact whatever stands in them.
const OWN_RECORDS: &str = r#"["members", "member_names", "accounts", "station_pins", "hand_overs", "divisions", "tickets", "turns", "notices"]"#;

/// A row: its table, its key (a JSON array) and all of it (a JSON object).
pub type WordsRow = (&'static str, String, String);

/// The rows whose words match one of `likes`, a JSON array of patterns of LIKE; and those that bear the member's own
/// name or notes, whatever stands in them.
pub async fn rows(conn: &mut Conn, id: MemberId, likes: &str) -> Stored<Vec<WordsRow>> {
    let mut out = Vec::new();
    for (table, names) in WORDS {
        let (key, content) = as_json(&columns(conn, table).await?, "");
        let like: Vec<String> = names
            .iter()
            .map(|name| format!("{name} like w.value"))
            .collect();
        let own = OWN.iter().find(|(own, _)| *own == table);
        let own = own.map_or("0", |(_, which)| which);
        let sql = format!(
            "select {key}, {content} from {table} where ({own}) or exists (select 1 from json_each(?2) w where {})",
            like.join(" or ")
        );
        let found: Vec<(String, String)> = sqlx::query_as(AssertSqlSafe(sql))
            .bind(id)
            .bind(likes)
            .fetch_all(&mut *conn)
            .await?;
        out.extend(found.into_iter().map(|(key, row)| (table, key, row)));
    }
    Ok(out)
}

/// Writes other words into a row; `words`: a JSON object of columns that [`WORDS`] names.
pub async fn put_words(
    conn: &mut Conn,
    table: &'static str,
    key: &str,
    (names, words): (&[String], &str),
) -> Stored<()> {
    let set: Vec<String> = names
        .iter()
        .map(|name| format!("{name} = ?1 ->> '$.{name}'"))
        .collect();
    let own = columns(conn, table).await?.key;
    let which: Vec<String> = own
        .iter()
        .enumerate()
        .map(|(place, name)| format!("{name} = ?2 ->> {place}"))
        .collect();
    let sql = format!(
        "update {table} set {} where {}",
        set.join(", "),
        which.join(" and ")
    );
    let done = sqlx::query(AssertSqlSafe(sql))
        .bind(words)
        .bind(key)
        .execute(conn)
        .await?;
    one_row(&done, "take words out of a row")
}

/// A record of a row in which words of people may stand.
#[derive(Debug, Clone)]
pub struct WordsRecord {
    /// Number of the record.
    pub number: i64,
    /// Name of the table that the row is in.
    pub what: String,
    /// Content of the row, a JSON object.
    pub content: String,
}

/// The records whose words match one of `likes`, a JSON array of patterns of LIKE; and those that may bear the
/// member's own name or contact, whatever stands in them.
pub async fn records(conn: &mut Conn, id: MemberId, likes: &str) -> Stored<Vec<WordsRecord>> {
    Ok(sqlx::query_as!(
        WordsRecord,
        r#"select number, what, content from records
        where (what in (select value from json_each(?3)) and content like '%' || ?1 || '%')
        or (what = 'letters' and key ->> 0 in (select n.key ->> 0 from records n where n.what = 'notices' and n.content ->> 'member_id' = ?1))
        or (what = 'planting_versions' and key ->> 0 in (select id from plantings where member_id = ?1))
        or exists (select 1 from json_each(?2) w where records.content like w.value) order by number"#,
        id,
        likes,
        OWN_RECORDS
    )
    .fetch_all(conn)
    .await?)
}

/// Ids of all notices to a member that were ever written.
pub async fn notices_written(conn: &mut Conn, id: MemberId) -> Stored<BTreeSet<String>> {
    let all = sqlx::query_scalar!(
        r#"select key ->> 0 as "id!: String" from records where what = 'notices' and content ->> 'member_id' = ?1"#,
        id
    )
    .fetch_all(conn)
    .await?;
    Ok(all.into_iter().collect())
}

/// The content of every version of a member's card that was written.
pub async fn cards_written(conn: &mut Conn, id: MemberId) -> Stored<Vec<String>> {
    Ok(sqlx::query_scalar!(
        "select content from records where what = 'members' and key = json_array(?1) order by number",
        id
    )
    .fetch_all(conn)
    .await?)
}

/// A record's content with other words, as it is to be written; the figures stand as they stood. `words`: a JSON object.
pub async fn with_other_words(conn: &mut Conn, content: &str, words: &str) -> Stored<String> {
    Ok(sqlx::query_scalar!(
        r#"select json_patch(?1, ?2) as "content!: String""#,
        content,
        words
    )
    .fetch_one(conn)
    .await?)
}

/// Notes the digest of what stands in a record from here on.
pub async fn insert_row(
    conn: &mut Conn,
    record: i64,
    member: MemberId,
    digest: &str,
) -> Stored<()> {
    sqlx::query!(
        r#"insert into forgotten_rows (number, record, member_id, digest)
        select coalesce(max(number), 0) + 1, ?1, ?2, ?3 from forgotten_rows"#,
        record,
        member,
        digest
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Writes a record's content without the name.
pub async fn put_record(conn: &mut Conn, record: i64, content: &str) -> Stored<()> {
    let done = sqlx::query!(
        "update records set content = ?2 where number = ?1",
        record,
        content
    )
    .execute(conn)
    .await?;
    one_row(&done, "take words out of a record")
}

/// The records that this transaction wrote of rows that it changed: number and content.
pub async fn changed_now(tx: &mut WriteTx) -> Stored<Vec<(i64, String)>> {
    let before = tx.last_record();
    Ok(
        sqlx::query_as("select number, content from records where number > ?1 and op = 'changed'")
            .bind(before)
            .fetch_all(&mut **tx)
            .await?,
    )
}

/// What a record is to have as digest of its content, where the name was taken out of it: record and digest, the last one last.
pub async fn digests(conn: &mut Conn) -> Stored<Vec<(i64, String)>> {
    let rows = sqlx::query!("select record, digest from forgotten_rows order by number")
        .fetch_all(conn)
        .await?;
    Ok(rows.into_iter().map(|r| (r.record, r.digest)).collect())
}

/// A form that was done, with what was typed.
#[derive(Debug)]
pub struct TypedForm {
    /// Number of the form's row.
    pub row: i64,
    /// Whether the member sent it.
    pub own: bool,
    /// What was typed into the form, urlencoded.
    pub boxes: String,
}

/// All forms that were done of which what was typed is kept.
pub async fn typed_forms(conn: &mut Conn, id: MemberId) -> Stored<Vec<TypedForm>> {
    Ok(sqlx::query_as!(
        TypedForm,
        r#"select rowid as "row!: i64", coalesce(member_id = ?1, 0) as "own!: bool", boxes from form_keys where boxes <> ''"#,
        id
    )
    .fetch_all(conn)
    .await?)
}

/// Forgets what was typed into a form; that it was done, and with which answer, stays.
pub async fn empty_form(conn: &mut Conn, row: i64) -> Stored<()> {
    sqlx::query!(
        "update form_keys set boxes = '', digest = '' where rowid = ?1",
        row
    )
    .execute(conn)
    .await?;
    Ok(())
}
