//! The lookout of a writer: whether the file that was opened still lies in its place, and what last kept it
//! from being written. Cloning shares it.

use super::trouble::Trouble;
use crate::files::Mark;
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

/// Watches for what keeps the database from being written, as the head of this file tells.
#[derive(Debug, Clone)]
pub struct Lookout(Arc<State>);

#[derive(Debug)]
struct State {
    mark: Mark,
    trouble: Mutex<Option<Trouble>>,
    /// How often, and how long in all, somebody waited for the one writer.
    waits: Mutex<(u64, Duration)>,
    /// How often and how long committed transactions held the one writer, and how long of that for the commits.
    held: Mutex<WriterHeld>,
}

/// How long the one writer was held.
#[derive(Debug, Clone, Copy, Default)]
pub struct WriterHeld {
    /// How many transactions were committed.
    pub times: u64,
    /// Time from their beginning until the commit was asked for.
    pub before_commit: Duration,
    /// Time of the commits: records sealed, and all of it on the disk.
    pub committing: Duration,
}

impl Lookout {
    /// Looks out for the file that lies at `path` at present.
    pub(super) fn of(path: &Path) -> Self {
        Self(Arc::new(State {
            mark: Mark::of(path),
            trouble: Mutex::new(None),
            waits: Mutex::default(),
            held: Mutex::default(),
        }))
    }

    /// Path of the database file.
    pub fn path(&self) -> &Path {
        self.0.mark.path()
    }

    /// Whether the file that was opened still lies in its place: what is written to one that does not is lost.
    ///
    /// # Errors
    /// It does not.
    pub fn still_there(&self) -> Result<(), Trouble> {
        if self.0.mark.stands() {
            return Ok(());
        }
        self.notice(Trouble::Gone);
        Err(Trouble::Gone)
    }

    /// The trouble last noticed that keeps the database from being written.
    pub fn trouble(&self) -> Option<Trouble> {
        *self
            .0
            .trouble
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
    }

    /// Somebody waited so long for the one writer.
    pub(super) fn waited(&self, took: Duration) {
        let mut waits = self.0.waits.lock().unwrap_or_else(PoisonError::into_inner);
        *waits = (waits.0 + 1, waits.1 + took);
    }

    /// How often somebody waited for the one writer since it was opened, and how long in all.
    pub fn waits(&self) -> (u64, Duration) {
        *self.0.waits.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The one writer was held so long before a commit, and in it.
    pub(super) fn was_held(&self, before_commit: Duration, committing: Duration) {
        let mut held = self.0.held.lock().unwrap_or_else(PoisonError::into_inner);
        held.times += 1;
        held.before_commit += before_commit;
        held.committing += committing;
    }

    /// How long the one writer was held since it was opened, by what was committed.
    pub fn held(&self) -> WriterHeld {
        *self.0.held.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Notices why something failed, and hands the error on.
    pub fn noticed<E: From<sqlx::Error>>(&self, error: sqlx::Error) -> E {
        if let Some(trouble) = Trouble::of(&error) {
            self.notice(trouble);
        }
        error.into()
    }

    /// Notices what keeps the database from being written, and says so in the log once.
    pub fn notice(&self, trouble: Trouble) {
        // A file that is held for a while comes free by itself.
        if trouble != Trouble::Busy && self.put(Some(trouble)) != Some(trouble) {
            tracing::error!(
                "Nothing can be stored: {}. {}",
                trouble.what(),
                trouble.remedy()
            );
        }
    }

    /// Notes that something was written again, so that a trouble noticed before is over.
    pub fn wrote(&self) {
        if let Some(was) = self.put(None) {
            tracing::warn!(
                "Everything can be stored again: it is over that {}.",
                was.what()
            );
        }
    }

    fn put(&self, trouble: Option<Trouble>) -> Option<Trouble> {
        let mut known = self
            .0
            .trouble
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        std::mem::replace(&mut *known, trouble)
    }
}
