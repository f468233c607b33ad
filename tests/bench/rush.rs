//! The turn rush: the season's press days are opened, and 500 members reach for a turn within ten
//! seconds. A real server on a socket of this machine, a real database file as `store::open` makes it
//! (WAL, synchronous=FULL), and 500 phones, each with a connection of its own that asks for gzip.
//!
//! Every phone opens its home page at a moment of its own within the ten seconds, then the press
//! days, then a day's free starts for its cane; it looks at them for a moment and taps one. Told that
//! the start is gone meanwhile, it taps another one of the answered page, five times at most. What it
//! does is thrown with a fixed seed; only the machine decides who comes first.
//!
//! Printed: the time of every request as the phone sees it, from sending (the first: connecting) to
//! the last byte, waiting for the one writer included; and beside it the bare limit: the same turns
//! written once more to a copy of the file with the same SQL, one after the other, with no rules and
//! no server; the quickest of five rounds. Times are only printed. What must hold is looked over, and
//! a fault ends the run with an error: no answer is a fault, every phone ends with a turn or a clear
//! no, no minute is taken twice, the rows are the turns that were answered, and a turn writes what
//! the bare limit writes.
//!
//! Signing in is left out: one passphrase costs a core some tens of milliseconds by design, one at a
//! time, so 500 would be all that is measured. Sessions are written to the store before the clock
//! starts, last used an hour before, so that each phone's first page notes its use.

mod bare;
mod books;
#[path = "../season/chance.rs"]
#[expect(
    dead_code,
    clippy::unwrap_used,
    reason = "shared with the season's test"
)]
mod chance;
mod figures;
mod http;
mod mill;
mod phone;

use anyhow::Context;
use canewright::actions::Ids;
use canewright::config::{Listen, Mail};
use canewright::serve::{House, bind, serve};
use canewright::store::{self, Reader, Writer};
use canewright::web::clock::Clock;
use chance::Chance;
use figures::{Figures, Kind};
use phone::{End, Phone};
use std::collections::BTreeMap;
use std::net::SocketAddr;
use std::path::Path;
use std::sync::mpsc;
use std::time::{Duration, Instant};
use tokio::runtime::{Builder, Runtime};

/// Members who reach for a turn.
const PHONES: usize = 500;
/// Within so many milliseconds each of them opens its first page.
const WITHIN_MS: i64 = 10_000;
/// Where the throws start.
const SEED: u64 = 2026;

fn main() -> anyhow::Result<()> {
    // On the disk that is built on: a folder for temporary files may be memory, where nothing waits.
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR"))?;
    let (file, copy) = (folder.path().join("rush.db"), folder.path().join("bare.db"));
    let house = Builder::new_multi_thread().enable_all().build()?;
    let (writer, reader) = house.block_on(store::open(&file))?;
    let cookies = house.block_on(mill::make((&reader, &writer), PHONES))?;
    house.block_on(store::backup(&file, &copy))?;
    let before = house.block_on(books::rows(&file))?;
    let served = Served {
        at: open_the_doors(&house, writer, reader)?,
        cookies,
    };
    let begun = Instant::now();
    let ends = Builder::new_current_thread()
        .enable_all()
        .build()?
        .block_on(rush(&served))?;
    let took = begun.elapsed();
    let mut figures = Figures::default();
    let mut turns = Vec::new();
    let mut noes: BTreeMap<&str, usize> = BTreeMap::new();
    for (end, seen) in ends {
        figures.add(seen);
        match end {
            End::Turn(id) => turns.push(id),
            End::No(why) => *noes.entry(why).or_default() += 1,
        }
    }
    house.block_on(books::look_over(&file, &turns))?;
    let bare = house.block_on(bare::again(&file, &copy))?;
    house.block_on(books::only_these_grew(&file, &before))?;
    figures.lay(Kind::Bare, bare);
    say_how_it_went(&turns, &noes, took, &figures);
    anyhow::ensure!(
        turns.len() + noes.values().sum::<usize>() == PHONES,
        "a phone is missing"
    );
    house.shutdown_background();
    Ok(())
}

/// Where the site is, and the cookie of each phone.
struct Served {
    at: SocketAddr,
    cookies: Vec<String>,
}

/// Serves on a free port, as the program does, and gives its address.
fn open_the_doors(house: &Runtime, writer: Writer, reader: Reader) -> anyhow::Result<SocketAddr> {
    let listen = Listen {
        listen: SocketAddr::from(([127, 0, 0, 1], 0)),
        public_url: None,
        metrics: None,
        behind_proxy: false,
        mail: Mail {
            smtp_url: None,
            mail_from: None,
            mail_reply_to: None,
        },
    };
    let site = House {
        writer,
        reader,
        clock: Clock::starting_at(mill::AT),
        ids: Ids::Chance,
        demo: false,
        backups: None,
        read_only: false,
    };
    let (said, heard) = mpsc::channel();
    house.spawn(async move {
        let say = {
            let said = said.clone();
            move |words: &str| drop(said.send(words.to_owned()))
        };
        let served = async { serve(site, bind(&listen).await?, &listen, say).await };
        if let Err(fault) = served.await {
            drop(said.send(format!("{fault:#}")));
        }
    });
    let words = heard.recv().context("the server said nothing")?;
    let address = words.strip_prefix("Serving on http://").unwrap_or(&words);
    address.parse().with_context(|| words.clone())
}

/// All phones, each at its moment; gives how it ended for each and what it saw.
async fn rush(served: &Served) -> anyhow::Result<Vec<(End, phone::Seen)>> {
    let mut chance = Chance::new(SEED);
    let mut tasks = Vec::new();
    for cookie in &served.cookies {
        let waits = chance.between(0, WITHIN_MS - 1);
        let seed = chance.between(0, i64::MAX - 1);
        let own = Chance::new(seed.unsigned_abs());
        let phone = Phone::new(served.at, cookie.clone(), own);
        tasks.push(tokio::spawn(async move {
            tokio::time::sleep(Duration::from_millis(waits.unsigned_abs())).await;
            phone.reaches_for_a_turn().await
        }));
    }
    let mut ends = Vec::new();
    for (number, task) in (1..).zip(tasks) {
        ends.push(task.await?.with_context(|| format!("phone {number}"))?);
    }
    Ok(ends)
}

fn say_how_it_went(
    turns: &[String],
    noes: &BTreeMap<&str, usize>,
    took: Duration,
    figures: &Figures,
) {
    let refused: usize = noes.values().sum();
    figures::say(&format!(
        "{PHONES} phones within {} s, seed {SEED}: {} turns taken, {refused} told no; all done after {:.1} s; no faults.",
        WITHIN_MS / 1000,
        turns.len(),
        took.as_secs_f64(),
    ));
    for (why, times) in noes {
        figures::say(&format!("  told no: {why}: {times}"));
    }
    figures.say();
}

/// A path as SQLite is told it.
fn text(path: &Path) -> anyhow::Result<&str> {
    path.to_str().context("the folder's name is not plain text")
}
