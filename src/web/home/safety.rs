//! The safety of the books, for stewards: backups, trials of restoring one, and what stands in the way of
//! storing anything.

use crate::store::restores::RestoreRow;
use crate::store::upkeep::Upkeep;
use crate::units::{UtcSecond, Zone};
use crate::web::App;

/// What a steward is told of the safety of the books.
#[derive(Debug, Clone, Default)]
pub(super) struct Safety {
    /// Sentences on what is to be looked at, the worst first.
    pub(super) bad: Vec<String>,
    /// Sentences on what went well.
    pub(super) good: Vec<String>,
}

/// How long a steward is told of a task that ended by itself, seconds: a week.
const TASK_TOLD_S: i64 = 7 * 86_400;

/// Sentences for while there is no backup, and while none was tried.
const NOT_YET: [&str; 2] = [
    "No backup has been made yet: the server makes the first by itself within a day.",
    "No backup has been looked at yet: the server restores one into a scratch file by itself, and works its books again.",
];

/// "Last backup: Fri 18 Sep 2026 08:00, by the server itself: /backups/mill-20260918.db."; or "by hand, on the server".
fn said(what: &str, done: &Upkeep, zone: &Zone) -> String {
    let words = done.words.trim_end_matches('.');
    let words = if words.is_empty() {
        String::new()
    } else {
        format!(": {words}")
    };
    let by = if done.by_hand {
        "by hand, on the server"
    } else {
        "by the server itself"
    };
    format!("{what}: {}, {by}{words}.", zone.show(done.at))
}

/// "Last backup: this book is itself the backup mill.db, put in place on Sat 19 Sep 2026 18:00; none was made since then."
fn is_backup(restored: &RestoreRow, zone: &Zone) -> String {
    format!(
        "Last backup: this book is itself the backup {}, put in place on {}; none was made since then.",
        restored.backup,
        zone.show(restored.at)
    )
}

impl Safety {
    /// Works it out from what was noted last of each kind of upkeep, and from the last backup that was put in the place of the database.
    pub(super) fn new(
        app: &App,
        (done, restored): (&[Upkeep], Option<&RestoreRow>),
        (zone, at): (&Zone, UtcSecond),
    ) -> Self {
        let last = |kind: &str, good: bool| done.iter().find(|d| d.kind == kind && d.good == good);
        let mut safety = Self::default();
        if let Some(trouble) = app.writer.lookout().trouble() {
            safety.bad.push(format!(
                "Nothing can be stored at present: {}. {}",
                trouble.what(),
                trouble.remedy()
            ));
        }
        if !app.backed_up && !app.demo && !app.read_only {
            safety.bad.push(
                "The server makes no backups by itself. Ask whoever looks after it to start it with --backup-to FOLDER."
                    .to_owned(),
            );
        }
        for (kind, well, badly) in [
            ("backup", "Last backup", "The last backup failed"),
            (
                "trial",
                "A backup was last restored for a trial",
                "A backup did not restore",
            ),
            (
                "look",
                "The whole file was last looked through",
                "The file is not sound",
            ),
        ] {
            let (good, bad) = (last(kind, true), last(kind, false));
            if kind == "backup"
                && let Some(own) = restored
                && good.is_none_or(|good| good.at <= own.at)
            {
                safety.good.push(is_backup(own, zone));
                // What failed before that is not of this file's own life.
                if bad.is_none_or(|bad| bad.at <= own.at) {
                    continue;
                }
            } else if let Some(good) = good {
                safety.good.push(said(well, good, zone));
            } else if kind != "look" && app.backed_up && bad.is_none() {
                safety
                    .good
                    .push(NOT_YET[usize::from(kind == "trial")].to_owned());
            }
            if let Some(bad) = bad.filter(|bad| good.is_none_or(|good| good.at <= bad.at)) {
                safety
                    .bad
                    .push(format!("{badly} ({}): {}", zone.show(bad.at), bad.words));
            }
        }
        let task = last("task", false).filter(|task| at.get() - task.at.get() < TASK_TOLD_S);
        if let Some(task) = task {
            safety.bad.push(format!(
                "A part of the program stopped by itself and was started again ({}): {}",
                zone.show(task.at),
                task.words
            ));
        }
        safety
    }

    /// Adds whether whoever looks has a second factor: a steward should, but nobody is made to.
    pub(super) fn with_own(mut self, second: bool, demo: bool) -> Self {
        if !second && !demo {
            self.good.push(
                "Your own sign-in takes a passphrase alone. A steward should set a second factor up: see “Sign-in and \
                 devices” at the foot of the page."
                    .to_owned(),
            );
        }
        self
    }

    /// A sample with one of each, for the tests that render pages.
    #[cfg(test)]
    pub(super) fn sample() -> Self {
        Self {
            bad: vec![
                "The last backup failed (Sat 19 Sep 2026, 08:00): the disk is full".to_owned(),
            ],
            good: vec!["Last backup: Fri 18 Sep 2026, 08:00.".to_owned()],
        }
    }
}
