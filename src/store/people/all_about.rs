//! Everything that is kept about one member, table by table. Secrets are left out: digests of passphrases, PINs and keys.

use crate::store::question::{Arm, each_row, value};
use crate::store::{Conn, Stored, in_json};
use crate::units::MemberId;
use serde_json::Value;
use sqlx::Row;
use sqlx::sqlite::SqliteRow;
use std::collections::BTreeMap;

/// The tables that are read, each with which of its rows are about the member `?1`.
const TABLES: [(&str, &str); 45] = [
    ("members", "id = ?1"),
    ("member_names", "member_id = ?1"),
    ("household", "member_id = ?1 or person_id = ?1"),
    ("member_jar_wishes", "member_id = ?1"),
    ("accounts", "member_id = ?1"),
    ("sessions", "member_id = ?1"),
    ("feeds", "member_id = ?1"),
    ("notices", "member_id = ?1"),
    (
        "letters",
        "notice_id in (select id from notices where member_id = ?1)",
    ),
    ("plantings", "member_id = ?1"),
    (
        "planting_versions",
        "planting_id in (select id from plantings where member_id = ?1)",
    ),
    ("turns", "member_id = ?1"),
    (
        "turn_events",
        "turn_id in (select id from turns where member_id = ?1)",
    ),
    ("waiting", "member_id = ?1"),
    (
        "offers",
        "waiting_id in (select id from waiting where member_id = ?1)",
    ),
    (
        "offer_plantings",
        "planting_id in (select id from plantings where member_id = ?1)",
    ),
    ("day_answers", "member_id = ?1"),
    ("member_tasks", "member_id = ?1"),
    ("roster", "member_id = ?1"),
    ("tickets", "member_id = ?1"),
    ("loads", OF_TICKETS),
    ("trash_samples", OF_TICKETS),
    ("ticket_moves", "from_member = ?1 or to_member = ?1"),
    ("ticket_ends", OF_TICKETS),
    ("juices", OF_TICKETS),
    ("juice_measures", OF_JUICES),
    ("second_readings", OF_JUICES),
    ("juice_losses", OF_JUICES),
    ("draws", OF_JUICES),
    ("boils", "solo_member_id = ?1"),
    ("shares", "member_id = ?1"),
    ("share_jars", OF_SHARES),
    ("share_wishes", OF_SHARES),
    ("hand_overs", "member_id = ?1"),
    (
        "hand_over_jars",
        "hand_over_id in (select id from hand_overs where member_id = ?1)",
    ),
    ("settled_jars", "member_id = ?1"),
    ("jar_moves", "member_id = ?1"),
    ("ledger", "member_id = ?1"),
    (
        "payments",
        "line in (select number from ledger where member_id = ?1)",
    ),
    ("hours", "member_id = ?1"),
    ("recall_jars", "member_id = ?1"),
    ("sent_from_phone", "member_id = ?1"),
    ("sent_from_station", "member_id = ?1"),
    ("forgotten", "member_id = ?1"),
    ("kept_names", "member_id = ?1"),
];
const OF_TICKETS: &str = "ticket_id in (select id from tickets where member_id = ?1)";
const OF_JUICES: &str = "juice_id in (select j.id from juices j join tickets t on t.id = j.ticket_id where t.member_id = ?1)";
const OF_SHARES: &str =
    "(division_id, place) in (select division_id, place from shares where member_id = ?1)";

/// Tables that name a member and are left out, each with the reason.
pub const LEFT_OUT: [(&str, &str); 9] = [
    (
        "form_keys",
        "keeps a form from being done twice, for some weeks",
    ),
    (
        "forgotten_rows",
        "says of which records the name was taken out; they are numbers and digests",
    ),
    ("invites", "opens an account once; it holds a digest alone"),
    ("pin_tries", "counts wrong tries for a quarter of an hour"),
    ("recovery_codes", "holds digests alone"),
    (
        "restore_forgotten",
        "says whom a backup brought back who was forgotten; it is a number",
    ),
    ("second_factors", "holds a secret"),
    ("station_pins", "holds a digest alone"),
    ("ticket_numbers", "numbers that a phone holds for a day"),
];

/// The tables that are read.
pub fn tables() -> impl Iterator<Item = &'static str> {
    TABLES.into_iter().map(|(name, _)| name)
}

/// The rows of one table that are about the member.
#[derive(Debug)]
pub struct AboutTable {
    /// Name of the table.
    pub name: &'static str,
    /// Names of the columns.
    pub columns: Vec<String>,
    /// The rows, each in the order of the columns.
    pub rows: Vec<Vec<Value>>,
}

/// Whether a column holds a secret's digest, or a blob.
fn secret(column: &str) -> bool {
    ["hash", "secret", "digest", "token"]
        .iter()
        .any(|word| column.contains(word))
}

/// The columns of each table that may be shown, in their order.
async fn columns(conn: &mut Conn) -> Stored<BTreeMap<String, Vec<String>>> {
    let rows: Vec<(String, String)> = sqlx::query_as(
        "select t.value, c.name from json_each(?1) t, pragma_table_info(t.value) c where c.type <> 'BLOB' order by t.id, c.cid",
    )
    .bind(in_json(tables()))
    .fetch_all(conn)
    .await?;
    let mut of: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for (table, column) in rows {
        let shown = of.entry(table).or_default();
        if !secret(&column) {
            shown.push(column);
        }
    }
    Ok(of)
}

/// Reads all of it; tables without a row about the member are left out.
pub async fn all_about(conn: &mut Conn, member: MemberId) -> Stored<Vec<AboutTable>> {
    let mut columns_of = columns(conn).await?;
    let (mut all, mut asked) = (Vec::new(), Vec::new());
    for (name, which) in TABLES {
        let columns = columns_of.remove(name).unwrap_or_default();
        let shown = columns.join(", ");
        let sql = format!("select json_array({shown}) from {name} where {which}");
        asked.push(Arm::of(sql, vec![value(member)]));
        all.push(AboutTable {
            name,
            columns,
            rows: Vec::new(),
        });
    }
    let keep = |place: usize, row: SqliteRow| {
        let text: String = row.try_get(0)?;
        if let Some(table) = all.get_mut(place) {
            table
                .rows
                .push(serde_json::from_str(&text).unwrap_or_default());
        }
        Ok(())
    };
    each_row(conn, asked, keep).await?;
    all.retain(|table| !table.rows.is_empty());
    Ok(all)
}
