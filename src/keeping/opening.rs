//! Opening the database to serve it: the right file, for this program alone, with its own log or none.
//! What is not as it should be is said in words, and nothing is touched.

use crate::actions::Ids;
use crate::files::{self, CLAIM, Claim, INDEX, LOG};
use crate::store::{self, Reader, Writer};
use crate::units::UtcSecond;
use anyhow::{Context, bail, ensure};
use std::io::ErrorKind;
use std::path::Path;

/// A database opened to be served.
#[derive(Debug)]
pub struct Opened {
    /// The one writer.
    pub writer: Writer,
    /// Readers for pages.
    pub reader: Reader,
    /// Whether it was made just then.
    pub new: bool,
    /// Keeps other programs from serving it, until this is dropped.
    pub claim: Claim,
}

/// Opens the database at `path` for this program alone, and brings its schema up to date. A missing one is made
/// only if `may_make`; and not where traces of an earlier one lie.
///
/// # Errors
/// The file is missing, not ours, damaged, newer, served by another program, or beside it lies the log of another
/// database; the folder is missing or cannot be written.
pub async fn open(path: &Path, may_make: bool, at: UtcSecond) -> anyhow::Result<Opened> {
    ensure!(
        !path.is_dir(),
        "{} is a folder. Please name a file in it, such as {}.",
        path.display(),
        path.join("canewright.db").display()
    );
    let folder = files::folder_of(path);
    ensure!(
        folder.is_dir(),
        "There is no folder {}. Please make it first.",
        folder.display()
    );
    let new = match files::there(path) {
        Ok(()) => false,
        Err(files::NotThere::None(_)) => true,
        Err(shut) => bail!(shut),
    };
    if new {
        let before = files::beside(path, CLAIM).exists();
        may_be_made(path, may_make, before)?;
    }
    let mut claim = claim(path)?;
    if new {
        make_empty(path)?;
    } else {
        ours(path)?;
        log_belongs(path, &claim).await?;
        as_it_was_closed(path, &claim)?;
        files::make_private(path).with_context(|| {
            format!(
                "{} belongs to another user of this machine. Please run Canewright as that user.",
                path.display()
            )
        })?;
    }
    // From here on nobody else in this program may open the file: whoever closes it again gives up the locks that
    // SQLite holds on it, and another program would take it for unused (sqlite.org/howtocorrupt.html, section 2.2).
    let old = store::number_of(path);
    let (writer, reader) = match store::open(path).await {
        Ok(opened) => opened,
        Err(error) => bail!("{}", said(&error, path)),
    };
    let chance = Ids::Chance.next(at).as_u128();
    number_anew(path, &writer, &mut claim, old, chance)
        .await
        .map_err(|error| anyhow::anyhow!("{error:#}"))?;
    // The writer's lookout marked the file before; numbering wrote into the same one.
    Ok(Opened {
        writer,
        reader,
        new,
        claim,
    })
}

/// A database opened for a moment, whether or not a server has it open.
#[derive(Debug)]
pub struct OpenedDatabase {
    /// The one writer of this program.
    pub writer: Writer,
    /// The read-only connections.
    pub reader: Reader,
    /// The claim, when no server has it.
    pub claim: Option<Claim>,
}

/// Opens the database at `path` for a moment, beside the server that may have it open.
///
/// # Errors
/// As [`open`], except that a server may have it.
pub async fn open_beside(path: &Path) -> anyhow::Result<OpenedDatabase> {
    files::there(path)?;
    ours(path)?;
    let mut claim = Claim::take(path).context("the folder cannot be written")?;
    if let Some(claim) = &mut claim {
        log_belongs(path, claim).await?;
        as_it_was_closed(path, claim)?;
        // Whatever is written from now on breaks the seal.
        let numbers = claim.numbers().to_owned();
        claim.note(&numbers).context("the claim was not noted")?;
    }
    match store::open(path).await {
        Ok((writer, reader)) => Ok(OpenedDatabase {
            writer,
            reader,
            claim,
        }),
        Err(error) => bail!("{}", said(&error, path)),
    }
}

/// What the store could not do, for whoever started the program.
fn said(error: &store::StoreError, path: &Path) -> String {
    match error.trouble() {
        Some(trouble) => format!(
            "{} cannot be opened: {}. {}",
            path.display(),
            trouble.what(),
            trouble.remedy()
        ),
        None => error.to_string(),
    }
}

/// Refuses to make a database where nobody asked for one, or where there was one before.
fn may_be_made(path: &Path, may_make: bool, served_before: bool) -> anyhow::Result<()> {
    let shown = path.display();
    ensure!(
        may_make,
        "There is no database {shown}. To begin with a new one, add --new. \
         To go on with a backup: canewright restore BACKUP --database {shown}"
    );
    let log = files::beside(path, LOG);
    ensure!(
        files::length(&log) == 0,
        "There is no database {shown}, but {} lies there: the log of one that was. Nothing was touched. \
         To go on with a backup: canewright restore BACKUP --database {shown}. To begin anew, move that log away first.",
        log.display()
    );
    ensure!(
        !served_before,
        "There is no database {shown}, but there was one: {} lies there. Nothing was touched. \
         To go on with a backup: canewright restore BACKUP --database {shown}. To begin anew, remove that file first.",
        files::beside(path, CLAIM).display()
    );
    Ok(())
}

/// Claims the database for this program.
///
/// # Errors
/// Another program has it, or the folder cannot be written.
pub fn claim(path: &Path) -> anyhow::Result<Claim> {
    let taken = Claim::take(path).map_err(|error| match error.kind() {
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => anyhow::anyhow!(
            "The folder {} cannot be written. Please let the user that runs Canewright write there.",
            files::folder_of(path).display()
        ),
        ErrorKind::StorageFull => anyhow::anyhow!("The disk is full. Please make room first."),
        _ => anyhow::anyhow!("{} cannot be claimed: {error}", path.display()),
    })?;
    taken.with_context(|| {
        format!(
            "Another Canewright has {} open. Two cannot share a file; please stop the other first.",
            path.display()
        )
    })
}

/// An empty file that only its owner may read, for the database to be made in.
fn make_empty(path: &Path) -> anyhow::Result<()> {
    match files::new_private(path) {
        Ok(_) => Ok(()),
        Err(error) if error.kind() == ErrorKind::AlreadyExists => {
            files::make_private(path).context("cannot take the empty file")
        }
        Err(error) => Err(error).with_context(|| format!("cannot make {}", path.display())),
    }
}

/// Whether the file is a database at all; whose, and whether sound, the store looks at.
fn ours(path: &Path) -> anyhow::Result<()> {
    let head =
        files::head(path, 16).with_context(|| format!("{} cannot be read", path.display()))?;
    ensure!(
        head.starts_with(b"SQLite format 3\0"),
        "{} is not a database, or its beginning is damaged. If it was one: canewright restore BACKUP --database {}",
        path.display(),
        path.display()
    );
    Ok(())
}

/// Refuses a log that was written for another database file: read together they would ruin each other.
pub(super) async fn log_belongs(path: &Path, claim: &Claim) -> anyhow::Result<()> {
    let log = files::beside(path, LOG);
    if files::length(&log) == 0 {
        return Ok(());
    }
    let fits = match store::number_of(path) {
        Some(number) if !claim.numbers().is_empty() => claim.numbers().contains(&number),
        // A program that noted no numbers served it last: the pages show whether file and log belong together.
        _ => sound_together(path).await?,
    };
    ensure!(
        fits,
        "The log {} does not belong to {}: it was left by another database file that lay there. Nothing was touched. \
         If you have put a backup there, do it this way instead, which sets the old file and its log aside: \
         canewright restore BACKUP --database {}",
        log.display(),
        path.display(),
        path.display()
    );
    Ok(())
}

/// Refuses a file that is not to the bit as it was when it was last closed in order.
fn as_it_was_closed(path: &Path, claim: &Claim) -> anyhow::Result<()> {
    let known = store::number_of(path).is_some_and(|number| claim.numbers().contains(&number));
    let Some(seal) = claim.seal().filter(|_| known) else {
        return Ok(());
    };
    let digest =
        files::digest(path).with_context(|| format!("{} cannot be read", path.display()))?;
    ensure!(
        digest == seal,
        "{shown} is not as it was when Canewright last closed it: the disk damaged it, or another program wrote to it. \
         Nothing was touched. To go on with the last backup: canewright restore BACKUP --database {shown}. \
         If another program was meant to write to it, remove {claim} and start again.",
        shown = path.display(),
        claim = files::beside(path, CLAIM).display()
    );
    Ok(())
}

/// Notes how the file is to the bit, now that it has been closed in order: what happens to it meanwhile shows at the
/// next start.
///
/// # Errors
/// The file cannot be read, or the disk is full.
pub fn seal(path: &Path, claim: &mut Claim) -> anyhow::Result<()> {
    if files::length(&files::beside(path, LOG)) > 0 {
        // Somebody else reads it still, and the log could not be folded in.
        return Ok(());
    }
    let digest = files::digest(path)?;
    claim.put_seal(&digest)?;
    Ok(())
}

/// Whether a database and the log beside it are sound together, found out on copies of both.
async fn sound_together(path: &Path) -> anyhow::Result<bool> {
    let scratch = std::env::temp_dir().join(format!("canewright-look-{}", std::process::id()));
    std::fs::create_dir_all(&scratch).context("no scratch folder")?;
    let copy = scratch.join("copy.db");
    let copied = std::fs::copy(path, &copy)
        .and_then(|_| std::fs::copy(files::beside(path, LOG), files::beside(&copy, LOG)));
    let found = match copied {
        Ok(_) => Ok(store::soundness(&copy)
            .await
            .is_ok_and(|found| found.is_whole())),
        Err(error) => Err(error).context("the log could not be looked at"),
    };
    // A scratch folder that is left over does no harm.
    let _ = std::fs::remove_dir_all(&scratch);
    found
}

/// Gives the file a new number, and notes it: a log that is left over is known by it at the next start. Both the
/// old and the new one are noted while the change is under way.
async fn number_anew(
    path: &Path,
    writer: &Writer,
    claim: &mut Claim,
    old: Option<u32>,
    chance: u128,
) -> anyhow::Result<()> {
    let failed = || {
        format!(
            "{} could not be made ready; is the disk full?",
            files::beside(path, CLAIM).display()
        )
    };
    // The last bits of the id are those of chance; 0 is the number of copies.
    let new = u32::try_from(chance & 0x7fff_ffff).unwrap_or(1).max(1);
    let both: Vec<u32> = old.into_iter().chain([new]).collect();
    claim.note(&both).with_context(failed)?;
    if writer.number(new).await.with_context(failed)? {
        claim.note(&[new]).with_context(failed)?;
    }
    Ok(())
}

/// The neighbours of a database that go with it.
pub(super) const NEIGHBOURS: [&str; 2] = [LOG, INDEX];
