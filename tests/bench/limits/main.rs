//! The pages and forms of a co-op of 200 members (`LIMITS_MEMBERS`; with it, pages alone) beside bare ones of the same stack: `cargo bench --bench limits`. One process serves
//! both, on two ports; 64 connections are kept alive and ask for gzip; five rounds go through all, each page and form beside its
//! bare one. Times are only printed; a wrong answer ends it with an error.
//!
//! A bare page runs, in one read transaction of the same connections, the very statements that the page ran when it was asked for
//! before, with the same values, takes every value out of every row, and writes the page's text through a template that escapes
//! what stands between two marks. It holds no rule, no sum and no date, and knows who signed in only by the SQL of it. Beside a
//! form stands one insert of as many bytes as the form keeps, in one transaction, by one connection of its own to the same file.
//!
//! The public page of a lot is asked for as the crew see it: strangers who ask so often are told to wait.

mod bare;
#[path = "../../pages/season/big_season.rs"]
#[expect(
    dead_code,
    clippy::unwrap_used,
    reason = "shared with the tests of pages"
)]
mod big_season;
mod dearest;
mod house;
#[path = "../http.rs"]
mod http;
mod phones;
mod posts;
#[path = "../seasons.rs"]
mod seasons;
#[path = "../../pages/site.rs"]
#[expect(
    dead_code,
    clippy::unwrap_used,
    reason = "shared with the tests of pages"
)]
mod site;
mod table;
mod told;

use anyhow::{Context, ensure};
use axum::Router;
use bare::{Bare, Recorded, bare, in_this_thread};
use canewright::actions::Hashing;
use canewright::store::WriterHeld;
use canewright::web::clock::Clock;
use canewright::web::{App, Moments, Parts, RequestCounts, Throttle, site as pages};
use dearest::dearest;
use house::{House, house};
use http::Line;
use phones::{Asked, Form, Round, forms, opened, sent};
use posts::{KINDS, Posts};
use site::AT;
use sqlx::sqlite::SqliteSynchronous;
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqlitePool, SqlitePoolOptions};
use std::net::SocketAddr;
use std::time::Duration;
use table::{Figure, memory_mb, say};
use tokio::runtime::{Builder, Runtime};

/// Rounds through all pages and forms.
const ROUNDS: usize = 5;
/// Forms of each kind sent one after the other, to see how long each holds the writer.
const ALONE: usize = 60;

fn main() -> anyhow::Result<()> {
    let served_by = Builder::new_multi_thread().enable_all().build()?;
    let phones = Builder::new_current_thread().enable_all().build()?;
    let seasons: i32 = std::env::var("LIMITS_SEASONS").map_or(Ok(1), |said| said.parse())?;
    let members = std::env::var("LIMITS_MEMBERS").ok();
    let house = served_by.block_on(house(
        members.as_deref().map_or(Ok(200), str::parse)?,
        seasons,
    ))?;
    copied_file(&served_by, &house)?;
    let real = served_by.block_on(served(pages(app(&house))))?;
    let mut asked = served_by.block_on(asked(&house, real))?;
    let only = std::env::var("LIMITS_ONLY").unwrap_or_default();
    asked.retain(|page| page.name.contains(&only));
    say(&format!(
        "{} members, {} boils, 24 press days a season, seasons: {seasons}; {} connections, {ROUNDS} rounds, medians (least to most)\n",
        house.season.members.len(),
        house.boils,
        phones::CONNECTIONS
    ));
    let at_rest = memory_mb();
    let writer = served_by.block_on(bare_writer(&house))?;
    pages_beside(&served_by, &phones, &house, &asked, &writer)?;
    if members.is_none() && KINDS.iter().any(|kind| kind.contains(&only)) {
        forms_beside(&served_by, &phones, &house, real, &writer)?;
    }
    say(&format!(
        "\nMemory of server, bare pages and phones together: {at_rest:.0} MB before, {:.0} MB after.",
        memory_mb()
    ));
    served_by.shutdown_background();
    Ok(())
}

/// Says how large the file is, and puts a copy of it at `LIMITS_KEEP`, where that is named, for `tests/bench/start.py`.
fn copied_file(served_by: &Runtime, house: &House) -> anyhow::Result<()> {
    let site = &house.season.site;
    let Some(copy) = std::env::var_os("LIMITS_KEEP") else {
        return Ok(());
    };
    let copy = copy.to_str().context("LIMITS_KEEP is no plain path")?;
    let file = SqliteConnectOptions::new().filename(site.writer.lookout().path());
    served_by.block_on(async {
        let pool = SqlitePool::connect_with(file).await?;
        sqlx::query("vacuum into ?1")
            .bind(copy)
            .execute(&pool)
            .await
    })?;
    let bytes = std::fs::metadata(copy)?.len();
    say(&format!(
        "The file, as a backup would hold it: {:.1} MB.",
        f64::from(u32::try_from(bytes / 1000)?) / 1000.0
    ));
    Ok(())
}

fn app(house: &House) -> App {
    let site = &house.season.site;
    App::from(Parts {
        writer: site.writer.clone(),
        moments: Moments::new(site.reader.clone()),
        clock: Clock::Fixed(AT),
        ids: site.ids.clone(),
        hashing: Hashing::new(),
        throttle: Throttle::default(),
        figures: RequestCounts::default(),
        secure: false,
        public_url: None,
        only_host: None,
        demo: false,
        behind_proxy: false,
        letters_sent: false,
        backed_up: true,
        read_only: false,
    })
}

async fn served(router: Router) -> anyhow::Result<SocketAddr> {
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await?;
    let at = listener.local_addr()?;
    tokio::spawn(async move { axum::serve(listener, router).await });
    Ok(at)
}

/// One connection of its own to the same file, as durable as the program's.
async fn bare_writer(house: &House) -> anyhow::Result<SqlitePool> {
    house
        .season
        .site
        .sql("create table bare_writes (id integer primary key, body text not null) strict")
        .await;
    let options = SqliteConnectOptions::new()
        .filename(house.season.site.writer.lookout().path())
        .journal_mode(SqliteJournalMode::Wal)
        .synchronous(SqliteSynchronous::Full)
        .pragma("secure_delete", "on");
    Ok(SqlitePoolOptions::new()
        .max_connections(1)
        .connect_with(options)
        .await?)
}

/// The pages that are asked for.
async fn asked(house: &House, at: SocketAddr) -> anyhow::Result<Vec<Asked>> {
    let site = &house.season.site;
    let member = house.season.members[0];
    let own = site.browser(member).await.cookie;
    let ruth = site.browser(site.steward).await.cookie;
    let (watched, lot) = (house.watched.as_str(), house.season.lots[0].as_str());
    let page = |name, cookie: &str, path: &str, says: &str| Asked {
        name,
        at,
        cookie: cookie.to_owned(),
        path: path.to_owned(),
        says: says.to_owned(),
    };
    let statement = format!("/members/{member}/statement/2026");
    let full = "/days/2026-09-20/book?told=weight&amount=300";
    Ok(vec![
        page("sign-in", "", "/sign-in", "passphrase"),
        page("a member's home", &own, "/", "sign-out"),
        page("booking of a full day", &own, full, "2026"),
        page("statement", &own, &statement, "Member 0"),
        page(
            "the crew's day, 40 turns",
            &ruth,
            "/days/2026-09-19",
            "Member 0",
        ),
        page("members", &ruth, "/members", "Member 000"),
        page("ledger", &ruth, "/ledger?season=2026", "Member 0"),
        page(
            "lit boil, 200 readings",
            &ruth,
            &format!("/boils/{watched}"),
            watched,
        ),
        page(
            "public lot",
            &ruth,
            &format!("/L/{lot}?public=yes"),
            "What the lot code means",
        ),
    ])
}

/// `LIMITS_DEAREST=5`: the five dearest statements of each page, and of what a form reads, are told as well.
fn most_told() -> anyhow::Result<usize> {
    Ok(std::env::var("LIMITS_DEAREST").map_or(Ok(0), |said| said.parse())?)
}

/// Every page beside its own SQL.
fn pages_beside(
    served_by: &Runtime,
    phones: &Runtime,
    house: &House,
    asked: &[Asked],
    writer: &SqlitePool,
) -> anyhow::Result<()> {
    let site = &house.season.site;
    let (mut recorded, mut figures) = (Vec::new(), Vec::new());
    let most = most_told()?;
    for page in asked {
        // Opened before: what the program keeps while nothing is written is kept by now.
        let mut line = Line::new(page.at, page.cookie.clone());
        phones.block_on(opened(page, &mut line))?;
        served_by.block_on(told::noting(&site.reader, true))?;
        told::asked()?;
        let answer = phones.block_on(opened(page, &mut line))?;
        let sql = told::asked()?;
        served_by.block_on(told::noting(&site.reader, false))?;
        told::asked()?;
        ensure!(!sql.is_empty(), "{}: no statement was noted", page.name);
        let rows = served_by.block_on(async {
            let mut now = site.reader.snapshot().await?;
            let mut rows = 0;
            for one in &sql {
                rows += bare::rows(&mut now, one).await?;
            }
            anyhow::Ok(rows)
        })?;
        let file = site.writer.lookout().path();
        for line in dearest(file, &sql, most)? {
            say(&format!("{}: {line}", page.name));
        }
        figures.push(Figure::of(
            page.name,
            vec![
                sql.len().to_string(),
                rows.to_string(),
                answer.bytes.to_string(),
                format!("{:.2}", in_this_thread(file, &sql, 100)?),
            ],
        ));
        recorded.push((Recorded::new(sql, &answer.page), answer.page));
    }
    let beside = served_by.block_on(served(bare(Bare {
        reader: site.reader.clone(),
        writer: writer.clone(),
        pages: recorded.iter().map(|(one, _)| one.clone()).collect(),
    })))?;
    for _ in 0..ROUNDS {
        for (n, (page, figure)) in asked.iter().zip(&mut figures).enumerate() {
            let real = phones.block_on(phones::pages(page))?;
            let bare = Asked {
                at: beside,
                path: format!("/page/{n}"),
                ..page.clone()
            };
            let bare = phones.block_on(phones::pages(&bare))?;
            figure.add(real, &bare);
        }
    }
    table::tell(
        &["queries", "rows", "gzip B", "SQL ms"],
        "of the same SQL",
        figures,
    );
    Ok(())
}

/// Every form beside one insert of as many bytes.
fn forms_beside(
    served_by: &Runtime,
    phones: &Runtime,
    house: &House,
    at: SocketAddr,
    writer: &SqlitePool,
) -> anyhow::Result<()> {
    let site = &house.season.site;
    let posts = served_by.block_on(Posts::new(house, at));
    let beside = served_by.block_on(served(bare(Bare {
        reader: site.reader.clone(),
        writer: writer.clone(),
        pages: Vec::new(),
    })))?;
    let lookout = site.writer.lookout();
    let mut figures: Vec<(Figure, usize)> = Vec::new();
    let most = most_told()?;
    for (kind, name) in KINDS.into_iter().enumerate() {
        let (mut before, mut commit) = (Vec::new(), Vec::new());
        let kept = served_by.block_on(kept(house))?;
        if most > 0 {
            served_by.block_on(told::noting(&site.reader, true))?;
            told::asked()?;
            if let Some(form) = posts.next(kind) {
                let mut line = Line::new(at, form.cookie.clone());
                phones.block_on(sent(&mut line, &form, 303))?;
            }
            let read = told::asked()?;
            served_by.block_on(told::noting(&site.reader, false))?;
            say(&format!(
                "{name}: {} statements before the writer's",
                read.len()
            ));
            for line in dearest(lookout.path(), &read, most)? {
                say(&format!("{name}: {line}"));
            }
        }
        for _ in 0..ALONE {
            let Some(form) = posts.next(kind) else { break };
            let was = lookout.held();
            let mut line = Line::new(at, form.cookie.clone());
            let answer = phones.block_on(sent(&mut line, &form, 303))?;
            if kind == 0 {
                came(&posts, vec![answer.to]);
            }
            let held = since(was, lookout.held());
            before.push(held.0);
            commit.push(held.1);
        }
        let bytes = (served_by.block_on(self::kept(house))? - kept) / before.len().max(1);
        let middle = |times: &mut Vec<f64>| format!("{:.2}", table::median(times));
        figures.push((
            Figure::of(
                name,
                vec![bytes.to_string(), middle(&mut before), middle(&mut commit)],
            ),
            bytes,
        ));
    }
    for _ in 0..ROUNDS {
        served_by.block_on(site.sql(NO_BOOKINGS));
        posts.emptied();
        for (kind, (figure, bytes)) in figures.iter_mut().enumerate() {
            let (real, led) = phones.block_on(forms(|| posts.next(kind), 303))?;
            if kind == 0 {
                came(&posts, led);
            }
            let one = || Form {
                at: beside,
                cookie: String::new(),
                path: "/write".to_owned(),
                fields: vec![("body", "x".repeat(*bytes))],
            };
            let (bare, _): (Round, _) = phones.block_on(forms(|| Some(one()), 200))?;
            figure.add(real, &bare);
        }
    }
    say("");
    let heads = ["bytes", "held ms", "commit"];
    let figures = figures.into_iter().map(|(figure, _)| figure).collect();
    table::tell(&heads, "of one insert", figures);
    Ok(())
}

fn came(posts: &Posts, led: Vec<String>) {
    if let Ok(mut tickets) = posts.tickets.lock() {
        tickets.extend(led);
    }
}

/// What one form held the writer for before its commit, and in it, ms.
fn since(was: WriterHeld, is: WriterHeld) -> (f64, f64) {
    let ms = |is: Duration, was: Duration| is.saturating_sub(was).as_secs_f64() * 1000.0;
    (
        ms(is.before_commit, was.before_commit),
        ms(is.committing, was.committing),
    )
}

/// Bytes of all that records and forms hold.
async fn kept(house: &House) -> anyhow::Result<usize> {
    let mut now = house.season.site.reader.snapshot().await?;
    let bytes: i64 = sqlx::query_scalar(
        "select (select coalesce(sum(length(content)), 0) from records) + (select coalesce(sum(length(boxes) + length(digest)), 0) from form_keys)",
    )
    .fetch_one(&mut *now)
    .await?;
    Ok(usize::try_from(bytes)?)
}

/// The last eight days as nobody had booked there. No form does this.
const NO_BOOKINGS: &str = "drop trigger if exists booking_events_stay;
 create temp table gone as select b.id from turns b join press_days d on d.id = b.press_day_id where d.date > '2026-10-04';
 delete from booked_minutes where turn_id in (select id from gone);
 delete from turn_events where turn_id in (select id from gone);
 delete from turns where id in (select id from gone);
 drop table gone";
