//! The one writer and the readers: a transaction to write in, whose records are sealed when it is committed, and a moment to
//! read from.

use super::lookout::Lookout;
use super::question::{Question, Together};
use super::sealing;
use super::{Conn, StoreError, Stored};
use crate::units::{MemberId, UtcSecond};
use sqlx::sqlite::SqlitePool;
use sqlx::{Sqlite, Transaction};
use std::ops::{Deref, DerefMut};
use std::time::Instant;

/// The one connection that may write. Cloning shares it.
#[derive(Clone, Debug)]
pub struct Writer(pub(super) SqlitePool, pub(super) Lookout);

/// Read-only connections for pages. Cloning shares them.
#[derive(Clone, Debug)]
pub struct Reader(pub(super) SqlitePool);

/// A write transaction: begun immediately, so that check and write cannot race. Dropped without
/// [`WriteTx::commit`] it leaves nothing.
#[derive(Debug)]
pub struct WriteTx {
    tx: Transaction<'static, Sqlite>,
    lookout: Lookout,
    /// The last record before this transaction.
    after: sealing::Last,
    /// The member who sent the form; `None`: nobody did.
    by: Option<MemberId>,
    /// When the form was sent, or the server wrote by itself or by a command.
    at: Option<UtcSecond>,
    begun: Instant,
}

/// A read transaction: every query in it sees the same moment.
#[derive(Debug)]
pub struct Snapshot(Transaction<'static, Sqlite>);

impl Writer {
    /// Waits for the one writer and begins an immediate transaction.
    ///
    /// # Errors
    /// The database is busy for over five seconds, or failed, or another file lies in its place.
    pub async fn begin(&self) -> Stored<WriteTx> {
        Ok(self.begin_asking(Question::answered(())).await?.0)
    }

    /// As [`Self::begin`], with the answer to a first question.
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
            at: None,
            begun: since,
        };
        Ok((tx, answer))
    }

    /// The lookout for troubles that keep the database from being written.
    pub fn lookout(&self) -> &Lookout {
        &self.1
    }

    /// Writes a number into the head of the database file and empties the log, so that it stands in the file itself; `false`: somebody
    /// reads, and it stands in the log only.
    ///
    /// # Errors
    /// The disk is full or failed.
    pub async fn number(&self, number: u32) -> Stored<bool> {
        let write = format!("pragma user_version = {number}");
        sqlx::query(sqlx::AssertSqlSafe(write))
            .execute(&self.0)
            .await?;
        self.log_emptied().await
    }

    async fn log_emptied(&self) -> Stored<bool> {
        let (busy, _, _): (i64, i64, i64) = sqlx::query_as("pragma wal_checkpoint(truncate)")
            .fetch_one(&self.0)
            .await?;
        Ok(busy == 0)
    }

    /// Writes the whole file anew, without what lay between its rows, and empties its log; `false`: somebody reads, and the log is
    /// not empty yet.
    ///
    /// # Errors
    /// The disk is full or failed.
    pub async fn write_anew(&self) -> Stored<bool> {
        sqlx::query("vacuum").execute(&self.0).await?;
        self.log_emptied().await
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

    /// Closes the read-only connections.
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
        self.commit_with(Question::answered(())).await
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
        let (by, at) = (self.by, self.at);
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
        (self.by, self.at) = (Some(who), Some(at));
    }

    /// Says that nobody who is signed in acts, but the server, by itself or by a command, and when.
    pub fn on_server(&mut self, at: UtcSecond) {
        (self.by, self.at) = (None, Some(at));
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
