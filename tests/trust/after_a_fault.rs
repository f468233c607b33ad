//! After a fault: backups are made, tried and restored; what does not belong together is not opened.

use crate::program::{
    Browser, Program, contents, desk, names, refused, said, text, wait_for, well,
};
use sqlx::{Connection as _, SqliteConnection};
use std::fs;
use std::path::Path;
use std::process::Command;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::thread;

/// A co-op with a member, on a server that was killed: the log of its file lies beside it.
fn killed_with_a_log(database: &Path) {
    let program = Program::serves(database, &["--new"]);
    let mut ruth = program.set_up();
    ruth.adds("Amos Reed").unwrap();
    program.killed();
    let log = fs::metadata(database.with_file_name("press.db-wal")).unwrap();
    assert!(
        log.len() > 0,
        "the kill left no log: the test shows nothing"
    );
}

#[test]
fn a_backup_put_beside_the_log_of_another_file_is_not_opened_and_nothing_is_touched() {
    let (folder, database) = desk();
    let backup = folder.path().join("backup.db");
    let first = Program::serves(&database, &["--new"]);
    first.set_up();
    well(&["backup", "--database", text(&database), text(&backup)]);
    first.killed();
    // Another life of the same file, with another log.
    let second = Program::serves(&database, &[]);
    let mut ruth = second.browser();
    assert_eq!(ruth.signs_in().status, 303);
    for n in 0..5 {
        assert_eq!(ruth.adds(&format!("Grower {n}")).unwrap().status, 303);
    }
    second.killed();
    fs::copy(&backup, &database).unwrap();
    let before = contents(folder.path());
    let why = refused(&[
        "serve",
        "--listen",
        "127.0.0.1:0",
        "--database",
        text(&database),
    ]);
    assert!(
        why.contains("does not belong to") && why.contains("canewright restore"),
        "{why}"
    );
    assert_eq!(before, contents(folder.path()), "something was touched");
}

#[test]
fn a_log_that_belongs_is_taken_in_however_the_program_ended() {
    let (_folder, database) = desk();
    killed_with_a_log(&database);
    for _ in 0..2 {
        let again = Program::serves(&database, &[]);
        let mut ruth = again.browser();
        ruth.signs_in();
        ruth.opens("/members").says("Amos Reed");
        again.killed();
    }
}

/// Members added one after the other until told to stop; each with where its card stands.
fn adds_until(mut ruth: Browser, stop: &AtomicBool, done: &AtomicUsize) -> Vec<(String, String)> {
    let mut kept = Vec::new();
    for n in 0.. {
        if stop.load(Ordering::SeqCst) {
            break;
        }
        let name = format!("Grower number {n}");
        match ruth.adds(&name) {
            Ok(answer) if answer.status == 303 => kept.push((name, answer.to)),
            Ok(answer) => panic!("{} {}", answer.status, answer.body),
            // The server was killed.
            Err(_) => break,
        }
        done.store(kept.len(), Ordering::SeqCst);
    }
    kept
}

#[test]
fn a_drill_backup_under_load_kill_restore_verify_and_every_acknowledged_record_is_there() {
    let (folder, database) = desk();
    let backup = folder.path().join("backup.db");
    let program = Program::serves(&database, &["--new"]);
    let ruth = program.set_up();
    let (stop, done) = (AtomicBool::new(false), AtomicUsize::new(0));
    let (kept, before) = thread::scope(|scope| {
        let adding = scope.spawn(|| adds_until(ruth.clone(), &stop, &done));
        wait_for("twenty members", || {
            (done.load(Ordering::SeqCst) >= 20).then_some(())
        });
        let before = done.load(Ordering::SeqCst);
        well(&["backup", "--database", text(&database), text(&backup)]);
        let after = done.load(Ordering::SeqCst);
        wait_for("members after the backup", || {
            (done.load(Ordering::SeqCst) >= after + 10).then_some(())
        });
        program.killed();
        stop.store(true, Ordering::SeqCst);
        (adding.join().unwrap(), before)
    });
    let said = well(&["restore", text(&backup), "--database", text(&database)]);
    assert!(
        said.contains("is in place") && said.contains("everything is as it was frozen"),
        "{said}"
    );
    let aside: Vec<&str> = said
        .lines()
        .filter_map(|line| line.strip_prefix("Set aside: "))
        .collect();
    assert!(
        aside.iter().any(|name| name.ends_with("-wal")),
        "the log was not set aside: {said}"
    );
    let restored = Program::serves(&database, &[]);
    let mut ruth = ruth.at(&restored);
    for (name, card) in kept.iter().take(before) {
        ruth.opens(card).says(name);
    }
    // What the old file held to the last is still to be had from where it lies.
    let old = Program::serves(Path::new(aside[0]), &[]);
    let mut ruth = ruth.at(&old);
    for (name, card) in &kept {
        ruth.opens(card).says(name);
    }
    assert!(kept.len() >= before + 10);
}

#[test]
fn a_restore_refuses_what_is_damaged_or_not_ours_or_while_the_site_is_served() {
    let (folder, database) = desk();
    let backup = folder.path().join("backup.db");
    let program = Program::serves(&database, &["--new"]);
    program.set_up();
    well(&["backup", "--database", text(&database), text(&backup)]);
    let restore =
        |backup: &Path| refused(&["restore", text(backup), "--database", text(&database)]);
    assert!(restore(&backup).contains("Another Canewright has"));
    assert!(program.stops().success());
    let before = contents(folder.path());
    assert!(restore(&folder.path().join("none.db")).contains("There is no backup"));
    assert!(restore(&database).contains("is the database itself"));
    let mut bytes = fs::read(&backup).unwrap();
    for byte in bytes.iter_mut().skip(9000).take(6000) {
        *byte ^= 0x55;
    }
    let (damaged, notes) = tempfile::tempdir()
        .map(|other| (other.path().join("d.db"), other))
        .unwrap();
    fs::write(&damaged, bytes).unwrap();
    assert!(restore(&damaged).contains("damaged"));
    fs::write(
        notes.path().join("notes.txt"),
        "not a database, but long enough to be one",
    )
    .unwrap();
    assert!(restore(&notes.path().join("notes.txt")).contains("damaged"));
    assert_eq!(before, contents(folder.path()), "something was touched");
}

#[test]
fn a_backup_is_verified_and_shown_as_it_lies() {
    let (folder, database) = desk();
    let shelf = folder.path().join("shelf");
    fs::create_dir(&shelf).unwrap();
    let program = Program::serves(&database, &["--new"]);
    program.set_up();
    well(&[
        "backup",
        "--database",
        text(&database),
        text(&shelf.join("backup.db")),
    ]);
    // A plain copy of a file that was closed in order has the mark of a log in its head, and no log.
    assert!(program.stops().success());
    fs::copy(&database, shelf.join("plain.db")).unwrap();
    assert_eq!(
        fs::read(shelf.join("plain.db")).unwrap()[18],
        2,
        "no mark of a log"
    );
    let before = contents(&shelf);
    for name in ["backup.db", "plain.db"] {
        let path = shelf.join(name);
        assert!(well(&["verify", "--database", text(&path)]).contains("as it was frozen"));
        let shown = Program::serves(&path, &["--read-only"]);
        let mut ruth = shown.browser();
        assert_eq!(ruth.signs_in().status, 303);
        ruth.opens("/members").says("Ruth Bell");
        let no = ruth.adds("Amos Reed").unwrap();
        assert_eq!(no.status, 409);
        no.says("Nothing can be stored in it");
        assert!(shown.stops().success());
    }
    assert_eq!(
        before,
        contents(&shelf),
        "a backup was touched by looking at it"
    );
}

#[test]
fn a_backup_that_finds_no_room_leaves_no_file() {
    let (folder, database) = desk();
    killed_with_a_log(&database);
    let shelf = folder.path().join("shelf");
    fs::create_dir(&shelf).unwrap();
    // No file may grow over 64 blocks: the copy is cut short as on a full disk.
    let script = format!(
        "trap '' XFSZ; ulimit -f 64; exec {} backup --database {} {}",
        env!("CARGO_BIN_EXE_canewright"),
        text(&database),
        text(&shelf.join("b.db"))
    );
    let done = Command::new("sh").args(["-c", &script]).output().unwrap();
    let (good, why) = said(&done);
    assert!(!good, "{why}");
    assert!(names(&shelf).is_empty(), "{:?}", names(&shelf));
}

#[test]
fn backups_by_date_are_pruned_and_other_files_are_left_alone() {
    let (folder, database) = desk();
    killed_with_a_log(&database);
    let shelf = folder.path().join("shelf");
    fs::create_dir(&shelf).unwrap();
    for name in [
        "canewright-2020-01-01T000000Z.db",
        "canewright-2021-01-01T000000Z.db",
        "canewright-notes.db",
    ] {
        fs::write(shelf.join(name), "old").unwrap();
    }
    well(&[
        "backup",
        "--keep",
        "2",
        "--database",
        text(&database),
        text(&shelf),
    ]);
    let left = names(&shelf);
    assert_eq!(left.len(), 3, "{left:?}");
    assert_eq!(left[0], "canewright-2021-01-01T000000Z.db");
    assert_eq!(left[2], "canewright-notes.db");
    assert!(well(&["verify", "--database", text(&shelf.join(&left[1]))]).contains("frozen"));
}

#[test]
fn the_server_makes_backups_tries_one_and_tells_the_stewards() {
    let (folder, database) = desk();
    let shelf = folder.path().join("shelf");
    fs::create_dir(&shelf).unwrap();
    let mut program = Program::serves(&database, &["--new", "--backup-to", text(&shelf)]);
    let mut ruth = program.set_up();
    program.log_says("a backup was tried");
    assert_eq!(names(&shelf).len(), 1);
    ruth.opens("/")
        .says("Last backup: ")
        .says("last restored for a trial: ");
    assert!(program.stops().success());
    let without = Program::serves(&database, &[]);
    ruth.at(&without)
        .opens("/")
        .says("makes no backups by itself");
}

/// Opens the file as a shell of SQLite would, reads from it and closes it again.
fn looked_at_from_outside(database: &Path) -> i64 {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .unwrap();
    runtime.block_on(async {
        let mut conn = SqliteConnection::connect(&format!("sqlite:{}", database.display()))
            .await
            .unwrap();
        let found = sqlx::query_scalar("select count(*) from members")
            .fetch_one(&mut conn)
            .await
            .unwrap();
        conn.close().await.unwrap();
        found
    })
}

#[test]
fn another_program_that_looks_into_the_file_leaves_the_log_to_the_server() {
    let (_folder, database) = desk();
    let program = Program::serves(&database, &["--new"]);
    let mut ruth = program.set_up();
    ruth.adds("Amos Reed").unwrap();
    assert_eq!(looked_at_from_outside(&database), 2);
    // Whoever closes a database that nobody else has open folds its log in and removes it.
    let log = database.with_file_name("press.db-wal");
    assert!(log.exists(), "the server's hold on the file was not seen");
    assert_eq!(ruth.adds("Cora Lindqvist").unwrap().status, 303);
    program.killed();
    let again = Program::serves(&database, &[]);
    let mut ruth = again.browser();
    ruth.signs_in();
    ruth.opens("/members")
        .says("Amos Reed")
        .says("Cora Lindqvist");
}
