//! The bare limit: what a turn writes, written by the same SQL through the same one connection,
//! turn after turn, with no rules looked at and no server in between.

use super::books;
use canewright::store;
use sqlx::{FromRow, SqliteConnection};
use std::path::Path;
use std::time::{Duration, Instant};

/// All turns are written so many times, each time to a file of its own: a limit is what the machine
/// can do, and one round alone may meet a machine that is busy elsewhere.
const ROUNDS: usize = 5;

/// A turn as the rush left it.
#[derive(FromRow)]
struct Turn {
    id: String,
    press_day_id: String,
    member_id: String,
    start_min: i64,
    minutes: i64,
    cane_g: i64,
    told_as: String,
    told_amount: f64,
    made_by: String,
    made_at: i64,
    key: String,
}

/// Writes the turns of `file` to copies of `copy`, its copy from before the rush; looks that they
/// come to the very rows of the rush; gives the times of the quickest round, one a turn.
pub async fn again(file: &Path, copy: &Path) -> anyhow::Result<Vec<Duration>> {
    let mut look = books::open(file).await?;
    let turns: Vec<Turn> = sqlx::query_as(
        "select b.id, b.press_day_id, b.member_id, b.start_min, b.minutes, b.cane_g, b.told_as, b.told_amount,
        b.made_by, b.made_at, k.key from turns b join form_keys k on k.result = b.id and k.action = 'book_turn'
        order by b.rowid",
    )
    .fetch_all(&mut look)
    .await?;
    let all = |times: &[Duration]| -> Duration { times.iter().sum() };
    let mut quickest: Option<Vec<Duration>> = None;
    for round in 1..=ROUNDS {
        let to = copy.with_file_name(format!("bare-{round}.db"));
        std::fs::copy(copy, &to)?;
        let times = once(&turns, &to).await?;
        books::same(file, &to).await?;
        if quickest.as_ref().is_none_or(|best| all(&times) < all(best)) {
            quickest = Some(times);
        }
    }
    Ok(quickest.unwrap_or_default())
}

async fn once(turns: &[Turn], to: &Path) -> anyhow::Result<Vec<Duration>> {
    let (writer, reader) = store::open(to).await?;
    let mut times = Vec::new();
    for turn in turns {
        let begun = Instant::now();
        let mut tx = writer.begin().await?;
        write(&mut tx, turn).await?;
        tx.commit().await?;
        times.push(begun.elapsed());
    }
    reader.close().await;
    writer.close().await;
    Ok(times)
}

/// The statements of `store::turn::{insert, take_five, insert_event}` and
/// `store::form_keys::insert`; `books` looks that they come to the same rows.
async fn write(conn: &mut SqliteConnection, turn: &Turn) -> anyhow::Result<()> {
    sqlx::query(
        "insert into turns (id, press_day_id, member_id, start_min, minutes, cane_g, told_as, told_amount,
        state, made_by, made_at) values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, 'held', ?9, ?10)",
    )
    .bind(&turn.id)
    .bind(&turn.press_day_id)
    .bind(&turn.member_id)
    .bind(turn.start_min)
    .bind(turn.minutes)
    .bind(turn.cane_g)
    .bind(&turn.told_as)
    .bind(turn.told_amount)
    .bind(&turn.made_by)
    .bind(turn.made_at)
    .execute(&mut *conn)
    .await?;
    for minute in (turn.start_min..turn.start_min + turn.minutes).step_by(5) {
        sqlx::query(
            "insert into booked_minutes (press_day_id, minute, turn_id) values (?1, ?2, ?3)",
        )
        .bind(&turn.press_day_id)
        .bind(minute)
        .bind(&turn.id)
        .execute(&mut *conn)
        .await?;
    }
    sqlx::query(
        "insert into turn_events (turn_id, version, what, start_min, minutes, press_day_id, why, by_id, at)
        values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
    )
    .bind(&turn.id)
    .bind(1_i64)
    .bind("made")
    .bind(turn.start_min)
    .bind(turn.minutes)
    .bind(&turn.press_day_id)
    .bind("")
    .bind(&turn.made_by)
    .bind(turn.made_at)
    .execute(&mut *conn)
    .await?;
    sqlx::query(
        "insert into form_keys (key, action, result, member_id, done_at) values (?1, ?2, ?3, ?4, ?5)",
    )
    .bind(&turn.key)
    .bind("book_turn")
    .bind(&turn.id)
    .bind(&turn.made_by)
    .bind(turn.made_at)
    .execute(&mut *conn)
    .await?;
    Ok(())
}
