//! The caretaker: while the site is served, makes backups when they are due, tries once a week to restore the
//! newest into a scratch file, writes a pulse every minute, and notes how all of it went for the stewards.

use super::{backups, look_over};
use crate::actions::upkeep::{self, UpkeepKind};
use crate::letter_sender::told_to_stop;
use crate::store::{self, Writer};
use crate::units::UtcSecond;
use crate::web::clock::Clock;
use std::path::PathBuf;
use std::time::Duration;
use tokio::sync::watch;

/// When and where backups are made.
#[derive(Debug, Clone)]
pub struct Plan {
    /// The database file.
    pub database: PathBuf,
    /// The folder that they go to.
    pub to: PathBuf,
    /// Seconds from one to the next.
    pub every_s: i64,
    /// How many are kept.
    pub keep: usize,
}

/// Seconds from one trial to the next: a week.
const TRIAL_S: i64 = 7 * 86_400;
/// Time from one look whether the file is still in its place to the next.
const LOOK: Duration = Duration::from_secs(1);
/// Looks from one pulse to the next: a minute.
const LOOKS_A_PULSE: u32 = 60;
/// Seconds from one look through every page of the file to the next: a day.
const WHOLE_S: i64 = 86_400;
/// Seconds after which a backup that failed is tried again.
const AGAIN_S: i64 = 15 * 60;

/// What was done last; a trial is known from the notes of the database, a backup by its name.
#[derive(Debug, Clone, Copy, Default)]
struct Done {
    backup: Option<UtcSecond>,
    failed: Option<UtcSecond>,
    trial: Option<UtcSecond>,
    whole: Option<UtcSecond>,
}

/// Looks after the file until told to stop.
pub async fn look_after(
    writer: Writer,
    plan: Option<Plan>,
    clock: Clock,
    mut stopped: watch::Receiver<bool>,
    last_trial: Option<UtcSecond>,
) {
    let mut done = Done {
        trial: last_trial,
        ..Done::default()
    };
    for n in 0.. {
        // The writer's lookout writes into the log what is not as it should be.
        let _ = writer.lookout().still_there();
        if n % LOOKS_A_PULSE == 0 {
            let at = clock.read();
            let _ = upkeep::pulse(&writer, at).await;
            if let Some(plan) = &plan {
                back_up_when_due(&writer, plan, at, &mut done).await;
            }
            if due(done.whole, WHOLE_S, at) {
                done.whole = Some(at);
                look_through(&writer, at).await;
            }
        }
        if told_to_stop(&mut stopped, LOOK).await {
            return;
        }
    }
}

/// Looks at every page, index and reference of the file.
async fn look_through(writer: &Writer, at: UtcSecond) {
    let went = match store::soundness(writer.lookout().path()).await {
        Ok(found) if found.is_whole() => Ok(String::new()),
        Ok(found) => Err(found.pages),
        Err(error) => Err(error.to_string()),
    };
    if let Err(why) = &went {
        tracing::error!("the database file is not sound: {why}");
    }
    note(
        writer,
        at,
        UpkeepKind::Look,
        went.as_deref().map_err(String::as_str),
    )
    .await;
}

/// Whether something done last `then` is due again; a clock that went back makes it due as well.
fn due(then: Option<UtcSecond>, every_s: i64, at: UtcSecond) -> bool {
    then.is_none_or(|then| !(0..every_s).contains(&(at.get() - then.get())))
}

async fn back_up_when_due(writer: &Writer, plan: &Plan, at: UtcSecond, done: &mut Done) {
    if done.backup.is_none() {
        done.backup = backups::kept(&plan.to)
            .ok()
            .and_then(|all| all.last().map(|newest| newest.at));
    }
    if due(done.backup, plan.every_s, at) && due(done.failed, AGAIN_S, at) {
        match backups::make(&plan.database, &plan.to, plan.keep, at).await {
            Ok(path) => {
                (done.backup, done.failed) = (Some(at), None);
                note(
                    writer,
                    at,
                    UpkeepKind::Backup,
                    Ok(&path.display().to_string()),
                )
                .await;
                tracing::info!("backup {} made", path.display());
            }
            Err(error) => {
                done.failed = Some(at);
                tracing::error!("no backup was made: {error:#}");
                note(writer, at, UpkeepKind::Backup, Err(&format!("{error:#}"))).await;
            }
        }
    }
    if due(done.trial, TRIAL_S, at) {
        try_newest(writer, plan, at, done).await;
    }
}

/// Restores the newest backup into a scratch file beside it, and works its books again.
async fn try_newest(writer: &Writer, plan: &Plan, at: UtcSecond, done: &mut Done) {
    let newest = backups::kept(&plan.to).unwrap_or_default().pop();
    let Some(newest) = newest else {
        return;
    };
    done.trial = Some(at);
    let name = newest.path.display();
    let went = match look_over::in_scratch(&newest.path, &plan.to).await {
        Ok(books) if books.differs.is_empty() => Ok(format!(
            "{name}: {} boils and {} balances worked again, all as frozen",
            books.boils, books.balances
        )),
        Ok(books) => Err(format!("{name}: {}", books.differs.join(" "))),
        Err(error) => Err(format!("{name}: {error:#}")),
    };
    note(
        writer,
        at,
        UpkeepKind::Trial,
        went.as_deref().map_err(String::as_str),
    )
    .await;
    match &went {
        Ok(words) => tracing::info!("a backup was tried: {words}"),
        Err(why) => tracing::error!("a backup does not restore: {why}"),
    }
}

async fn note(writer: &Writer, at: UtcSecond, kind: UpkeepKind, went: Result<&str, &str>) {
    if let Err(error) = upkeep::note(writer, at, kind, went).await {
        tracing::warn!(%error, "how a backup went was not noted");
    }
}
