//! The program: reads what it is told, opens the store, serves, or backs up.

use anyhow::Context;
use canewright::actions::Ids;
use canewright::actions::people::invite_by_server::invite_by_server;
use canewright::config::{Command, Config, Demo, Invite};
use canewright::demo::{self, DemoProbe, PROBE_EVERY_S};
use canewright::facts::shares::verify;
use canewright::serve::{House, serve};
use canewright::store::{self, Writer};
use canewright::web::clock::Clock;
use canewright::web::paths;
use clap::Parser;
use std::fmt::Write as _;
use std::io::Write;
use std::path::Path;
use std::time::{Duration, Instant};

/// argon2 asks for 19 MiB at a time; the system's allocator would keep many of them.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn say(text: &str) {
    // Nobody may be listening any more; that is no reason to stop.
    let _ = writeln!(std::io::stdout(), "{text}");
}

/// Makes the demo's file anew and serves it.
async fn run_demo(options: Demo) -> anyhow::Result<()> {
    let scratch;
    let path = if let Some(path) = options.database {
        path
    } else {
        scratch = std::env::temp_dir().join(format!("canewright-demo-{}.db", std::process::id()));
        scratch
    };
    for ending in ["", "-wal", "-shm"] {
        let mut file = path.clone().into_os_string();
        file.push(ending);
        match std::fs::remove_file(&file) {
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
                return Err(error).context("cannot make the demo's file anew");
            }
            _ => {}
        }
    }
    let (writer, reader) = store::open(&path)
        .await
        .with_context(|| format!("cannot make {}", path.display()))?;
    let failed = "the demo could not be made";
    let (starts_at, probe) = if options.probe {
        let (at, probe) = demo::make_with_probe(&writer, &reader)
            .await
            .context(failed)?;
        (at, Some(probe))
    } else {
        (demo::make(&writer, &reader).await.context(failed)?, None)
    };
    say(&format!("A demo co-op in {}.", path.display()));
    if options.only_make {
        reader.close().await;
        writer.close().await;
        return Ok(());
    }
    let mut lines = format!(
        "Sign in with any of these names; the passphrase of all is “{}”.\n",
        demo::PASSPHRASE
    );
    for (name, who) in demo::SIGN_INS {
        // Writing into a string does not fail.
        let _ = writeln!(lines, "    {name:8} {who}");
    }
    say(&lines);
    let clock = Clock::starting_at(starts_at);
    let probing = probe.map(|probe| {
        say("A simulated probe sends from the pan of the boil that is lit.");
        tokio::spawn(keep_probing(probe, writer.clone(), clock))
    });
    let served = serve(
        House {
            writer,
            reader,
            clock,
            ids: Ids::Chance,
            demo: true,
        },
        &options.listen,
        say,
    )
    .await;
    if let Some(probing) = probing {
        probing.abort();
    }
    served
}

/// Has the demo's probe send until the store is closed or its token revoked.
async fn keep_probing(probe: DemoProbe, writer: Writer, clock: Clock) {
    let every = Duration::from_secs(PROBE_EVERY_S.unsigned_abs());
    loop {
        if let Err(error) = probe.sends(&writer, &[clock.read()]).await {
            tracing::warn!(%error, "the demo's probe sends no more");
            return;
        }
        tokio::time::sleep(every).await;
    }
}

/// Makes an invitation and prints its link, once.
async fn invite(options: &Invite) -> anyhow::Result<()> {
    let path = &options.database;
    anyhow::ensure!(path.exists(), "there is no {}", path.display());
    let (writer, reader) = store::open(path)
        .await
        .with_context(|| format!("cannot open {}", path.display()))?;
    let at = Clock::System.read();
    let made = invite_by_server(&writer, &Ids::Chance, at, &options.name).await;
    reader.close().await;
    writer.close().await;
    let invited = made?;
    say(&format!(
        "An invitation for {}, good for 14 days and for one use:\n\n    {}{}\n\nWhoever opens it chooses a name and a \
         passphrase; the old ones are void from then on.",
        invited.name,
        options.public_url,
        paths::join(invited.token.as_str())
    ));
    Ok(())
}

/// A seal as it was written down: a number, a colon, and the beginning of a digest.
fn seal_of(text: &str) -> anyhow::Result<(i64, &str)> {
    let wrong = "a seal is a number, a colon and at least eight digits and letters, as this command says it";
    let (number, digest) = text.trim().split_once(':').context(wrong)?;
    let number = number.parse().context(wrong)?;
    anyhow::ensure!(
        digest.len() >= 8 && digest.chars().all(|c| c.is_ascii_hexdigit()),
        wrong
    );
    Ok((number, digest))
}

/// Reckons everything again; an error when something differs.
async fn verify_all(path: &Path, seal: Option<&str>) -> anyhow::Result<()> {
    let seal = seal.map(seal_of).transpose()?;
    anyhow::ensure!(path.exists(), "there is no {}", path.display());
    let reader = store::open_to_read(path)
        .await
        .with_context(|| format!("cannot open {}", path.display()))?;
    let begun = Instant::now();
    let found = {
        let mut snapshot = reader.snapshot().await?;
        verify::verify_sealed(&mut snapshot, seal).await?
    };
    reader.close().await;
    for sentence in &found.differs {
        say(sentence);
    }
    for lot in &found.open {
        say(&format!(
            "Lot {lot} is open for a correction: looked over once it is divided again."
        ));
    }
    say(&format!(
        "{} boils and {} balances reckoned again in {:.2} s: {}.",
        found.boils,
        found.balances,
        begun.elapsed().as_secs_f64(),
        match found.differs.len() {
            0 => "everything is as it was frozen".to_owned(),
            n => format!("{n} differ"),
        }
    ));
    if let Some((number, digest)) = &found.seal {
        say(&format!(
            "{} records looked over. Seal, to be written down apart from the file: {number}:{}",
            found.records,
            digest.get(..16).unwrap_or(digest)
        ));
    }
    anyhow::ensure!(
        found.differs.is_empty(),
        "what is frozen does not come out again"
    );
    Ok(())
}

#[tokio::main]
async fn main() -> anyhow::Result<()> {
    let filter = tracing_subscriber::EnvFilter::try_from_default_env()
        .unwrap_or_else(|_| tracing_subscriber::EnvFilter::new("info"));
    tracing_subscriber::fmt()
        .with_env_filter(filter)
        .with_writer(std::io::stderr)
        .init();
    match Config::parse().command {
        Command::Serve(options) => {
            let (writer, reader) = store::open(&options.database)
                .await
                .with_context(|| format!("cannot open {}", options.database.display()))?;
            let house = House {
                writer,
                reader,
                clock: Clock::System,
                ids: Ids::Chance,
                demo: false,
            };
            serve(house, &options.listen, say).await
        }
        Command::Demo(options) => run_demo(options).await,
        Command::Verify(options) => verify_all(&options.database, options.seal.as_deref()).await,
        Command::Invite(options) => invite(&options).await,
        Command::Backup(options) => {
            store::backup(&options.database, &options.to)
                .await
                .with_context(|| format!("no backup at {}", options.to.display()))?;
            say(&format!("{} is a sound copy.", options.to.display()));
            Ok(())
        }
    }
}
