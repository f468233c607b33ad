//! The database as a whole file: whether it is ours, sound and of a schema that this program knows; a copy
//! of it; and opening one that is only looked at.

use super::{
    APPLICATION_ID, Lookout, Reader, StoreError, Stored, Trouble, Writer, records, sealing,
};
use crate::files;
use crate::store::people::second_factor::note_digests;
use sqlx::migrate::Migrator;
use sqlx::sqlite::{
    SqliteAutoVacuum, SqliteConnectOptions, SqliteJournalMode, SqlitePool, SqlitePoolOptions,
    SqliteSynchronous,
};
use sqlx::{Connection, SqliteConnection};
use std::path::Path;
use std::time::Duration;
use tokio::sync::OnceCell;

/// The migrations that make the schema, step by step.
pub(super) static SCHEMA: Migrator = sqlx::migrate!();

/// How many read-only connections a site has.
const READERS: u32 = 4;

fn options(path: &Path) -> SqliteConnectOptions {
    SqliteConnectOptions::new()
        .filename(path)
        .foreign_keys(true)
        .busy_timeout(Duration::from_secs(5))
        .journal_mode(SqliteJournalMode::Wal)
        .synchronous(SqliteSynchronous::Full)
        // What is deleted is overwritten with zeros.
        .pragma("secure_delete", "on")
        .pragma("trusted_schema", "off")
}

/// Opens (or makes) the database at `path`, checks that it is ours and sound, and brings its
/// schema up to date.
///
/// # Errors
/// Not ours, damaged, newer than this program, or not to be opened.
pub async fn open(path: &Path) -> Stored<(Writer, Reader)> {
    let fresh = files::length(path) == 0;
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
        check(&writer, path).await?;
    }
    bring_up_to_date(&writer).await?;
    let reader = SqlitePoolOptions::new()
        .max_connections(READERS)
        // All are opened at once: later there may be no file handle left for one.
        .min_connections(READERS)
        .max_lifetime(None)
        .idle_timeout(None)
        .connect_with(options(path).read_only(true))
        .await?;
    Ok((Writer(writer, Lookout::of(path)), Reader(reader)))
}

/// Runs the steps that are missing, has every table covered that is to be, and seals what that wrote.
async fn bring_up_to_date(writer: &SqlitePool) -> Stored<()> {
    let after = sealing::last_if_any(&mut *writer.acquire().await?).await?;
    SCHEMA.run(writer).await?;
    let mut tx = writer.begin_with("begin immediate").await?;
    note_digests(&mut tx).await?;
    records::cover(&mut tx).await?;
    let fresh = sealing::fresh(&after).ask(&mut tx).await?;
    sealing::seal(&mut tx, (&after, fresh), None, None).await?;
    Ok(tx.commit().await?)
}

/// Tables, views, triggers and indexes as this program makes them: kind, name and SQL.
///
/// # Errors
/// A step of the schema does not run, which a test would have shown.
pub async fn schema_as_made() -> Stored<Vec<(String, String, String)>> {
    // It stays the same for as long as the program runs, and is slow to make.
    static AS_MADE: OnceCell<Vec<(String, String, String)>> = OnceCell::const_new();
    Ok(AS_MADE.get_or_try_init(make_schema).await?.clone())
}

async fn make_schema() -> Stored<Vec<(String, String, String)>> {
    let pool = SqlitePoolOptions::new()
        .max_connections(1)
        .max_lifetime(None)
        .idle_timeout(None)
        .connect("sqlite::memory:")
        .await?;
    SCHEMA.run(&pool).await?;
    let mut conn = pool.acquire().await?;
    records::cover(&mut conn).await?;
    let made = records::schema(&mut conn).await?;
    drop(conn);
    pool.close().await;
    Ok(made)
}

/// What differs between the steps of the schema that a file has had and this program's own, a sentence each.
///
/// # Errors
/// The database failed.
pub async fn steps_amiss(conn: &mut SqliteConnection) -> Stored<Vec<String>> {
    let had: Vec<(i64, bool, Vec<u8>)> =
        sqlx::query_as("select version, success, checksum from _sqlx_migrations order by version")
            .fetch_all(conn)
            .await?;
    let mut amiss = Vec::new();
    for step in SCHEMA.iter() {
        let found = had.iter().find(|(version, _, _)| *version == step.version);
        match found {
            None => amiss.push(format!("The note that this file was brought to step {} of the program is gone.", step.version)),
            Some((_, done, sum)) if !*done || sum[..] != step.checksum[..] => amiss.push(format!(
                "The note that this file was brought to step {} of the program is not as the program writes it.",
                step.version
            )),
            Some(_) => {}
        }
    }
    for (version, _, _) in had {
        if !SCHEMA.iter().any(|step| step.version == version) {
            amiss.push(format!("The note that this file was brought to step {version} of the program was added by hand."));
        }
    }
    Ok(amiss)
}

/// The number of the newest step of the schema that this program knows.
pub fn newest_schema() -> i64 {
    SCHEMA.iter().map(|step| step.version).max().unwrap_or(0)
}

/// The number in the head of a database file (the user version, bytes 60 to 63:
/// <https://www.sqlite.org/fileformat2.html#the_database_header>), past its log; `None`: not a database.
pub fn number_of(path: &Path) -> Option<u32> {
    let head = files::head(path, 100).ok()?;
    if head.len() < 100 || !head.starts_with(b"SQLite format 3\0") {
        return None;
    }
    let number = head.get(60..64)?.try_into().ok()?;
    Some(u32::from_be_bytes(number))
}

/// How a database file is opened that is only looked at: nothing is written, not even beside it. While
/// somebody has it open there is a log beside it, and it is read with that.
pub(super) fn as_it_lies(path: &Path) -> SqliteConnectOptions {
    SqliteConnectOptions::new()
        .filename(path)
        .read_only(true)
        .immutable(!files::beside(path, files::LOG).exists())
        .foreign_keys(true)
        .busy_timeout(Duration::from_secs(5))
        .pragma("trusted_schema", "off")
}

/// Opens the database at `path` to read only; it must be ours, sound and of this program's schema.
///
/// # Errors
/// Not ours, damaged, older or newer than this program, or not to be opened.
pub async fn open_to_read(path: &Path) -> Stored<Reader> {
    let pool = SqlitePoolOptions::new()
        .max_connections(4)
        .connect_with(as_it_lies(path))
        .await
        .map_err(|error| in_words(error.into(), path))?;
    check(&pool, path).await?;
    let schema = schema_of(&mut *pool.acquire().await?).await?;
    if schema < newest_schema() {
        return Err(StoreError::Older(schema));
    }
    Ok(Reader(pool))
}

/// The number of the newest step of the schema that a database has had.
async fn schema_of(conn: &mut SqliteConnection) -> Stored<i64> {
    let newest: Option<i64> = sqlx::query_scalar("select max(version) from _sqlx_migrations")
        .fetch_one(conn)
        .await?;
    Ok(newest.unwrap_or(0))
}

/// An error of a file that is not a database or is damaged, in words.
fn in_words(error: StoreError, path: &Path) -> StoreError {
    match error.trouble() {
        Some(Trouble::Damaged) => StoreError::Unfit(damaged(path, &error.to_string())),
        _ => error,
    }
}

fn damaged(path: &Path, what: &str) -> String {
    format!(
        "The database file {path} is damaged ({what}). Please restore the last backup: canewright restore BACKUP --database {path}",
        path = path.display()
    )
}

/// Whether the database is ours, sound, and not newer than this program.
pub(super) async fn check(pool: &SqlitePool, path: &Path) -> Stored<()> {
    let looked = async {
        let mut conn = pool.acquire().await?;
        let found = soundness_of(&mut conn, "pragma quick_check(1)").await?;
        let schema = if found.ours && found.tables > 0 {
            schema_of(&mut conn).await?
        } else {
            0
        };
        Ok((found, schema))
    };
    let (found, schema): (Soundness, i64) = looked.await.map_err(|error| in_words(error, path))?;
    if !found.ours && found.tables > 0 {
        return Err(StoreError::ForeignFile);
    }
    if found.pages != "ok" {
        return Err(StoreError::Unfit(damaged(path, &found.pages)));
    }
    if schema > newest_schema() {
        return Err(StoreError::NewerFile {
            path: path.display().to_string(),
            schema,
            known: newest_schema(),
        });
    }
    Ok(())
}

/// What looking over a whole database file found.
#[derive(Debug, Clone)]
pub struct Soundness {
    /// Whether it is a database of this program.
    pub ours: bool,
    /// How many tables and other things its schema has.
    pub tables: i64,
    /// "ok", or the first thing that is wrong with its pages.
    pub pages: String,
    /// Whether every reference leads to a row.
    pub references: bool,
}

impl Soundness {
    /// Whether the file is ours and nothing in it is wrong.
    pub fn is_whole(&self) -> bool {
        self.ours && self.pages == "ok" && self.references
    }
}

async fn soundness_of(
    conn: &mut SqliteConnection,
    look: &'static str,
) -> Result<Soundness, StoreError> {
    let ours: i64 = sqlx::query_scalar("pragma application_id")
        .fetch_one(&mut *conn)
        .await?;
    let tables: i64 = sqlx::query_scalar("select count(*) from sqlite_schema")
        .fetch_one(&mut *conn)
        .await?;
    let pages: String = sqlx::query_scalar(look).fetch_one(conn).await?;
    Ok(Soundness {
        ours: ours == APPLICATION_ID,
        tables,
        pages,
        references: true,
    })
}

/// Looks at every page, index and reference of the database at `path`, which is not changed.
///
/// # Errors
/// It cannot be opened, or is no database at all.
pub async fn soundness(path: &Path) -> Stored<Soundness> {
    let looked = async {
        let mut conn = SqliteConnection::connect_with(&as_it_lies(path)).await?;
        let mut found = soundness_of(&mut conn, "pragma integrity_check(1)").await?;
        let astray = sqlx::query("pragma foreign_key_check")
            .fetch_optional(&mut conn)
            .await?;
        found.references = astray.is_none();
        conn.close().await?;
        Ok(found)
    };
    looked.await.map_err(|error| in_words(error, path))
}

/// Copies the database at `from`, with what stands in its log, into the empty or missing file `to`. The
/// source is only read; the copy has no log, its head bears the number 0, and it is on the disk for good.
///
/// # Errors
/// The disk is full or failed, or `from` is not to be read.
pub async fn copy_into(from: &Path, to: &Path) -> Stored<()> {
    let target = to
        .to_str()
        .ok_or_else(|| StoreError::Unfit("Please name the copy in plain text.".to_owned()))?;
    let copied = async {
        let mut source = SqliteConnection::connect_with(&as_it_lies(from)).await?;
        sqlx::query("vacuum into ?")
            .bind(target)
            .execute(&mut source)
            .await?;
        source.close().await?;
        let options = SqliteConnectOptions::new()
            .filename(to)
            .journal_mode(SqliteJournalMode::Delete);
        let mut copy = SqliteConnection::connect_with(&options).await?;
        sqlx::query("pragma user_version = 0")
            .execute(&mut copy)
            .await?;
        copy.close().await?;
        Ok(())
    };
    copied.await.map_err(|error| in_words(error, from))?;
    files::sync(to).map_err(|error| StoreError::Database(error.into()))
}

/// Leaves a database that was written to as a copy is: without a log, on the disk for good.
///
/// # Errors
/// Somebody has it open, or the disk is full or failed.
pub async fn without_log(path: &Path) -> Stored<()> {
    let options = SqliteConnectOptions::new()
        .filename(path)
        .journal_mode(SqliteJournalMode::Delete);
    SqliteConnection::connect_with(&options)
        .await?
        .close()
        .await?;
    files::sync(path).map_err(|error| StoreError::Database(error.into()))
}

/// Writes a copy of the database at `from` to the new file `to`, checks it, and only then gives it its name:
/// what is called `to` is whole. Only its owner may read it.
///
/// # Errors
/// `to` exists already, the disk is full, or the copy does not pass its checks; nothing is left then.
pub async fn backup(from: &Path, to: &Path) -> Stored<()> {
    if to.exists() {
        return Err(StoreError::Unfit(format!(
            "{} exists already; please name a new file.",
            to.display()
        )));
    }
    files::there(from).map_err(|missing| StoreError::Unfit(missing.to_string()))?;
    let part = files::beside(to, ".part");
    let made = make_backup(from, to, &part).await;
    if made.is_err() {
        // What is left of a copy that failed is of no use; when it cannot be removed, it is overwritten next time.
        let _ = std::fs::remove_file(&part);
    }
    made
}

async fn make_backup(from: &Path, to: &Path, part: &Path) -> Stored<()> {
    let disk = |error: std::io::Error| StoreError::Database(error.into());
    if part.exists() {
        std::fs::remove_file(part).map_err(disk)?;
    }
    drop(files::new_private(part).map_err(disk)?);
    copy_into(from, part).await?;
    let found = soundness(part).await?;
    if !found.is_whole() {
        return Err(StoreError::Unfit(format!(
            "The copy does not pass its checks: {}.",
            found.pages
        )));
    }
    std::fs::rename(part, to).map_err(disk)?;
    files::sync_folder_of(to).map_err(disk)
}
