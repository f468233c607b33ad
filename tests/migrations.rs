//! The schema: made from nothing it is whole, STRICT and ours; a file of somebody else's or a damaged
//! one is refused; a backup is a sound copy.
#![expect(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

use canewright::store::{self, StoreError};
use sqlx::{Connection, SqliteConnection};
use std::path::Path;

async fn raw(path: &Path) -> SqliteConnection {
    SqliteConnection::connect(&format!("sqlite:{}?mode=rwc", path.display()))
        .await
        .unwrap()
}

#[tokio::test]
async fn a_new_database_is_whole_and_every_table_is_strict() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("new.db");
    let (writer, reader) = store::open(&path).await.unwrap();
    reader.close().await;
    writer.close().await;
    let mut conn = raw(&path).await;
    let id: i64 = sqlx::query_scalar("pragma application_id")
        .fetch_one(&mut conn)
        .await
        .unwrap();
    assert_eq!(id, store::APPLICATION_ID);
    let sound: String = sqlx::query_scalar("pragma integrity_check")
        .fetch_one(&mut conn)
        .await
        .unwrap();
    assert_eq!(sound, "ok");
    let loose: Vec<String> = sqlx::query_scalar(
        "select name from pragma_table_list where schema = 'main' and type = 'table' and strict = 0
         and name not like 'sqlite_%' and name not like '\\_sqlx%' escape '\\'",
    )
    .fetch_all(&mut conn)
    .await
    .unwrap();
    assert!(loose.is_empty(), "not STRICT: {loose:?}");
    let broken = sqlx::query("pragma foreign_key_check")
        .fetch_optional(&mut conn)
        .await
        .unwrap();
    assert!(broken.is_none());
}

#[tokio::test]
async fn every_check_has_a_name() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("new.db");
    let (writer, reader) = store::open(&path).await.unwrap();
    reader.close().await;
    writer.close().await;
    let mut conn = raw(&path).await;
    let tables: Vec<(String, String)> = sqlx::query_as(
        "select name, sql from sqlite_schema where type = 'table' and sql is not null",
    )
    .fetch_all(&mut conn)
    .await
    .unwrap();
    assert!(tables.len() > 20);
    for (name, sql) in tables {
        if name.starts_with("_sqlx") || name.starts_with("sqlite_") {
            continue;
        }
        let lower = sql.to_lowercase();
        let (checks, named) = (
            lower.matches("check (").count(),
            lower.matches("constraint ").count(),
        );
        assert!(checks <= named, "{name}: {checks} checks, {named} names");
    }
}

#[tokio::test]
async fn opening_twice_changes_nothing_and_a_backup_is_sound() {
    let folder = tempfile::tempdir().unwrap();
    let (path, copy) = (folder.path().join("a.db"), folder.path().join("b.db"));
    for _ in 0..2 {
        let (writer, reader) = store::open(&path).await.unwrap();
        reader.close().await;
        writer.close().await;
    }
    store::backup(&path, &copy).await.unwrap();
    let (writer, reader) = store::open(&copy).await.unwrap();
    reader.close().await;
    writer.close().await;
    let again = store::backup(&path, &copy).await;
    assert!(matches!(again, Err(StoreError::Unfit(_))), "{again:?}");
}

#[tokio::test]
async fn somebody_elses_database_is_refused_untouched() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("other.db");
    let mut conn = raw(&path).await;
    sqlx::query("create table recipes (name text)")
        .execute(&mut conn)
        .await
        .unwrap();
    conn.close().await.unwrap();
    let refused = store::open(&path).await.err().unwrap();
    assert!(
        refused.to_string().contains("not a Canewright database"),
        "{refused}"
    );
    let mut conn = raw(&path).await;
    let tables: i64 = sqlx::query_scalar("select count(*) from sqlite_schema")
        .fetch_one(&mut conn)
        .await
        .unwrap();
    assert_eq!(tables, 1);
}

#[tokio::test]
async fn a_damaged_file_is_refused_with_a_sentence() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.db");
    let (writer, reader) = store::open(&path).await.unwrap();
    reader.close().await;
    writer.close().await;
    let mut bytes = std::fs::read(&path).unwrap();
    for byte in bytes.iter_mut().skip(8192).take(20_000) {
        *byte = 0xA5;
    }
    std::fs::write(&path, bytes).unwrap();
    let refused = store::open(&path).await;
    assert!(refused.is_err());
}
