//! Which statements of a page cost the most: the profile of a page whose goal is not reached.

use super::told::Asked;
use statements::rusqlite::types::Value;
use statements::rusqlite::{Connection, OpenFlags, params_from_iter};
use std::collections::BTreeMap;
use std::hint::black_box;
use std::time::{Duration, Instant};

/// How often each statement is asked.
const ROUNDS: u32 = 20;

/// The `most` dearest texts among what a page asked, a line each: ms of a page, how often asked, rows, and the statement.
pub fn dearest(
    file: &std::path::Path,
    asked: &[Asked],
    most: usize,
) -> anyhow::Result<Vec<String>> {
    let connection = Connection::open_with_flags(file, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
    let mut texts: BTreeMap<&str, (Duration, usize, usize)> = BTreeMap::new();
    for one in asked {
        let mut statement = connection.prepare(one.sql)?;
        let columns = statement.column_count();
        let begun = Instant::now();
        let mut found = 0;
        for _ in 0..ROUNDS {
            found = 0;
            let mut rows = statement.query(params_from_iter(one.told.iter()))?;
            while let Some(row) = rows.next()? {
                found += 1;
                for column in 0..columns {
                    black_box(row.get::<_, Value>(column)?);
                }
            }
        }
        let text = texts.entry(one.sql).or_default();
        *text = (
            text.0 + begun.elapsed() / ROUNDS,
            text.1 + 1,
            text.2 + found,
        );
    }
    let mut texts: Vec<_> = texts.into_iter().collect();
    texts.sort_by_key(|(_, (took, _, _))| std::cmp::Reverse(*took));
    let line = |(sql, (took, times, rows)): (&str, (Duration, usize, usize))| {
        let words: Vec<&str> = sql.split_whitespace().collect();
        format!(
            "{:9.3} ms {times:4} x {rows:6} rows  {}",
            took.as_secs_f64() * 1000.0,
            words.join(" ")
        )
    };
    Ok(texts.into_iter().take(most).map(line).collect())
}
