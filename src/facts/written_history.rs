//! Everything that was written, newest first, in words: what, from, to, who, when.

use super::written_columns::column as column_in_words;
use super::written_versions::{Versions, of_its_own};
use super::written_words::Words;
use crate::store::people::household;
use crate::store::records::{self, Record, RowRecord};
use crate::store::{Conn, Stored};
use crate::units::{MemberId, UtcSecond, Zone};
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;

/// One record of something that was written.
#[derive(Debug, Clone)]
pub struct Change {
    /// When it was written; `None`: before the program noted it.
    pub at: Option<UtcSecond>,
    /// Who wrote it, or that it was done on the server; empty: before the program noted it.
    pub by: String,
    /// What was written, in words.
    pub what: String,
    /// "made", "a further version", "changed", "removed", or "by hand".
    pub op: &'static str,
    /// What became of each column, of a further version since the one before it; empty when it was made or removed.
    pub changes: Vec<String>,
}

/// The records that were found, newest first.
#[derive(Debug)]
pub struct History {
    /// The records to show, at most as many as were asked for.
    pub shown: Vec<Change>,
    /// Whether there are more than are shown.
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

/// Stands for who wrote what nobody sent a form for: the server did, by itself or by a command.
const ON_SERVER: &str = "on the server";

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

/// Tables whose records are no change that somebody looks for: the page of the history says where these stand.
const NOT_TOLD: [&str; 7] = [
    // That a member was forgotten is told once, not record by record.
    "forgotten_rows",
    "sessions",
    // That a second factor was set up is told, not each of its codes.
    "recovery_codes",
    "notices",
    "letters",
    "typed_in",
    "upkeep",
];

/// Of a row that was written again as it stood, who wrote it and when is no change.
const WRITING: [&str; 2] = ["by_id", "at"];

/// Who wrote a record, in words.
fn who(record: &Record, words: &Words) -> String {
    match record.by_id {
        Some(id) => words.value("by_id", &Value::String(id.to_string())),
        None if record.at.is_some() => ON_SERVER.to_owned(),
        None => String::new(),
    }
}

/// All that was written, in the order of its time; what merely stood there when it was first noted is left out.
fn changes(all: &[Record], words: &Words) -> Vec<Change> {
    let mut before: BTreeMap<(&str, &str), &Record> = BTreeMap::new();
    let mut out: Vec<(i64, Option<Change>)> = Vec::new();
    // Where a row that was taken away stands among the changes.
    let mut removed: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    let mut last = 0;
    let mut versions = Versions::default();
    for record in all {
        let row = (record.what.as_str(), record.key.as_str());
        let was = before.insert(row, record);
        let version_before = versions.before(record);
        if NOT_TOLD.contains(&row.0) {
            continue;
        }
        let gone = removed.remove(&row);
        let mut op = match (record.digest.is_empty(), record.op.as_str()) {
            (true, _) => "by hand",
            (_, "made") => "made",
            (_, "changed") => "changed",
            (_, "removed") => "removed",
            _ => continue,
        };
        // A list that is written anew takes its rows away and makes them again: only what differs is a change.
        let again = was.filter(|was| {
            op == "made" && record.at.is_some() && (was.at, was.by_id) == (record.at, record.by_id)
        });
        if let (Some(place), Some(_)) = (gone, again)
            && let Some((_, taken)) = out.get_mut(place)
        {
            *taken = None;
            op = "changed";
        }
        let changes = match was {
            Some(was) if op == "changed" || record.op == "changed" => {
                let passing: &[&str] = if again.is_some() { &WRITING } else { &[] };
                became(row.0, (&was.content, &record.content), words, passing)
            }
            _ => match version_before.filter(|_| op == "made") {
                Some(was) => {
                    op = "a further version";
                    let both = (was.content.as_str(), record.content.as_str());
                    became(row.0, both, words, of_its_own(row.0))
                }
                None => Vec::new(),
            },
        };
        // A row that stands as it stood, but for the count of its changes, tells nobody anything; a forgetting, that further words went.
        if op == "changed" && changes.is_empty() {
            if row.0 != "forgotten" {
                continue;
            }
            op = "with further words taken out";
        }
        if op == "removed" {
            removed.insert(row, out.len());
        }
        last = record.at.map_or(last, UtcSecond::get);
        let change = Change {
            at: record.at,
            by: who(record, words),
            what: words.label(&record.what, &record.content),
            op,
            changes,
        };
        out.push((last, Some(change)));
    }
    // What was typed in later, or sent by a phone that had no signal, has an earlier time than what stands before it.
    out.sort_by_key(|(at, _)| *at);
    out.into_iter().filter_map(|(_, change)| change).collect()
}

/// "role: “member” → “crew”", column by column, without those that are `passing`.
fn became(table: &str, (was, is): (&str, &str), words: &Words, passing: &[&str]) -> Vec<String> {
    let read = |text: &str| serde_json::from_str::<Map<String, Value>>(text).unwrap_or_default();
    let (was, is) = (read(was), read(is));
    is.iter()
        // A version only counts the changes.
        .filter(|(column, value)| was.get(*column) != Some(value) && *column != "version")
        .filter(|(column, _)| !passing.contains(&column.as_str()))
        .map(|(column, value)| {
            let before = was.get(column).unwrap_or(&Value::Null);
            let (before, after) = words.both(column, before, value);
            format!("{}: {} → {}", column_in_words(table, column), before, after)
        })
        .collect()
}
