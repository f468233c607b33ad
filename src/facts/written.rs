//! Looks over what was written against what stands: the chain of records, each row against its record, and the schema that
//! refuses changes. Says in words what was changed, removed or added by hand.

use super::restored_words::table_says;
use super::written_beside::beside;
use super::written_columns::column as column_in_words;
use super::written_words::Words;
use crate::calc::chain::{Link, digest, sha256_hex};
use crate::store::people::forgetting;
use crate::store::records::{self, COVERED, Record};
use crate::store::{Conn, Stored, schema_as_made, steps_amiss};
use serde_json::{Map, Value};
use std::collections::{BTreeMap, BTreeSet};

/// What looking over the records found.
#[derive(Debug, Default)]
pub struct LookedOver {
    /// Records that were looked over.
    pub records: usize,
    /// Number and digest of each record that the program wrote, in order.
    pub chain: Vec<(i64, String)>,
    /// What differs from how it was written, one sentence each.
    pub differs: Vec<String>,
    /// Every table that the program makes is there.
    pub whole: bool,
}

/// Kind, name and SQL of a table, index or trigger.
type SchemaRow = (String, String, String);

/// A row by the table and its key.
type Row = (String, String);

/// Digests that the content of some records is to have since a name was taken out of it, by number.
type Nameless = BTreeMap<i64, String>;

/// The rows as the records leave them.
#[derive(Default)]
struct Left {
    /// Content of the rows that should stand, and whether the program wrote it last.
    rows: BTreeMap<Row, (String, bool)>,
    /// Tables that have been covered before.
    covered: BTreeSet<String>,
}

/// Looks everything over.
///
/// # Errors
/// The store failed. What merely differs is in the answer.
pub async fn look_over(conn: &mut Conn) -> Stored<LookedOver> {
    let mut out = LookedOver::default();
    let as_made = schema_as_made().await?;
    let found = records::schema(conn).await?;
    let gone = gone(&as_made, &found);
    out.whole = gone.is_empty();
    schema(&mut out, &as_made, found);
    out.differs.extend(steps_amiss(conn).await?);
    if ["records", "forgotten_rows"]
        .iter()
        .any(|table| gone.contains(*table))
    {
        // If nothing of what was written is left, there is nothing to compare with.
        return Ok(out);
    }
    let all = records::all(conn).await?;
    let mut words = if gone.contains("coop") {
        Words::of_all(None, &all)
    } else {
        Words::read(conn, &all).await?
    };
    out.records = all.len();
    let nameless: Nameless = forgetting::digests(conn).await?.into_iter().collect();
    let ever = records::ever(conn).await?;
    chain(&mut out, &all, (ever, &nameless), &words);
    let left = replay(&mut out, &all, (&fixed(&as_made), &nameless), &words);
    for table in COVERED {
        if gone.contains(table) {
            out.differs.push(lost_with(table, &all));
            continue;
        }
        let now = records::rows(conn, table).await?;
        words.learn(table, &now);
        rows(&mut out, table, now, &left, &words);
    }
    out.differs.extend(beside(conn, &gone, &words).await?);
    let sealed = all.into_iter().filter(|r| !r.digest.is_empty());
    out.chain = sealed.map(|r| (r.number, r.digest)).collect();
    Ok(out)
}

/// The tables that the program makes and that are not there.
fn gone(as_made: &[SchemaRow], found: &[SchemaRow]) -> BTreeSet<String> {
    let tables = as_made.iter().filter(|(kind, _, _)| kind == "table");
    let there = |name: &str| found.iter().any(|(k, n, _)| k == "table" && n == name);
    let gone = tables.filter(|(_, name, _)| !there(name));
    gone.map(|(_, name, _)| name.clone()).collect()
}

/// A sentence that tells how many records were lost with a table.
fn lost_with(table: &str, all: &[Record]) -> String {
    let named = table_says(table);
    let made = all.iter().filter(|r| r.what == table && r.op == "made");
    format!(
        "With the table “{table}” all {named} are gone; {} were written while the program kept watch.",
        made.count()
    )
}

/// The tables whose rows nothing changes or removes, by the triggers that they ought to have.
fn fixed(as_made: &[SchemaRow]) -> BTreeSet<String> {
    let stands = |(kind, name, _): &SchemaRow| {
        let table = name.strip_suffix("_stand").filter(|_| kind == "trigger")?;
        Some(table.to_owned())
    };
    as_made.iter().filter_map(stands).collect()
}

/// Tables in which Litestream keeps its own place, where it copies the database off the machine: they hold nothing of ours.
const BESIDE: [&str; 2] = ["_litestream_lock", "_litestream_seq"];

/// The tables, views and triggers against those that the program makes.
fn schema(out: &mut LookedOver, as_made: &[SchemaRow], found: Vec<SchemaRow>) {
    for (kind, name, sql) in as_made {
        let other = found.iter().find(|(k, n, _)| (k, n) == (kind, name));
        let part = part_says(kind, name);
        let sentence = match other {
            None => format!("{part} was dropped by hand."),
            Some((_, _, other)) if other != sql => format!("{part} is not the program’s."),
            Some(_) => continue,
        };
        out.differs.push(sentence);
    }
    for (kind, name, _) in found {
        let known = as_made.iter().any(|(k, n, _)| (k, n) == (&kind, &name));
        let beside = kind == "table" && BESIDE.contains(&name.as_str());
        if !known && !beside {
            out.differs
                .push(format!("{} was added by hand.", part_says(&kind, &name)));
        }
    }
}

/// A part of the file by what it does, with its name for whoever mends it: "What keeps lines of the ledger from being changed (trigger
/// …)".
fn part_says(kind: &str, name: &str) -> String {
    let ends = [
        ("_stand", "keeps", "from being changed"),
        ("_stay", "keeps", "from being deleted"),
        ("_made", "notes", "when they are made"),
        ("_changed", "notes", "when they are changed"),
        ("_removed", "notes", "when they are deleted"),
    ];
    let guard = ends.iter().find_map(|(end, does, what)| {
        let of = name.strip_suffix(end)?;
        let table = match *does {
            "notes" => of.strip_prefix("record_")?,
            _ => of,
        };
        COVERED
            .contains(&table)
            .then(|| format!("What {does} {} {what}", table_says(table)))
    });
    match (kind, guard) {
        ("trigger", Some(guard)) => format!("{guard} (trigger “{name}”)"),
        ("table", _) => format!("The table “{name}”, which holds {},", table_says(name)),
        _ => format!("The {kind} “{name}”"),
    }
}

/// The records among themselves: numbers without gaps, each digest from the one before.
fn chain(out: &mut LookedOver, all: &[Record], (ever, nameless): (i64, &Nameless), words: &Words) {
    let mut before = String::new();
    let mut next = 1;
    for record in all {
        if record.number > next {
            out.differs.push(match record.number - next {
                1 => format!("Record {next} is gone."),
                n => format!("{n} records are gone: {next} to {}.", record.number - 1),
            });
        }
        next = record.number + 1;
        let label = words.label(&record.what, &record.content);
        if record.digest.is_empty() {
            out.differs.push(format!(
                "{label}: {} by hand, not by the program (record {}).",
                record.op, record.number
            ));
            continue;
        }
        let by = record.by_id.map_or_else(String::new, |id| id.to_string());
        let at = record
            .at
            .map_or_else(String::new, |at| at.get().to_string());
        let link = Link {
            number: record.number,
            what: &record.what,
            op: &record.op,
            key: &record.key,
            content_digest: &record.content_digest,
            by: &by,
            at: &at,
        };
        let content_digest = nameless.get(&record.number);
        if digest(&before, &link) != record.digest
            || sha256_hex(&record.content) != *content_digest.unwrap_or(&record.content_digest)
        {
            out.differs.push(format!(
                "Record {} ({label}) is not as it was written, or the one before it is gone.",
                record.number
            ));
        }
        before.clone_from(&record.digest);
    }
    if ever >= next {
        out.differs.push(format!(
            "The last records are gone: {next} to {ever} were written."
        ));
    }
}

/// What the records leave, and what each of them may not do.
fn replay(
    out: &mut LookedOver,
    all: &[Record],
    (fixed, nameless): (&BTreeSet<String>, &Nameless),
    words: &Words,
) -> Left {
    let mut left = Left::default();
    for record in all {
        let row = (record.what.clone(), record.key.clone());
        let label = words.label(&record.what, &record.content);
        let sealed = !record.digest.is_empty();
        match record.op.as_str() {
            "found" => {
                if record.key == records::WHOLE_TABLE {
                    left.covered.insert(record.what.clone());
                    continue;
                }
                // Rows that stood there before the table was first covered.
                let first = !left.covered.contains(&record.what);
                match left.rows.get(&row) {
                    Some((was, _)) => {
                        differences(out, (&record.what, &label), was, &record.content, words);
                    }
                    None if !first => out.differs.push(format!(
                        "{label} was added by hand: it stood there when the program was started."
                    )),
                    None => {}
                }
            }
            "made" => {}
            op => {
                let without_name = nameless.contains_key(&record.number);
                if without_name && op == "changed" && fixed.contains(&record.what) {
                    // When a name was taken out of a row, or of its records, nothing else may differ.
                    if let Some((was, _)) = left.rows.get(&row) {
                        differences(out, (&record.what, &label), was, &record.content, words);
                    }
                } else if sealed && fixed.contains(&record.what) {
                    out.differs.push(format!(
                        "{label} was {op} (record {}), which nothing in the program does.",
                        record.number
                    ));
                }
                if let Some((was, true)) = left.rows.get(&row)
                    && !sealed
                    && op == "changed"
                {
                    differences(out, (&record.what, &label), was, &record.content, words);
                }
            }
        }
        if record.op == "removed" {
            left.rows.remove(&row);
        } else {
            left.rows.insert(row, (record.content.clone(), sealed));
        }
    }
    left
}

/// The rows of a table against what the records leave of it.
fn rows(out: &mut LookedOver, table: &str, now: Vec<(String, String)>, left: &Left, words: &Words) {
    let mut seen = BTreeSet::new();
    let mut added = Vec::new();
    for (key, content) in now {
        let row = (table.to_owned(), key);
        match left.rows.get(&row) {
            None => added.push(content),
            Some((was, _)) => {
                let label = words.label(table, was);
                differences(out, (table, &label), was, &content, words);
            }
        }
        seen.insert(row);
    }
    let lacking = |(row, _): &(&Row, _)| row.0 == table && !seen.contains(*row);
    let mut gone: Vec<&str> = left
        .rows
        .iter()
        .filter(lacking)
        .map(|(_, (was, _))| was.as_str())
        .collect();
    for content in added {
        let told = out.differs.len();
        if let Some(at) = written_over(&gone, &content) {
            let label = words.label(table, gone[at]);
            differences(out, (table, &label), gone[at], &content, words);
            if out.differs.len() > told {
                gone.remove(at);
                continue;
            }
        }
        let label = words.label(table, &content);
        out.differs.push(format!(
            "{label} was added by hand: the program did not write it."
        ));
    }
    for was in gone {
        let label = words.label(table, was);
        out.differs.push(format!("{label} is gone from the book."));
    }
}

/// The place, among rows that are gone, of the one that a row nobody wrote was made of: all but a column or two are the same.
fn written_over(gone: &[&str], content: &str) -> Option<usize> {
    let is: Map<String, Value> = serde_json::from_str(content).ok()?;
    let likeness = |was: &&str| -> Option<usize> {
        let was: Map<String, Value> = serde_json::from_str(was).ok()?;
        let other = |(column, value): &(&String, &Value)| {
            !is.get(*column).is_some_and(|now| same(value, now))
        };
        let others = was.iter().filter(other).count();
        (others <= 2 && others * 2 < was.len()).then_some(others)
    };
    let found = gone.iter().enumerate();
    found
        .filter_map(|(at, was)| Some((likeness(was)?, at)))
        .min()
        .map(|(_, at)| at)
}

/// Whether two values are the same: numbers to a millionth of a millionth, since they are written as text.
fn same(a: &Value, b: &Value) -> bool {
    match (a.as_f64(), b.as_f64()) {
        (Some(x), Some(y)) if a.is_f64() || b.is_f64() => {
            (x - y).abs() <= 1e-12 * x.abs().max(y.abs())
        }
        _ => a == b,
    }
}

/// What differs between a row as it was written and as it is, column by column; a column that came later has nothing to be
/// compared with.
fn differences(
    out: &mut LookedOver,
    (table, label): (&str, &str),
    was: &str,
    is: &str,
    words: &Words,
) {
    let read = |text: &str| serde_json::from_str::<Map<String, Value>>(text).ok();
    let (Some(was), Some(is)) = (read(was), read(is)) else {
        let sentence = format!("{label} does not read back.");
        return out.differs.push(sentence);
    };
    for (column, before) in &was {
        let Some(after) = is.get(column) else {
            continue;
        };
        if !same(before, after) {
            let name = column_in_words(table, column);
            let empty = after.is_null();
            let (before, after) = words.both(column, before, after);
            out.differs.push(if empty {
                format!(
                    "{label}: {name} is empty in the book, it was {before} when it was written."
                )
            } else {
                format!("{label}: {name} {after} in the book, {before} when it was written.")
            });
        }
    }
}
