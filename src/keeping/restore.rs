//! Putting a backup in the place of the database: the backup is checked first, the old file is set aside with its
//! log and never removed, and at no moment does half a file bear the database's name. What the old file held and the backup does not is
//! noted in the copy before it is put in place.

use super::backups::stamp;
use super::compare::held_in;
use super::look_over::{drop_scratch, look_over};
use super::opening::{NEIGHBOURS, claim};
use crate::actions::Ids;
use crate::actions::restores::{self, NewRestore, NotedRestore};
use crate::facts::restored_words::gap_says;
use crate::facts::restores::KnownNumbers;
use crate::facts::shares::verify::Verified;
use crate::files;
use crate::store;
use crate::units::{UtcSecond, Zone};
use anyhow::{Context, ensure};
use std::path::{Path, PathBuf};

/// What a restore did.
#[derive(Debug)]
pub struct Restored {
    /// Where the old files lie; empty when there were none.
    pub aside: Vec<PathBuf>,
    /// The books of the restored file, worked again.
    pub books: Verified,
    /// What the old file held and the backup does not, as it is noted in the restored book.
    pub noted: NotedRestore,
}

/// Puts a copy of `backup` in the place of the database at `path`. `known`: the highest numbers that somebody knows to have been given.
///
/// # Errors
/// The backup is missing, damaged, not ours or newer; a program serves the database; the disk is full or failed.
/// Until the last step nothing was changed; the sentence says where the old file lies if that step failed.
pub async fn restore(
    backup: &Path,
    path: &Path,
    known: KnownNumbers,
    at: UtcSecond,
) -> anyhow::Result<Restored> {
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
    let name = backup.file_name().unwrap_or(backup.as_os_str());
    let new = NewRestore {
        backup: name.to_string_lossy().into_owned(),
        old: held_in(path, &claim, folder).await,
        known,
    };
    let (books, noted) = match prepare(backup, &part, folder, (new, at)).await {
        Ok(prepared) => prepared,
        Err(error) => {
            // The unfinished copy is of no use to anybody.
            drop_scratch(&part);
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
    Ok(Restored {
        aside,
        books,
        noted,
    })
}

/// A checked copy of the backup with the note of the restore in it, on the disk for good, under a name of its own.
async fn prepare(
    backup: &Path,
    part: &Path,
    folder: &Path,
    (new, at): (NewRestore, UtcSecond),
) -> anyhow::Result<(Verified, NotedRestore)> {
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
    let mut books = look_over(backup, folder).await?;
    if part.exists() {
        std::fs::remove_file(part)?;
    }
    drop(files::new_private(part).context("the folder cannot be written, or the disk is full")?);
    store::copy_into(backup, part)
        .await
        .context("the backup could not be copied; nothing was changed")?;
    let noted = note(part, new, at)
        .await
        .context("the copy of the backup could not be made ready; nothing was changed")?;
    sound(part.to_owned(), "copy").await?;
    // Books that differ do so in the backup already; the seal is that of the file as it is now.
    let now = look_over(part, folder).await?;
    (books.records, books.chain) = (now.records, now.chain);
    Ok((books, noted))
}

/// Writes the note of the restore into the copy.
async fn note(part: &Path, new: NewRestore, at: UtcSecond) -> anyhow::Result<NotedRestore> {
    let (writer, reader) = store::open(part).await?;
    let noted = restores::note((&writer, &reader), (&Ids::Chance, at), new).await;
    reader.close().await;
    writer.close().await;
    let noted = noted?;
    store::without_log(part).await?;
    Ok(noted)
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

impl Restored {
    /// What whoever restored is to know of it, a sentence each.
    pub fn says(&self) -> Vec<String> {
        let noted = &self.noted;
        let utc = Zone::parse("UTC").ok();
        let when = |at: Option<UtcSecond>| match at.zip(utc.as_ref()) {
            Some((at, utc)) => format!("{} UTC", utc.show(at)),
            None => "never".to_owned(),
        };
        let until = when(noted.written_until);
        let mut says = vec![match noted.unread.as_str() {
            "" if noted.gaps.is_empty() => "Nothing is missing that the old file held.".to_owned(),
            "" => format!(
                "The backup holds what was written until {until}, the old file what was written until {}. Of that, this is missing now:",
                when(noted.lost_until)
            ),
            why => format!(
                "What the old file held is not known ({why}): whatever was written after {until} may be missing. So that no number is \
                 given twice, they go on as follows. If paper says otherwise, restore again with --last-ticket, --last-receipt, \
                 --last-payment, --last-member or --last-lot:"
            ),
        }];
        says.extend(
            noted
                .gaps
                .iter()
                .map(|gap| format!("    {}", gap_says(gap))),
        );
        for back in &noted.back {
            let number = back.number;
            says.push(if back.open.is_empty() {
                format!(
                    "Member {number} had been forgotten since the backup, and was forgotten again just now."
                )
            } else {
                format!(
                    "Member {number} had been forgotten since the backup and stands in the book by name again: a steward is to forget the \
                     member again, from the card. In the way is: {}",
                    back.open.join(" ")
                )
            });
        }
        if !noted.gaps.is_empty() || !noted.back.is_empty() {
            says.push("The stewards read all this on home until they have seen to it.".to_owned());
        }
        says
    }
}
