//! What the file itself refuses by rule, whoever asks: rows of a season that is closed and locked.

use super::StoreError;

/// As the triggers of `season_locks` say it.
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
