//! Files and folders as the database needs them: its neighbours, who may read it, what is on the disk for
//! good, and whether the file at a path is still the one that was opened. Knows nothing of what is in them.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Read, Seek, Write};
use std::path::{Path, PathBuf};

/// The neighbours that `SQLite` keeps beside a database: its log, and the log's index.
pub const LOG: &str = "-wal";
/// See [`LOG`].
pub const INDEX: &str = "-shm";
/// The neighbour that says who serves a database: see [`Claim`].
pub const CLAIM: &str = "-lock";

/// A neighbour of a file: the same name with an ending.
pub fn beside(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}

/// The folder that a file lies in.
pub fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

/// Length of a file in bytes; 0 when there is none.
pub fn length(path: &Path) -> u64 {
    fs::metadata(path).map_or(0, |found| found.len())
}

/// Lets nobody but its owner read a file.
///
/// # Errors
/// It is not ours, or not there.
pub fn make_private(path: &Path) -> io::Result<()> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        fs::set_permissions(path, fs::Permissions::from_mode(0o600))?;
    }
    #[cfg(not(unix))]
    let _ = path;
    Ok(())
}

/// A new empty file that nobody but its owner may read; it must not be there yet.
///
/// # Errors
/// It is there, or cannot be made.
pub fn new_private(path: &Path) -> io::Result<File> {
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt;
        options.mode(0o600);
    }
    options.open(path)
}

/// Waits until a file's content is on the disk for good.
///
/// # Errors
/// The disk failed.
pub fn sync(path: &Path) -> io::Result<()> {
    OpenOptions::new().read(true).open(path)?.sync_all()
}

/// Waits until the names in a file's folder are on the disk for good.
///
/// # Errors
/// The disk failed.
pub fn sync_folder_of(path: &Path) -> io::Result<()> {
    if cfg!(unix) {
        sync(folder_of(path))?;
    }
    Ok(())
}

/// The first bytes of a file, at most `most`.
///
/// # Errors
/// It is not there, or cannot be read.
pub fn head(path: &Path, most: usize) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::with_capacity(most);
    let file = OpenOptions::new().read(true).open(path)?;
    file.take(u64::try_from(most).unwrap_or(u64::MAX))
        .read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// Which file lies at a path: another one put in its place is another, whatever is in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mark {
    path: PathBuf,
    file: Option<(u64, u64)>,
}

impl Mark {
    /// The file that lies at `path` at present.
    pub fn of(path: &Path) -> Self {
        Self {
            file: number(path),
            path: path.to_owned(),
        }
    }

    /// Whether that file is still the one that lies there.
    pub fn stands(&self) -> bool {
        number(&self.path) == self.file
    }
}

#[cfg(unix)]
fn number(path: &Path) -> Option<(u64, u64)> {
    use std::os::unix::fs::MetadataExt;
    fs::metadata(path)
        .ok()
        .map(|found| (found.dev(), found.ino()))
}

#[cfg(not(unix))]
fn number(path: &Path) -> Option<(u64, u64)> {
    path.exists().then_some((0, 0))
}

/// The claim of one program to one database: a lock on a file beside it, which ends with the program
/// however it ends. In the file stand the numbers that the database's head may bear while there is a log.
#[derive(Debug)]
pub struct Claim {
    file: File,
    numbers: Vec<u32>,
}

impl Claim {
    /// Claims the database at `path`; `None`: another program has it.
    ///
    /// # Errors
    /// The folder cannot be written.
    pub fn take(path: &Path) -> io::Result<Option<Self>> {
        let beside = beside(path, CLAIM);
        let mut options = OpenOptions::new();
        options.read(true).write(true).create(true).truncate(false);
        #[cfg(unix)]
        {
            use std::os::unix::fs::OpenOptionsExt;
            options.mode(0o600);
        }
        let mut file = options.open(beside)?;
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => return Ok(None),
            Err(TryLockError::Error(error)) => return Err(error),
        }
        let mut text = String::new();
        file.read_to_string(&mut text)?;
        let numbers = text.split_whitespace().filter_map(|n| n.parse().ok());
        Ok(Some(Self {
            numbers: numbers.collect(),
            file,
        }))
    }

    /// The numbers noted; none when nobody has served this database yet.
    pub fn numbers(&self) -> &[u32] {
        &self.numbers
    }

    /// Notes which numbers the database's head may bear from here on.
    ///
    /// # Errors
    /// The disk is full or failed.
    pub fn note(&mut self, numbers: &[u32]) -> io::Result<()> {
        let words: Vec<String> = numbers.iter().map(u32::to_string).collect();
        let text = format!("{}\n", words.join(" "));
        self.file.rewind()?;
        self.file.write_all(text.as_bytes())?;
        self.file
            .set_len(u64::try_from(text.len()).unwrap_or(u64::MAX))?;
        self.file.sync_all()?;
        numbers.clone_into(&mut self.numbers);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_file_is_claimed_once_and_the_claim_ends_with_whoever_made_it() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.db");
        let mut first = Claim::take(&path).unwrap().unwrap();
        assert!(first.numbers().is_empty());
        first.note(&[7, 4_000_000_000]).unwrap();
        assert!(Claim::take(&path).unwrap().is_none());
        drop(first);
        let mut second = Claim::take(&path).unwrap().unwrap();
        assert_eq!(second.numbers(), [7, 4_000_000_000]);
        second.note(&[1]).unwrap();
        drop(second);
        assert_eq!(Claim::take(&path).unwrap().unwrap().numbers(), [1]);
    }

    #[test]
    fn a_file_put_in_the_place_of_another_is_another() {
        let folder = tempfile::tempdir().unwrap();
        let (a, b) = (folder.path().join("a"), folder.path().join("b"));
        drop(new_private(&a).unwrap());
        drop(new_private(&b).unwrap());
        let mark = Mark::of(&a);
        assert!(mark.stands());
        fs::rename(&b, &a).unwrap();
        assert!(!mark.stands());
        fs::remove_file(&a).unwrap();
        assert!(!mark.stands());
    }
}
