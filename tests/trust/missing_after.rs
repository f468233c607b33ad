//! What a restore tells of all that was written after the backup: holds first, changed cards, passphrases, words that a forgetting took
//! out, what a file that was itself put back did not know; and what `verify` says of a file that lies beside its backups.

use crate::program::{
    Browser, PASSPHRASE, Program, desk, names, refused, run, text, wait_for, well,
};
use crate::restored::{asked, by_hand, restored};
use std::fs;
use std::path::Path;

/// The passphrase of everybody in the demo.
const OF_THE_DEMO: &str = "press day in october";
const NEW: &str = "eleven geese on the weir";

fn backs_up(database: &Path, backup: &Path) {
    well(&["backup", "--database", text(database), text(backup)]);
}

/// Changes the telephone and the address of a member.
fn moves(browser: &mut Browser, card: &str, name: &str) {
    let edit = format!("{card}/edit");
    let page = browser.opens(&edit);
    let boxes = [
        ("name", name),
        ("phone", "615 555 7777"),
        ("address", "9 New Road"),
        ("units", "us"),
        ("clock", "24"),
        ("role", "crew"),
        ("version", "1"),
    ];
    let done = browser.fills(&page, &edit, &boxes);
    assert_eq!(done.status, 303, "{}", done.body);
}

/// Holds a lot.
fn holds(ruth: &mut Browser, lot: &str) {
    let hold = format!("/boils/{lot}/hold");
    let page = ruth.opens(&hold);
    let boxes = [("held", "yes"), ("why", "glass seen in a jar")];
    let answer = ruth.fills(&page, &hold, &boxes);
    assert_eq!(answer.status, 303, "{}", answer.body);
}

/// Lets a member go.
fn lets_go(ruth: &mut Browser, card: &str) {
    let page = ruth.opens(card);
    let gone = ruth.fills(&page, &format!("{card}/let-go"), &[]);
    assert_eq!(gone.status, 303, "{}", gone.body);
}

#[test]
fn held_lots_changed_cards_and_passphrases_are_told_and_holds_stand_first() {
    let (folder, database) = desk();
    let backup = folder.path().join("mill.db");
    well(&["demo", "--only-make", "--database", text(&database)]);
    let program = Program::serves(&database, &[]);
    let mut ruth = program.browser();
    assert_eq!(ruth.signs_in_as("ruth", OF_THE_DEMO).status, 303);
    let card = ruth.adds("Zed Late").unwrap().to;
    backs_up(&database, &backup);
    let lot = asked(
        &database,
        "select lot_code from boils order by lot_code limit 1",
    );
    holds(&mut ruth, &lot);
    moves(&mut ruth, &card, "Zed Late");
    lets_go(&mut ruth, &card);
    let mut otis = program.browser();
    otis.signs_in_as("otis", OF_THE_DEMO);
    let page = otis.opens("/passphrase");
    let boxes = [("old", OF_THE_DEMO), ("passphrase", NEW)];
    let changed = otis.fills(&page, "/passphrase", &boxes);
    assert_eq!(changed.status, 303, "{}", changed.body);
    assert!(program.stops().success());
    let number = asked(
        &database,
        "select cast(m.number as text) from members m join accounts a on a.member_id = m.id where a.sign_in = 'otis'",
    );
    let zed = asked(&database, "select cast(max(number) as text) from members");
    let said = restored(&backup, &database, &[]);
    assert!(!said.contains("Nothing is missing"), "{said}");
    let shown = format!("{}-{}", &lot[..5], &lot[5..]);
    let told = [
        format!("Lots were held ({shown}) and are NOT held in this book"),
        format!("members’ cards: 1 was changed (member {zed})"),
        format!(
            "names and passphrases to sign in with: 1 was changed (member {number}); what held before holds again."
        ),
        "sign-ins: ".to_owned(),
    ];
    let at: Vec<usize> = told
        .iter()
        .map(|words| {
            said.find(words)
                .unwrap_or_else(|| panic!("{words}: {said}"))
        })
        .collect();
    assert!(at.is_sorted(), "{said}");
    let program = Program::serves(&database, &[]);
    let mut otis = program.browser();
    otis.opens("/sign-in")
        .says("put back from a backup of")
        .says("A passphrase that was chosen after that backup and before it was put back");
    let no = otis.signs_in_as("otis", NEW);
    no.says("do not belong together")
        .says("the one before it does");
    assert_eq!(otis.signs_in_as("otis", OF_THE_DEMO).status, 303);
    let mut ruth = program.browser();
    ruth.signs_in_as("ruth", OF_THE_DEMO);
    let page = ruth.opens("/restores/1");
    page.says("See to this first:")
        .says(&told[0])
        .says(&told[2]);
    assert!(!page.body.contains("Nothing is missing"), "{}", page.body);
    ruth.opens("/history?q=held")
        .says(&format!("restore 1: {}", told[0]));
    assert!(program.stops().success());
    assert!(well(&["verify", "--database", text(&database)]).contains("as it was frozen"));
}

/// Whether words stand anywhere in a file.
fn stands(database: &Path, words: &str) -> bool {
    let bytes = fs::read(database).unwrap();
    bytes
        .windows(words.len())
        .any(|part| part == words.as_bytes())
}

fn has_vessel(ruth: &mut Browser, name: &str) {
    let page = ruth.opens("/mill/vessels/new");
    let boxes = [("vessel_name", name), ("capacity", "30")];
    let done = ruth.fills(&page, "/mill/vessels/new", &boxes);
    assert_eq!(done.status, 303, "{}", done.body);
}

#[test]
fn a_nickname_that_was_taken_out_is_taken_out_again_and_a_further_one_afterwards() {
    let (folder, database) = desk();
    let backup = folder.path().join("mill.db");
    let program = Program::serves(&database, &["--new"]);
    let mut ruth = program.set_up();
    let card = ruth.adds("Zebedee Quillfeather").unwrap().to;
    has_vessel(&mut ruth, "Stubby’s barrel");
    has_vessel(&mut ruth, "Barrel of old Tomcat");
    backs_up(&database, &backup);
    lets_go(&mut ruth, &card);
    let forget = format!("{card}/forget");
    let page = ruth.opens(&forget);
    let boxes = [
        ("words", "Quillfeather\nStubby"),
        ("keep_until", ""),
        ("passphrase", PASSPHRASE),
    ];
    let done = ruth.fills(&page, &forget, &boxes);
    assert_eq!(done.status, 303, "{}", done.body);
    assert!(program.stops().success());
    let said = restored(&backup, &database, &[]);
    assert!(said.contains("was forgotten again just now."), "{said}");
    assert!(!said.contains("But not all texts"), "{said}");
    assert!(
        !stands(&database, "Stubby"),
        "the nickname stands in the restored file"
    );
    let second = folder.path().join("second.db");
    backs_up(&database, &second);
    // A nickname that nobody thought of is taken out of a member who was forgotten before.
    let program = Program::serves(&database, &[]);
    let mut ruth = program.browser();
    ruth.signs_in();
    ruth.opens("/restores/1").says(&forget);
    ruth.opens(&card).says("Take further words out");
    let page = ruth.opens(&forget);
    page.says("This member was forgotten before.");
    let more = |words, seen| {
        [
            ("more", "yes"),
            ("seen", seen),
            ("words", words),
            ("passphrase", PASSPHRASE),
        ]
    };
    let none = ruth.fills(&page, &forget, &more("", ""));
    assert_eq!(none.status, 409);
    none.says("Please write the words that are to go");
    let shared = ruth.fills(&page, &forget, &more("Bell", "Bell"));
    assert_eq!(shared.status, 409);
    // What the word would change is looked at before.
    let unseen = ruth.fills(&page, &forget, &more("Tomcat", ""));
    assert_eq!(unseen.status, 422, "{}", unseen.body);
    unseen.says("Nothing was taken out yet.");
    unseen.says("Barrel of old Member 2");
    assert!(unseen.body.contains("name=\"seen\" value=\"Tomcat\""));
    let done = ruth.fills(&page, &forget, &more("Tomcat", "Tomcat"));
    assert_eq!(done.status, 303, "{}", done.body);
    ruth.opens("/mill").says("Barrel of old Member 2");
    ruth.opens("/history?q=forgetting")
        .says("with further words taken out");
    assert!(program.stops().success());
    assert!(!stands(&database, "Tomcat"), "the word stands in the file");
    assert!(well(&["verify", "--database", text(&database)]).contains("as it was frozen"));
    // Neither a backup in which the member was forgotten without it nor one from before brings it back.
    assert!(stands(&second, "Tomcat"));
    let said = restored(&second, &database, &[]);
    assert!(
        said.contains("Words that had been taken out for member 2 since the backup were taken out again just now."),
        "{said}"
    );
    assert!(!stands(&database, "Tomcat"), "the word came back");
    restored(&backup, &database, &[]);
    for word in ["Tomcat", "Stubby", "Quillfeather"] {
        assert!(!stands(&database, word), "{word} came back");
    }
    assert!(well(&["verify", "--database", text(&database)]).contains("as it was frozen"));
}

#[test]
fn a_restore_after_one_without_the_old_file_still_says_that_something_may_be_missing() {
    let (folder, database) = desk();
    let backup = folder.path().join("mill.db");
    let program = Program::serves(&database, &["--new"]);
    let mut ruth = program.set_up();
    ruth.adds("Amos Reed").unwrap();
    assert!(program.stops().success());
    backs_up(&database, &backup);
    fs::remove_file(&database).unwrap();
    let said = restored(&backup, &database, &[]);
    assert!(
        said.contains("receipts of money: the next is 101"),
        "{said}"
    );
    let paper = ["--last-payment", "40", "--last-member", "20"];
    let said = restored(&backup, &database, &paper);
    assert!(
        said.contains("is not known (there was no database in its place"),
        "{said}"
    );
    assert!(said.contains("may be missing"), "{said}");
    assert!(said.contains("receipts of money: the next is 41"), "{said}");
    assert!(said.contains("members: the next is 21"), "{said}");
    assert!(said.contains("receipts of jars: the next is 101"), "{said}");
    assert!(!said.contains("this is missing"), "{said}");
    let program = Program::serves(&database, &[]);
    let mut ruth = program.browser();
    ruth.signs_in();
    let page = ruth.opens("/restores/1");
    page.says("may be missing")
        .says("data-is=\"The next number\">41<");
    for wrong in ["This is missing since", "data-is=\"Missing\""] {
        assert!(!page.body.contains(wrong), "{wrong}: {}", page.body);
    }
    // The book is itself a backup, and no other was made since.
    ruth.opens("/")
        .says("this book is itself the backup mill.db, put in place on");
    assert_eq!(ruth.adds("Third Person").unwrap().status, 303);
    assert!(program.stops().success());
    let last = "select cast(max(number) as text) from members";
    assert_eq!(asked(&database, last), "21");
    // That number is given now: a third restore goes on above it, and the guess that was replaced does not come back.
    let said = restored(&backup, &database, &[]);
    assert!(
        said.contains("members: 1 is missing (21); the next is 22"),
        "{said}"
    );
    assert!(said.contains("receipts of money: the next is 41"), "{said}");
    // Of no season's numbers, and of a season that the backup does not know.
    let said = restored(
        &backup,
        &database,
        &["--last-ticket", "9", "--last-lot", "26002-M"],
    );
    assert!(said.contains("tickets of 2026: the next is 10"), "{said}");
    assert!(said.contains("lots of 2026: the next is 26003-K"), "{said}");
    let said = restored(&backup, &database, &["--last-ticket", "9"]);
    assert!(said.contains("lots of 2026: the next is 26003-K"), "{said}");
}

/// Takes everything that was written after a record out of a file, and the member who was added then.
fn cut_off(apart: &Path, last: &str) {
    by_hand(
        apart,
        &[
            "delete from member_names where member_id = (select id from members where name = 'Zed Late')".to_owned(),
            "delete from members where name = 'Zed Late'".to_owned(),
            format!("delete from records where number > {last}"),
            format!("update sqlite_sequence set seq = {last} where name = 'records'"),
        ],
    );
}

#[test]
fn a_file_apart_is_compared_with_the_newest_backup_of_the_folder_or_it_is_said_why_not() {
    let (folder, database) = desk();
    let shelf = folder.path().join("shelf");
    fs::create_dir(&shelf).unwrap();
    let program = Program::serves(&database, &["--new"]);
    let mut ruth = program.set_up();
    let kept = || {
        let keeps = [
            "backup",
            "--keep",
            "9",
            "--database",
            text(&database),
            text(&shelf),
        ];
        // Within one second the name is taken already.
        run(&keeps);
        shelf.join(names(&shelf).last().unwrap())
    };
    let older = kept();
    let last = asked(&database, "select cast(max(number) as text) from records");
    ruth.adds("Zed Late").unwrap();
    // Backups bear the second in their name.
    let newest = wait_for("a second backup", || {
        let newest = kept();
        (newest != older).then_some(newest)
    });
    assert!(program.stops().success());
    let verified = |path: &Path, good: bool| {
        let words = [
            "verify",
            "--backup-to",
            text(&shelf),
            "--database",
            text(path),
        ];
        if good { well(&words) } else { refused(&words) }
    };
    let apart = folder.path().join("apart.db");
    fs::copy(&newest, &apart).unwrap();
    assert!(verified(&apart, true).contains("records of the backup"));
    cut_off(&apart, &last);
    let told = verified(&apart, false);
    assert!(told.contains("records were cut off its end"), "{told}");
    assert!(verified(&older, true).contains("This file is itself a backup, and the newest one"));
    assert!(verified(&newest, true).contains("This file is itself the newest backup"));
    let aside = folder.path().join("mill.db.before-2026-11-30T142706Z");
    fs::copy(&older, &aside).unwrap();
    assert!(verified(&aside, true).contains("This file was set aside"));
    let empty = folder.path().join("empty");
    fs::create_dir(&empty).unwrap();
    // The first backup was made before one was noted, so no other place is known either.
    let plain = folder.path().join("plain.db");
    fs::copy(&older, &plain).unwrap();
    let none = [
        "verify",
        "--backup-to",
        text(&empty),
        "--database",
        text(&plain),
    ];
    assert!(well(&none).contains("No backup that the program named lies in"));
}

#[test]
fn a_newer_file_and_a_foreign_one_in_the_way_are_told_apart() {
    let (folder, database) = desk();
    let backup = folder.path().join("mill.db");
    let program = Program::serves(&database, &["--new"]);
    program.set_up();
    assert!(program.stops().success());
    backs_up(&database, &backup);
    let newer = "insert into _sqlx_migrations (version, description, success, checksum, execution_time) values (9999, 'n', 1, x'00', 0)";
    by_hand(&database, &[newer.to_owned()]);
    let said = restored(&backup, &database, &[]);
    assert!(
        said.contains("is not known (it was written by a newer Canewright)"),
        "{said}"
    );
    let foreign = folder.path().join("foreign.db");
    by_hand(
        &foreign_at(&foreign),
        &["create table recipes (name text)".to_owned()],
    );
    fs::copy(&foreign, &database).unwrap();
    let said = restored(&backup, &database, &[]);
    assert!(
        said.contains("is not known (it is not a Canewright database)"),
        "{said}"
    );
}

/// An empty file where a database of another program is to be.
fn foreign_at(path: &Path) -> std::path::PathBuf {
    fs::write(path, "").unwrap();
    path.to_owned()
}
