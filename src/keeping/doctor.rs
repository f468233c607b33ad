//! What is not as it should be with a database and its surroundings, in words. Looks only; changes nothing.

use super::backups;
use crate::files::{self, CLAIM, Claim};
use crate::store::{self, StoreError, upkeep};
use crate::units::UtcSecond;
use std::path::Path;

/// Free room below which a disk is called nearly full, bytes: a season takes some tens of megabytes, and a restore
/// needs the file three times.
const LITTLE_ROOM: u64 = 500_000_000;
/// Age from which a backup is called old, seconds: two days.
const OLD_S: i64 = 2 * 86_400;

/// What a look found: each a sentence.
#[derive(Debug, Default)]
pub struct Found {
    /// What is as it should be.
    pub good: Vec<String>,
    /// What is not as it should be, with what to do.
    pub bad: Vec<String>,
}

impl Found {
    fn good(&mut self, words: impl Into<String>) {
        self.good.push(words.into());
    }

    fn bad(&mut self, words: impl Into<String>) {
        self.bad.push(words.into());
    }

    fn either(&mut self, good: bool, well: impl Into<String>, badly: impl Into<String>) {
        if good {
            self.good(well);
        } else {
            self.bad(badly);
        }
    }
}

/// Looks at the database at `path`, the folder its backups go to, and the address that people reach the site by.
pub async fn doctor(
    path: &Path,
    backup_to: Option<&Path>,
    public_url: Option<&str>,
    at: UtcSecond,
) -> Found {
    let mut found = Found::default();
    if let Err(missing) = files::there(path) {
        found.bad(missing.to_string());
    } else {
        the_file(path, &mut found);
        what_is_in_it(path, at, &mut found).await;
    }
    the_disk(path, &mut found);
    the_backups(backup_to, at, &mut found);
    match public_url {
        None => found.bad(
            "No --public-url is given: no code and no link can be printed. Give the address that people reach the site by.",
        ),
        Some(url) => found.either(
            url.starts_with("https://"),
            format!("People reach the site at {url}."),
            format!("{url} is not https: passphrases and cookies can be read on the way. Put a TLS proxy in front."),
        ),
    }
    found
}

/// Who may read the file, and whether it is being served.
fn the_file(path: &Path, found: &mut Found) {
    match files::private(path) {
        Ok(private) => found.either(
            private,
            "Only its owner can read the database.",
            format!(
                "Others on this machine can read the database. Run: chmod 600 {}",
                path.display()
            ),
        ),
        Err(error) => found.bad(format!("The database cannot be looked at: {error}.")),
    }
    let claim = files::beside(path, CLAIM);
    if !claim.exists() {
        return found.bad(format!(
            "The database was never served from here: {} is missing. A start makes it.",
            claim.display()
        ));
    }
    match Claim::take(path) {
        Ok(None) => found.good("A server has the database open."),
        Ok(Some(_)) => found.good("No server has the database open at present."),
        Err(error) => found.bad(format!(
            "The folder of the database cannot be written: {error}. Let the user that runs the server own it."
        )),
    }
}

async fn what_is_in_it(path: &Path, at: UtcSecond, found: &mut Found) {
    match store::soundness(path).await {
        Ok(sound) => found.either(
            sound.is_whole(),
            "Every page of the database is sound.",
            format!("The database is damaged ({}). Restore the last backup: canewright restore BACKUP --database {}", sound.pages, path.display()),
        ),
        Err(error) => return found.bad(format!("The database cannot be read: {error}.")),
    }
    let reader = match store::open_to_read(path).await {
        Ok(reader) => reader,
        Err(StoreError::Older(schema)) => {
            return found.bad(format!(
                "The database was written by an older Canewright (schema {schema}). The next start brings it up to date; make a backup first."
            ));
        }
        Err(error) => return found.bad(error.to_string()),
    };
    let done = match reader.snapshot().await {
        Ok(mut moment) => upkeep::last().ask(&mut moment).await,
        Err(error) => Err(error),
    };
    reader.close().await;
    let done = match done {
        Ok(done) => done,
        Err(error) => return found.bad(format!("The database cannot be read: {error}.")),
    };
    for (kind, well, badly) in [
        (
            "trial",
            "A backup was restored for a trial",
            "A trial of restoring a backup failed",
        ),
        (
            "look",
            "The server looked the whole file through",
            "The server found the file not sound",
        ),
        ("task", "", "A part of the server stopped by itself"),
    ] {
        let last = done.iter().filter(|d| d.kind == kind).max_by_key(|d| d.at);
        match last {
            Some(last) if !last.good => found.bad(format!(
                "{badly}, {} days ago: {}",
                days(last.at, at),
                last.words
            )),
            Some(last) => found.good(format!("{well}, {} days ago.", days(last.at, at))),
            None => {}
        }
    }
    if done.iter().any(|d| d.at.get() > at.get() + 300) {
        found.bad("The database holds times that are yet to come: this machine's clock is slow, or was fast before.");
    }
}

fn days(then: UtcSecond, at: UtcSecond) -> i64 {
    (at.get() - then.get()).div_euclid(86_400)
}

fn the_disk(path: &Path, found: &mut Found) {
    match files::free(path) {
        Ok(free) => found.either(
            free >= LITTLE_ROOM,
            format!("{} MB are free on its disk.", free / 1_000_000),
            format!(
                "Only {} MB are free on its disk. Make room.",
                free / 1_000_000
            ),
        ),
        Err(error) => found.bad(format!("The room on its disk is not known: {error}.")),
    }
}

fn the_backups(folder: Option<&Path>, at: UtcSecond, found: &mut Found) {
    let Some(folder) = folder else {
        return found.bad(
            "No --backup-to is given: either the server makes no backups, or tell this command the same folder.",
        );
    };
    match backups::newest(folder) {
        Ok(Some(made)) => found.either(
            at.get() - made.get() <= OLD_S,
            format!(
                "The newest backup in {} is {} days old.",
                folder.display(),
                days(made, at)
            ),
            format!(
                "The newest backup in {} is {} days old. Look at the server's log.",
                folder.display(),
                days(made, at)
            ),
        ),
        Ok(None) => found.bad(format!("There is no backup in {}.", folder.display())),
        Err(error) => found.bad(format!(
            "{} cannot be looked at: {error}.",
            folder.display()
        )),
    }
}
