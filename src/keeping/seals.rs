//! The seal of the newest backup, against which a file is held: rows cut off the end of a file leave no gap in it, but the backup
//! knows of them.

use super::backups;
use crate::facts::shares::verify::Verified;
use crate::store::{self, Noted};
use anyhow::{Context, ensure};
use std::path::{Path, PathBuf};

/// What stands in the name of a file that a restore set aside.
pub(super) const SET_ASIDE: &str = ".before-";

/// The seal of the newest backup that is to be compared with a file, or why none is.
#[derive(Debug)]
pub enum Newest {
    /// Where that backup lies, with the number of its last record and how that one's digest is.
    Seal(PathBuf, (i64, String)),
    /// No backup is known of.
    None,
    /// Why none is compared, a sentence.
    NotCompared(String),
}

/// The seal of the newest backup of the database at `path`: in the folder that its backups go to, or where the file itself notes
/// that the last one was put. Of a file that itself lies in the folder, or was set aside, the newest backup of the folder may hold more.
///
/// # Errors
/// The file cannot be read.
pub async fn newest_seal(path: &Path, folder: Option<&Path>) -> anyhow::Result<Newest> {
    let noted: Noted = store::noted_in(path).await?;
    let newest = match folder {
        Some(folder) => match of_folder(path, folder, &noted) {
            Ok(newest) => newest,
            Err(why) => return Ok(Newest::NotCompared(why)),
        },
        None => match noted.backup.map(PathBuf::from) {
            Some(path) if path.is_file() => path,
            _ => return Ok(Newest::None),
        },
    };
    if same_place(&newest, path) {
        return Ok(Newest::NotCompared(
            "This file is itself the newest backup, so its seal was not compared with one."
                .to_owned(),
        ));
    }
    let why = match store::seal_of(&newest).await {
        Ok(Some(seal)) => return Ok(Newest::Seal(newest, seal)),
        Ok(None) => "it holds no record".to_owned(),
        Err(error) => format!("it cannot be read: {error}"),
    };
    Ok(Newest::NotCompared(format!(
        "The seal of the newest backup, {}, was not compared: {why}.",
        newest.display()
    )))
}

fn same_place(a: &Path, b: &Path) -> bool {
    let place = |path: &Path| std::fs::canonicalize(path).ok();
    place(a).is_some() && place(a) == place(b)
}

/// The newest backup of a folder, where it is to be compared with the file at `path`; or why it is not, a sentence.
fn of_folder(path: &Path, folder: &Path, noted: &Noted) -> Result<PathBuf, String> {
    let folder_says = folder.display();
    let kept = backups::kept(folder).map_err(|error| {
        format!("The folder {folder_says} cannot be read ({error}), so no backup was compared.")
    })?;
    let own = kept.iter().any(|kept| same_place(&kept.path, path));
    let Some(kept) = kept.into_iter().next_back() else {
        let noted = noted.backup.as_ref().map(PathBuf::from);
        return noted.filter(|path| path.is_file()).ok_or_else(|| {
            format!("No backup that the program named lies in {folder_says}, so none was compared.")
        });
    };
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    if own && !same_place(&kept.path, path) {
        return Err(format!(
            "This file is itself a backup, and the newest one of its folder, {}, may hold more: its seal was not compared.",
            kept.path.display()
        ));
    }
    if name.contains(SET_ASIDE) {
        return Err(format!(
            "This file was set aside when a backup was put in its place, so the seal of the newest one, {}, was not compared.",
            kept.path.display()
        ));
    }
    if noted.restored.is_some_and(|restored| kept.at < restored) {
        return Err(format!(
            "The newest backup, {}, was made before another one was put in the place of this file, so its seal was not compared.",
            kept.path.display()
        ));
    }
    Ok(kept.path)
}

impl Newest {
    /// Holds what was found in a file against it; gives a sentence on what came of it, if there is something to say.
    pub fn compare(self, found: &mut Verified) -> Option<String> {
        match self {
            Self::Seal(backup, (number, digest)) => {
                let backup = backup.display();
                let own = found.chain.iter().find(|(n, _)| *n == number);
                if own.is_some_and(|(_, own)| *own == digest) {
                    return Some(format!(
                        "All {number} records of the backup {backup} are in this file as well."
                    ));
                }
                let last = found.chain.last().map_or(0, |(n, _)| *n);
                found.differs.push(if last < number {
                    format!(
                        "The backup {backup} holds records up to {number}, this file up to {last}: records were cut off its end, or it is \
                         an older file."
                    )
                } else {
                    format!(
                        "Record {number} is another one in the backup {backup}: records of this file, or of that one, were written anew."
                    )
                });
                None
            }
            Self::None => None,
            Self::NotCompared(why) => Some(why),
        }
    }
}

/// A seal as it was written down: a number, a colon, and how the digest of that record began.
///
/// # Errors
/// It is none.
pub fn written_seal(text: &str) -> anyhow::Result<(i64, &str)> {
    let wrong = "a seal is a number, a colon and at least eight digits or letters a to f, as this command says it";
    let (number, digest) = text.trim().split_once(':').context(wrong)?;
    let number = number.parse().context(wrong)?;
    let hex = digest.chars().all(|c| c.is_ascii_hexdigit());
    ensure!(digest.len() >= 8 && hex, wrong);
    Ok((number, digest))
}
