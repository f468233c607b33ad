//! Everything that was written, newest first, in words: what, from, to, who, when.

use super::written_words::Words;
use crate::store::people::household;
use crate::store::records::{self, Record, RowRecord};
use crate::store::{Conn, Stored};
use crate::units::{MemberId, UtcSecond, Zone};
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;

/// One thing that was written.
#[derive(Debug, Clone)]
pub struct Change {
    /// When; `None`: before the program noted it.
    pub at: Option<UtcSecond>,
    /// Who; empty: nobody sent a form for it.
    pub by: String,
    /// What it is.
    pub what: String,
    /// "made", "changed", "removed", or "by hand".
    pub op: &'static str,
    /// What became of each column; empty when it was made or removed.
    pub changes: Vec<String>,
}

/// Those that are found, newest first.
#[derive(Debug)]
pub struct History {
    /// At most as many as were asked for.
    pub shown: Vec<Change>,
    /// Whether there are more.
    pub more: bool,
}

impl History {
    /// Reads what contains all words of `wanted`, whatever their case; at most `most`, after the first `skip`.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, wanted: &str, (skip, most): (usize, usize)) -> Stored<Self> {
        let all = records::all(conn).await?;
        let words = Words::read(conn, &all).await?;
        let wanted: Vec<String> = wanted.split_whitespace().map(str::to_lowercase).collect();
        let mut found: Vec<Change> = changes(&all, &words)
            .into_iter()
            .rev()
            .filter(|change| change.has(&wanted))
            .skip(skip)
            .take(most + 1)
            .collect();
        let more = found.len() > most;
        found.truncate(most);
        Ok(Self { shown: found, more })
    }
}

/// The tables of a member's card.
const OF_A_CARD: [&str; 4] = ["members", "accounts", "station_pins", "household"];

/// What became of a member's card, and who else was let act for it.
///
/// # Errors
/// The store failed.
pub async fn of_card(conn: &mut Conn, zone: &Zone, member: MemberId) -> Stored<Vec<Change>> {
    let id = member.to_string();
    let mut keys = vec![Value::from(vec![id.clone()]).to_string()];
    let mut people = Vec::new();
    for said in household::said_of(member).ask(conn).await? {
        let key = [
            id.clone().into(),
            said.person_id.to_string().into(),
            said.version.into(),
        ];
        keys.push(Value::Array(key.to_vec()).to_string());
        let card = json!({ "id": said.person_id.to_string(), "number": said.number, "name": said.name.as_str() });
        people.push((String::new(), card.to_string()));
    }
    let tables = Value::from(&OF_A_CARD[..]).to_string();
    let found = records::of_keys(conn, &tables, &Value::from(keys).to_string()).await?;
    Ok(of_few(zone, found, &people))
}

/// What became of every row of some tables that are short.
///
/// # Errors
/// The store failed.
pub async fn of_tables(conn: &mut Conn, zone: &Zone, tables: &[&str]) -> Stored<Vec<Change>> {
    let found = records::of_tables(conn, &Value::from(tables).to_string()).await?;
    Ok(of_few(zone, found, &[]))
}

/// The changes of a few rows, newest first; `people`: rows of members that they name.
fn of_few(zone: &Zone, found: Vec<RowRecord>, people: &[(String, String)]) -> Vec<Change> {
    let mut words = Words::of_few(zone, &found);
    words.learn("members", people);
    let all: Vec<Record> = found.into_iter().map(|row| row.record).collect();
    let mut out = changes(&all, &words);
    out.reverse();
    out
}

impl Change {
    /// Whether all words stand somewhere in it.
    fn has(&self, wanted: &[String]) -> bool {
        let text = format!(
            "{} {} {} {}",
            self.by,
            self.what,
            self.op,
            self.changes.join(" ")
        );
        let text = text.to_lowercase();
        wanted.iter().all(|word| text.contains(word))
    }
}

/// All that was written, in order; what merely stood there when it was first noted is left out.
fn changes(all: &[Record], words: &Words) -> Vec<Change> {
    let mut before: BTreeMap<(&str, &str), &str> = BTreeMap::new();
    let mut out = Vec::new();
    for record in all {
        let was = before.insert((&record.what, &record.key), &record.content);
        if record.what == "forgotten_rows" {
            // That a member was forgotten is told once, not record by record.
            continue;
        }
        let op = match (record.digest.is_empty(), record.op.as_str()) {
            (true, _) => "by hand",
            (_, "made") => "made",
            (_, "changed") => "changed",
            (_, "removed") => "removed",
            _ => continue,
        };
        let changes = match was {
            Some(was) if record.op == "changed" => became(was, &record.content, words),
            _ => Vec::new(),
        };
        let by = record.by_id.map(|id| Value::String(id.to_string()));
        out.push(Change {
            at: record.at,
            by: by.map_or_else(String::new, |id| words.value("by_id", &id)),
            what: words.label(&record.what, &record.content),
            op,
            changes,
        });
    }
    out
}

/// "role: “member” → “crew”", column by column.
fn became(was: &str, is: &str, words: &Words) -> Vec<String> {
    let read = |text: &str| serde_json::from_str::<Map<String, Value>>(text).unwrap_or_default();
    let (was, is) = (read(was), read(is));
    is.iter()
        // It only counts the changes.
        .filter(|(column, value)| was.get(*column) != Some(value) && *column != "version")
        .map(|(column, value)| {
            let before = was.get(column).unwrap_or(&Value::Null);
            format!(
                "{}: {} → {}",
                Words::column(column),
                words.value(column, before),
                words.value(column, value)
            )
        })
        .collect()
}
