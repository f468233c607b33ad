//! What stands beside the pages and forms: handlers that run the same SQL and write the same text, and one insert.

use super::told::Asked;
use askama::Template;
use axum::Router;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::Html;
use axum::routing::{get, post};
use canewright::store::{Reader, Snapshot};
use sqlx::sqlite::{SqlitePool, SqliteRow};
use sqlx::{Column, Row, TypeInfo, ValueRef};
use statements::rusqlite::types::Value;
use statements::rusqlite::{Connection, OpenFlags, params_from_iter};
use std::hint::black_box;
use std::sync::Arc;
use std::time::{Duration, Instant};
use tower_http::compression::CompressionLayer;

/// A page as it was recorded.
#[derive(Debug, Clone)]
pub struct Recorded {
    /// What it asked the database.
    pub asked: Vec<Asked>,
    /// Its text in pieces: what stands as it is, and what is escaped anew.
    pub pieces: Vec<(String, String)>,
}

impl Recorded {
    /// Of a page and what it asked. What stands between two marks is escaped anew, unless it holds a mark of escaping already.
    pub fn new(asked: Vec<Asked>, page: &str) -> Self {
        let pieces = page.split_inclusive('>').map(|piece| {
            let at = piece.find('<').unwrap_or(piece.len());
            let (words, mark) = piece.split_at(at);
            if words.contains(['&', '\'', '"']) {
                (piece.to_owned(), String::new())
            } else {
                (mark.to_owned(), words.to_owned())
            }
        });
        Self {
            asked,
            pieces: pieces.collect(),
        }
    }
}

#[derive(Template)]
#[template(
    source = "{% for piece in pieces %}{{ piece.1 }}{{ piece.0|safe }}{% endfor %}",
    ext = "html"
)]
struct Filled<'a> {
    pieces: &'a [(String, String)],
}

/// What the handlers share.
#[derive(Debug)]
pub struct Bare {
    /// The pages' own connections.
    pub reader: Reader,
    /// One connection that writes.
    pub writer: SqlitePool,
    /// The pages.
    pub pages: Vec<Recorded>,
}

/// `/page/N` and `/write`.
pub fn bare(shared: Bare) -> Router {
    Router::new()
        .route("/page/{n}", get(page))
        .route("/write", post(write))
        .layer(CompressionLayer::new())
        .with_state(Arc::new(shared))
}

const BROKE: StatusCode = StatusCode::INTERNAL_SERVER_ERROR;

async fn page(
    State(shared): State<Arc<Bare>>,
    Path(n): Path<usize>,
) -> Result<Html<String>, StatusCode> {
    let recorded = shared.pages.get(n).ok_or(StatusCode::NOT_FOUND)?;
    let mut now = shared.reader.snapshot().await.map_err(|_| BROKE)?;
    for asked in &recorded.asked {
        rows(&mut now, asked).await.map_err(|_| BROKE)?;
    }
    drop(now);
    let filled = Filled {
        pieces: &recorded.pieces,
    };
    filled.render().map(Html).map_err(|_| BROKE)
}

/// Runs a statement and takes every value out of every row; gives how many rows there were.
pub async fn rows(now: &mut Snapshot, asked: &Asked) -> sqlx::Result<usize> {
    let mut query = sqlx::query(asked.sql);
    for value in &asked.told {
        query = match value {
            Value::Null => query.bind(None::<String>),
            Value::Integer(whole) => query.bind(whole),
            Value::Real(real) => query.bind(real),
            Value::Text(text) => query.bind(text),
            Value::Blob(bytes) => query.bind(bytes),
        };
    }
    let rows = query.fetch_all(&mut **now).await?;
    for row in &rows {
        taken_out(row)?;
    }
    Ok(rows.len())
}

fn taken_out(row: &SqliteRow) -> sqlx::Result<()> {
    for column in row.columns() {
        let at = column.ordinal();
        let raw = row.try_get_raw(at)?;
        if raw.is_null() {
            continue;
        }
        match raw.type_info().name() {
            "INTEGER" | "BOOLEAN" => drop(black_box(row.try_get_unchecked::<i64, _>(at)?)),
            "REAL" => drop(black_box(row.try_get_unchecked::<f64, _>(at)?)),
            _ => drop(black_box(row.try_get_unchecked::<String, _>(at)?)),
        }
    }
    Ok(())
}

/// Keeps what was sent: one insert, one transaction, on the disk before it is answered.
async fn write(State(shared): State<Arc<Bare>>, body: String) -> Result<&'static str, StatusCode> {
    let kept = async {
        let mut tx = shared.writer.begin_with("begin immediate").await?;
        sqlx::query("insert into bare_writes (body) values (?1)")
            .bind(body)
            .execute(&mut *tx)
            .await?;
        tx.commit().await
    };
    let kept: sqlx::Result<()> = kept.await;
    kept.map_err(|_| BROKE)?;
    Ok("written")
}

/// How long SQLite takes over the statements in this very thread, through no driver that sends messages, ms: the median of `rounds`.
pub fn in_this_thread(
    file: &std::path::Path,
    asked: &[Asked],
    rounds: usize,
) -> anyhow::Result<f64> {
    let connection = Connection::open_with_flags(file, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
    let mut ready = Vec::new();
    for one in asked {
        ready.push((connection.prepare(one.sql)?, &one.told));
    }
    let mut times: Vec<Duration> = Vec::new();
    for _ in 0..rounds {
        let begun = Instant::now();
        connection.execute_batch("begin")?;
        for (statement, told) in &mut ready {
            let columns = statement.column_count();
            let mut rows = statement.query(params_from_iter(told.iter()))?;
            while let Some(row) = rows.next()? {
                for column in 0..columns {
                    black_box(row.get::<_, Value>(column)?);
                }
            }
        }
        connection.execute_batch("commit")?;
        times.push(begun.elapsed());
    }
    times.sort();
    let middle = times.get(times.len() / 2).copied().unwrap_or_default();
    Ok(middle.as_secs_f64() * 1000.0)
}
