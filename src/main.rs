//! The program: reads what it is told, opens the store, serves, or backs up.

use anyhow::Context;
use canewright::actions::Ids;
use canewright::actions::people::invite_by_server::invite_by_server;
use canewright::actions::people::second_factor::taken_away_by_server;
use canewright::config::{
    Backup, Command, Config, Demo, Doctor, Invite, Listen, LogLines, Restore, Serve,
    TakeSecondFactor, Verify,
};
use canewright::demo::{self, DemoProbe, PROBE_EVERY_S};
use canewright::facts::restores::KnownNumbers;
use canewright::facts::shares::verify::Verified;
use canewright::files;
use canewright::keeping::doctor::doctor;
use canewright::keeping::{self, backups, caretaker};
use canewright::serve::{self, House, serve};
use canewright::store::{self, Writer, records};
use canewright::web::clock::Clock;
use canewright::web::paths;
use clap::Parser;
use std::fmt::Write as _;
use std::io::{IsTerminal, Write};
use std::path::Path;
use std::process::ExitCode;
use std::time::{Duration, Instant};
use tokio::net::TcpListener;

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
    drop(keeping::claim(&path)?);
    remove_demo(&path)?;
    let keeping::Opened {
        writer,
        reader,
        claim: _claim,
        ..
    } = keeping::open(&path, true, Clock::System.read()).await?;
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
    let listener = serve::bind(&options.listen).await?;
    say(&sign_ins());
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
            backups: None,
            read_only: false,
        },
        listener,
        &options.listen,
        say,
    )
    .await;
    if let Some(probing) = probing {
        probing.abort();
    }
    served
}

/// Removes a demo's file and what lies beside it.
fn remove_demo(path: &Path) -> anyhow::Result<()> {
    for ending in ["", files::LOG, files::INDEX, files::CLAIM] {
        match std::fs::remove_file(files::beside(path, ending)) {
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
                return Err(error).context("cannot make the demo's file anew");
            }
            _ => {}
        }
    }
    Ok(())
}

/// Who can sign in to the demo, a line each.
fn sign_ins() -> String {
    let mut lines = format!(
        "Sign in with any of these names; the passphrase of all is “{}”.\n",
        demo::PASSPHRASE
    );
    for (name, who) in demo::SIGN_INS {
        // Writing into a string does not fail.
        let _ = writeln!(lines, "    {name:8} {who}");
    }
    lines
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

/// Serves the co-op's site, or what is in a copy of its file.
async fn run_serve(options: Serve) -> anyhow::Result<()> {
    let now = Clock::System.read();
    let path = &options.database;
    let listener = serve::bind(&options.listen).await?;
    if options.read_only {
        return look_at(path, listener, &options.listen).await;
    }
    if let Some(folder) = &options.backups.backup_to {
        anyhow::ensure!(
            folder.is_dir(),
            "There is no folder {} for backups. Please make it first.",
            folder.display()
        );
    }
    let keeping::Opened {
        writer,
        reader,
        mut claim,
        ..
    } = keeping::open(path, options.new, now).await?;
    let plan = options.backups.backup_to.map(|to| caretaker::Plan {
        database: path.clone(),
        to,
        every_s: options.backups.backup_every * 3600,
        keep: usize::from(options.backups.backup_keep),
    });
    let house = House {
        writer,
        reader,
        clock: Clock::System,
        ids: Ids::Chance,
        demo: false,
        backups: plan,
        read_only: false,
    };
    serve(house, listener, &options.listen, say).await?;
    keeping::seal(path, &mut claim)
}

/// Serves what is in a database without writing to it: from a scratch copy, since who signs in is noted.
async fn look_at(path: &Path, listener: TcpListener, listen: &Listen) -> anyhow::Result<()> {
    files::there(path)?;
    let copy = std::env::temp_dir().join(format!("canewright-copy-{}.db", std::process::id()));
    let served = async {
        drop(files::new_private(&copy).context("no room for a scratch copy")?);
        store::copy_into(path, &copy).await?;
        let (writer, reader) = store::open(&copy).await?;
        say(&format!(
            "{} is shown as it lies; no form is taken.",
            path.display()
        ));
        let house = House {
            writer,
            reader,
            clock: Clock::System,
            ids: Ids::Chance,
            demo: false,
            backups: None,
            read_only: true,
        };
        serve(house, listener, listen, say).await
    };
    let served = served.await;
    for ending in ["", files::LOG, files::INDEX] {
        // A scratch copy that is left over does no harm.
        let _ = std::fs::remove_file(files::beside(&copy, ending));
    }
    served
}

/// Makes an invitation and prints its link, once.
async fn invite(options: &Invite) -> anyhow::Result<()> {
    let path = &options.database;
    let keeping::OpenedDatabase {
        writer,
        reader,
        claim: _claim,
    } = keeping::open_beside(path).await?;
    let at = Clock::System.read();
    let made = invite_by_server(&writer, &Ids::Chance, at, &options.name).await;
    reader.close().await;
    writer.close().await;
    let invited = made?;
    say(&format!(
        "An invitation for {}, good for 14 days and for one use:\n\n    {}{}\n\nWhoever opens it chooses a new \
         passphrase, and a name to sign in with if there is none yet; the old passphrase is void from then on.",
        invited.name,
        options.public_url.as_deref().unwrap_or_default(),
        paths::join(invited.token.as_str())
    ));
    if options.public_url.is_none() {
        say(
            "It goes behind the address that people reach the site by; with --public-url it is printed whole.",
        );
    }
    Ok(())
}

/// Says what is as it should be and what is not; an error when something is not.
async fn see_the_doctor(options: &Doctor) -> anyhow::Result<()> {
    let found = doctor(
        &options.database,
        options.backup_to.as_deref(),
        options.public_url.as_deref(),
        Clock::System.read(),
    )
    .await;
    for words in &found.good {
        say(&format!("well     {words}"));
    }
    for words in &found.bad {
        say(&format!("not well {words}"));
    }
    match found.bad.len() {
        0 => Ok(()),
        n => anyhow::bail!("{n} of {} are not as they should be", n + found.good.len()),
    }
}

/// Takes somebody's second factor away.
async fn take_second_factor(options: &TakeSecondFactor) -> anyhow::Result<()> {
    let keeping::OpenedDatabase {
        writer,
        reader,
        claim: _claim,
    } = keeping::open_beside(&options.database).await?;
    let done = taken_away_by_server(&writer, Clock::System.read(), &options.name).await;
    reader.close().await;
    writer.close().await;
    say(&format!(
        "{} signs in with the passphrase alone from now on, and can set a second factor up again.",
        done?
    ));
    Ok(())
}

/// Works the books again; an error when something differs.
async fn run_verify(options: &Verify) -> anyhow::Result<()> {
    let begun = Instant::now();
    let path = &options.database;
    let seal = options
        .seal
        .as_deref()
        .map(keeping::written_seal)
        .transpose()?;
    // Read first: a backup that is made meanwhile would hold more.
    let newest = keeping::newest_seal(path, options.backup_to.as_deref()).await;
    let mut found = keeping::look_over(path, &std::env::temp_dir()).await?;
    if let Some(seal) = seal {
        found.compare(seal);
    }
    if let Some(sentence) = newest?.compare(&mut found) {
        say(&sentence);
    }
    tell(&found, begun)
}

/// Says what was found; an error when something differs.
fn tell(found: &Verified, begun: Instant) -> anyhow::Result<()> {
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
    if let Some((number, digest)) = found.chain.last() {
        say(&format!(
            "{} records looked over. The seal, to be written down apart from the file: {number}:{}",
            found.records,
            digest.get(..16).unwrap_or(digest)
        ));
    }
    say(&records::not_looked_over());
    anyhow::ensure!(
        found.differs.is_empty(),
        "what is frozen does not come out again"
    );
    Ok(())
}

/// Makes a backup under the name given, or one named by its date.
async fn run_backup(options: Backup) -> anyhow::Result<()> {
    let now = Clock::System.read();
    let to = if let Some(keep) = options.keep {
        backups::make(&options.database, &options.to, usize::from(keep), now).await?
    } else {
        let no_backup = || format!("no backup at {}", options.to.display());
        store::backup(&options.database, &options.to)
            .await
            .with_context(no_backup)?;
        options.to
    };
    say(&format!("{} is a sound copy.", to.display()));
    if let Err(error) = backups::note_by_hand(&options.database, &to, now).await {
        say(&format!(
            "That it was made is not noted in the database, and not said on home: {error:#}"
        ));
    }
    Ok(())
}

/// Puts a backup in the place of the database.
async fn run_restore(options: &Restore) -> anyhow::Result<()> {
    let begun = Instant::now();
    let known = KnownNumbers {
        ticket: options.last.last_ticket,
        receipt: options.last.last_receipt,
        payment: options.last.last_payment,
        member: options.last.last_member,
        lot: options.last.last_lot.clone(),
    };
    let now = Clock::System.read();
    let done = keeping::restore(&options.backup, &options.database, known, now).await?;
    say(&format!(
        "{} is in place, a copy of {}.",
        options.database.display(),
        options.backup.display()
    ));
    for old in &done.aside {
        say(&format!("Set aside: {}", old.display()));
    }
    for sentence in done.says() {
        say(&sentence);
    }
    tell(&done.books, begun)
}

/// Says what went wrong and why, each sentence once; no list of the program's own calls.
fn complain(error: &anyhow::Error) {
    let mut all: Vec<String> = Vec::new();
    for cause in error.chain().map(ToString::to_string) {
        if !all.iter().any(|said| said.contains(&cause)) {
            all.push(cause);
        }
    }
    // Nobody may be listening any more.
    let _ = writeln!(std::io::stderr(), "Error: {}", all.join("\nbecause: "));
}

#[tokio::main]
async fn main() -> ExitCode {
    match run().await {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            complain(&error);
            ExitCode::FAILURE
        }
    }
}

async fn run() -> anyhow::Result<()> {
    let filter = tracing_subscriber::EnvFilter::try_from_default_env()
        .unwrap_or_else(|_| tracing_subscriber::EnvFilter::new("info"));
    let told = Config::parse();
    let lines = tracing_subscriber::fmt()
        .with_env_filter(filter)
        .with_ansi(std::io::stderr().is_terminal())
        .with_writer(std::io::stderr);
    match told.log {
        LogLines::Text => lines.init(),
        LogLines::Json => lines.json().init(),
    }
    match told.command {
        Command::Serve(options) => run_serve(options).await,
        Command::Demo(options) => run_demo(options).await,
        Command::Verify(options) => run_verify(&options).await,
        Command::Doctor(options) => see_the_doctor(&options).await,
        Command::Invite(options) => invite(&options).await,
        Command::TakeSecondFactor(options) => take_second_factor(&options).await,
        Command::Backup(options) => run_backup(options).await,
        Command::Restore(options) => run_restore(&options).await,
    }
}
