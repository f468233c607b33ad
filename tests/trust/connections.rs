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
