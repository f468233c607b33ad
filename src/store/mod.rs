//! The only SQL. One file per noun; each function one query, named after what it answers. Decides
//! nothing. A [`Writer`] of one connection, a read-only [`Reader`]; both made here.
#![deny(clippy::disallowed_methods)]

pub mod boil;
pub mod cane;
pub mod first_steps;
pub mod form_keys;
pub mod home;
pub mod people;
pub mod records;
pub mod season;
pub mod sent_from_phone;
pub mod shares;
pub mod turns;

use crate::units::{MemberId, UtcSecond};
use sqlx::migrate::Migrator;
use sqlx::sqlite::{
    SqliteAutoVacuum, SqliteConnectOptions, SqliteJournalMode, SqlitePool, SqlitePoolOptions,
    SqliteSynchronous,
};
use sqlx::{Connection, Sqlite, SqliteConnection, Transaction};
use std::cmp::Ordering;
use std::ops::{Deref, DerefMut};
use std::path::Path;
use std::time::Duration;

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
    Migrate(#[from] sqlx::migrate::MigrateError),
    /// The file is not one of ours, or is damaged.
    #[error("{0}")]
    Unfit(String),
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

/// What every store function answers.
pub type Stored<T> = Result<T, StoreError>;

/// The one connection that may write. Cloning shares it.
#[derive(Clone, Debug)]
pub struct Writer(SqlitePool);

/// Read-only connections for pages. Cloning shares them.
#[derive(Clone, Debug)]
pub struct Reader(SqlitePool);

/// A write transaction: begun immediately, so that check and write cannot race. Dropped without
/// [`WriteTx::commit`] it leaves nothing.
#[derive(Debug)]
pub struct WriteTx {
    tx: Transaction<'static, Sqlite>,
    /// The last record before it.
    after: i64,
    /// Who sent the form, and when.
    by: Option<(MemberId, UtcSecond)>,
}

/// A read transaction: every query in it sees the same moment.
#[derive(Debug)]
pub struct Snapshot(Transaction<'static, Sqlite>);

/// What the functions of this floor are handed: a connection inside a [`WriteTx`] or [`Snapshot`].
pub type Conn = SqliteConnection;

fn options(path: &Path) -> SqliteConnectOptions {
    SqliteConnectOptions::new()
        .filename(path)
        .foreign_keys(true)
        .busy_timeout(Duration::from_secs(5))
        .journal_mode(SqliteJournalMode::Wal)
        .synchronous(SqliteSynchronous::Full)
        .pragma("trusted_schema", "off")
}

/// Opens (or makes) the database at `path`, checks that it is ours and sound, and brings its
/// schema up to date.
///
/// # Errors
/// Not ours, damaged, newer than this program, or not to be opened.
pub async fn open(path: &Path) -> Stored<(Writer, Reader)> {
    let fresh = !path.exists();
    let writer = SqlitePoolOptions::new()
        .max_connections(1)
        .min_connections(1)
        .max_lifetime(None)
        .idle_timeout(None)
        // A failed COMMIT (disk full) leaves the connection inside a transaction; such a
        // connection is thrown away, or the only writer would stay unusable. The ping waits for the
        // rollback of a dropped transaction: without it every refused form cost a new connection.
        .after_release(|conn, _| {
            Box::pin(async move {
                conn.ping().await?;
                Ok(!conn.is_in_transaction())
            })
        })
        .connect_with(
            options(path)
                .create_if_missing(true)
                .auto_vacuum(SqliteAutoVacuum::Incremental),
        )
        .await?;
    if !fresh {
        check(&writer).await?;
    }
    bring_up_to_date(&writer).await?;
    let reader = SqlitePoolOptions::new()
        .max_connections(4)
        .connect_with(options(path).read_only(true))
        .await?;
    Ok((Writer(writer), Reader(reader)))
}

/// The migrations of this program.
fn migrations() -> Migrator {
    sqlx::migrate!()
}

/// Runs the migrations that are missing, has every table covered that is to be, and seals what that wrote.
async fn bring_up_to_date(writer: &SqlitePool) -> Stored<()> {
    let mut conn = writer.acquire().await?;
    let after = records::last(&mut conn).await?;
    migrations().run(&mut *conn).await?;
    let mut tx = conn.begin_with("begin immediate").await?;
    records::cover(&mut tx).await?;
    records::seal(&mut tx, after, None, None).await?;
    Ok(tx.commit().await?)
}

/// Tables, views, triggers and indexes as this program makes them: kind, name and SQL.
///
/// # Errors
/// A migration does not run, which a test would have shown.
pub async fn schema_as_made() -> Stored<Vec<(String, String, String)>> {
    let mut conn = SqliteConnection::connect("sqlite::memory:").await?;
    migrations().run(&mut conn).await?;
    records::cover(&mut conn).await?;
    let made = records::schema(&mut conn).await?;
    conn.close().await?;
    Ok(made)
}

/// Opens the database at `path` to read only; it must be ours, sound and up to date.
///
/// # Errors
/// Not ours, damaged, or not to be opened.
pub async fn open_to_read(path: &Path) -> Stored<Reader> {
    let as_it_lies = SqliteConnectOptions::new()
        .filename(path)
        .read_only(true)
        .busy_timeout(Duration::from_secs(5))
        .pragma("trusted_schema", "off");
    let pool = SqlitePoolOptions::new()
        .max_connections(4)
        .connect_with(as_it_lies)
        .await?;
    check(&pool).await?;
    same_schema(&pool).await?;
    Ok(Reader(pool))
}

/// Whether a file has just the migrations of this program.
async fn same_schema(pool: &SqlitePool) -> Stored<()> {
    let its: i64 = sqlx::query_scalar("select coalesce(max(version), 0) from _sqlx_migrations")
        .fetch_one(pool)
        .await?;
    let ours = migrations().iter().map(|m| m.version).max().unwrap_or(0);
    let sentence = match its.cmp(&ours) {
        Ordering::Equal => return Ok(()),
        Ordering::Greater => format!(
            "This file was written by a newer Canewright (schema {its}; this one knows {ours}). Please use the newer program."
        ),
        Ordering::Less => format!(
            "This file was written by an older Canewright (schema {its}; this one makes {ours}). Please make a copy, start \
             this program on the copy once, and look that over."
        ),
    };
    Err(StoreError::Unfit(sentence))
}

async fn check(pool: &SqlitePool) -> Stored<()> {
    let ours: i64 = sqlx::query_scalar("pragma application_id")
        .fetch_one(pool)
        .await?;
    let tables: i64 = sqlx::query_scalar("select count(*) from sqlite_schema")
        .fetch_one(pool)
        .await?;
    if ours != APPLICATION_ID && tables > 0 {
        return Err(StoreError::Unfit(
            "This file is not a Canewright database.".to_owned(),
        ));
    }
    let sound: String = sqlx::query_scalar("pragma quick_check(1)")
        .fetch_one(pool)
        .await?;
    if sound != "ok" {
        return Err(StoreError::Unfit(format!(
            "The database file is damaged ({sound}). Please restore the last backup."
        )));
    }
    Ok(())
}

/// Writes a copy of the database at `from` to the new file `to` (VACUUM INTO), then checks it.
///
/// # Errors
/// `to` exists already, the disk is full, or the copy does not pass its checks.
pub async fn backup(from: &Path, to: &Path) -> Stored<()> {
    if to.exists() {
        return Err(StoreError::Unfit(
            "The backup file exists already; please name a new one.".to_owned(),
        ));
    }
    let target = to
        .to_str()
        .ok_or_else(|| StoreError::Unfit("Please name the backup in plain text.".to_owned()))?;
    let mut source = SqliteConnection::connect_with(&options(from)).await?;
    sqlx::query("vacuum into ?")
        .bind(target)
        .execute(&mut source)
        .await?;
    source.close().await?;
    let mut copy =
        SqliteConnection::connect_with(&SqliteConnectOptions::new().filename(to).read_only(true))
            .await?;
    let sound: String = sqlx::query_scalar("pragma integrity_check(1)")
        .fetch_one(&mut copy)
        .await?;
    let ours: i64 = sqlx::query_scalar("pragma application_id")
        .fetch_one(&mut copy)
        .await?;
    let broken = sqlx::query("pragma foreign_key_check")
        .fetch_optional(&mut copy)
        .await?;
    copy.close().await?;
    if sound != "ok" || ours != APPLICATION_ID || broken.is_some() {
        return Err(StoreError::Unfit(format!(
            "The copy does not pass its checks: {sound}."
        )));
    }
    Ok(())
}

impl Writer {
    /// Waits for the one writer and begins an immediate transaction.
    ///
    /// # Errors
    /// The database is busy for over five seconds, or failed.
    pub async fn begin(&self) -> Stored<WriteTx> {
        let mut tx = self.0.begin_with("begin immediate").await?;
        let after = records::last(&mut tx).await?;
        Ok(WriteTx {
            tx,
            after,
            by: None,
        })
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

impl WriteTx {
    /// Makes everything written since `begin` durable.
    ///
    /// # Errors
    /// The disk is full or failed; nothing was written then.
    pub async fn commit(mut self) -> Stored<()> {
        let (by, at) = self.by.unzip();
        records::seal(&mut self.tx, self.after, by, at).await?;
        Ok(self.tx.commit().await?)
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

/// For updates that must touch exactly one row.
fn one_row(done: &sqlx::sqlite::SqliteQueryResult, what: &'static str) -> Stored<()> {
    match done.rows_affected() {
        1 => Ok(()),
        rows => Err(StoreError::NotOneRow { what, rows }),
    }
}
