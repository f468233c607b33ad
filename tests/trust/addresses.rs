//! Addresses that are printed or copied: whole and of use, or none, with what is to be set.

use crate::program::{Answer, Browser, Program, desk, refused, said, text};

/// The card of an invitation for a new member.
fn invites(ruth: &mut Browser) -> Answer {
    let card = ruth.adds("Amos Reed").unwrap().to;
    let page = ruth.opens(&card);
    ruth.fills(&page, &format!("{card}/invite"), &[])
}

#[test]
fn without_a_public_address_no_card_bears_a_dead_one_and_the_page_says_what_to_set() {
    for listen in ["127.0.0.1:0", "0.0.0.0:0"] {
        let (_folder, database) = desk();
        let program = Program::serves(&database, &["--new", "--listen", listen]);
        let mut ruth = program.set_up();
        let card = invites(&mut ruth);
        card.says("--public-url https://mill.example.org")
            .says("/join/");
        let calendar = ruth.opens("/calendar");
        let address = ruth.fills(&calendar, "/calendar", &[("whose", "own")]);
        address.says("--public-url https://mill.example.org");
        for page in [card, address] {
            for dead in ["0.0.0.0", "127.0.0.1", "webcal:", "class=\"qr\""] {
                assert!(!page.body.contains(dead), "{dead}: {}", page.body);
            }
        }
    }
}

#[test]
fn an_invitation_made_on_the_server_leads_nowhere_wrong() {
    let (_folder, database) = desk();
    let program = Program::serves(&database, &["--new"]);
    program.set_up();
    assert!(program.stops().success());
    let invite = ["invite", "Ruth Bell", "--database", text(&database)];
    let (good, words) = said(&crate::program::run(&invite));
    assert!(good && words.contains("    /join/") && words.contains("--public-url"));
    assert!(!words.contains("127.0.0.1"), "{words}");
    let whole = [&invite[..], &["--public-url", "https://mill.example.org"]].concat();
    let (good, words) = said(&crate::program::run(&whole));
    assert!(good && words.contains("https://mill.example.org/join/"));
}

#[test]
fn a_public_address_that_leads_nowhere_is_refused() {
    let (_folder, database) = desk();
    for dead in ["http://0.0.0.0:8080", "http://[::]:8080", "https://0.0.0.0"] {
        let why = refused(&[
            "serve",
            "--new",
            "--public-url",
            dead,
            "--database",
            text(&database),
        ]);
        assert!(why.contains("leads nowhere"), "{why}");
    }
}

#[test]
fn by_another_name_than_the_one_set_nobody_is_let_in() {
    let (_folder, database) = desk();
    let free = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let at = free.local_addr().unwrap().to_string();
    drop(free);
    let site = format!("http://{at}");
    let program = Program::serves(
        &database,
        &["--new", "--listen", &at, "--public-url", &site],
    );
    let mut ruth = program.set_up();
    let card = invites(&mut ruth);
    card.says(&format!("{site}/join/")).says("class=\"qr\"");
    let foreign = |path: &str| {
        let mut other = program.browser();
        other.asks_as("GET", path, None, "evil.example").unwrap()
    };
    let page = foreign("/sign-in");
    assert_eq!(page.status, 421);
    page.says("answers to its own address only");
    assert!(!page.body.contains("Coldwater Ridge"), "{}", page.body);
    // Whoever looks after the machine asks by any name.
    assert_eq!(foreign("/health").status, 200);
}

#[test]
fn over_https_cookies_are_marked_so_and_other_names_beside_this_one_are_left_alone() {
    use std::io::{Read, Write};
    let (_folder, database) = desk();
    let free = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let at = free.local_addr().unwrap().to_string();
    drop(free);
    let site = "https://mill.example.org";
    let mut child = crate::program::command()
        .args(["serve", "--new", "--listen", &at, "--public-url", site])
        .args(["--database", text(&database)])
        .stdout(std::process::Stdio::null())
        .stderr(std::process::Stdio::null())
        .spawn()
        .unwrap();
    let mut stream =
        crate::program::wait_for("the server", || std::net::TcpStream::connect(&at).ok());
    write!(
        stream,
        "GET /set-up HTTP/1.1\r\nhost: mill.example.org\r\nconnection: close\r\n\r\n"
    )
    .unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    child.kill().unwrap();
    child.wait().unwrap();
    let head = answer.split("\r\n\r\n").next().unwrap().to_lowercase();
    let cookie = head
        .lines()
        .find(|l| l.starts_with("set-cookie: "))
        .unwrap();
    assert!(
        cookie.starts_with("set-cookie: __host-canewright"),
        "{cookie}"
    );
    for part in ["; secure", "; httponly", "; samesite=lax", "; path=/;"] {
        assert!(cookie.contains(part), "{part}: {cookie}");
    }
    assert!(!cookie.contains("domain="), "{cookie}");
    let hsts = "strict-transport-security: max-age=31536000";
    assert!(head.lines().any(|l| l == hsts), "{head}");
}
