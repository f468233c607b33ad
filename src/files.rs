//! Files and folders as the database needs them: its neighbours, who may read it, what is on the disk for
//! good, and whether the file at a path is still the one that was opened. Knows nothing of what is in them.

use sha2::{Digest, Sha256};
use std::fmt::Write as _;
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

/// The reasons, known before anything is tried, why a database cannot be opened.
#[derive(Debug, thiserror::Error)]
pub enum NotThere {
    /// There is no such file, or it is empty.
    #[error("There is no database {0}.")]
    None(String),
    /// Nobody can say whether there is one: its folder may not be looked into.
    #[error(
        "Nobody can say whether {0} is there: {1}. Please run Canewright as the user whom the file and its folder belong to."
    )]
    Shut(String, io::Error),
}

/// Whether a database is there.
///
/// # Errors
/// It is not, or nobody can say.
pub fn there(path: &Path) -> Result<(), NotThere> {
    let name = path.display().to_string();
    match fs::metadata(path) {
        Ok(found) if found.len() > 0 => Ok(()),
        Err(error) if error.kind() == io::ErrorKind::PermissionDenied => {
            Err(NotThere::Shut(name, error))
        }
        _ => Err(NotThere::None(name)),
    }
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

/// Whether nobody but its owner may read a file; where there are no such permissions, it is taken to be so.
///
/// # Errors
/// It is not there, or may not be looked at.
pub fn private(path: &Path) -> io::Result<bool> {
    let found = fs::metadata(path)?;
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // The lowest six bits are the rights of group and others.
        Ok(found.permissions().mode().trailing_zeros() >= 6)
    }
    #[cfg(not(unix))]
    {
        drop(found);
        Ok(true)
    }
}

/// Bytes that are free on the disk of a file, for whoever is not root.
///
/// # Errors
/// The system does not say.
pub fn free(path: &Path) -> io::Result<u64> {
    #[cfg(unix)]
    {
        let found = rustix::fs::statvfs(folder_of(path))?;
        Ok(found.f_bavail.saturating_mul(found.f_frsize))
    }
    #[cfg(not(unix))]
    {
        let _ = path;
        Err(io::ErrorKind::Unsupported.into())
    }
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

/// Whether the disk of a file takes a little more than a form needs: writes so much beside it, and removes it again.
///
/// # Errors
/// It does not.
pub fn has_room(path: &Path) -> io::Result<()> {
    let scratch = beside(path, "-room");
    // Removes a scratch file that a stop in between left over.
    let _ = fs::remove_file(&scratch);
    let written = new_private(&scratch).and_then(|mut file| {
        file.write_all(&vec![0_u8; ROOM])?;
        file.sync_all()
    });
    let removed = fs::remove_file(&scratch);
    written.and(removed)
}

/// A little more than a form needs, bytes.
const ROOM: usize = 256 * 1024;

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

/// The file that lies at a path: another one put in its place is told apart, whatever is in it.
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

    /// Path of the file.
    pub fn path(&self) -> &Path {
        &self.path
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
    seal: Option<String>,
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
        let words = || text.split_whitespace();
        let seal = words().find_map(|word| word.strip_prefix(SEAL));
        Ok(Some(Self {
            numbers: words().filter_map(|n| n.parse().ok()).collect(),
            seal: seal.map(str::to_owned),
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
        self.write(numbers, None)
    }

    /// The digest of the file when it was last closed in order and nobody has opened it since.
    pub fn seal(&self) -> Option<&str> {
        self.seal.as_deref()
    }

    /// Notes the digest of the file, which is closed in order.
    ///
    /// # Errors
    /// The disk is full or failed.
    pub fn put_seal(&mut self, digest: &str) -> io::Result<()> {
        let numbers = self.numbers.clone();
        self.write(&numbers, Some(digest))
    }

    fn write(&mut self, numbers: &[u32], seal: Option<&str>) -> io::Result<()> {
        let mut words: Vec<String> = numbers.iter().map(u32::to_string).collect();
        words.extend(seal.map(|digest| format!("{SEAL}{digest}")));
        let text = format!("{}\n", words.join(" "));
        self.file.rewind()?;
        self.file.write_all(text.as_bytes())?;
        self.file
            .set_len(u64::try_from(text.len()).unwrap_or(u64::MAX))?;
        self.file.sync_all()?;
        numbers.clone_into(&mut self.numbers);
        self.seal = seal.map(str::to_owned);
        Ok(())
    }
}

/// What goes before a digest in a claim.
const SEAL: &str = "sha256:";

/// SHA-256 of a file's content, in hex.
///
/// # Errors
/// It cannot be read.
pub fn digest(path: &Path) -> io::Result<String> {
    let mut file = OpenOptions::new().read(true).open(path)?;
    let (mut sum, mut part) = (Sha256::new(), vec![0_u8; 1 << 16]);
    loop {
        let read = file.read(&mut part)?;
        if read == 0 {
            break;
        }
        sum.update(part.get(..read).unwrap_or_default());
    }
    Ok(sum.finalize().iter().fold(String::new(), |mut text, byte| {
        // Writing into a string does not fail.
        let _ = write!(text, "{byte:02x}");
        text
    }))
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
        second.put_seal("ab12").unwrap();
        drop(second);
        let mut third = Claim::take(&path).unwrap().unwrap();
        assert_eq!((third.numbers(), third.seal()), (&[1][..], Some("ab12")));
        third.note(&[2]).unwrap();
        drop(third);
        assert_eq!(Claim::take(&path).unwrap().unwrap().seal(), None);
    }

    #[test]
    fn a_digest_is_that_of_the_standard() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("abc");
        new_private(&path).unwrap().write_all(b"abc").unwrap();
        // FIPS 180-2, appendix B.1.
        let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(digest(&path).unwrap(), abc);
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
