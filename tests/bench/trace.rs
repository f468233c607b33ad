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
mod seasons;
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
use canewright::facts::shares::recalls::Touched;
use canewright::facts::shares::trace::TicketTrace;
use canewright::store::cane::tickets;
use canewright::units::TicketId;
use seasons::copied;
use site::TestSite;
use std::collections::BTreeMap;
use std::io::Write as _;
use std::time::Instant;
use tokio::runtime::Builder;

const MEMBERS: usize = 200;
const BOILS: usize = 120;
const SEASONS: i32 = 20;
/// Every so many loads one is looked for: those of all seasons, members and boils are among them.
const EVERY: usize = 19;

fn main() -> anyhow::Result<()> {
    let run = Builder::new_multi_thread().enable_all().build()?;
    run.block_on(async {
        let season = big_season(MEMBERS, BOILS).await;
        let site = &season.site;
        copied(site, SEASONS).await?;
        looked_for(site).await
    })
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
