//! The only SQL. One file per noun; each function one query, named after what it answers. Decides
//! nothing. A [`Writer`] of one connection, a read-only [`Reader`]; both made here.
#![deny(clippy::disallowed_methods)]

pub mod boil;
pub mod cane;
mod covered;
#[cfg(test)]
pub(crate) mod explained;
pub mod first_steps;
pub mod form_keys;
pub mod home;
mod lookout;
pub mod marks;
pub mod people;
mod question;
pub mod records;
mod refused;
pub mod restores;
pub mod restores_held;
mod sealing;
mod seals;
pub mod season;
pub mod sent_from_phone;
pub mod shares;
mod trouble;
pub mod turns;
pub mod typed_in;
pub mod upkeep;
mod whole;
mod writing;

pub use lookout::{Lookout, WriterHeld};
pub use question::{Question, Together};
pub use seals::{Noted, noted_in, seal_of};
pub use trouble::Trouble;
pub use whole::{
    Soundness, backup, copy_into, newest_schema, number_of, open, open_to_read, schema_as_made,
    soundness, steps_amiss, without_log,
};
pub use writing::{Reader, Snapshot, WriteTx, Writer};

use sqlx::SqliteConnection;
use sqlx::migrate::MigrateError;

/// "CANW": written into every database of this program by the first migration.
pub const APPLICATION_ID: i64 = 0x4341_4e57;

/// Why the store could not answer: always ours, never what somebody typed.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The database refused or failed.
    #[error("database: {0}")]
    Database(#[from] sqlx::Error),
    /// The schema could not be brought up to date.
    #[error("migration: {0}")]
    Migrate(#[from] MigrateError),
    /// The file is damaged, or what was asked of it cannot be done.
    #[error("{0}")]
    Unfit(String),
    /// The file is not one of ours.
    #[error("This file is not a Canewright database.")]
    ForeignFile,
    /// The file was written by a newer program.
    #[error(
        "{path} was written by a newer Canewright (schema {schema}; this program knows {known}). Please use that one."
    )]
    NewerFile {
        /// Where it lies.
        path: String,
        /// The newest step of its schema.
        schema: i64,
        /// The newest step that this program knows.
        known: i64,
    },
    /// The schema is older than this program's, and the file is only to be read.
    #[error("The database was written by an older Canewright (schema {0}).")]
    Older(i64),
    /// The file or its disk keeps the database from being written or read.
    #[error("{}", .0.what())]
    Trouble(#[from] Trouble),
    /// Something stored does not read back.
    #[error("stored {what} does not read back: {found}")]
    Corrupt {
        /// The table and column it stands in.
        what: &'static str,
        /// The value that was found.
        found: String,
    },
    /// An update that must touch one row touched another number of them.
    #[error("{what}: {rows} rows instead of one")]
    NotOneRow {
        /// What the statement was to do.
        what: &'static str,
        /// How many rows it touched.
        rows: u64,
    },
}

impl StoreError {
    /// Whether another row bears already what may stand only once, such as the name of a scale.
    pub fn is_taken(&self) -> bool {
        let Self::Database(sqlx::Error::Database(error)) = self else {
            return false;
        };
        error.is_unique_violation()
    }
}

/// The result of every function of the store.
pub type Stored<T> = Result<T, StoreError>;

/// What the functions of this floor are handed: a connection inside a [`WriteTx`] or [`Snapshot`].
pub type Conn = SqliteConnection;

impl StoreError {
    /// In words, that something stored does not read back, if that is the error: somebody wrote into the file by hand.
    ///
    /// # Errors
    /// It is something else.
    pub fn not_read_back(self) -> Result<String, Self> {
        match self {
            Self::Corrupt { what, found } => {
                let what = match what.split_once('.') {
                    Some((table, column)) => format!("{column} of {table}"),
                    None => what.to_owned(),
                };
                let what = what.replace('_', " ");
                Ok(format!(
                    "the {what} stands as “{found}”, which does not read back"
                ))
            }
            Self::Database(
                sqlx::Error::ColumnDecode { source, .. } | sqlx::Error::Decode(source),
            ) => Ok(format!("something stored does not read back: {source}")),
            other => Err(other),
        }
    }

    /// The trouble with the file or its disk, if that is the cause.
    pub fn trouble(&self) -> Option<Trouble> {
        match self {
            Self::Trouble(trouble) => Some(*trouble),
            Self::Database(error)
            | Self::Migrate(
                MigrateError::Execute(error) | MigrateError::ExecuteMigration(error, _),
            ) => Trouble::of(error),
            _ => None,
        }
    }
}

/// Ids as a JSON array, for queries of many.
pub fn in_json<T: ToString>(ids: impl IntoIterator<Item = T>) -> String {
    let quoted: Vec<String> = ids
        .into_iter()
        .map(|id| format!("\"{}\"", id.to_string()))
        .collect();
    format!("[{}]", quoted.join(","))
}

/// Checks that an update touched exactly one row.
fn one_row(done: &sqlx::sqlite::SqliteQueryResult, what: &'static str) -> Stored<()> {
    match done.rows_affected() {
        1 => Ok(()),
        rows => Err(StoreError::NotOneRow { what, rows }),
    }
}
