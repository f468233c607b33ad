//! What a page asks the database, read off its connections: each statement with the values that it was handed.

use anyhow::{Context, bail, ensure};
use canewright::store::Reader;
use statements::rusqlite::types::Value;
use statements::{Seen, listen, stop, take};

/// Connections that pages read by.
const READERS: usize = 4;

/// A statement with the values of its holes, in the order of their numbers.
#[derive(Debug, Clone)]
pub struct Asked {
    /// As written.
    pub sql: &'static str,
    /// What it is handed.
    pub told: Vec<Value>,
}

/// Notes what all connections run from here on, or no more.
pub async fn noting(reader: &Reader, on: bool) -> anyhow::Result<()> {
    let mut all = Vec::new();
    // Held all at once: each of them is another connection.
    for _ in 0..READERS {
        all.push(reader.snapshot().await?);
    }
    for moment in &mut all {
        let mut handle = moment.lock_handle().await?;
        if on {
            listen(&mut handle);
        } else {
            stop(&mut handle);
        }
    }
    Ok(())
}

/// The statements that were run since this was last asked, without those that begin and end a transaction.
pub fn asked() -> anyhow::Result<Vec<Asked>> {
    let works = |seen: &Seen| {
        let word = seen.sql.split_whitespace().next().unwrap_or_default();
        !["begin", "commit", "rollback", "savepoint", "release"]
            .contains(&word.to_ascii_lowercase().as_str())
    };
    let all = take().into_iter().filter(works);
    all.map(|seen| {
        Ok(Asked {
            told: values(&seen.sql, &seen.filled).with_context(|| seen.filled.clone())?,
            // Kept as long as the bench runs, as the program's own statements are.
            sql: Box::leak(seen.sql.into_boxed_str()),
        })
    })
    .collect()
}

/// The values that stand in `filled` where `sql` has holes (`?`, or `?` and a number).
fn values(sql: &str, filled: &str) -> anyhow::Result<Vec<Value>> {
    let (mut sql, mut filled) = (sql, filled);
    let mut found: Vec<Value> = Vec::new();
    let mut quote = None;
    while let Some(next) = sql.chars().next() {
        if next == '?' && quote.is_none() {
            let digits = sql[1..].bytes().take_while(u8::is_ascii_digit).count();
            let number = sql[1..=digits].parse().unwrap_or(found.len() + 1);
            let (value, length) = literal(filled)?;
            if found.len() < number {
                found.resize(number, Value::Null);
            }
            *found.get_mut(number - 1).context("a hole numbered 0")? = value;
            sql = &sql[1 + digits..];
            filled = &filled[length..];
            continue;
        }
        match quote {
            None if next == '\'' || next == '"' => quote = Some(next),
            Some(open) if open == next => quote = None,
            _ => {}
        }
        ensure!(filled.starts_with(next), "the texts part ways");
        sql = &sql[next.len_utf8()..];
        filled = &filled[next.len_utf8()..];
    }
    Ok(found)
}

/// The value that a text begins with, and how long it is: <https://www.sqlite.org/lang_expr.html#literal_values_constants_>.
fn literal(text: &str) -> anyhow::Result<(Value, usize)> {
    if text.starts_with("NULL") {
        return Ok((Value::Null, 4));
    }
    if let Some(rest) = text.strip_prefix('\'') {
        let mut out = String::new();
        let mut all = rest.char_indices().peekable();
        while let Some((at, next)) = all.next() {
            if next != '\'' {
                out.push(next);
            } else if all.next_if(|(_, after)| *after == '\'').is_some() {
                out.push('\'');
            } else {
                return Ok((Value::Text(out), at + 2));
            }
        }
        bail!("a text without an end");
    }
    let number = |c: &u8| c.is_ascii_digit() || b"+-.e".contains(c);
    let length = text.bytes().take_while(|c| number(c)).count();
    let number = &text[..length];
    let value = match number.parse() {
        Ok(whole) => Value::Integer(whole),
        Err(_) => Value::Real(number.parse().context("neither text nor number")?),
    };
    Ok((value, length))
}
