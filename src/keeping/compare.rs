//! What the file that a restore sets aside holds, read from a copy of it, so that it stays as it lies.

use super::look_over::drop_scratch;
use super::opening::log_belongs;
use crate::facts::restores::FileHolds;
use crate::files::{self, Claim, LOG};
use crate::store;
use anyhow::Context;
use std::path::Path;

/// What the database at `path` holds; or why that is not known. The copy is made in the folder `scratch`.
pub(super) async fn held_in(
    path: &Path,
    claim: &Claim,
    scratch: &Path,
) -> Result<FileHolds, String> {
    if files::length(path) == 0 {
        return Err("there was no database in its place".to_owned());
    }
    if log_belongs(path, claim).await.is_err() {
        return Err("the log beside it is that of another file".to_owned());
    }
    let copy = scratch.join(format!("canewright-aside-{}.db", std::process::id()));
    drop_scratch(&copy);
    let read = read_copy(path, &copy).await;
    drop_scratch(&copy);
    read.map_err(|error| format!("{error:#}"))
}

async fn read_copy(path: &Path, copy: &Path) -> anyhow::Result<FileHolds> {
    let no_room = "no room for a copy of the old file";
    std::fs::copy(path, copy).context(no_room)?;
    let log = files::beside(path, LOG);
    if files::length(&log) > 0 {
        std::fs::copy(log, files::beside(copy, LOG)).context(no_room)?;
    }
    let (writer, reader) = store::open(copy)
        .await
        .map_err(|error| anyhow::anyhow!(in_words(&error)))?;
    let read = async { FileHolds::read(&mut *reader.snapshot().await?).await };
    let read = read.await;
    reader.close().await;
    writer.close().await;
    Ok(read?)
}

/// Why the old file was not opened: without the name of the copy, which is gone by then, and without telling to restore.
fn in_words(error: &store::StoreError) -> &'static str {
    match error {
        store::StoreError::NewerFile { .. } => "it was written by a newer Canewright",
        store::StoreError::ForeignFile => "it is not a Canewright database",
        _ => "it is damaged",
    }
}
