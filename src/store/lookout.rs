//! The lookout of a writer: whether the file that was opened still lies in its place, and what last kept it
//! from being written. Cloning shares it.

use super::{StoreError, Stored, Trouble};
use crate::files::Mark;
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};

/// See the module's head.
#[derive(Debug, Clone)]
pub struct Lookout(Arc<State>);

#[derive(Debug)]
struct State {
    mark: Mark,
    trouble: Mutex<Option<Trouble>>,
}

impl Lookout {
    /// Looks out for the file that lies at `path` at present.
    pub(super) fn of(path: &Path) -> Self {
        Self(Arc::new(State {
            mark: Mark::of(path),
            trouble: Mutex::new(None),
        }))
    }

    /// Whether the file that was opened still lies in its place: what is written to one that does not is lost.
    ///
    /// # Errors
    /// It does not.
    pub fn still_there(&self) -> Stored<()> {
        if self.0.mark.stands() {
            return Ok(());
        }
        Err(self.noticed(StoreError::Trouble(Trouble::Gone)))
    }

    /// What keeps the database from being written, as was last noticed.
    pub fn trouble(&self) -> Option<Trouble> {
        *self
            .0
            .trouble
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
    }

    /// Notices why something failed, and says so in the log once.
    #[must_use = "the error goes on to whoever asked"]
    pub fn noticed(&self, error: StoreError) -> StoreError {
        let Some(trouble) = error.trouble().filter(|t| *t != Trouble::Busy) else {
            return error;
        };
        if self.put(Some(trouble)) != Some(trouble) {
            tracing::error!(
                "Nothing can be stored: {}. {}",
                trouble.what(),
                trouble.remedy()
            );
        }
        error
    }

    /// Something was written again.
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
