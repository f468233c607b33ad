//! Six weeks without anybody looking after the server: what comes with time is done every hour, somebody signs in
//! each time, and nothing grows without bound.

use canewright::actions::people::accounts;
use canewright::actions::{Ids, rounds, upkeep};
use canewright::demo;
use canewright::store;
use sqlx::{Connection, SqliteConnection};
use std::fs;

/// Six weeks of rounds, an hour apart.
const ROUNDS: i64 = 6 * 7 * 24;

#[tokio::test]
async fn six_weeks_unattended_nothing_grows_without_bound() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("press.db");
    let (writer, reader) = store::open(&path).await.unwrap();
    let begin = demo::make(&writer, &reader).await.unwrap();
    let ids = Ids::counted();
    let mut conn = SqliteConnection::connect(&format!("sqlite:{}", path.display()))
        .await
        .unwrap();
    let count = async |conn: &mut SqliteConnection, sql: &'static str| -> i64 {
        sqlx::query_scalar(sql).fetch_one(conn).await.unwrap()
    };
    let member: String = sqlx::query_scalar("select id from members order by number limit 1")
        .fetch_one(&mut conn)
        .await
        .unwrap();
    let member = canewright::units::MemberId::parse(&member).unwrap();
    let (mut sessions_most, mut log_most) = (0, 0);
    let mut after_a_week = (0, 0);
    for round in 0..ROUNDS {
        let at = begin.plus(round * 3600);
        // Somebody signs in and never signs out.
        accounts::open_session(&writer, at, member, "")
            .await
            .unwrap();
        rounds::due(&reader, &writer, &ids, at).await.unwrap();
        upkeep::pulse(&writer, at).await.unwrap();
        if round % 24 == 0 {
            let sessions = count(&mut conn, "select count(*) from sessions").await;
            sessions_most = sessions_most.max(sessions);
            let log = fs::metadata(folder.path().join("press.db-wal")).map_or(0, |m| m.len());
            log_most = log_most.max(log);
        }
        if round == ROUNDS / 6 {
            after_a_week = (
                count(&mut conn, "select count(*) from notices").await,
                count(&mut conn, "select count(*) from form_keys").await,
            );
        }
    }
    // One an hour, forgotten a day after twelve hours without use.
    assert!(sessions_most <= 38, "{sessions_most} sessions");
    // The log is folded back at a thousand pages (SQLite's own habit), but for what a reader holds.
    assert!(log_most < 8_000_000, "the log grew to {log_most} bytes");
    let notices = count(&mut conn, "select count(*) from notices").await;
    let forms = count(&mut conn, "select count(*) from form_keys").await;
    // The same things are told once; some of the demo's turns come up only later.
    assert!(notices <= after_a_week.0 + 10, "{notices} notices");
    assert!(forms <= after_a_week.1, "{forms} forms");
    let letters = count(
        &mut conn,
        "select count(*) from letters where state = 'waiting'",
    )
    .await;
    assert_eq!(letters, 0, "letters that nobody takes are given up");
    let upkeep = count(&mut conn, "select count(*) from upkeep").await;
    assert!(upkeep <= 10, "{upkeep}");
    conn.close().await.unwrap();
    reader.close().await;
    writer.close().await;
}
