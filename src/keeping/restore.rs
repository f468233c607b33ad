//! Putting a backup in the place of the database: the backup is checked first, the old file is set aside with its
//! log and never removed, and at no moment does half a file bear the database's name. What the old file held and the backup does not is
//! noted in the copy before it is put in place.

use super::backups::stamp;
use super::compare::held_in;
use super::look_over::{drop_scratch, look_over};
use super::opening::{NEIGHBOURS, claim};
use super::seals::SET_ASIDE;
use crate::actions::Ids;
use crate::actions::restores::{self, BackByName, NewRestore, NotedRestore};
use crate::facts::restored_words::{MissingWords, gap_says, keys_say};
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
    let mut name = files::beside(path, &format!("{SET_ASIDE}{}", stamp(at)));
    for n in 2.. {
        let taken = [""]
            .iter()
            .chain(&NEIGHBOURS)
            .any(|e| files::beside(&name, e).exists());
        if !taken {
            break;
        }
        name = files::beside(path, &format!("{SET_ASIDE}{}-{n}", stamp(at)));
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
        let missing = &noted.missing;
        let told = MissingWords::new(&missing.gaps, &missing.lost);
        let utc = Zone::parse("UTC").ok();
        let when = |at: Option<UtcSecond>| match at.zip(utc.as_ref()) {
            Some((at, utc)) => format!("{} UTC", utc.show(at)),
            None => "never".to_owned(),
        };
        let until = when(noted.written_until);
        let mut says = Vec::new();
        if !missing.unread.is_empty() {
            // A file that was read may itself have been put in the place of one that was not.
            let which = match noted.lost_until {
                Some(_) => "an earlier file",
                None => "the old file",
            };
            says.push(format!(
                "What {which} held is not known ({}): whatever was written after {until} may be missing. Look for it on paper.",
                missing.unread
            ));
        }
        if told.nothing() {
            if missing.unread.is_empty() {
                says.push("Nothing is missing that the old file held.".to_owned());
            }
        } else {
            says.push(format!(
                "The backup holds what was written until {until}, the old file what was written until {}. Of that, this is missing now:",
                when(noted.lost_until)
            ));
            let numbered = told.numbered.iter().map(gap_says);
            let all = told.grave.iter().cloned().chain(numbered);
            says.extend(all.chain(told.others.iter().cloned()).map(indented));
        }
        if !told.go_on.is_empty() {
            says.push(if missing.unread.is_empty() {
                "So that no number is given twice, these go on as follows:".to_owned()
            } else {
                "So that no number is given twice, these go on as follows. If paper says otherwise, restore again with --last-ticket, \
                 --last-receipt, --last-payment, --last-member or --last-lot:"
                    .to_owned()
            });
            says.extend(told.go_on.iter().map(gap_says).map(indented));
        }
        if missing.no_season {
            says.push(
                "--last-ticket was not taken: no season is known that its numbers could be of."
                    .to_owned(),
            );
        }
        says.extend(keys_say(&missing.unread, &missing.lost).map(str::to_owned));
        says.extend(noted.back.iter().map(came_back_says));
        if says.len() > 1 || !told.nothing() {
            says.push("The stewards read all this on home until they have seen to it.".to_owned());
        }
        says
    }
}

fn indented(line: impl AsRef<str>) -> String {
    format!("    {}", line.as_ref())
}

/// The sentence on a member who had been forgotten and came back with the backup.
fn came_back_says(back: &BackByName) -> String {
    let number = back.number;
    if !back.open.is_empty() {
        return format!(
            "Member {number} had been forgotten since the backup and stands in the book by name again: a steward is to forget the member \
             again, from the card. In the way is: {}",
            back.open.join(" ")
        );
    }
    let partly = if back.partly {
        " But not all texts that gave way then did so now: a steward is to look for a nickname or the like, and to give it on the \
         member’s card, under “Take further words out”."
    } else {
        ""
    };
    if back.words_alone {
        return format!(
            "Words that had been taken out for member {number} since the backup were taken out again just now.{partly}"
        );
    }
    format!(
        "Member {number} had been forgotten since the backup, and was forgotten again just now.{partly}"
    )
}
