//! No query reads a whole table that grows with the seasons, unless it is named here with its reason. Every query of the
//! program stands in `.sqlx`; SQLite itself says how it would go about each (`explain query plan`).
#![expect(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

use canewright::store;
use sqlx::{AssertSqlSafe, Connection, Row, SqliteConnection};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// Tables that stay as long as the co-op is large, however many seasons it has.
const SMALL: [&str; 30] = [
    "accounts",
    "colours",
    "coop",
    "feeds",
    "jar_tares",
    "kept_names",
    "member_jar_wishes",
    "member_names",
    "member_tasks",
    "members",
    "pans",
    "pin_tries",
    "probes",
    "recalls",
    "restore_forgotten",
    "restore_gaps",
    "restore_lost",
    "restores",
    "restores_read",
    "rules_days",
    "scales",
    "season_locks",
    "season_rules",
    "seasons",
    "second_factors",
    "sessions",
    "station_pins",
    "stations",
    "upkeep",
    "vessels",
];

/// Indexes that hold only what waits, is open or in use: all of it may be read.
const OF_FEW: [&str; 6] = [
    "feeds_in_use",
    "lot_holds_held",
    "mails_waiting",
    "offers_running",
    "press_days_open",
    "waiting_for_room",
];

/// Queries that read a whole table, by words that stand in no other, and why they may.
const WHOLE: [(&str, &str); 24] = [
    (
        "where b.id in (select k.boil_id from corrections k)",
        "a member's lots that are open to be put right: corrections are few, shares are many",
    ),
    (
        "count(distinct j.recall_id) from recall_jars j",
        "the page that says whether a member may be forgotten: recalls are few",
    ),
    (
        "select number, what, content from records where",
        "forgetting a member looks for the name in every record",
    ),
    (
        "join members m on m.id = w.member_id where o.answer is null order by 6, 7",
        "every turn that stands is compared with its minutes: verify",
    ),
    (
        "coalesce(k.turn_id, k.offer_id, '') as \"by!: String\"",
        "all minutes that are held are compared with the turns: verify",
    ),
    (
        "select record, digest from forgotten_rows",
        "checking the books reads every record, and what was taken out of it",
    ),
    (
        "boxes from form_keys where boxes <> ''",
        "forgetting a member looks for the name in every form that is kept",
    ),
    (
        "sum(max(set_aside - gone, 0)), 0) from jars_set_aside) as",
        "the stewards' home: jars of every season that still stand there",
    ),
    (
        "exists (select 1 from boils) as",
        "the first steps: each looks whether there is one row",
    ),
    (
        "b.lot_code as \"lot: LotCode\", d.date as \"day: PressDate\" from boils b",
        "a recall follows the cane through every season",
    ),
    (
        "j.vessel_id as \"vessel: VesselId\", r.boil_id as \"boil: BoilId\" from draws r",
        "a recall, as above",
    ),
    ("its_lot as pack from additions", "a recall, as above"),
    (
        "from day_changes c join press_days d",
        "days that are moved: a few a year",
    ),
    (
        "order by d.after_line, d.at, d.id",
        "every division is worked again: verify",
    ),
    (
        "division_id is not null as \"divided!: bool\", answers from ledger order by number",
        "every line is added again: verify",
    ),
    (
        "digest, by_id as \"by_id: MemberId\", at as \"at: UtcSecond\" from records",
        "the chain of records is gone through: verify",
    ),
    (
        "select number, digest from records order by number desc limit 1",
        "read from the end: one row",
    ),
    (
        "as \"grams!: Grams\"",
        "sums of the ledger by sharer: what is carried may be as old as the co-op",
    ),
    (
        "select lot_code as \"lot: LotCode\" from boils order by lit_at desc",
        "lots that look like a mistyped code",
    ),
    (
        "order by o.number desc limit ?1",
        "read from the end, as far as the page shows",
    ),
    (
        "where s.carry_g < 0 and s.jarred_g > 0 group by s.member_id",
        "who was favoured last, in any season",
    ),
    (
        "sum(a.set_aside - a.gone) as",
        "jars of every season that still stand there",
    ),
    (
        "order by m.number, b.lit_at, b.id, a.net_g desc",
        "the whole shelf: jars of every season that still stand there",
    ),
    (
        "from empty_jars e join members",
        "empty jars counted or bought: a few lines a year",
    ),
];

/// Tables and views by name: which it is, and its text.
type Made = BTreeMap<String, (String, String)>;

/// Words of a query, one blank between them.
fn plain(sql: &str) -> String {
    sql.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What each name in a query stands for; views are looked through.
fn named(sql: &str, made: &Made) -> BTreeMap<String, BTreeSet<String>> {
    let mut names: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let (mut to_read, mut seen) = (vec![sql.to_owned()], BTreeSet::new());
    while let Some(text) = to_read.pop() {
        let spaced = text
            .replace('(', " ( ")
            .replace(')', " ) ")
            .replace(',', " , ");
        let words: Vec<&str> = spaced
            .split_whitespace()
            .map(|w| w.trim_matches('"'))
            .collect();
        for at in 1..words.len() {
            let Some((kind, view)) = made.get(words[at]) else {
                continue;
            };
            if kind == "view" && seen.insert(words[at].to_owned()) {
                to_read.push(view.clone());
            } else if kind == "table" {
                let mut next = words.get(at + 1).copied().unwrap_or_default();
                if next == "as" {
                    next = words.get(at + 2).copied().unwrap_or_default();
                }
                for name in [words[at], next] {
                    let tables = names.entry(name.to_owned()).or_default();
                    tables.insert(words[at].to_owned());
                }
            }
        }
    }
    names
}

/// SQLite sorts é after z: people are sorted by `units::by_name`.
#[test]
fn no_query_sorts_people_by_name() {
    let wrong: Vec<String> = queries()
        .iter()
        .map(|query| plain(query))
        .filter(|query| {
            let sorts = query.split("order by ").skip(1);
            sorts
                .filter_map(|rest| rest.split(')').next())
                .any(|by| by.contains("m.name") || by.contains("nocase"))
        })
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
}

/// Every query of the program.
fn queries() -> BTreeSet<String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(".sqlx");
    let files = std::fs::read_dir(folder).unwrap();
    let text = |file: std::io::Result<std::fs::DirEntry>| {
        let json = std::fs::read_to_string(file.unwrap().path()).unwrap();
        let query: serde_json::Value = serde_json::from_str(&json).unwrap();
        query["query"].as_str().unwrap().to_owned()
    };
    files.map(text).collect()
}

#[tokio::test]
async fn no_query_reads_a_whole_table_that_grows_unless_it_has_a_reason() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("new.db");
    let (writer, reader) = store::open(&path).await.unwrap();
    reader.close().await;
    writer.close().await;
    let at = format!("sqlite:{}", path.display());
    let mut conn = SqliteConnection::connect(&at).await.unwrap();
    let made: Made =
        sqlx::query_as("select name, type, sql from sqlite_schema where type in ('table', 'view') and sql is not null")
            .fetch_all(&mut conn)
            .await
            .unwrap()
            .into_iter()
            .map(|(name, kind, sql): (String, String, String)| (name, (kind, sql)))
            .collect();
    let all = queries();
    assert!(all.len() > 300, "only {} queries were found", all.len());
    let (mut wrong, mut used) = (Vec::new(), BTreeSet::new());
    for query in all {
        let names = named(&query, &made);
        let explain = AssertSqlSafe(format!("explain query plan {query}"));
        for step in sqlx::query(explain).fetch_all(&mut conn).await.unwrap() {
            let step: String = step.get("detail");
            let words: Vec<&str> = step.split(' ').collect();
            let ["SCAN", name, ..] = words[..] else {
                continue;
            };
            // What is not a table is what another step of the same plan has read.
            let Some(tables) = names.get(name) else {
                continue;
            };
            let small = tables.iter().all(|table| SMALL.contains(&table.as_str()));
            if small || words.iter().any(|word| OF_FEW.contains(word)) {
                continue;
            }
            let query = plain(&query);
            match WHOLE.iter().position(|(words, _)| query.contains(words)) {
                Some(reason) => drop(used.insert(reason)),
                None => wrong.push(format!("{step} ({tables:?}): {query}")),
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
    assert_eq!(used.len(), WHOLE.len(), "a reason that nothing needs");
}
