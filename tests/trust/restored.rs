//! What a restore leaves behind: it is said what is missing, no number is given twice, who was forgotten stays so. And what is
//! done by a command is noted as done on the server.

use crate::program::{Browser, PASSPHRASE, Program, desk, names, refused, text, well};
use sqlx::{AssertSqlSafe, Connection as _, SqliteConnection};
use std::fs;
use std::path::Path;

/// What a query answers in a file, as text.
pub fn asked(database: &Path, sql: &str) -> String {
    runtime().block_on(async {
        let mut conn = SqliteConnection::connect(&format!("sqlite:{}?mode=ro", database.display()))
            .await
            .unwrap();
        let found: Option<String> = sqlx::query_scalar(AssertSqlSafe(sql.to_owned()))
            .fetch_one(&mut conn)
            .await
            .unwrap();
        conn.close().await.unwrap();
        found.unwrap_or_default()
    })
}

fn runtime() -> tokio::runtime::Runtime {
    tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .unwrap()
}

/// Does statements to a file round its triggers, as somebody with a shell of SQLite would who puts them back afterwards.
pub fn by_hand(database: &Path, statements: &[String]) {
    runtime().block_on(async {
        let mut conn = SqliteConnection::connect(&format!("sqlite:{}", database.display()))
            .await
            .unwrap();
        let triggers: Vec<(String, String)> =
            sqlx::query_as("select name, sql from sqlite_schema where type = 'trigger'")
                .fetch_all(&mut conn)
                .await
                .unwrap();
        let dropped = triggers
            .iter()
            .map(|(name, _)| format!("drop trigger {name}"));
        let back = triggers.iter().map(|(_, sql)| sql.clone());
        for sql in dropped.chain(statements.iter().cloned()).chain(back) {
            sqlx::raw_sql(AssertSqlSafe(sql))
                .execute(&mut conn)
                .await
                .unwrap();
        }
        conn.close().await.unwrap();
    });
}

/// The number of a member, by the name.
fn number_of(database: &Path, name: &str) -> String {
    asked(
        database,
        &format!("select cast(number as text) from members where name = '{name}'"),
    )
}

/// A co-op with Amos, of which a backup is made; then Zed joins, and the server stops.
fn one_joined_after_the_backup(database: &Path, backup: &Path) {
    let program = Program::serves(database, &["--new"]);
    let mut ruth = program.set_up();
    ruth.adds("Amos Reed").unwrap();
    well(&["backup", "--database", text(database), text(backup)]);
    ruth.adds("Zed Late").unwrap();
    assert!(program.stops().success());
    assert_eq!(number_of(database, "Zed Late"), "3");
}

pub fn restored(backup: &Path, database: &Path, more: &[&str]) -> String {
    let words = ["restore", text(backup), "--database", text(database)];
    well(&[&words[..], more].concat())
}

/// Serves the file, and adds a member; gives its number.
fn added(database: &Path, name: &str) -> String {
    let program = Program::serves(database, &[]);
    let mut ruth = program.browser();
    ruth.signs_in();
    assert_eq!(ruth.adds(name).unwrap().status, 303);
    assert!(program.stops().success());
    number_of(database, name)
}

#[test]
fn a_restore_says_what_is_missing_until_a_steward_has_seen_to_it_and_gives_no_number_twice() {
    let (folder, database) = desk();
    let backup = folder.path().join("mill.db");
    one_joined_after_the_backup(&database, &backup);
    let said = restored(&backup, &database, &[]);
    assert!(said.contains("this is missing now:"), "{said}");
    assert!(
        said.contains("members: 1 is missing (3); the next is 4"),
        "{said}"
    );
    let program = Program::serves(&database, &[]);
    let mut ruth = program.browser();
    ruth.signs_in();
    ruth.opens("/")
        .says("The book was put back from a backup on")
        .says("href=\"/restores/1\"");
    ruth.opens("/restores/1")
        .says("mill.db")
        .says("by a command on the server")
        .says("data-is=\"Their numbers\">3<")
        .says("data-is=\"The next number\">4<");
    let history = ruth.opens("/history");
    history
        .says("restore 1: the backup “mill.db” was put in place of the database")
        .says("restore 1: members: 1 is missing (3); the next is 4")
        .says("on the server");
    let seen = ruth.opens("/restores/1");
    assert_eq!(ruth.fills(&seen, "/restores/1/seen", &[]).status, 303);
    ruth.opens("/restores/1").says("Seen to: <bdi>Ruth Bell");
    let home = ruth.opens("/");
    assert!(!home.body.contains("/restores/1"), "{}", home.body);
    assert_eq!(ruth.adds("Other Person").unwrap().status, 303);
    assert!(program.stops().success());
    assert_eq!(number_of(&database, "Other Person"), "4");
    // Put back once more, it goes on above what was given meanwhile.
    restored(&backup, &database, &[]);
    assert_eq!(added(&database, "Third Person"), "5");
    assert!(well(&["verify", "--database", text(&database)]).contains("as it was frozen"));
    // What the file set aside held comes back with its numbers, and none of those is given again.
    let aside = names(folder.path());
    let first = aside
        .iter()
        .find(|name| name.contains(".before-") && !name.ends_with("-wal"))
        .unwrap();
    let said = restored(&folder.path().join(first), &database, &[]);
    assert!(said.contains("the next is 6"), "{said}");
    assert_eq!(number_of(&database, "Zed Late"), "3");
    assert_eq!(added(&database, "Fourth Person"), "6");
}

#[test]
fn nothing_is_missing_after_a_backup_of_the_last_state() {
    let (folder, database) = desk();
    let backup = folder.path().join("mill.db");
    let program = Program::serves(&database, &["--new"]);
    program.set_up();
    assert!(program.stops().success());
    well(&["backup", "--database", text(&database), text(&backup)]);
    let said = restored(&backup, &database, &[]);
    assert!(
        said.contains("Nothing is missing that the old file held."),
        "{said}"
    );
    assert_eq!(added(&database, "Amos Reed"), "2");
}

#[test]
fn where_the_old_file_cannot_be_read_numbers_go_on_higher_or_above_what_paper_says() {
    let (folder, database) = desk();
    let backup = folder.path().join("mill.db");
    one_joined_after_the_backup(&database, &backup);
    fs::write(&database, "no database any more, but long enough to be one").unwrap();
    let said = restored(&backup, &database, &[]);
    assert!(
        said.contains("What the old file held is not known") && said.contains("--last-member"),
        "{said}"
    );
    // The backup's last is 2.
    assert!(said.contains("members: the next is 103"), "{said}");
    let program = Program::serves(&database, &[]);
    let mut ruth = program.browser();
    ruth.signs_in();
    ruth.opens("/restores/1")
        .says("What the file before held is not known")
        .says("data-is=\"The next number\">103<");
    assert!(program.stops().success());
    fs::remove_file(&database).unwrap();
    let known = ["--last-member", "7"];
    let said = restored(&backup, &database, &known);
    assert!(said.contains("members: the next is 8"), "{said}");
    assert_eq!(added(&database, "Other Person"), "8");
    let why = refused(&[
        "restore",
        text(&backup),
        "--database",
        text(&database),
        "--last-lot",
        "nonsense",
    ]);
    assert!(why.contains("lot code"), "{why}");
}

/// Lets a member go and forgets the member.
fn forgets(ruth: &mut Browser, card: &str) {
    let page = ruth.opens(card);
    let gone = ruth.fills(&page, &format!("{card}/let-go"), &[]);
    assert_eq!(gone.status, 303, "{}", gone.body);
    let page = ruth.opens(&format!("{card}/forget"));
    let boxes = [
        ("words", "Quillfeather"),
        ("keep_until", ""),
        ("passphrase", PASSPHRASE),
    ];
    let done = ruth.fills(&page, &format!("{card}/forget"), &boxes);
    assert_eq!(done.status, 303, "{}", done.body);
}

/// Has the co-op's card name a telephone.
fn calls(ruth: &mut Browser, phone: &str) {
    let page = ruth.opens("/mill/co-op");
    let boxes = [
        ("coop", "Coldwater Ridge Pressing Co-op"),
        ("place", "Tolliver, TN 37999"),
        ("zone", "America/Chicago"),
        ("units", "us"),
        ("altitude", "950"),
        ("phone", phone),
    ];
    let done = ruth.fills(&page, "/mill/co-op", &boxes);
    assert_eq!(done.status, 303, "{}", done.body);
}

#[test]
fn who_was_forgotten_after_the_backup_does_not_come_back_by_name() {
    let (folder, database) = desk();
    let backup = folder.path().join("mill.db");
    let program = Program::serves(&database, &["--new"]);
    let mut ruth = program.set_up();
    let card = ruth.adds("Zebedee Quillfeather").unwrap().to;
    well(&["backup", "--database", text(&database), text(&backup)]);
    forgets(&mut ruth, &card);
    assert!(program.stops().success());
    let said = restored(&backup, &database, &[]);
    assert!(
        said.contains("Member 2 had been forgotten since the backup, and was forgotten again"),
        "{said}"
    );
    let bytes = fs::read(&database).unwrap();
    let name = b"Quillfeather";
    assert!(
        !bytes.windows(name.len()).any(|part| part == name),
        "the name stands in the restored file"
    );
    let program = Program::serves(&database, &[]);
    let mut ruth = program.browser();
    ruth.signs_in();
    ruth.opens("/restores/1")
        .says("Forgotten again when the backup was put in place")
        .says("Member 2, who had been forgotten on");
    let page = ruth.opens("/restores/1");
    assert_eq!(ruth.fills(&page, "/restores/1/seen", &[]).status, 303);
    assert!(well(&["verify", "--database", text(&database)]).contains("as it was frozen"));
    assert!(program.stops().success());
}

#[test]
fn who_was_forgotten_and_has_something_open_in_the_backup_stands_on_home_until_forgotten_again() {
    let (folder, database) = desk();
    let backup = folder.path().join("mill.db");
    let program = Program::serves(&database, &["--new"]);
    let mut ruth = program.set_up();
    let card = ruth.adds("Zebedee Quillfeather").unwrap().to;
    // The co-op's card names the member's telephone when the backup is made, and no more when the member is forgotten.
    calls(&mut ruth, "615 555 0111");
    well(&["backup", "--database", text(&database), text(&backup)]);
    calls(&mut ruth, "615 555 0100");
    forgets(&mut ruth, &card);
    assert!(program.stops().success());
    let said = restored(&backup, &database, &[]);
    assert!(
        said.contains(
            "Member 2 had been forgotten since the backup and stands in the book by name again"
        ) && said.contains("The co-op’s own card names this member"),
        "{said}"
    );
    let program = Program::serves(&database, &[]);
    let mut ruth = program.browser();
    ruth.signs_in();
    let page = ruth.opens("/restores/1");
    page.says("Here by name again")
        .says(&format!("{card}/forget"));
    let no = ruth.fills(&page, "/restores/1/seen", &[]);
    assert_eq!(no.status, 409);
    no.says("stands here by name again: number 2");
    ruth.opens("/").says("/restores/1");
    assert!(program.stops().success());
}

#[test]
fn an_invitation_and_a_backup_by_command_are_noted_as_done_on_the_server() {
    let (folder, database) = desk();
    let backup = folder.path().join("mill.db");
    let program = Program::serves(&database, &["--new"]);
    let mut ruth = program.set_up();
    well(&["invite", "Ruth Bell", "--database", text(&database)]);
    well(&["backup", "--database", text(&database), text(&backup)]);
    let page = ruth.opens("/history?q=invitation");
    page.says("invitation of member 1 (Ruth Bell)")
        .says("data-is=\"Who\"><bdi>on the server</bdi>");
    assert!(
        !page.body.contains("data-is=\"When\"></td>"),
        "{}",
        page.body
    );
    ruth.opens("/")
        .says("Last backup: ")
        .says(", by hand, on the server: ")
        .says("mill.db");
    assert!(program.stops().success());
    // The file is still as it was closed, also after a backup without a server.
    well(&[
        "backup",
        "--database",
        text(&database),
        text(&folder.path().join("second.db")),
    ]);
    let again = Program::serves(&database, &[]);
    ruth.at(&again).opens("/").says("second.db");
    assert!(again.stops().success());
    // A backup of a backup leaves it as it lies.
    let before = fs::read(&backup).unwrap();
    well(&[
        "backup",
        "--database",
        text(&backup),
        text(&folder.path().join("third.db")),
    ]);
    assert_eq!(fs::read(&backup).unwrap(), before);
}

#[test]
fn rows_cut_off_the_end_are_told_by_the_newest_backup() {
    let (folder, database) = desk();
    let shelf = folder.path().join("shelf");
    fs::create_dir(&shelf).unwrap();
    let program = Program::serves(&database, &["--new"]);
    let mut ruth = program.set_up();
    let last = asked(&database, "select cast(max(number) as text) from records");
    ruth.adds("Zed Late").unwrap();
    well(&[
        "backup",
        "--keep",
        "9",
        "--database",
        text(&database),
        text(&shelf),
    ]);
    assert!(program.stops().success());
    let verify = ["verify", "--database", text(&database)];
    let with_shelf = [&verify[..], &["--backup-to", text(&shelf)]].concat();
    let sound = well(&with_shelf);
    assert!(
        sound.contains("records of the backup") && sound.contains("as it was frozen"),
        "{sound}"
    );
    by_hand(
        &database,
        &[
            "delete from upkeep where kind = 'backup'".to_owned(),
            "delete from member_names where member_id = (select id from members where name = 'Zed Late')".to_owned(),
            "delete from members where name = 'Zed Late'".to_owned(),
            format!("delete from records where number > {last}"),
            format!("update sqlite_sequence set seq = {last} where name = 'records'"),
        ],
    );
    // Without the backup there is no gap to be seen: the README says so.
    assert!(well(&verify).contains("as it was frozen"));
    let told = refused(&with_shelf);
    assert!(told.contains("records were cut off its end"), "{told}");
}
