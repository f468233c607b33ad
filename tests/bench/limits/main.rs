//! The pages of a co-op of 200 members beside a bare page of the same stack: `cargo bench --bench limits`. One process
//! serves both, on two ports; 64 connections are kept alive and ask for gzip; five rounds go through all pages in turn, so
//! that whatever else the machine does falls on all alike. The bare page is axum, sqlx and askama with nothing else: one
//! query of fifty rows in a read transaction, a table, gzip. Times are only printed; a wrong answer ends it with an error.
//!
//! The public page of a lot is left out: strangers who ask so often are told to wait.
//!
//! The season is the one of the page tests, larger: 200 members with a load each, 120 boils divided, 24 press days.

#[path = "../pages/season/big_season.rs"]
#[expect(
    dead_code,
    clippy::unwrap_used,
    reason = "shared with the tests of pages"
)]
mod big_season;
#[expect(dead_code, reason = "shared with the rush, which sends forms as well")]
mod http;
#[path = "../pages/site.rs"]
#[expect(
    dead_code,
    clippy::unwrap_used,
    reason = "shared with the tests of pages"
)]
mod site;

use anyhow::{Context, ensure};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Html;
use axum::routing::get;
use big_season::{BigSeason, big_season};
use canewright::actions::Hashing;
use canewright::store::Reader;
use canewright::web::clock::Clock;
use canewright::web::{App, Figures, Moments, Parts, Throttle, site as pages};
use http::Line;
use site::{AT, TestSite};
use std::io::Write as _;
use std::net::SocketAddr;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::{Duration, Instant};
use tokio::runtime::{Builder, Runtime};
use tower_http::compression::CompressionLayer;
use tracing::field::{Field, Visit};
use tracing::{Event, Subscriber};
use tracing_subscriber::layer::{Context as LayerContext, Layer, SubscriberExt};

/// As in the program that is served.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// Connections that are kept alive.
const CONNECTIONS: usize = 64;
/// Rounds through all pages.
const ROUNDS: usize = 5;
/// How long a page is asked for in a round.
const ROUND: Duration = Duration::from_millis(600);
/// Members of the co-op.
const MEMBERS: usize = 200;
/// Boils divided.
const BOILS: usize = 120;

/// Queries that were made while they are counted.
static QUERIES: AtomicU64 = AtomicU64::new(0);
/// Rows that they brought.
static ROWS: AtomicU64 = AtomicU64::new(0);
static COUNTING: AtomicBool = AtomicBool::new(false);

/// Counts the queries that sqlx tells of.
struct Counter;

impl<S: Subscriber> Layer<S> for Counter {
    fn register_callsite(
        &self,
        _: &'static tracing::Metadata<'static>,
    ) -> tracing::subscriber::Interest {
        tracing::subscriber::Interest::sometimes()
    }

    fn enabled(&self, told: &tracing::Metadata<'_>, _: LayerContext<'_, S>) -> bool {
        COUNTING.load(Ordering::Relaxed) && told.target() == "sqlx::query"
    }

    fn on_event(&self, event: &Event<'_>, _: LayerContext<'_, S>) {
        if event.metadata().target() == "sqlx::query" {
            QUERIES.fetch_add(1, Ordering::Relaxed);
            event.record(&mut Rows);
        }
    }
}

/// Adds up the rows that a query brought.
struct Rows;

impl Visit for Rows {
    fn record_u64(&mut self, field: &Field, value: u64) {
        if field.name() == "rows_returned" {
            ROWS.fetch_add(value, Ordering::Relaxed);
        }
    }

    fn record_debug(&mut self, _: &Field, _: &dyn std::fmt::Debug) {}
}

/// A page that is asked for.
struct Asked {
    name: &'static str,
    at: SocketAddr,
    cookie: String,
    path: String,
    /// What must stand on it.
    says: &'static str,
}

/// What came of one page.
#[derive(Default)]
struct Figure {
    /// Requests a second, of each round.
    a_second: Vec<f64>,
    /// Beside the bare page of the same round.
    ratios: Vec<f64>,
    times: Vec<Duration>,
}

fn main() -> anyhow::Result<()> {
    tracing::subscriber::set_global_default(tracing_subscriber::registry().with(Counter))?;
    let house = Builder::new_multi_thread().enable_all().build()?;
    let season = house.block_on(big_season(MEMBERS, BOILS));
    house.block_on(more_days(&season.site));
    let asked = house.block_on(asked(&season))?;
    let phones = Builder::new_current_thread().enable_all().build()?;
    let at_rest = memory_mb();
    let queries = counted(&phones, &asked)?;
    let mut figures: Vec<Figure> = asked.iter().map(|_| Figure::default()).collect();
    for _ in 0..ROUNDS {
        let mut bare = f64::NAN;
        for (page, figure) in asked.iter().zip(&mut figures) {
            let begun = Instant::now();
            let times = phones.block_on(round(page))?;
            let count = u32::try_from(times.len())?;
            let a_second = f64::from(count) / begun.elapsed().as_secs_f64();
            if page.name == BARE {
                bare = a_second;
            }
            figure.a_second.push(a_second);
            figure.ratios.push(a_second / bare);
            figure.times.extend(times);
        }
    }
    tell(&asked, figures, &queries);
    say(&format!(
        "Memory of the server with its phones: {at_rest:.0} MB before, {:.0} MB after.",
        memory_mb()
    ));
    house.shutdown_background();
    Ok(())
}

const BARE: &str = "bare page of 50 rows";

/// Press days as far as 24 in the season.
async fn more_days(site: &TestSite) {
    site.sql(
        "with recursive n (i) as (select 1 union all select i + 1 from n where i < 23)
         insert into press_days (id, season_id, date, opens_min, closes_min, mill_g_per_h, changeover_min, made_by, made_at)
         select printf('01920000-0000-7000-9000-00000000%04x', i), d.season_id, date(d.date, '+' || i || ' days'), d.opens_min,
         d.closes_min, d.mill_g_per_h, d.changeover_min, d.made_by, d.made_at from n, press_days d where d.date = '2026-09-19'",
    )
    .await;
}

/// Serves both, and gives what is to be asked for; the bare page first.
async fn asked(season: &BigSeason) -> anyhow::Result<Vec<Asked>> {
    let site = &season.site;
    let real = served(pages(App::from(Parts {
        writer: site.writer.clone(),
        moments: Moments::new(site.reader.clone()),
        clock: Clock::Fixed(AT),
        ids: site.ids.clone(),
        hashing: Hashing::new(),
        throttle: Throttle::default(),
        figures: Figures::default(),
        secure: false,
        public_url: None,
        only_host: None,
        demo: false,
        behind_proxy: false,
        letters_sent: false,
        backed_up: true,
        read_only: false,
    })))
    .await?;
    let bare = Router::new()
        .route("/bare", get(bare_page))
        .layer(CompressionLayer::new())
        .with_state(site.reader.clone());
    let bare = served(bare).await?;
    let member = *season.members.first().context("a member")?;
    let ruth = site.browser(site.steward).await.cookie;
    let own = site.browser(member).await.cookie;
    let page = |name, at, cookie: &str, path: String, says| Asked {
        name,
        at,
        cookie: cookie.to_owned(),
        path,
        says,
    };
    Ok(vec![
        page(BARE, bare, "", "/bare".to_owned(), "Member 049"),
        page("sign-in", real, "", "/sign-in".to_owned(), "passphrase"),
        page("a member's home", real, &own, "/".to_owned(), "sign-out"),
        page(
            "booking",
            real,
            &own,
            "/days/2026-09-20/book?told=weight&amount=300".to_owned(),
            // A start that is free: no other page with a form has it.
            "name=\"start\" value=\"",
        ),
        page(
            "statement",
            real,
            &own,
            format!("/members/{member}/statement/2026"),
            "Member 0",
        ),
        page(
            "board of 200 tickets",
            real,
            &ruth,
            "/days/2026-09-19/board".to_owned(),
            "200 of 200 pressed",
        ),
        page(
            "members (50 of 201)",
            real,
            &ruth,
            "/members".to_owned(),
            "Member 000",
        ),
        page(
            "ledger",
            real,
            &ruth,
            "/ledger?season=2026".to_owned(),
            "Member 0",
        ),
    ])
}

async fn served(router: Router) -> anyhow::Result<SocketAddr> {
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await?;
    let at = listener.local_addr()?;
    tokio::spawn(async move { axum::serve(listener, router).await });
    Ok(at)
}

#[derive(Template)]
#[template(
    source = "<!doctype html><title>Rows</title><table>{% for row in rows %}<tr><td>{{ row.0 }}</td><td>{{ row.1 }}</td></tr>{% endfor %}</table>",
    ext = "html"
)]
struct Bare {
    rows: Vec<(String, String)>,
}

/// Fifty rows, and nothing else.
async fn bare_page(State(reader): State<Reader>) -> Result<Html<String>, StatusCode> {
    let broke = StatusCode::INTERNAL_SERVER_ERROR;
    let mut now = reader.snapshot().await.map_err(|_| broke)?;
    let rows =
        sqlx::query_as("select name, phone from members where number > 1 order by name limit 50")
            .fetch_all(&mut *now)
            .await
            .map_err(|_| broke)?;
    Bare { rows }.render().map(Html).map_err(|_| broke)
}

/// Queries of each page, and the rows that they bring.
fn counted(phones: &Runtime, asked: &[Asked]) -> anyhow::Result<Vec<(u64, u64)>> {
    COUNTING.store(true, Ordering::Relaxed);
    let mut out = Vec::new();
    for page in asked {
        QUERIES.store(0, Ordering::Relaxed);
        ROWS.store(0, Ordering::Relaxed);
        phones.block_on(async {
            looked_over(page, &mut Line::new(page.at, page.cookie.clone())).await
        })?;
        out.push((
            QUERIES.load(Ordering::Relaxed),
            ROWS.load(Ordering::Relaxed),
        ));
    }
    COUNTING.store(false, Ordering::Relaxed);
    Ok(out)
}

/// Opens a page once; it must be the right one.
async fn looked_over(page: &Asked, line: &mut Line) -> anyhow::Result<Duration> {
    let answer = line.get(&page.path).await?;
    let (status, name) = (answer.status, page.name);
    ensure!(
        status == 200,
        "{name}: {status} {} {}",
        answer.to,
        answer.page
    );
    ensure!(
        answer.page.contains(page.says),
        "{name}: no “{}”: {}",
        page.says,
        answer.page
    );
    Ok(answer.took)
}

/// All connections ask for the page, one request after the other, as long as a round lasts.
async fn round(page: &Asked) -> anyhow::Result<Vec<Duration>> {
    let ends = Instant::now() + ROUND;
    let connections = (0..CONNECTIONS).map(|_| async {
        let mut line = Line::new(page.at, page.cookie.clone());
        let mut times = Vec::new();
        while Instant::now() < ends {
            times.push(looked_over(page, &mut line).await?);
        }
        anyhow::Ok(times)
    });
    let mut all = Vec::new();
    for times in together(connections).await {
        all.extend(times?);
    }
    Ok(all)
}

/// All of them at once, in this thread.
async fn together<F: Future>(work: impl Iterator<Item = F>) -> Vec<F::Output> {
    let mut waiting: Vec<_> = work.map(|one| (Box::pin(one), None)).collect();
    std::future::poll_fn(|context| {
        let mut ready = true;
        for (one, done) in &mut waiting {
            if done.is_none() {
                match one.as_mut().poll(context) {
                    std::task::Poll::Ready(out) => *done = Some(out),
                    std::task::Poll::Pending => ready = false,
                }
            }
        }
        if ready {
            std::task::Poll::Ready(())
        } else {
            std::task::Poll::Pending
        }
    })
    .await;
    waiting.into_iter().filter_map(|(_, done)| done).collect()
}

fn median(numbers: &mut [f64]) -> f64 {
    numbers.sort_by(f64::total_cmp);
    numbers.get(numbers.len() / 2).copied().unwrap_or(f64::NAN)
}

fn tell(asked: &[Asked], figures: Vec<Figure>, queries: &[(u64, u64)]) {
    say(&format!(
        "{MEMBERS} members, {BOILS} boils; {CONNECTIONS} connections, {ROUNDS} rounds, medians (least to most)\n\n{:24}{:>9}{:>8}{:>9}{:>22}{:>9}{:>9}",
        "", "queries", "rows", "a second", "of the bare page", "p50 ms", "p99 ms"
    ));
    for ((page, figure), (queries, rows)) in asked.iter().zip(figures).zip(queries) {
        let Figure {
            mut a_second,
            mut ratios,
            mut times,
        } = figure;
        times.sort();
        let of_100 = |part: usize| {
            let at = times.get((times.len() * part / 100).min(times.len().saturating_sub(1)));
            at.map_or(f64::NAN, |took| took.as_secs_f64() * 1000.0)
        };
        let ratio = median(&mut ratios);
        let (least, most) = (ratios.first().copied(), ratios.last().copied());
        say(&format!(
            "{:24}{queries:>9}{rows:>8}{:>9.0}{:>22}{:>9.2}{:>9.2}",
            page.name,
            median(&mut a_second),
            format!(
                "{ratio:.2} ({:.2} to {:.2})",
                least.unwrap_or(f64::NAN),
                most.unwrap_or(f64::NAN)
            ),
            of_100(50),
            of_100(99),
        ));
    }
}

/// What the process holds, MB; not known: no number.
fn memory_mb() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let kb = status.lines().find_map(|line| line.strip_prefix("VmRSS:"));
    kb.and_then(|kb| kb.trim().trim_end_matches(" kB").parse::<f64>().ok())
        .map_or(f64::NAN, |kb| kb / 1024.0)
}

fn say(line: &str) {
    // Nobody may be listening any more; that is no reason to stop.
    let _ = writeln!(std::io::stdout(), "{line}");
}
