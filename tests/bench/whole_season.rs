//! How long the program takes over a whole season at once: every boil reckoned again, every member's
//! statement on one page to print, and what 300 tickets teach. The seasons are those of the page tests,
//! larger. Times are only printed; what comes out is looked over, and a fault ends the run with an error.

#[path = "../pages/season/big_season.rs"]
#[expect(
    dead_code,
    clippy::unwrap_used,
    reason = "shared with the tests of pages"
)]
mod big_season;
mod quickest;
#[path = "../pages/site.rs"]
#[expect(
    dead_code,
    clippy::unwrap_used,
    reason = "shared with the tests of pages"
)]
mod site;

use anyhow::{Context, ensure};
use big_season::{big_season, tickets};
use canewright::facts::shares::verify::verify;
use canewright::facts::turns::turn_habit;
use canewright::units::{Role, SeasonId};
use quickest::{head, quickest, tell, yardstick};
use site::TestSite;
use tokio::runtime::{Builder, Runtime};

fn main() -> anyhow::Result<()> {
    let run = Builder::new_multi_thread().enable_all().build()?;
    let sorts = yardstick()?;
    head(sorts);
    let (whole, half) = (reckoned(&run, 300)?, reckoned(&run, 150)?);
    tell("300 boils of 60 members reckoned again", whole, half, sorts);
    let (whole, half) = (stated(&run, 200)?, stated(&run, 100)?);
    tell(
        "200 statements of 120 boils on one page",
        whole,
        half,
        sorts,
    );
    let (whole, half) = (learned(&run, 300)?, learned(&run, 150)?);
    tell("300 tickets learned from", whole.0, half.0, sorts);
    tell("a page to book on with them", whole.1, half.1, sorts);
    Ok(())
}

fn reckoned(run: &Runtime, boils: usize) -> anyhow::Result<f64> {
    let season = run.block_on(big_season(60, boils));
    quickest(|| {
        let found = run.block_on(async {
            let mut snapshot = season.site.reader.snapshot().await?;
            verify(&mut snapshot).await
        })?;
        let told = found.differs.join("; ");
        ensure!(found.boils == boils && told.is_empty(), "{told}");
        Ok(())
    })
}

fn stated(run: &Runtime, members: usize) -> anyhow::Result<f64> {
    let season = run.block_on(big_season(members, members * 3 / 5));
    let mut ruth = run.block_on(season.site.browser(season.site.steward));
    quickest(|| {
        let page = run.block_on(ruth.opens("/seasons/2026/statements/print"));
        let found = page.body.matches("<article").count();
        ensure!(found == members, "{found} statements of {members}");
        Ok(())
    })
}

/// Reading what a season teaches, and a page that uses it, ms.
fn learned(run: &Runtime, count: u32) -> anyhow::Result<(f64, f64)> {
    let site = run.block_on(TestSite::with_season());
    run.block_on(tickets(&site, count));
    let season = run.block_on(site.text("select id from seasons"));
    let season = SeasonId::parse(&season).context("a season's id")?;
    let (_, mut amos) = run.block_on(site.person("Amos Trout", Role::Member));
    let reading = quickest(|| {
        let habit = run.block_on(async {
            let mut snapshot = site.reader.snapshot().await?;
            turn_habit::of_season(&mut snapshot, season).await
        })?;
        let turns = habit.row_kg_per_m.context("nothing learned")?.boils;
        ensure!(turns == count, "learned from {turns}");
        Ok(())
    })?;
    let page = quickest(|| {
        let page = run.block_on(amos.opens("/days/2026-09-19/book?told=row&amount=100"));
        ensure!(page.status.is_success(), "{}", page.status);
        Ok(())
    })?;
    Ok((reading, page))
}
