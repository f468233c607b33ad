//! The seal of a file as it lies, of whatever schema: the last record that the program wrote in it. And where its last backup was put.

use super::whole::as_it_lies;
use super::{StoreError, Stored};
use crate::units::UtcSecond;
use sqlx::{Connection, SqliteConnection};
use std::path::Path;

/// The last record that the program wrote in the file at `path`, with its digest; `None`: there is none.
///
/// # Errors
/// The file cannot be read.
pub async fn seal_of(path: &Path) -> Stored<Option<(i64, String)>> {
    let mut conn = SqliteConnection::connect_with(&as_it_lies(path)).await?;
    let seal = sqlx::query_as(
        "select number, digest from records where digest <> '' order by number desc limit 1",
    )
    .fetch_optional(&mut conn)
    .await?;
    conn.close().await?;
    Ok(seal)
}

/// What a file notes of its backups.
#[derive(Debug, Clone, Default)]
pub struct Noted {
    /// Where the last backup that went well was put.
    pub backup: Option<String>,
    /// When a backup was last put in the place of this file.
    pub restored: Option<UtcSecond>,
}

/// What the file at `path` notes of its backups.
///
/// # Errors
/// The file cannot be read.
pub async fn noted_in(path: &Path) -> Stored<Noted> {
    let mut conn = SqliteConnection::connect_with(&as_it_lies(path)).await?;
    let backup: Result<Option<String>, _> =
        sqlx::query_scalar("select words from upkeep where kind = 'backup' and good = 1")
            .fetch_optional(&mut conn)
            .await;
    let restored: Result<Option<UtcSecond>, _> = sqlx::query_scalar("select max(at) from restores")
        .fetch_one(&mut conn)
        .await;
    conn.close().await?;
    Ok(Noted {
        backup: if_there(backup)?,
        restored: if_there(restored)?,
    })
}

/// What was read, where the file is of a schema that has it.
fn if_there<T: Default>(read: Result<T, sqlx::Error>) -> Stored<T> {
    match read {
        Err(sqlx::Error::Database(error)) if error.message().starts_with("no such") => {
            Ok(T::default())
        }
        read => read.map_err(StoreError::from),
    }
}
