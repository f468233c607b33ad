//! The right file, for one program alone, readable by its owner alone.

use crate::program::{Program, desk, names, refused, text, well};
use std::fs;
use std::os::unix::fs::PermissionsExt;

#[test]
fn a_file_that_is_not_there_is_made_only_when_asked_for() {
    let (folder, database) = desk();
    let serve = [
        "serve",
        "--listen",
        "127.0.0.1:0",
        "--database",
        text(&database),
    ];
    assert!(refused(&serve).contains("To begin with a new one, add --new"));
    assert!(
        names(folder.path()).is_empty(),
        "{:?}",
        names(folder.path())
    );
    for of in [
        &["verify", "--database", text(&database)][..],
        &["backup", "--database", text(&database), "b.db"],
    ] {
        assert!(refused(of).contains("There is no database"));
    }
    let program = Program::serves(&database, &["--new"]);
    assert!(program.stops().success());
    // Once there was one, even --new makes none in its place.
    fs::remove_file(&database).unwrap();
    let why = refused(&[&serve[..], &["--new"]].concat());
    assert!(why.contains("but there was one"), "{why}");
    assert!(!database.exists());
}

#[test]
fn what_is_named_wrongly_is_said_in_words() {
    let (folder, database) = desk();
    let serve = |path: &str| {
        refused(&[
            "serve",
            "--new",
            "--listen",
            "127.0.0.1:0",
            "--database",
            path,
        ])
    };
    assert!(serve(text(folder.path())).contains("is a folder"));
    assert!(serve(text(&folder.path().join("none/a.db"))).contains("There is no folder"));
    fs::write(&database, "notes of the press day, and no database").unwrap();
    assert!(serve(text(&database)).contains("is not a database"));
    let why = refused(&[
        "serve",
        "--new",
        "--backup-to",
        "/none/there",
        "--database",
        text(&folder.path().join("b.db")),
    ]);
    assert!(why.contains("There is no folder /none/there"), "{why}");
}

#[test]
fn two_programs_never_share_a_file() {
    let (_folder, database) = desk();
    let first = Program::serves(&database, &["--new"]);
    let why = refused(&[
        "serve",
        "--listen",
        "127.0.0.1:0",
        "--database",
        text(&database),
    ]);
    assert!(why.contains("Another Canewright has"), "{why}");
    first.killed();
    let again = Program::serves(&database, &[]);
    assert!(again.stops().success());
}

#[test]
fn the_database_and_its_backups_are_readable_by_their_owner_alone() {
    let (folder, database) = desk();
    let program = Program::serves(&database, &["--new"]);
    program.set_up();
    well(&[
        "backup",
        "--database",
        text(&database),
        text(&folder.path().join("b.db")),
    ]);
    let mode = |name: &str| {
        let found = fs::metadata(folder.path().join(name)).unwrap();
        found.permissions().mode() & 0o777
    };
    for name in names(folder.path()) {
        assert_eq!(mode(&name), 0o600, "{name}");
    }
    assert!(program.stops().success());
    // One from before this was so is made private at the next start.
    fs::set_permissions(&database, fs::Permissions::from_mode(0o644)).unwrap();
    let again = Program::serves(&database, &[]);
    assert_eq!(mode("press.db"), 0o600);
    assert!(again.stops().success());
}
