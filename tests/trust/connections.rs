//! Connections that ask for nothing, or never come to an end: none keeps a member waiting, none keeps the program
//! from stopping.

use crate::program::{Program, desk};
use std::io::Write;
use std::net::TcpStream;

fn half_open(program: &Program, words: &str) -> TcpStream {
    let mut stream = TcpStream::connect(&program.at).unwrap();
    stream.write_all(words.as_bytes()).unwrap();
    stream
}

#[test]
fn more_half_open_connections_than_are_kept_do_not_keep_a_member_waiting() {
    let (_folder, database) = desk();
    let program = Program::serves(&database, &["--new"]);
    let mut ruth = program.set_up();
    let held: Vec<TcpStream> = (0..560)
        .map(|_| half_open(&program, "GET / HTTP/1.1\r\nhos"))
        .collect();
    ruth.opens("/").says("Good day, Ruth Bell");
    assert_eq!(held.len(), 560);
    assert!(program.stops().success());
}

#[test]
fn a_half_sent_request_does_not_keep_the_program_from_stopping() {
    let (_folder, database) = desk();
    let program = Program::serves(&database, &["--new"]);
    program.set_up();
    let at = program.at.clone();
    let head = half_open(&program, "GET / HTTP/1.1\r\nhos");
    // Of a form that is said to be long only the beginning comes.
    let form = half_open(
        &program,
        &format!(
            "POST /sign-in HTTP/1.1\r\nhost: {at}\r\norigin: http://{at}\r\n\
             content-type: application/x-www-form-urlencoded\r\ncontent-length: 5000\r\n\r\nsign_in=ru"
        ),
    );
    // It would hang here: both connections are held until it has ended.
    assert!(program.stops().success());
    drop((head, form));
}

/// A request for a page that is longer than what the system keeps on the way, of a phone that never reads it.
fn asks_and_does_not_read(program: &Program, times: usize) -> TcpStream {
    let mut stream = TcpStream::connect(&program.at).unwrap();
    for _ in 0..times {
        let ask = format!("GET /sign-in HTTP/1.1\r\nhost: {}\r\n\r\n", program.at);
        if stream.write_all(ask.as_bytes()).is_err() {
            break;
        }
    }
    stream
}

#[test]
fn phones_that_do_not_read_or_send_slowly_do_not_keep_the_program_from_stopping() {
    let (_folder, database) = desk();
    let program = Program::serves(&database, &["--new"]);
    let mut ruth = program.set_up();
    // A few thousand answers wait for a phone that never takes one.
    let deaf: Vec<TcpStream> = (0..3)
        .map(|_| asks_and_does_not_read(&program, 300))
        .collect();
    let at = program.at.clone();
    let mut slow = half_open(
        &program,
        &format!(
            "POST /sign-in HTTP/1.1\r\nhost: {at}\r\norigin: http://{at}\r\n\
             content-type: application/x-www-form-urlencoded\r\ncontent-length: 5000\r\n\r\n"
        ),
    );
    let stopping = std::thread::spawn(move || program.stops());
    // A letter at a time for as long as the server takes them: it would never be done.
    while slow.write_all(b"a").is_ok() && !stopping.is_finished() {
        std::thread::sleep(std::time::Duration::from_millis(100));
    }
    assert!(stopping.join().unwrap().success());
    drop(deaf);
    assert!(ruth.asks("GET", "/", None).is_err(), "it has stopped");
}

#[test]
fn when_file_handles_are_used_up_the_oldest_idle_connections_go_and_members_get_in() {
    let (_folder, database) = desk();
    let script = format!(
        "ulimit -n 60; exec {} serve --new --listen 127.0.0.1:0 --database {}",
        env!("CARGO_BIN_EXE_canewright"),
        crate::program::text(&database)
    );
    let mut sh = std::process::Command::new("sh");
    sh.env_clear()
        .env("PATH", "/usr/bin:/bin")
        .args(["-c", &script]);
    let mut program = Program::start(sh);
    let mut ruth = program.set_up();
    let held: Vec<TcpStream> = (0..120)
        .map(|_| half_open(&program, "GET / HTTP/1.1\r\nhos"))
        .collect();
    program.log_says("a connection could not be taken in");
    ruth.opens("/").says("Good day, Ruth Bell");
    assert_eq!(ruth.adds("Amos Reed").unwrap().status, 303);
    assert_eq!(held.len(), 120);
    assert!(program.stops().success());
}
