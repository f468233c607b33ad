//! Every division and balance of a database worked again, wherever and however old it is; the file itself is
//! only read.

use crate::facts::shares::verify::{self, Verified};
use crate::files;
use crate::store::{self, Reader, StoreError};
use anyhow::Context;
use std::path::Path;

/// Works the books of the database at `path` again. One of an older schema is brought up to date in a scratch
/// copy in the folder `scratch`, and looked over there.
///
/// # Errors
/// There is no such file, or it is not ours, damaged or newer; there is no room for the scratch copy.
pub async fn look_over(path: &Path, scratch: &Path) -> anyhow::Result<Verified> {
    files::there(path)?;
    match store::open_to_read(path).await {
        Ok(reader) => reckon(reader).await,
        Err(StoreError::Older(_)) => in_scratch(path, scratch).await,
        Err(error) => Err(error).with_context(|| format!("{} cannot be read", path.display())),
    }
}

async fn reckon(reader: Reader) -> anyhow::Result<Verified> {
    let found = async {
        let mut snapshot = reader.snapshot().await?;
        verify::verify(&mut snapshot).await
    };
    let found = found.await;
    reader.close().await;
    Ok(found?)
}

/// As [`look_over`], always in a scratch copy: what a restore would give.
///
/// # Errors
/// As [`look_over`].
pub(super) async fn in_scratch(path: &Path, scratch: &Path) -> anyhow::Result<Verified> {
    let copy = scratch.join(format!("canewright-trial-{}.db", std::process::id()));
    let looked = async {
        drop_scratch(&copy);
        drop(files::new_private(&copy).context("no room for a scratch copy")?);
        store::copy_into(path, &copy).await?;
        let (writer, reader) = store::open(&copy).await?;
        let found = reckon(reader).await;
        writer.close().await;
        found
    };
    let looked = looked.await;
    drop_scratch(&copy);
    looked
}

/// Removes a scratch copy and its neighbours; none may be there.
pub(super) fn drop_scratch(copy: &Path) {
    for ending in ["", files::LOG, files::INDEX] {
        // A left-over scratch file does no harm, and the next trial makes it anew.
        let _ = std::fs::remove_file(files::beside(copy, ending));
    }
}
