//! The only SQL. One file per noun; each function one query, named after what it answers. Decides
//! nothing. A [`Writer`] of one connection, a read-only [`Reader`]; both made here.
#![deny(clippy::disallowed_methods)]

pub mod boil;
pub mod cane;
pub mod first_steps;
pub mod form_keys;
pub mod home;
mod lookout;
pub mod people;
mod question;
pub mod records;
mod refused;
mod sealing;
pub mod season;
pub mod sent_from_phone;
pub mod shares;
mod trouble;
pub mod turns;
pub mod typed_in;
pub mod upkeep;
mod whole;

pub use lookout::{Held, Lookout};
pub use question::{Question, Together};
pub use trouble::Trouble;
pub use whole::{
    Soundness, backup, copy_into, newest_schema, number_of, open, open_to_read, schema_as_made,
    soundness,
};

use crate::units::{MemberId, UtcSecond};
use sqlx::migrate::MigrateError;
use sqlx::sqlite::SqlitePool;
use sqlx::{Sqlite, SqliteConnection, Transaction};
use std::ops::{Deref, DerefMut};
use std::time::Instant;

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
    /// The file is not one of ours, or is damaged.
    #[error("{0}")]
    Unfit(String),
    /// The schema is older than this program's, and the file is only to be read.
    #[error("The database was written by an older Canewright (schema {0}).")]
    Older(i64),
    /// What keeps the database from being written or read at present.
    #[error("{}", .0.what())]
    Trouble(#[from] Trouble),
    /// Something stored does not read back.
    #[error("stored {what} does not read back: {found}")]
    Corrupt {
        /// Table and column.
        what: &'static str,
        /// What was found.
        found: String,
    },
    /// An update that must touch one row touched another number of them.
    #[error("{what}: {rows} rows instead of one")]
    NotOneRow {
        /// The statement's purpose.
        what: &'static str,
        /// Rows touched.
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

/// What every store function answers.
pub type Stored<T> = Result<T, StoreError>;

/// The one connection that may write. Cloning shares it.
#[derive(Clone, Debug)]
pub struct Writer(SqlitePool, Lookout);

/// Read-only connections for pages. Cloning shares them.
#[derive(Clone, Debug)]
pub struct Reader(SqlitePool);

/// A write transaction: begun immediately, so that check and write cannot race. Dropped without
/// [`WriteTx::commit`] it leaves nothing.
#[derive(Debug)]
pub struct WriteTx {
    tx: Transaction<'static, Sqlite>,
    lookout: Lookout,
    /// The last record before it.
    after: sealing::Last,
    /// Who sent the form, and when.
    by: Option<(MemberId, UtcSecond)>,
    begun: Instant,
}

/// A read transaction: every query in it sees the same moment.
#[derive(Debug)]
pub struct Snapshot(Transaction<'static, Sqlite>);

/// What the functions of this floor are handed: a connection inside a [`WriteTx`] or [`Snapshot`].
pub type Conn = SqliteConnection;

impl StoreError {
    /// What is the matter with the file or its disk, when it is that.
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

impl Writer {
    /// Waits for the one writer and begins an immediate transaction.
    ///
    /// # Errors
    /// The database is busy for over five seconds, or failed, or another file lies in its place.
    pub async fn begin(&self) -> Stored<WriteTx> {
        Ok(self.begin_asking(Question::known(())).await?.0)
    }

    /// The same, with the answer to a first question.
    ///
    /// # Errors
    /// As [`Writer::begin`].
    #[expect(
        clippy::disallowed_methods,
        reason = "how long somebody waited is a figure, and decides nothing"
    )]
    pub async fn begin_asking<T: Send + 'static>(
        &self,
        first: Question<T>,
    ) -> Stored<(WriteTx, T)> {
        self.1.still_there()?;
        let asked = Instant::now();
        let begun = self.0.begin_with("begin immediate").await;
        self.1.waited(asked.elapsed());
        let since = Instant::now();
        let mut tx = begun.map_err(|error| self.1.noticed::<StoreError>(error))?;
        let (after, answer) = (sealing::last(), first).together().ask(&mut tx).await?;
        let tx = WriteTx {
            after,
            tx,
            lookout: self.1.clone(),
            by: None,
            begun: since,
        };
        Ok((tx, answer))
    }

    /// What keeps the database from being written at present, and looks out for it.
    pub fn lookout(&self) -> &Lookout {
        &self.1
    }

    /// Writes a number into the head of the database file itself, past the log, which is empty afterwards.
    /// Only while no reader is at work.
    ///
    /// # Errors
    /// The disk is full or failed.
    pub async fn number(&self, number: u32) -> Stored<()> {
        let write = format!("pragma user_version = {number}");
        sqlx::query(sqlx::AssertSqlSafe(write))
            .execute(&self.0)
            .await?;
        sqlx::query("pragma wal_checkpoint(truncate)")
            .execute(&self.0)
            .await?;
        Ok(())
    }

    /// Writes the whole file anew, without what lay between its rows, and empties its log; `false`: somebody reads, and the log is
    /// not empty yet.
    ///
    /// # Errors
    /// The disk is full or failed.
    pub async fn write_anew(&self) -> Stored<bool> {
        sqlx::query("vacuum").execute(&self.0).await?;
        let (busy, _, _): (i64, i64, i64) = sqlx::query_as("pragma wal_checkpoint(truncate)")
            .fetch_one(&self.0)
            .await?;
        Ok(busy == 0)
    }

    /// Folds the write-ahead log into the file and closes. Close the readers first.
    pub async fn close(&self) {
        // Only tidiness: a log left over is read at the next start.
        let _ = sqlx::query("pragma wal_checkpoint(truncate)")
            .execute(&self.0)
            .await;
        self.0.close().await;
    }
}

impl Reader {
    /// Begins a read transaction.
    ///
    /// # Errors
    /// The database failed.
    pub async fn snapshot(&self) -> Stored<Snapshot> {
        Ok(Snapshot(self.0.begin().await?))
    }

    /// Closes the connections.
    pub async fn close(&self) {
        self.0.close().await;
    }
}

impl Snapshot {
    /// The number of the last record of this moment. What stands in the tables that records cover is the same
    /// wherever this number is.
    ///
    /// # Errors
    /// The database failed.
    pub async fn last_record(&mut self) -> Stored<i64> {
        Ok(sealing::last().ask(&mut self.0).await?.number)
    }
}

impl WriteTx {
    /// The number of the last record when this transaction began.
    pub fn last_record(&self) -> i64 {
        self.after.number
    }

    /// Makes everything written since `begin` durable.
    ///
    /// # Errors
    /// The disk is full or failed, or another file lies in the database's place; nothing was written then.
    pub async fn commit(self) -> Stored<()> {
        self.commit_with(Question::known(())).await
    }

    /// Makes these changes, and with them everything written since `begin` durable.
    ///
    /// # Errors
    /// As [`WriteTx::commit`].
    #[expect(
        clippy::disallowed_methods,
        reason = "how long the writer was held is a figure, and decides nothing"
    )]
    pub async fn commit_with(mut self, changes: Question<()>) -> Stored<()> {
        self.lookout.still_there()?;
        let (by, at) = self.by.unzip();
        let written = (changes, sealing::fresh(&self.after)).together();
        let ((), fresh) = written.ask(&mut self.tx).await?;
        let asked = Instant::now();
        sealing::seal(&mut self.tx, (&self.after, fresh), by, at).await?;
        let done = self.tx.commit().await;
        let before = asked.duration_since(self.begun);
        self.lookout.was_held(before, asked.elapsed());
        done.map_err(|error| self.lookout.noticed(error))
    }

    /// Says who acts, and when: it stands in the records of what was written.
    pub fn by(&mut self, who: MemberId, at: UtcSecond) {
        self.by = Some((who, at));
    }
}

impl Deref for WriteTx {
    type Target = Conn;
    fn deref(&self) -> &Conn {
        &self.tx
    }
}
impl DerefMut for WriteTx {
    fn deref_mut(&mut self) -> &mut Conn {
        &mut self.tx
    }
}
impl Deref for Snapshot {
    type Target = Conn;
    fn deref(&self) -> &Conn {
        &self.0
    }
}
impl DerefMut for Snapshot {
    fn deref_mut(&mut self) -> &mut Conn {
        &mut self.0
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

/// For updates that must touch exactly one row.
fn one_row(done: &sqlx::sqlite::SqliteQueryResult, what: &'static str) -> Stored<()> {
    match done.rows_affected() {
        1 => Ok(()),
        rows => Err(StoreError::NotOneRow { what, rows }),
    }
}
