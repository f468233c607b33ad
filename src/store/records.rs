//! What was written, row by row: the triggers that note it, and the records as they stand beside the rows (`sealing.rs` seals
//! them). The covered tables are all that people rely on: money, syrup, jars, hours, hand-overs, losses,
//! signatures with the secrets that they are made with, names, and the measurements they come from.

use super::covered::noted;
pub use super::covered::{COVERED, LEFT_OUT, PASSING, not_looked_over};
use super::{Conn, StoreError, Stored};
use crate::units::{MemberId, MemberName, UtcSecond};
use sqlx::{AssertSqlSafe, Row};

/// The key of the record that says a table is covered from there on.
pub const WHOLE_TABLE: &str = "[]";

/// A record as it stands.
#[derive(Debug, Clone)]
pub struct Record {
    /// Number of the record.
    pub number: i64,
    /// Name of the table that the row is in.
    pub what: String,
    /// What was done to the row: made, changed, removed or found.
    pub op: String,
    /// The row's key, a JSON array.
    pub key: String,
    /// Content of the row, a JSON object.
    pub content: String,
    /// Digest of the content.
    pub content_digest: String,
    /// Digest of the record; empty: the program did not write it.
    pub digest: String,
    /// Who sent the form; `None`: nobody did.
    pub by_id: Option<MemberId>,
    /// When the form was sent; `None`: no form was.
    pub at: Option<UtcSecond>,
}

/// A table's columns and, in their order, those of its primary key.
pub(super) struct Columns {
    pub(super) all: Vec<String>,
    pub(super) key: Vec<String>,
}

pub(super) async fn columns(conn: &mut Conn, table: &str) -> Stored<Columns> {
    let rows = sqlx::query("select name, pk from pragma_table_info(?1) order by cid")
        .bind(table)
        .fetch_all(conn)
        .await?;
    let mut all = Vec::new();
    let mut key: Vec<(i64, String)> = Vec::new();
    for row in rows {
        let (name, place): (String, i64) = (row.try_get(0)?, row.try_get(1)?);
        if place > 0 {
            key.push((place, name.clone()));
        }
        all.push(name);
    }
    key.sort();
    let key = key.into_iter().map(|(_, name)| name).collect();
    Ok(Columns { all, key })
}

/// The columns of a covered table that are noted.
async fn noted_columns(conn: &mut Conn, table: &str) -> Stored<Columns> {
    let mut found = columns(conn, table).await?;
    let passing = PASSING.iter().find(|(name, _)| *name == table);
    if let Some((_, passing)) = passing {
        found.all.retain(|name| !passing.contains(&name.as_str()));
    }
    Ok(found)
}

/// The row's key and its content, as SQL; `of` is `new.`, `old.` or empty.
pub(super) fn as_json(columns: &Columns, of: &str) -> (String, String) {
    let key: Vec<String> = columns.key.iter().map(|c| format!("{of}{c}")).collect();
    let pair = |c: &String| format!("'{c}', {of}{c}");
    let all: Vec<String> = columns.all.iter().map(pair).collect();
    (
        format!("json_array({})", key.join(", ")),
        format!("json_object({})", all.join(", ")),
    )
}

/// The three triggers of a table: name and SQL.
fn triggers(table: &str, columns: &Columns) -> [(String, String); 3] {
    [
        ("made", "insert", "new."),
        ("changed", "update", "new."),
        ("removed", "delete", "old."),
    ]
    .map(|(op, event, of)| {
        let (key, content) = as_json(columns, of);
        let name = format!("record_{table}_{op}");
        // A change of nothing but passing columns makes no record.
        let event = if event == "update" && PASSING.iter().any(|(name, _)| *name == table) {
            format!("update of {}", columns.all.join(", "))
        } else {
            event.to_owned()
        };
        let when = noted(table, of).map_or_else(String::new, |which| format!("when {which} "));
        let sql = format!(
            "create trigger {name} after {event} on {table} {when}begin insert into records (what, op, key, content) \
             values ('{table}', '{op}', {key}, {content}); end"
        );
        (name, sql)
    })
}

/// Makes the triggers that are missing or that know other columns than their table has; notes the rows of such a table as they
/// are found.
pub(super) async fn cover(conn: &mut Conn) -> Stored<()> {
    for table in COVERED {
        let columns = noted_columns(conn, table).await?;
        let mut anew = false;
        for (name, sql) in triggers(table, &columns) {
            let known: Option<String> = sqlx::query_scalar(
                "select sql from sqlite_schema where type = 'trigger' and name = ?1",
            )
            .bind(&name)
            .fetch_optional(&mut *conn)
            .await?;
            if known.is_some_and(|known| known.eq_ignore_ascii_case(&sql)) {
                continue;
            }
            anew = true;
            run(conn, format!("drop trigger if exists {name}")).await?;
            run(conn, sql).await?;
        }
        if anew {
            let (key, content) = as_json(&columns, "");
            let found = format!(
                "insert into records (what, op, key, content) select '{table}', 'found', {key}, {content} from {table}{}",
                which_noted(table)
            );
            run(conn, found).await?;
            sqlx::query(
                "insert into records (what, op, key, content) values (?1, 'found', ?2, '{}')",
            )
            .bind(table)
            .bind(WHOLE_TABLE)
            .execute(&mut *conn)
            .await?;
        }
    }
    Ok(())
}

/// The rows of a table that are noted, as the end of a SELECT.
fn which_noted(table: &str) -> String {
    noted(table, "").map_or_else(String::new, |which| format!(" where {which}"))
}

async fn run(conn: &mut Conn, sql: String) -> Stored<()> {
    sqlx::query(AssertSqlSafe(sql)).execute(conn).await?;
    Ok(())
}

/// Every record, in order.
pub async fn all(conn: &mut Conn) -> Stored<Vec<Record>> {
    Ok(sqlx::query_as!(
        Record,
        r#"select number, what, op, key, content, content_digest, digest, by_id as "by_id: MemberId",
        at as "at: UtcSecond" from records order by number"#
    )
    .fetch_all(conn)
    .await?)
}

/// A record with the number and name of who sent the form.
#[derive(Debug, Clone)]
pub struct RowRecord {
    /// What was recorded.
    pub record: Record,
    /// Number and name today; `None`: nobody sent a form.
    pub by: Option<(i64, MemberName)>,
}

macro_rules! of_rows {
    ($rest:literal, $($bound:expr),*) => {
        sqlx::query!(
            r#"select r.number, r.what, r.op, r.key, r.content, r.content_digest, r.digest, r.by_id as "by_id: MemberId",
            r.at as "at: UtcSecond", m.number as "by_number?", m.name as "by_name?: MemberName"
            from records r left join members m on m.id = r.by_id "#
                + $rest,
            $($bound),*
        )
        .map(|r| RowRecord {
            record: Record {
                number: r.number,
                what: r.what,
                op: r.op,
                key: r.key,
                content: r.content,
                content_digest: r.content_digest,
                digest: r.digest,
                by_id: r.by_id,
                at: r.at,
            },
            by: r.by_number.zip(r.by_name),
        })
    };
}

/// What was written of the rows of some keys in some tables, in order. `tables`: a JSON array of names; `keys`: a JSON array of
/// keys, each a JSON array as text.
pub async fn of_keys(conn: &mut Conn, tables: &str, keys: &str) -> Stored<Vec<RowRecord>> {
    Ok(of_rows!(
        "where r.what in (select value from json_each(?1)) and r.key in (select value from json_each(?2)) order by r.number",
        tables,
        keys
    )
    .fetch_all(conn)
    .await?)
}

/// What was written of every row of some tables, a JSON array of names, in order.
pub async fn of_tables(conn: &mut Conn, tables: &str) -> Stored<Vec<RowRecord>> {
    Ok(of_rows!(
        "where r.what in (select value from json_each(?1)) order by r.number",
        tables
    )
    .fetch_all(conn)
    .await?)
}

/// How many records have ever been written.
pub async fn ever(conn: &mut Conn) -> Stored<i64> {
    let count: Option<i64> =
        sqlx::query_scalar("select seq from sqlite_sequence where name = 'records'")
            .fetch_optional(conn)
            .await?;
    Ok(count.unwrap_or(0))
}

/// The rows of a covered table as they are: key and content.
///
/// # Errors
/// The table is not covered, or the database failed.
pub async fn rows(conn: &mut Conn, table: &str) -> Stored<Vec<(String, String)>> {
    if !COVERED.contains(&table) {
        return Err(StoreError::Corrupt {
            what: "records.what",
            found: table.to_owned(),
        });
    }
    let (key, content) = as_json(&noted_columns(conn, table).await?, "");
    let sql = format!("select {key}, {content} from {table}{}", which_noted(table));
    Ok(sqlx::query_as(AssertSqlSafe(sql)).fetch_all(conn).await?)
}

/// Tables, views, triggers and indexes: kind, name and SQL.
pub async fn schema(conn: &mut Conn) -> Stored<Vec<(String, String, String)>> {
    Ok(sqlx::query_as(
        "select type, name, sql from sqlite_schema where sql is not null and name not like 'sqlite_%' \
         and name not like '_sqlx%' order by type, name",
    )
    .fetch_all(conn)
    .await?)
}
