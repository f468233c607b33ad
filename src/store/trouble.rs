//! What keeps the database from being written or read though the program is sound: told apart by the codes
//! of `SQLite` (<https://www.sqlite.org/rescode.html>), each with the words for whoever meets it.

use std::io::ErrorKind;

/// The troubles that the database file or its disk can have.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("{}", self.what())]
pub enum Trouble {
    /// No room is left on the disk.
    Full,
    /// The file or its folder may only be read.
    ReadOnly,
    /// The disk refuses to write or read.
    Disk,
    /// A file could not be opened: no file handles are left, or a permission was taken away.
    Shut,
    /// The file does not hold what was written to it.
    Damaged,
    /// The file was removed, or another one put in its place, while the program ran.
    Gone,
    /// Another program held the file for too long.
    Busy,
}

impl Trouble {
    /// A short clause without a full stop: "the disk is full".
    pub const fn what(self) -> &'static str {
        match self {
            Self::Full => "the disk is full",
            Self::ReadOnly => "the database may only be read, not written",
            Self::Disk => "the disk refuses to write",
            Self::Shut => "the database's files cannot be opened",
            Self::Damaged => "the database file is damaged",
            Self::Gone => "the database file was removed or replaced while the program ran",
            Self::Busy => "the database is held by another program",
        }
    }

    /// A sentence that tells whoever looks after the server what to do.
    pub const fn remedy(self) -> &'static str {
        match self {
            Self::Full => "Make room on the disk; no restart is needed.",
            Self::ReadOnly => {
                "Let the program write the file and its folder again; no restart is needed."
            }
            Self::Disk => "Look at the disk and the system's log; restart once it is sound.",
            Self::Shut => "Look at the permissions of the folder and the limit of open files.",
            Self::Damaged => {
                "Stop the program and restore the last backup: canewright restore BACKUP --database FILE."
            }
            Self::Gone => {
                "Stop the program, and put the right file in its place or restore the last backup: \
                 canewright restore BACKUP --database FILE."
            }
            Self::Busy => "End the other program that works on the file.",
        }
    }

    /// The trouble that an error of the database stands for, if it is one of its file or disk.
    pub fn of(error: &sqlx::Error) -> Option<Self> {
        match error {
            sqlx::Error::Database(error) => Self::of_code(error.code()?.parse().ok()?),
            sqlx::Error::PoolTimedOut => Some(Self::Busy),
            _ => None,
        }
    }

    /// The trouble that an error of a file beside the database stands for.
    pub fn of_file(error: &std::io::Error) -> Self {
        match error.kind() {
            ErrorKind::StorageFull | ErrorKind::QuotaExceeded => Self::Full,
            ErrorKind::ReadOnlyFilesystem | ErrorKind::PermissionDenied => Self::ReadOnly,
            _ => Self::Disk,
        }
    }

    /// The trouble that an extended result code of `SQLite` stands for, if any.
    fn of_code(code: i32) -> Option<Self> {
        // SQLITE_READONLY_DBMOVED, SQLITE_IOERR_SHMSIZE: the index of the log could not be made longer.
        match code {
            1032 => return Some(Self::Gone),
            4874 => return Some(Self::Full),
            _ => {}
        }
        match code & 0xff {
            5 | 6 => Some(Self::Busy),
            8 => Some(Self::ReadOnly),
            10 => Some(Self::Disk),
            11 | 26 => Some(Self::Damaged),
            13 => Some(Self::Full),
            14 => Some(Self::Shut),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_of_sqlite_are_told_apart() {
        // <https://www.sqlite.org/rescode.html>: SQLITE_FULL, SQLITE_IOERR_WRITE, SQLITE_READONLY_DIRECTORY,
        // SQLITE_READONLY_DBMOVED, SQLITE_CORRUPT_INDEX, SQLITE_NOTADB, SQLITE_BUSY_SNAPSHOT,
        // SQLITE_CANTOPEN, SQLITE_CONSTRAINT_CHECK.
        for (code, trouble) in [
            (13, Some(Trouble::Full)),
            (778, Some(Trouble::Disk)),
            (1544, Some(Trouble::ReadOnly)),
            (1032, Some(Trouble::Gone)),
            (779, Some(Trouble::Damaged)),
            (26, Some(Trouble::Damaged)),
            (517, Some(Trouble::Busy)),
            (14, Some(Trouble::Shut)),
            (275, None),
        ] {
            assert_eq!(Trouble::of_code(code), trouble, "{code}");
        }
    }
}
