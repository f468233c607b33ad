//! What must hold in the file after the rush.

use anyhow::{Context, ensure};
use sqlx::sqlite::SqliteConnectOptions;
use sqlx::{AssertSqlSafe, ConnectOptions, SqliteConnection};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// The tables that a turn adds to.
const WRITTEN: [&str; 4] = ["booked_minutes", "turn_events", "turns", "form_keys"];

/// A connection that only reads.
pub async fn open(file: &Path) -> anyhow::Result<SqliteConnection> {
    let options = SqliteConnectOptions::new().filename(file).read_only(true);
    Ok(options.connect().await?)
}

/// How many rows each table has.
pub async fn rows(file: &Path) -> anyhow::Result<BTreeMap<String, i64>> {
    let mut look = open(file).await?;
    let tables: Vec<String> =
        sqlx::query_scalar("select name from sqlite_schema where type = 'table'")
            .fetch_all(&mut look)
            .await?;
    let mut rows = BTreeMap::new();
    for table in tables {
        let sql = AssertSqlSafe(format!("select count(*) from \"{table}\""));
        let count = sqlx::query_scalar(sql).fetch_one(&mut look).await?;
        rows.insert(table, count);
    }
    Ok(rows)
}

/// A turn adds to no table that the bare limit does not add to.
pub async fn only_these_grew(file: &Path, before: &BTreeMap<String, i64>) -> anyhow::Result<()> {
    let after = rows(file).await?;
    let grew: Vec<&str> = after
        .iter()
        .filter(|(table, count)| before.get(*table) != Some(*count))
        .map(|(table, _)| table.as_str())
        .collect();
    ensure!(grew == WRITTEN, "a turn wrote to {grew:?}");
    Ok(())
}

/// The turns are those that phones were answered with, one a member; each has all its minutes, no
/// two have one in common, and of each its history and its form are kept.
pub async fn look_over(file: &Path, answered: &[String]) -> anyhow::Result<()> {
    let mut look = open(file).await?;
    let held: Vec<String> = sqlx::query_scalar("select id from turns where state = 'held'")
        .fetch_all(&mut look)
        .await?;
    ensure!(!held.is_empty(), "nobody has a turn");
    ensure!(
        held.len() == answered.len()
            && held.iter().collect::<BTreeSet<_>>() == answered.iter().collect(),
        "{} turns stand, {} were answered",
        held.len(),
        answered.len()
    );
    let nought = [
        (
            "two turns share minutes",
            "select count(*) from turns a join turns b on a.press_day_id = b.press_day_id and a.id < b.id
            and a.start_min < b.start_min + b.minutes and b.start_min < a.start_min + a.minutes",
        ),
        (
            "a turn lacks minutes, or has others'",
            "select count(*) from turns b where b.minutes <> 5 * (select count(*) from booked_minutes m
            where m.turn_id = b.id and m.press_day_id = b.press_day_id
            and m.minute >= b.start_min and m.minute < b.start_min + b.minutes)",
        ),
        (
            "minutes are taken for no turn",
            "select count(*) - (select sum(minutes) / 5 from turns) from booked_minutes",
        ),
        (
            "a turn is outside its day's hours",
            "select count(*) from turns b join press_days d on d.id = b.press_day_id
            where b.start_min < d.opens_min or b.start_min + b.minutes > d.closes_min",
        ),
        (
            "a member has two turns",
            "select count(*) - count(distinct member_id) from turns",
        ),
        (
            "a turn has not one line of history and one form",
            "select count(*) from turns b where 1 <> (select count(*) from turn_events e where e.turn_id = b.id)
            or 1 <> (select count(*) from form_keys k where k.result = b.id and k.action = 'book_turn')",
        ),
    ];
    for (wrong, sql) in nought {
        let count: i64 = sqlx::query_scalar(sql).fetch_one(&mut look).await?;
        ensure!(count == 0, "{wrong}: {count}");
    }
    Ok(())
}

/// The bare limit came to the very rows of the rush.
pub async fn same(file: &Path, copy: &Path) -> anyhow::Result<()> {
    let mut look = open(file).await?;
    sqlx::query("attach database ?1 as bare")
        .bind(super::text(copy)?)
        .execute(&mut look)
        .await
        .context("cannot open the copy")?;
    for table in WRITTEN {
        for (one, other) in [("main", "bare"), ("bare", "main")] {
            let sql = format!(
                "select count(*) from (select * from {one}.{table} except select * from {other}.{table})"
            );
            let differ: i64 = sqlx::query_scalar(AssertSqlSafe(sql))
                .fetch_one(&mut look)
                .await?;
            ensure!(differ == 0, "{differ} rows of {table} only in {one}");
        }
    }
    Ok(())
}
