//! A power cut: the file and its log as a disk may hold them at any moment of it. What `SQLite` promises with a log that
//! is synced at every commit (<https://www.sqlite.org/wal.html>, <https://www.sqlite.org/atomiccommit.html>) is tried on
//! the program's own files:
//!
//! - between two commits, the log cut at every frame's end and at bytes between, and filled up with noise there;
//! - while the log is folded back, the file with any of its pages new and the others old, the log whole.
//!
//! Not tried: a disk that says it has synced and has not, a sector that goes bad by itself, a log begun anew over its
//! old frames, and folders whose names are lost.

use crate::program::{Program, desk};
use canewright::store;
use sqlx::{Connection, SqliteConnection};
use std::fs;
use std::path::{Path, PathBuf};
use tokio::runtime::{Builder, Runtime};

/// Bytes of the log before its first frame, and of a frame (<https://www.sqlite.org/fileformat2.html#walformat>).
const LOG_HEAD: usize = 32;
const FRAME: usize = 24 + PAGE;
const PAGE: usize = 4096;
/// Members added, each acknowledged before the next is sent.
const ADDED: usize = 6;

/// What lay on the disk once so many members had been acknowledged.
struct State {
    file: Vec<u8>,
    log: Vec<u8>,
}

fn state(database: &Path) -> State {
    State {
        file: fs::read(database).unwrap(),
        log: fs::read(database.with_file_name("press.db-wal")).unwrap(),
    }
}

/// The states after each acknowledged member, of a program that is then killed.
fn states(database: &Path) -> Vec<State> {
    let program = Program::serves(database, &["--new"]);
    let mut ruth = program.set_up();
    let mut states = vec![state(database)];
    for n in 0..ADDED {
        assert_eq!(ruth.adds(&format!("Grower {n}")).unwrap().status, 303);
        states.push(state(database));
    }
    program.killed();
    states
}

fn runtime() -> Runtime {
    Builder::new_current_thread().enable_all().build().unwrap()
}

/// Growers in a file with that log, opened as after a power cut; it must be whole.
fn growers(scratch: &Path, file: &[u8], log: &[u8]) -> i64 {
    let path: PathBuf = scratch.join("cut.db");
    for ending in ["cut.db", "cut.db-wal", "cut.db-shm"] {
        let _ = fs::remove_file(scratch.join(ending));
    }
    fs::write(&path, file).unwrap();
    fs::write(scratch.join("cut.db-wal"), log).unwrap();
    runtime().block_on(async {
        let mut conn = SqliteConnection::connect(&format!("sqlite:{}", path.display()))
            .await
            .unwrap();
        let n = sqlx::query_scalar("select count(*) from members where name like 'Grower %'")
            .fetch_one(&mut conn)
            .await
            .unwrap();
        // The records stand with the rows: nothing is half written.
        let records: i64 = sqlx::query_scalar(
            "select count(*) from records where what = 'members' and op = 'made'
             and content like '%Grower %'",
        )
        .fetch_one(&mut conn)
        .await
        .unwrap();
        assert_eq!(n, records);
        conn.close().await.unwrap();
        let sound = store::soundness(&path).await.unwrap();
        assert!(sound.is_whole(), "{sound:?}");
        n
    })
}

/// A throw of chance that is the same at every run (Park and Miller, 1988).
fn thrown(seed: &mut u64) -> usize {
    *seed = *seed * 48_271 % 0x7fff_ffff;
    usize::try_from(*seed).unwrap()
}

#[test]
fn cut_anywhere_between_two_commits_everything_acknowledged_is_there_and_nothing_half() {
    let (folder, database) = desk();
    let states = states(&database);
    let scratch = folder.path().join("scratch");
    fs::create_dir(&scratch).unwrap();
    let (mut tried, mut seed) = (0, 7);
    for (known, pair) in (0_i64..).zip(states.windows(2)) {
        let [before, after] = pair else { continue };
        // The log was not folded back between the two: else there is nothing to cut.
        if after.log.len() <= before.log.len() || after.log[..before.log.len()] != before.log[..] {
            continue;
        }
        let mut cuts: Vec<usize> = (before.log.len()..=after.log.len())
            .filter(|n| (n - LOG_HEAD).is_multiple_of(FRAME))
            .collect();
        for _ in 0..6 {
            cuts.push(before.log.len() + thrown(&mut seed) % (after.log.len() - before.log.len()));
        }
        for cut in cuts {
            let short = after.log[..cut].to_vec();
            // The disk may have made the file longer before it wrote what goes there.
            let mut noisy = short.clone();
            noisy.resize_with(after.log.len(), || {
                u8::try_from(thrown(&mut seed) % 256).unwrap()
            });
            for log in [&short, &noisy] {
                let found = growers(&scratch, &before.file, log);
                let whole = cut == after.log.len();
                assert!(
                    found == known || (found == known + 1 && (whole || cut > before.log.len())),
                    "{found} of {known} after a cut at {cut} of {}",
                    after.log.len()
                );
                assert!(!whole || found == known + 1);
                tried += 1;
            }
        }
    }
    assert!(tried > 100, "{tried} states");
}

#[test]
fn cut_while_the_log_is_folded_back_everything_acknowledged_is_there() {
    let (folder, database) = desk();
    let states = states(&database);
    let last = states.last().unwrap();
    let scratch = folder.path().join("scratch");
    fs::create_dir(&scratch).unwrap();
    // The file as it is once the whole log is folded in.
    let whole = scratch.join("folded.db");
    fs::write(&whole, &last.file).unwrap();
    fs::write(scratch.join("folded.db-wal"), &last.log).unwrap();
    runtime().block_on(async {
        let mut conn = SqliteConnection::connect(&format!("sqlite:{}", whole.display()))
            .await
            .unwrap();
        sqlx::query("pragma wal_checkpoint(full)")
            .execute(&mut conn)
            .await
            .unwrap();
        fs::copy(&whole, scratch.join("after.db")).unwrap();
        conn.close().await.unwrap();
    });
    let after = fs::read(scratch.join("after.db")).unwrap();
    assert_ne!(after, last.file, "nothing was folded in");
    let mut seed = 11;
    for _ in 0..30 {
        let mut mixed = last.file.clone();
        mixed.resize(after.len(), 0);
        let share = thrown(&mut seed) % 100;
        for (old, new) in mixed.chunks_mut(PAGE).zip(after.chunks(PAGE)) {
            if thrown(&mut seed) % 100 < share {
                old.copy_from_slice(new);
            } else if thrown(&mut seed).is_multiple_of(20) {
                // Half a page, as where the power goes while it is written.
                old[..PAGE / 2].copy_from_slice(&new[..PAGE / 2]);
            }
        }
        let found = growers(&scratch, &mixed, &last.log);
        assert_eq!(found, i64::try_from(ADDED).unwrap());
    }
}
