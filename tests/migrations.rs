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

/// Runs the migrations of those numbers.
async fn migrate(conn: &mut SqliteConnection, (from, before): (&str, &str)) {
    let mut files: Vec<_> = std::fs::read_dir("migrations")
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "sql"))
        .collect();
    files.sort();
    for path in files {
        let number = path.file_name().unwrap().to_str().unwrap()[..4].to_owned();
        if (from..before).contains(&number.as_str()) {
            run(conn, std::fs::read_to_string(path).unwrap()).await;
        }
    }
}

async fn run(conn: &mut SqliteConnection, sql: String) {
    sqlx::raw_sql(sqlx::AssertSqlSafe(sql))
        .execute(conn)
        .await
        .unwrap();
}

/// A boil was lost altogether before losses could be taken back: it stays closed, since when it was.
#[tokio::test]
async fn a_boil_that_was_lost_before_losses_could_be_taken_back_stays_closed() {
    let mut conn = SqliteConnection::connect("sqlite::memory:").await.unwrap();
    migrate(&mut conn, ("0000", "0063")).await;
    run(&mut conn, "pragma foreign_keys = off".to_owned()).await;
    for (id, whole) in [("whole", 1), ("part", 0)] {
        let rows = format!(
            "insert into boils (id, lot_code, season_id, rules_id, press_day_id, target_bx, pan_id, lit_at, cook_id, note) \
             values ('{id}', '{id}', 's', 'r', 'd', 78, 'p', 1000, 'm', ''); \
             insert into losses (boil_id, what, lost_g, whole, why, by_id, at) \
             values ('{id}', 'scorched', 500, {whole}, 'the fire was not drawn', 'm', 2000)"
        );
        run(&mut conn, rows).await;
    }
    migrate(&mut conn, ("0063", "9999")).await;
    let closed: Vec<(String, i64)> = sqlx::query_as("select boil_id, at from closed_boils")
        .fetch_all(&mut conn)
        .await
        .unwrap();
    assert_eq!(closed, [("whole".to_owned(), 2000)]);
    let counted: Vec<(String, i64)> =
        sqlx::query_as("select boil_id, lost_g from counted_losses order by boil_id")
            .fetch_all(&mut conn)
            .await
            .unwrap();
    assert_eq!(
        counted,
        [("part".to_owned(), 500), ("whole".to_owned(), 500)]
    );
}

/// Version 1 was voted before there was a rule about what breaks on the shelf, version 2 after it: the file knows by what was first
/// written of each.
#[tokio::test]
async fn a_version_of_the_rules_voted_before_a_rule_existed_claims_no_vote_on_it() {
    let mut conn = SqliteConnection::connect("sqlite::memory:").await.unwrap();
    migrate(&mut conn, ("0000", "0064")).await;
    // Only what the migration goes by: the two versions, and what was first written of them.
    run(&mut conn, "pragma foreign_keys = off".to_owned()).await;
    for (id, content) in [("old", "{\"toll_bp\":0}"), ("new", "{\"mill_mends\":1}")] {
        let rows = format!(
            "insert into season_rules (id, season_id, number, basis, toll_bp, cane_mc, juice_mc, jar_fee_cents, least_cents, \
             target_bx, floor_bx, hold_amber_min, hold_red_min, cane_warn_days, yield_amber_pct, yield_red_pct, recovery_pct, \
             juice_pct, row_kg_per_m, stalk_g, note, made_by, made_at) \
             values ('{id}', 's', {}, 'solids', 0, 0, 0, 0, 0, 78, 12, 240, 300, 4, 45, 38, 80, 45, 2, 450, '', 'm', 1); \
             insert into records (what, op, key, content) values ('season_rules', 'made', json_array('{id}'), '{content}'); \
             insert into records (what, op, key, content) values ('season_rules', 'found', json_array('{id}'), '{{\"mill_mends\":1}}')",
            if id == "old" { 1 } else { 2 }
        );
        run(&mut conn, rows).await;
    }
    migrate(&mut conn, ("0064", "9999")).await;
    let not_voted: Vec<String> =
        sqlx::query_scalar("select rules_id from rules_not_voted where rule = 'mill_mends'")
            .fetch_all(&mut conn)
            .await
            .unwrap();
    assert_eq!(not_voted, ["old"]);
    let bound: i64 =
        sqlx::query_scalar("select count(*) from season_rules where lots_repay_pct is not null")
            .fetch_one(&mut conn)
            .await
            .unwrap();
    assert_eq!(bound, 0);
}

/// Lines of an older program about jars name the entry that they belong to where it can be told: by words, grams and order. Bess's
/// two entries of one second are alike but for the part-jar; a payment beside them names none.
#[tokio::test]
async fn lines_of_before_about_jars_name_their_entry_where_it_can_be_told() {
    let mut conn = SqliteConnection::connect("sqlite::memory:").await.unwrap();
    migrate(&mut conn, ("0000", "0108")).await;
    let rows = "pragma foreign_keys = off;
        insert into boils (id, lot_code, season_id, rules_id, press_day_id, target_bx, pan_id, lit_at, cook_id, note)
        values ('b', '26001X', 's', 'r', 'd', 78, 'p', 1000, 'm', '');
        insert into jar_moves (number, kind, boil_id, size_name, net_g, part, member_id, receipt, count, why, by_id, at) values
        (1, 'missing', 'b', 'quart', 1360, 0, 'bess', null, 1, 'w', 'ruth', 2000),
        (2, 'missing', 'b', 'quart', 777, 1, 'bess', null, 1, 'w', 'ruth', 2000),
        (3, 'found', 'b', 'quart', 1360, 0, 'bess', null, 1, 'w', 'ruth', 3000),
        (4, 'broken', 'b', 'quart', 1360, 0, 'cole', null, 2, 'w', 'ruth', 3000),
        (5, 'broken', 'b', 'quart', 1360, 0, null, null, 2, 'w', 'ruth', 3000);
        insert into ledger (number, season_id, member_id, kind, grams, cents, says, by_id, at) values
        (1, 's', 'bess', 'loss', 1360, 0, '1 × quart of 48 oz of lot 26001-X missing on the mill’s shelf: made good', 'ruth', 2000),
        (2, 's', null, 'loss', -1360, 0, '1 × quart of 48 oz of lot 26001-X missing on the mill’s shelf: borne by the mill', 'ruth', 2000),
        (3, 's', 'bess', 'jar_price', 0, -85, '1 empty jar (quart) of lot 26001-X missing on the mill’s shelf: credited, 1 × $0.85', 'ruth', 2000),
        (4, 's', 'bess', 'loss', 777, 0, '1 × part-jar of 27.4 oz of lot 26001-X missing on the mill’s shelf: made good', 'ruth', 2000),
        (5, 's', null, 'loss', -777, 0, '1 × part-jar of 27.4 oz of lot 26001-X missing on the mill’s shelf: borne by the mill', 'ruth', 2000),
        (6, 's', 'bess', 'jar_price', 0, -85, '1 empty jar (quart) of lot 26001-X missing on the mill’s shelf: credited, 1 × $0.85', 'ruth', 2000),
        (7, 's', 'bess', 'payment', 0, -500, 'received: cash', 'ruth', 3000),
        (8, 's', 'bess', 'loss', -1360, 0, '1 × quart of 48 oz of lot 26001-X found again: not made good any more', 'ruth', 3000),
        (9, 's', null, 'loss', 1360, 0, '1 × quart of 48 oz of lot 26001-X found again: the mill does not bear it any more', 'ruth', 3000),
        (10, 's', 'bess', 'jar_price', 0, 85, '1 empty jar (quart) of lot 26001-X found again: charged again, 1 × $0.85', 'ruth', 3000),
        (11, 's', 'cole', 'loss', 0, 0, '2 × quart of 48 oz of lot 26001-X broken: by the rules, borne by whose it is', 'ruth', 3000),
        (12, 's', 'cole', 'jar_price', 0, 170, '2 empty jars (quart) × $0.85', 'ruth', 3000)";
    run(&mut conn, rows.to_owned()).await;
    migrate(&mut conn, ("0108", "9999")).await;
    let named: Vec<Option<i64>> = sqlx::query_scalar("select jar_move from ledger order by number")
        .fetch_all(&mut conn)
        .await
        .unwrap();
    let one = |n| Some(n);
    let wanted = [
        one(1),
        one(1),
        one(1),
        one(2),
        one(2),
        one(2),
        None,
        one(3),
        one(3),
        one(3),
        one(4),
        None,
    ];
    assert_eq!(named, wanted);
}
