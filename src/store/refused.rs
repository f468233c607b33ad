//! What the file itself refuses by rule, whoever asks: rows of a season that is closed and locked.

use super::StoreError;

/// Message of the triggers that guard a locked season, see `season_locks`.
const LOCKED: &str = "this season is locked";

impl StoreError {
    /// Whether the row was refused since its season is locked.
    pub fn of_locked_season(&self) -> bool {
        match self {
            Self::Database(sqlx::Error::Database(error)) => error.message() == LOCKED,
            _ => false,
        }
    }
}
