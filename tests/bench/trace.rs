//! How long it takes to find every jar of a load after twenty seasons: `cargo bench --bench trace`. 200 members with a load each and
//! 120 boils a season; the first season is made through the actions, the others are its copies, year by year back, with their own
//! ids, numbers and lot codes. One load in nineteen, of every season, is recalled and traced. Times are only printed; a jar that is not
//! found, a gram that does not add up or a jar not accounted for that is not named ends the run with an error.

#[path = "../pages/season/big_season.rs"]
#[expect(
    dead_code,
    clippy::unwrap_used,
    reason = "shared with the tests of pages"
)]
mod big_season;
#[path = "../pages/site.rs"]
#[expect(
    dead_code,
    clippy::unwrap_used,
    reason = "shared with the tests of pages"
)]
mod site;

use anyhow::{Context, ensure};
use big_season::big_season;
use canewright::calc::shares::jar_places::Place;
use canewright::calc::shares::recall::{From, Start};
use canewright::facts::shares::recall::Touched;
use canewright::facts::shares::trace::TicketTrace;
use canewright::store::cane::tickets;
use canewright::units::{LotCode, TicketId};
use site::TestSite;
use sqlx::{AssertSqlSafe, SqliteConnection};
use std::collections::BTreeMap;
use std::io::Write as _;
use std::time::Instant;
use tokio::runtime::Builder;

/// As in the program that is served.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

const MEMBERS: usize = 200;
const BOILS: usize = 120;
const SEASONS: i32 = 20;
/// Every so many loads one is looked for: those of all seasons, members and boils are among them.
const EVERY: usize = 19;
/// The season that is made through the actions.
const LAST: i32 = 2026;

/// The tables that are copied, in an order that keeps their references.
const COPIED: [&str; 20] = [
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
];

fn main() -> anyhow::Result<()> {
    let run = Builder::new_multi_thread().enable_all().build()?;
    run.block_on(async {
        let season = big_season(MEMBERS, BOILS).await;
        let site = &season.site;
        copied(site).await?;
        looked_for(site).await
    })
}

/// Every third sharer's jars of the even boils handed over, one jar of every tenth boil not to be found; then the season as often as
/// seasons are wanted.
async fn copied(site: &TestSite) -> anyhow::Result<()> {
    let mut tx = site.writer.begin().await?;
    // Rows that name each other are copied table by table.
    run(&mut tx, "pragma defer_foreign_keys = on".to_owned()).await?;
    let triggers: Vec<String> =
        sqlx::query_scalar("select name from sqlite_schema where type = 'trigger'")
            .fetch_all(&mut *tx)
            .await?;
    for trigger in triggers {
        run(&mut tx, format!("drop trigger {trigger}")).await?;
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
         union all select id from divisions union all select id from hand_overs;
         create temp table codes (lot text, back integer, becomes text, primary key (lot, back))"
            .to_owned(),
    )
    .await?;
    let lots: Vec<String> = sqlx::query_scalar("select lot_code from boils order by rowid")
        .fetch_all(&mut *tx)
        .await?;
    for back in 1..SEASONS {
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
        run(&mut tx, copying(table, &columns)).await?;
    }
    let torn: Vec<(String, Option<i64>, String, i64)> = sqlx::query_as("pragma foreign_key_check")
        .fetch_all(&mut *tx)
        .await?;
    ensure!(
        torn.is_empty(),
        "copied rows name what is not there: {:?}",
        torn.first()
    );
    tx.commit().await?;
    Ok(())
}

/// The SQL that copies a table's rows into the seasons before.
fn copying(table: &str, columns: &[String]) -> String {
    let of = |column: &String| match (table, column.as_str()) {
        ("seasons", "year") => "o.year - b.value".to_owned(),
        ("press_days", "date") => "date(o.date, '-' || b.value || ' years')".to_owned(),
        ("boils", "lot_code") => {
            "(select becomes from codes where lot = o.lot_code and back = b.value)".to_owned()
        }
        ("hand_overs" | "jar_moves", "number") => "o.number + 1000 * b.value".to_owned(),
        (_, id) if id == "id" || id.ends_with("_id") => format!(
            "case when o.{id} in (select id from own) then printf('%02x', b.value + 1) || substr(o.{id}, 3) else o.{id} end"
        ),
        (_, other) => format!("o.{other}"),
    };
    let values: Vec<String> = columns.iter().map(of).collect();
    format!(
        "with recursive b (value) as (select 1 union all select value + 1 from b where value < {})
         insert into {table} ({}) select {} from (select * from {table}) o, b",
        SEASONS - 1,
        columns.join(", "),
        values.join(", ")
    )
}

async fn run(conn: &mut SqliteConnection, sql: String) -> anyhow::Result<()> {
    sqlx::raw_sql(AssertSqlSafe(sql)).execute(conn).await?;
    Ok(())
}

/// Jars filled of the lots that each ticket's juice was drawn into, and those not to be found: by a query of its own.
async fn expected(site: &TestSite) -> anyhow::Result<BTreeMap<String, (i64, i64)>> {
    let mut snapshot = site.reader.snapshot().await?;
    let rows: Vec<(String, i64, i64)> = sqlx::query_as(
        "with lots as (select distinct j.ticket_id, d.boil_id from draws d join juices j on j.id = d.juice_id)
         select l.ticket_id, sum((select sum(f.count) from fills f where f.boil_id = l.boil_id)),
         sum(coalesce((select sum(m.count) from jar_moves m where m.boil_id = l.boil_id), 0))
         from lots l group by l.ticket_id",
    )
    .fetch_all(&mut *snapshot)
    .await?;
    Ok(rows
        .into_iter()
        .map(|(id, jars, missing)| (id, (jars, missing)))
        .collect())
}

async fn looked_for(site: &TestSite) -> anyhow::Result<()> {
    let expected = expected(site).await?;
    let wanted = MEMBERS * usize::try_from(SEASONS)?;
    ensure!(expected.len() == wanted, "{} tickets", expected.len());
    let (mut lists, mut traces) = (Vec::new(), Vec::new());
    let mut named = 0;
    for (id, (jars, missing)) in expected.iter().step_by(EVERY) {
        let id = TicketId::parse(id).context("a ticket's id")?;
        let begun = Instant::now();
        let mut snapshot = site.reader.snapshot().await?;
        let start = Start {
            from: From::Ticket(id),
            day: None,
        };
        let touched = Touched::read(&mut snapshot, &start).await?;
        lists.push(begun.elapsed());
        let all: i64 = touched.jars.iter().map(|j| j.count).sum();
        ensure!(all == *jars, "{all} jars of ticket {id}, not {jars}");
        let lost = touched
            .jars
            .iter()
            .filter(|j| j.place == Place::Unaccounted);
        let lost: i64 = lost.map(|j| j.count).sum();
        ensure!(
            lost == *missing,
            "{lost} jars not accounted for of {id}, not {missing}"
        );
        named += lost;
        let begun = Instant::now();
        let ticket = tickets::find(id).ask(&mut snapshot).await?;
        let trace = TicketTrace::of(&mut snapshot, ticket.context("a ticket")?).await?;
        traces.push(begun.elapsed());
        ensure!(
            trace.lots.len() == touched.lots.len(),
            "the trace of {id} has other lots than its recall"
        );
    }
    ensure!(named > 0, "no jar is missing in any season");
    let mut out = std::io::stdout();
    writeln!(
        out,
        "{SEASONS} seasons of {MEMBERS} members, {BOILS} boils each; one in {EVERY} of {wanted} loads, one after the other. Goal: under 1,000 ms each.\n\
         Jars not accounted for, named over all lists: {named}\n\n{:34}{:>12}{:>12}",
        "", "median ms", "longest ms"
    )?;
    for (name, mut times) in [
        ("list of a recall of one load", lists),
        ("trace of one load", traces),
    ] {
        times.sort();
        let ms = |at: usize| times.get(at).map_or(f64::NAN, |t| t.as_secs_f64() * 1000.0);
        let (middle, last) = (ms(times.len() / 2), ms(times.len() - 1));
        writeln!(out, "{name:34}{middle:>12.1}{last:>12.1}")?;
    }
    Ok(())
}
