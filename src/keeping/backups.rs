//! Backups in a folder, named by their date; the oldest go when there are more than are to be kept.

use super::opening::{OpenedDatabase, open_beside, seal};
use crate::actions::upkeep;
use crate::files;
use crate::store::{self, StoreError};
use crate::units::{MinuteOfDay, PressDate, UtcSecond, Zone};
use anyhow::{Context, ensure};
use std::path::{Path, PathBuf};

/// First part of every backup's name.
const BEGINS: &str = "canewright-";
/// Last part of every backup's name.
const ENDS: &str = ".db";

/// An instant as it stands in names of files, in UTC: `2026-09-19T130012Z`. In order of time they are in order
/// of the alphabet.
pub fn stamp(at: UtcSecond) -> String {
    let Ok(utc) = Zone::parse("UTC") else {
        return at.get().to_string();
    };
    let (date, minute) = utc.local(at);
    let (minute, second) = (minute.get(), at.get().rem_euclid(60));
    format!("{date}T{:02}{:02}{second:02}Z", minute / 60, minute % 60)
}

/// The instant of a stamp.
fn read_stamp(text: &str) -> Option<UtcSecond> {
    let (date, time) = text.strip_suffix('Z')?.split_once('T')?;
    let (date, utc) = (PressDate::parse(date).ok()?, Zone::parse("UTC").ok()?);
    let two = |from: usize| time.get(from..from + 2)?.parse::<i64>().ok();
    let (hour, minute, second) = (two(0)?, two(2)?, two(4)?);
    if time.len() != 6 || hour > 23 || minute > 59 || second > 59 {
        return None;
    }
    let minute = MinuteOfDay::new(hour * 60 + minute).ok()?;
    let at = utc.instant(date, minute).ok()?;
    Some(at.plus(second))
}

/// A backup in a folder.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Kept {
    /// When it was begun.
    pub at: UtcSecond,
    /// Where it lies.
    pub path: PathBuf,
}

/// The backups in a folder, oldest first: only files named as this program names them.
///
/// # Errors
/// The folder cannot be read.
pub fn kept(folder: &Path) -> anyhow::Result<Vec<Kept>> {
    let cannot = || format!("the folder of backups {} cannot be read", folder.display());
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).with_context(cannot)? {
        let path = entry.with_context(cannot)?.path();
        let name = path.file_name().and_then(|name| name.to_str());
        let at = name
            .and_then(|name| name.strip_prefix(BEGINS)?.strip_suffix(ENDS))
            .and_then(read_stamp);
        if let Some(at) = at {
            found.push(Kept { at, path });
        }
    }
    found.sort();
    Ok(found)
}

/// When the newest backup in a folder was begun; `None`: there is none.
///
/// # Errors
/// The folder cannot be read.
pub fn newest(folder: &Path) -> anyhow::Result<Option<UtcSecond>> {
    Ok(kept(folder)?.last().map(|kept| kept.at))
}

/// Makes a backup of `database` in `folder`, named by `at`, and removes the oldest of those that are more than
/// `keep`; gives where it lies. Files of other names are left alone.
///
/// # Errors
/// The folder is missing, the disk is full, or the copy does not pass its checks: then no old one was removed.
pub async fn make(
    database: &Path,
    folder: &Path,
    keep: usize,
    at: UtcSecond,
) -> anyhow::Result<PathBuf> {
    ensure!(keep >= 1, "At least one backup must be kept.");
    ensure!(
        folder.is_dir(),
        "There is no folder {}. Please make it first.",
        folder.display()
    );
    let to = folder.join(format!("{BEGINS}{}{ENDS}", stamp(at)));
    store::backup(database, &to).await?;
    let all = kept(folder)?;
    for old in all.iter().take(all.len().saturating_sub(keep)) {
        // The clock may have gone back: what was made just now stays.
        if old.path != to {
            std::fs::remove_file(&old.path)
                .with_context(|| format!("{} could not be removed", old.path.display()))?;
        }
    }
    Ok(to)
}

/// Notes in `database` that a backup was made of it by hand, which lies at `to`. Not of a file that was never served from where it
/// lies, such as a backup, nor of one that an older program serves: these stay as they are.
///
/// # Errors
/// It could not be noted; the backup is sound all the same.
pub async fn note_by_hand(database: &Path, to: &Path, at: UtcSecond) -> anyhow::Result<()> {
    let served = files::beside(database, files::CLAIM).exists();
    match store::open_to_read(database).await {
        Ok(reader) => {
            reader.close().await;
            if !served {
                return Ok(());
            }
        }
        Err(StoreError::Older(_)) => return Ok(()),
        Err(error) => return Err(error.into()),
    }
    let OpenedDatabase {
        writer,
        reader,
        claim,
    } = open_beside(database).await?;
    let to = std::fs::canonicalize(to).unwrap_or_else(|_| to.to_owned());
    let noted = upkeep::note_by_hand(&writer, at, &to.display().to_string()).await;
    reader.close().await;
    writer.close().await;
    if let Some(mut claim) = claim {
        seal(database, &mut claim)?;
    }
    Ok(noted?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_holds_its_instant_to_the_second() {
        // 1 789 822 812 s = 2026-09-19 13:00:12 UTC (`date -u -d @1789822812`).
        let at = UtcSecond::new(1_789_822_812);
        assert_eq!(stamp(at), "2026-09-19T130012Z");
        assert_eq!(read_stamp("2026-09-19T130012Z"), Some(at));
        for not_one in [
            "",
            "2026-09-19",
            "2026-09-19T250012Z",
            "2026-09-19T13001Z",
            "notes",
        ] {
            assert_eq!(read_stamp(not_one), None, "{not_one}");
        }
    }
}
