//! What the program does for the safety of the books by itself, noted for the stewards.

use super::Done;
use crate::files;
use crate::store::upkeep::{self, Upkeep};
use crate::store::{Stored, Trouble, Writer};
use crate::units::UtcSecond;

/// Most characters kept of what came of something.
const WORDS_MOST: usize = 400;

/// A kind of upkeep.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum UpkeepKind {
    /// A copy of the database.
    Backup,
    /// A copy restored into a scratch file, and its books worked again.
    Trial,
    /// A look at every page of the file.
    Look,
    /// A task of the server that ended by itself and was started again.
    Task,
}

impl UpkeepKind {
    /// The word under which the database keeps it.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Backup => "backup",
            Self::Trial => "trial",
            Self::Look => "look",
            Self::Task => "task",
        }
    }
}

/// Notes how a piece of upkeep went: `Ok` holds what came of it, `Err` why it failed.
pub async fn note(
    writer: &Writer,
    at: UtcSecond,
    kind: UpkeepKind,
    went: Result<&str, &str>,
) -> Done<()> {
    write(writer, at, (kind, false), went).await
}

/// Notes that somebody made a backup by a command on the server; `to`: where it lies.
pub async fn note_by_hand(writer: &Writer, at: UtcSecond, to: &str) -> Done<()> {
    write(writer, at, (UpkeepKind::Backup, true), Ok(to)).await
}

async fn write(
    writer: &Writer,
    at: UtcSecond,
    (kind, by_hand): (UpkeepKind, bool),
    went: Result<&str, &str>,
) -> Done<()> {
    let mut tx = writer.begin().await?;
    tx.on_server(at);
    let words = went.unwrap_or_else(|why| why);
    let done = Upkeep {
        kind: kind.as_str().to_owned(),
        good: went.is_ok(),
        at,
        words: words.chars().take(WORDS_MOST).collect(),
        by_hand,
    };
    upkeep::put(&mut tx, &done).await?;
    Ok(tx.commit().await?)
}

/// A small write, to learn whether the disk takes anything: what stood in the way is over when it went well.
pub async fn pulse(writer: &Writer, at: UtcSecond) -> Stored<()> {
    let lookout = writer.lookout().clone();
    let written = async {
        if lookout.trouble().is_some() {
            // The pulse itself may find room where no form does.
            files::has_room(lookout.path()).map_err(|error| Trouble::of_file(&error))?;
        }
        let mut tx = writer.begin().await?;
        let done = Upkeep {
            kind: "pulse".to_owned(),
            good: true,
            at,
            words: String::new(),
            by_hand: false,
        };
        upkeep::put(&mut tx, &done).await?;
        tx.commit().await
    };
    match written.await {
        Ok(()) => {
            lookout.wrote();
            Ok(())
        }
        Err(error) => {
            if let Some(trouble) = error.trouble() {
                lookout.notice(trouble);
            }
            Err(error)
        }
    }
}

/// Whether something can be stored: takes the writer's turn for a moment; and where something stood in the way
/// before, writes.
pub async fn can_store(writer: &Writer, at: UtcSecond) -> Stored<()> {
    writer.lookout().still_there()?;
    if writer.lookout().trouble().is_some() {
        return pulse(writer, at).await;
    }
    // Dropped without a commit: nothing is written.
    writer.begin().await.map(drop)
}
