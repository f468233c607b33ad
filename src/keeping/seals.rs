//! The seal of the newest backup, against which a file is held: rows cut off the end of a file leave no gap in it, but the backup
//! knows of them.

use super::backups;
use crate::facts::shares::verify::Verified;
use crate::files::{self, CLAIM};
use crate::store::{self, Noted};
use anyhow::{Context, ensure};
use std::path::{Path, PathBuf};

/// The seal of the newest backup that is to be compared with a file, or why none is.
#[derive(Debug)]
pub enum Newest {
    /// Where that backup lies, with the number of its last record and how that one's digest is.
    Seal(PathBuf, (i64, String)),
    /// No backup was found that is to be compared.
    None,
    /// The newest one was made before another one was put in the place of the file: it may hold what the file does not.
    BeforeRestore(PathBuf),
    /// The newest one cannot be read.
    Unread(PathBuf, String),
}

/// The seal of the newest backup of the database at `path`: in the folder that its backups go to, or where the file itself notes
/// that the last one was put. The folder is asked of a file alone that is or was served from where it lies: of a backup, or of a file set
/// aside, the newest backup of the folder holds more.
///
/// # Errors
/// The file cannot be read.
pub async fn newest_seal(path: &Path, folder: Option<&Path>) -> anyhow::Result<Newest> {
    let noted: Noted = store::noted_in(path).await?;
    let served = files::beside(path, CLAIM).exists();
    let of_folder = folder
        .filter(|_| served)
        .and_then(|folder| backups::kept(folder).ok())
        .and_then(|all| all.into_iter().next_back());
    let newest = match of_folder {
        Some(kept) if noted.restored.is_some_and(|restored| kept.at < restored) => {
            return Ok(Newest::BeforeRestore(kept.path));
        }
        Some(kept) => kept.path,
        None => match noted.backup.map(PathBuf::from) {
            Some(path) if path.is_file() => path,
            _ => return Ok(Newest::None),
        },
    };
    if std::fs::canonicalize(&newest).ok() == std::fs::canonicalize(path).ok() {
        return Ok(Newest::None);
    }
    Ok(match store::seal_of(&newest).await {
        Ok(Some(seal)) => Newest::Seal(newest, seal),
        Ok(None) => Newest::None,
        Err(error) => Newest::Unread(newest, error.to_string()),
    })
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
                        "The backup {backup} holds records up to {number}, this file up to {last}: records were cut off its end, or an \
                         older file was put in its place by hand."
                    )
                } else {
                    format!(
                        "Record {number} is another one in the backup {backup}: records of this file, or of that one, were written anew."
                    )
                });
                None
            }
            Self::None => None,
            Self::BeforeRestore(backup) => Some(format!(
                "The newest backup, {}, was made before another one was put in the place of this file, so its seal was not compared.",
                backup.display()
            )),
            Self::Unread(backup, why) => Some(format!(
                "The newest backup, {}, cannot be read ({why}), so its seal was not compared.",
                backup.display()
            )),
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
