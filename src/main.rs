//! The program: reads what it is told, opens the store, serves, or backs up.

use anyhow::Context;
use canewright::actions::Ids;
use canewright::config::{Command, Config};
use canewright::serve::{House, serve};
use canewright::store;
use canewright::web::clock::Clock;
use clap::Parser;
use std::io::Write;

/// argon2 asks for 19 MiB at a time; the system's allocator would keep many of them.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn say(text: &str) {
    // Nobody may be listening any more; that is no reason to stop.
    let _ = writeln!(std::io::stdout(), "{text}");
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
        Command::Demo(_) => anyhow::bail!("not yet"),
        Command::Backup(options) => {
            store::backup(&options.database, &options.to)
                .await
                .with_context(|| format!("no backup at {}", options.to.display()))?;
            say(&format!("{} is a sound copy.", options.to.display()));
            Ok(())
        }
    }
}
