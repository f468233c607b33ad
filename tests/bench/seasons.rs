//! A season as often as seasons are wanted: copies of one that was made through the actions, year by year back, with their own ids,
//! numbers and lot codes.

use super::site::TestSite;
use anyhow::ensure;
use canewright::units::LotCode;
use sqlx::{AssertSqlSafe, SqliteConnection};

/// The season that is made through the actions.
const LAST: i32 = 2026;

/// The tables that are copied, in an order that keeps their references.
const COPIED: [&str; 24] = [
    "seasons",
    "season_rules",
    "jar_sizes",
    "rules_confirmed",
    "press_days",
    "tickets",
    "loads",
    "juices",
    "juice_measures",
    "boils",
    "draws",
    "finishes",
    "fills",
    "divisions",
    "shares",
    "share_jars",
    "hand_overs",
    "hand_over_jars",
    "jar_moves",
    "lot_looks",
    "turns",
    "turn_events",
    "booked_minutes",
    "ledger",
];

/// Every third sharer's jars of the even boils handed over, one jar of every tenth boil not to be found; then the season as often as
/// `seasons` are wanted in all.
pub async fn copied(site: &TestSite, seasons: i32) -> anyhow::Result<()> {
    let mut tx = site.writer.begin().await?;
    // Rows that name each other are copied table by table.
    run(&mut tx, "pragma defer_foreign_keys = on".to_owned()).await?;
    let triggers: Vec<(String, String)> =
        sqlx::query_as("select name, sql from sqlite_schema where type = 'trigger'")
            .fetch_all(&mut *tx)
            .await?;
    for (name, _) in &triggers {
        run(&mut tx, format!("drop trigger {name}")).await?;
    }
    run(
        &mut tx,
        "insert into hand_overs (id, number, member_id, signed_by, note, by_id, at)
         select 'ff' || substr(m.id, 3), m.number, m.id, 'At the door', '', m.id, 1 from members m where m.number % 3 = 0;
         insert into hand_over_jars select h.id, d.boil_id, j.size_name, j.net_g, j.part, j.count
         from share_jars j join shares s on s.division_id = j.division_id and s.place = j.place
         join divisions d on d.id = j.division_id join boils b on b.id = d.boil_id join hand_overs h on h.member_id = s.member_id
         where b.rowid % 2 = 0;
         insert into jar_moves (number, kind, boil_id, size_name, net_g, part, member_id, receipt, count, why, by_id, at)
         select row_number() over (), 'missing', d.boil_id, j.size_name, j.net_g, j.part, s.member_id, null, 1, 'Nobody found it',
         d.by_id, 1 from share_jars j join shares s on s.division_id = j.division_id and s.place = j.place
         join divisions d on d.id = j.division_id join boils b on b.id = d.boil_id where b.rowid % 10 = 1 and j.count > 0
         group by d.boil_id"
            .to_owned(),
    )
    .await?;
    run(
        &mut tx,
        "create temp table own (id text primary key);
         insert into own select id from seasons union all select id from season_rules union all select id from press_days
         union all select id from tickets union all select id from juices union all select id from boils
         union all select id from divisions union all select id from hand_overs union all select id from turns;
         create temp table codes (lot text, back integer, becomes text, primary key (lot, back))"
            .to_owned(),
    )
    .await?;
    let lots: Vec<String> = sqlx::query_scalar("select lot_code from boils order by rowid")
        .fetch_all(&mut *tx)
        .await?;
    for back in 1..seasons {
        for (lot, new) in lots.iter().zip(LotCode::of_year(LAST - back)) {
            sqlx::query("insert into codes values (?1, ?2, ?3)")
                .bind(lot)
                .bind(back)
                .bind(new.as_str())
                .execute(&mut *tx)
                .await?;
        }
    }
    for table in COPIED {
        let columns: Vec<String> =
            sqlx::query_scalar("select name from pragma_table_info(?1) order by cid")
                .bind(table)
                .fetch_all(&mut *tx)
                .await?;
        run(&mut tx, copying(table, &columns, seasons)).await?;
    }
    // A season that is over is closed.
    run(
        &mut tx,
        format!(
            "insert into season_locks (season_id, number, locked, why, by_id, at)
             select s.id, 1, 1, '', (select m.id from members m limit 1), 1 from seasons s where s.year < {LAST}"
        ),
    )
    .await?;
    let torn: Vec<(String, Option<i64>, String, i64)> = sqlx::query_as("pragma foreign_key_check")
        .fetch_all(&mut *tx)
        .await?;
    ensure!(
        torn.is_empty(),
        "copied rows name what is not there: {:?}",
        torn.first()
    );
    for (_, trigger) in triggers {
        run(&mut tx, trigger).await?;
    }
    tx.commit().await?;
    Ok(())
}

/// The SQL that copies a table's rows into the seasons before.
fn copying(table: &str, columns: &[String], seasons: i32) -> String {
    let of = |column: &String| match (table, column.as_str()) {
        ("seasons", "year") => "o.year - b.value".to_owned(),
        ("press_days", "date") => "date(o.date, '-' || b.value || ' years')".to_owned(),
        ("boils", "lot_code") => {
            "(select becomes from codes where lot = o.lot_code and back = b.value)".to_owned()
        }
        ("hand_overs" | "jar_moves", "number") => "o.number + 1000 * b.value".to_owned(),
        ("ledger", "jar_move") => "o.jar_move + 1000 * b.value".to_owned(),
        ("ledger", number @ ("number" | "answers")) => {
            format!("o.{number} + 100000 * b.value")
        }
        (_, id) if id == "id" || id.ends_with("_id") => format!(
            "case when o.{id} in (select id from own) then printf('%02x', b.value + 1) || substr(o.{id}, 3) else o.{id} end"
        ),
        (_, other) => format!("o.{other}"),
    };
    let values: Vec<String> = columns.iter().map(of).collect();
    format!(
        "with recursive b (value) as (select 1 union all select value + 1 from b where value < {})
         insert into {table} ({}) select {} from (select * from {table}) o, b",
        seasons - 1,
        columns.join(", "),
        values.join(", ")
    )
}

async fn run(conn: &mut SqliteConnection, sql: String) -> anyhow::Result<()> {
    sqlx::raw_sql(AssertSqlSafe(sql)).execute(conn).await?;
    Ok(())
}
