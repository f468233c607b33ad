//! Watching the server: what its log says and never says, what the doctor finds, the figures.

use crate::program::{Program, command, desk, refused, run, said, text, well};
use serde_json::Value;
use sqlx::{Connection, SqliteConnection};
use std::fs;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;

/// Serves with a log of that much.
fn serves(database: &Path, log: &str, more: &[&str]) -> Program {
    let mut command = command();
    command
        .env("RUST_LOG", log)
        .args(["serve", "--listen", "127.0.0.1:0", "--database"])
        .arg(database)
        .args(more);
    Program::start(command)
}

/// Does something to a database by hand.
fn by_hand(database: &Path, sql: &'static str) {
    let done = async {
        let mut conn = SqliteConnection::connect(&format!("sqlite:{}", database.display())).await?;
        sqlx::query(sql).execute(&mut conn).await?;
        conn.close().await
    };
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build();
    runtime.unwrap().block_on(done).unwrap();
}

#[test]
fn no_secret_stands_in_the_log_however_much_is_logged() {
    let (_folder, database) = desk();
    let mut program = serves(&database, "debug", &["--new"]);
    let mut ruth = program.set_up();
    let card = ruth.adds("Amos Reed").unwrap().to;
    let page = ruth.opens(&card);
    let invitation = ruth.fills(&page, &format!("{card}/invite"), &[]);
    let (_, rest) = invitation.body.split_once("/join/").unwrap();
    let token = rest.split('<').next().unwrap().to_owned();
    let calendar = ruth.opens("/calendar");
    let feed = ruth.fills(&calendar, "/calendar", &[("whose", "own")]);
    let (_, rest) = feed.body.split_once("/calendar/").unwrap();
    let address = rest.split(".ics").next().unwrap().to_owned();
    let mut stranger = program.browser();
    let join = stranger.opens(&format!("/join/{token}"));
    assert_eq!(join.status, 200);
    // From elsewhere it is refused, and that is logged.
    let mut thief = program.browser();
    let foreign = thief.asks_from(&format!("/join/{token}"), "http://evil.example");
    assert_eq!(foreign.unwrap().status, 403);
    stranger.opens(&format!("/calendar/{address}.ics"));
    // Somebody types the passphrase into the box of the name.
    let mut hasty = program.browser();
    let page = hasty.opens("/sign-in");
    let typed = "nine geese over the hill";
    hasty.fills(
        &page,
        "/sign-in",
        &[("sign_in", typed), ("passphrase", typed), ("next", "/")],
    );
    hasty.opens("/days?passphrase=in-a-query");
    program.log_says("sign-in failed");
    program.log_says("path=\"/join/\"");
    let session = ruth.cookie("canewright");
    let log = program.stops_and_tells();
    assert!(log.contains("answered"), "one line a request: {log}");
    for secret in [
        token.as_str(),
        &address,
        typed,
        &session,
        crate::program::PASSPHRASE,
        "in-a-query",
    ] {
        assert!(!log.contains(secret), "{secret} stands in the log");
    }
}

#[test]
fn what_broke_bears_the_reference_that_its_line_in_the_log_has() {
    let (_folder, database) = desk();
    let mut program = serves(&database, "info,sqlx=warn", &["--new", "--log", "json"]);
    let mut ruth = program.set_up();
    by_hand(&database, "update coop set zone = 'Nowhere/At_All'");
    let page = ruth.opens("/");
    assert_eq!(page.status, 500);
    page.says("Something broke here");
    assert!(!page.body.contains("Nowhere"), "{}", page.body);
    let (_, rest) = page.body.split_once("reference ").unwrap();
    let reference = rest.split(' ').next().unwrap().to_owned();
    program.log_says(&reference);
    let log = program.stops_and_tells();
    let lines: Vec<Value> = log
        .lines()
        .map(|line| serde_json::from_str(line).unwrap_or_else(|_| panic!("no JSON: {line}")))
        .collect();
    let line = lines
        .iter()
        .find(|line| line["fields"]["reference"] == reference.as_str())
        .unwrap();
    assert_eq!(line["level"], "ERROR");
    assert!(
        line["fields"]["details"]
            .as_str()
            .unwrap()
            .contains("Nowhere")
    );
}

#[test]
fn the_doctor_says_what_is_not_as_it_should_be_and_changes_nothing() {
    let (folder, database) = desk();
    let none = refused(&["doctor", "--database", text(&database)]);
    assert!(none.contains("There is no database"), "{none}");
    let shelf = folder.path().join("shelf");
    fs::create_dir(&shelf).unwrap();
    let program = Program::serves(&database, &["--new"]);
    program.set_up();
    well(&[
        "backup",
        "--keep",
        "3",
        "--database",
        text(&database),
        text(&shelf),
    ]);
    assert!(program.stops().success());
    let all = [
        "doctor",
        "--database",
        text(&database),
        "--backup-to",
        text(&shelf),
        "--public-url",
        "https://mill.example.org",
    ];
    let before = crate::program::contents(&shelf);
    let (_, sound) = said(&run(&all));
    for words in [
        "well     Only its owner",
        "well     Every page of the database is sound",
        "well     No server has the database open",
        "well     The newest backup",
        "well     People reach the site at https",
    ] {
        assert!(sound.contains(words), "{words}: {sound}");
    }
    fs::set_permissions(&database, fs::Permissions::from_mode(0o644)).unwrap();
    for backup in fs::read_dir(&shelf).unwrap() {
        fs::rename(
            backup.unwrap().path(),
            shelf.join("canewright-2020-01-01T000000Z.db"),
        )
        .unwrap();
    }
    let why = refused(&all);
    for words in [
        "not well Others on this machine can read the database. Run: chmod 600",
        "not well The newest backup",
        "are not as they should be",
    ] {
        assert!(why.contains(words), "{words}: {why}");
    }
    let bare = refused(&["doctor", "--database", text(&database)]);
    assert!(bare.contains("not well No --public-url") && bare.contains("not well No --backup-to"));
    assert_eq!(before.len(), crate::program::contents(&shelf).len());
    let mut bytes = fs::read(&database).unwrap();
    for byte in bytes.iter_mut().skip(20_000).take(9_000) {
        *byte ^= 0x55;
    }
    fs::write(&database, &bytes).unwrap();
    let damaged = refused(&all);
    assert!(
        damaged.contains("damaged") && damaged.contains("canewright restore"),
        "{damaged}"
    );
    assert_eq!(fs::read(&database).unwrap(), bytes, "it was touched");
}

/// A bare request, as a program that watches sends it.
fn fetched(at: &str, path: &str) -> String {
    let mut stream = TcpStream::connect(at).unwrap();
    write!(
        stream,
        "GET {path} HTTP/1.1\r\nhost: {at}\r\nconnection: close\r\n\r\n"
    )
    .unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    answer
}

#[test]
fn figures_are_served_on_an_address_of_their_own_and_nowhere_else() {
    let (_folder, database) = desk();
    let free = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let at = free.local_addr().unwrap().to_string();
    drop(free);
    let program = Program::serves(&database, &["--new", "--metrics", &at]);
    let mut ruth = program.set_up();
    ruth.adds("Amos Reed").unwrap();
    ruth.opens("/nothing/here");
    assert_eq!(ruth.opens("/metrics").status, 404, "not on the site itself");
    let answer = fetched(&at, "/metrics");
    assert!(answer.starts_with("HTTP/1.1 200"), "{answer}");
    assert!(answer.contains("application/openmetrics-text; version=1.0.0"));
    for line in [
        "canewright_requests_total{route=\"/members/new\",method=\"POST\",status=\"3xx\"} 1",
        "canewright_requests_total{route=\"none\",method=\"GET\",status=\"4xx\"} 2",
        "canewright_request_seconds_count{route=\"/members/new\"} 2",
        "canewright_letters_waiting 0",
        "canewright_storable 1",
    ] {
        assert!(answer.contains(line), "{line}: {answer}");
    }
    assert!(answer.contains("canewright_writer_wait_seconds_count"));
    assert!(answer.contains("canewright_disk_free_bytes "));
    assert!(answer.trim_end().ends_with("# EOF"));
    assert!(!answer.contains("Amos"), "no names");
    assert!(program.stops().success());
}
