//! Putting a backup in the place of the database: the backup is checked first, the old file is set aside with its
//! log and never removed, and at no moment does half a file bear the database's name.

use super::backups::stamp;
use super::look_over::look_over;
use super::opening::{NEIGHBOURS, claim};
use crate::facts::shares::verify::Verified;
use crate::files;
use crate::store;
use crate::units::UtcSecond;
use anyhow::{Context, ensure};
use std::path::{Path, PathBuf};

/// What a restore did.
#[derive(Debug)]
pub struct Restored {
    /// Where the old files lie; empty when there were none.
    pub aside: Vec<PathBuf>,
    /// The books of the restored file, worked again.
    pub books: Verified,
}

/// Puts a copy of `backup` in the place of the database at `path`.
///
/// # Errors
/// The backup is missing, damaged, not ours or newer; a program serves the database; the disk is full or failed.
/// Until the last step nothing was changed; the sentence says where the old file lies if that step failed.
pub async fn restore(backup: &Path, path: &Path, at: UtcSecond) -> anyhow::Result<Restored> {
    ensure!(
        files::length(backup) > 0,
        "There is no backup {}.",
        backup.display()
    );
    ensure!(!path.is_dir(), "{} is a folder.", path.display());
    ensure!(
        std::fs::canonicalize(backup).ok() != std::fs::canonicalize(path).ok(),
        "{} is the database itself; please name a backup.",
        backup.display()
    );
    let folder = files::folder_of(path);
    ensure!(folder.is_dir(), "There is no folder {}.", folder.display());
    let mut claim = claim(path)?;
    let part = files::beside(path, ".restoring");
    let books = match prepare(backup, &part, folder).await {
        Ok(books) => books,
        Err(error) => {
            // The unfinished copy is of no use to anybody.
            let _ = std::fs::remove_file(&part);
            return Err(error);
        }
    };
    let aside = set_aside(path, at)?;
    let done = std::fs::rename(&part, path).and_then(|()| files::sync_folder_of(path));
    done.with_context(|| match aside.first() {
        Some(old) => format!(
            "the copy was not put in place; the old file is {}",
            old.display()
        ),
        None => "the copy was not put in place".to_owned(),
    })?;
    // The numbers noted were the old file's; the copy has no log, so none is needed for it.
    claim.note(&[])?;
    Ok(Restored { aside, books })
}

/// A checked copy of the backup, on the disk for good, under a name of its own.
async fn prepare(backup: &Path, part: &Path, folder: &Path) -> anyhow::Result<Verified> {
    let sound = |path: PathBuf, what: &'static str| async move {
        let found = store::soundness(&path).await?;
        ensure!(found.ours, "The {what} is not a Canewright database.");
        ensure!(
            found.is_whole(),
            "The {what} is damaged ({}). Nothing was changed; please take another.",
            found.pages
        );
        Ok(())
    };
    sound(backup.to_owned(), "backup").await?;
    let books = look_over(backup, folder).await?;
    if part.exists() {
        std::fs::remove_file(part)?;
    }
    drop(files::new_private(part).context("the folder cannot be written, or the disk is full")?);
    store::copy_into(backup, part)
        .await
        .context("the backup could not be copied; nothing was changed")?;
    sound(part.to_owned(), "copy").await?;
    Ok(books)
}

/// Gives the old file and its neighbours names with the date. The file goes first: without it no start goes on,
/// whereas a file without its log would be an older state.
fn set_aside(path: &Path, at: UtcSecond) -> anyhow::Result<Vec<PathBuf>> {
    let mut name = files::beside(path, &format!(".before-{}", stamp(at)));
    for n in 2.. {
        let taken = [""]
            .iter()
            .chain(&NEIGHBOURS)
            .any(|e| files::beside(&name, e).exists());
        if !taken {
            break;
        }
        name = files::beside(path, &format!(".before-{}-{n}", stamp(at)));
    }
    let mut aside = Vec::new();
    for ending in [""].iter().chain(&NEIGHBOURS) {
        let old = files::beside(path, ending);
        if old.exists() {
            let new = files::beside(&name, ending);
            std::fs::rename(&old, &new)
                .with_context(|| format!("{} could not be set aside", old.display()))?;
            aside.push(new);
        }
    }
    files::sync_folder_of(path)?;
    Ok(aside)
}
