//! Trouble with the disk while the site is served: nothing is said to be stored that is not, what can be read is
//! read on, and everything goes on by itself once the trouble is over.

use crate::program::{Answer, Browser, Program, desk, text, wait_for, well};
use std::fs::{self, Permissions};
use std::os::unix::fs::PermissionsExt as _;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Adds members until one is refused; gives that answer and how many were stored.
fn adds_until_refused(ruth: &mut Browser) -> (Answer, usize) {
    for n in 0..4000 {
        let answer = ruth
            .adds(&format!("Grower number {n} {}", "x".repeat(40)))
            .unwrap();
        if answer.status != 303 {
            return (answer, n);
        }
    }
    panic!("the limit was never reached");
}

/// What must hold while nothing can be stored, and after it is over.
fn holds_out(program: &mut Program, mut ruth: Browser, why: &str, over: impl FnOnce()) {
    let full = why == "the disk is full";
    let (refused, stored) = adds_until_refused(&mut ruth);
    assert_eq!(refused.status, 503, "{}", refused.body);
    refused
        .says(&format!("Nothing was stored: {why}."))
        .says("Please tell a steward")
        .says(&format!("Grower number {stored} xxx"));
    program.log_says(&format!("Nothing can be stored: {why}."));
    // Under a limit of a file's length what is small may still find room; on a full disk nothing does.
    if full {
        let health = ruth.opens("/health");
        assert_eq!(health.status, 503);
        health.says(why);
        let home = ruth.opens("/");
        home.says(&format!("Nothing can be stored at present: {why}."));
    }
    // Who is signed in reads on.
    let last = format!("Grower number {} xxx", stored - 1);
    // The list has pages: the last comes up by its name.
    let number = stored - 1;
    ruth.opens(&format!("/members?q=Grower+number+{number}"))
        .says(&last);
    over();
    wait_for("health", || {
        (ruth.opens("/health").status == 200).then_some(())
    });
    assert_eq!(ruth.adds("Amos Reed").unwrap().status, 303);
    ruth.opens("/members?q=Amos").says("Amos Reed");
    let on_page = |skip: usize| {
        let page = ruth.opens(&format!("/members?skip={skip}"));
        page.body.matches("Grower number ").count()
    };
    let listed: usize = (0..=stored).step_by(46).map(on_page).sum();
    assert_eq!(listed, stored);
}

#[test]
fn when_the_disk_refuses_forms_say_so_and_everything_goes_on_by_itself_afterwards() {
    let (_folder, database) = desk();
    // Made beforehand: the log of the schema is longer than what is left to the forms.
    assert!(Program::serves(&database, &["--new"]).stops().success());
    // A limit of a file’s length, in blocks of 512 bytes, stands for a disk that takes no more: below where the log is folded back by
    // itself (1,000 pages).
    let mut sh = Command::new("sh");
    sh.env_clear().env("PATH", "/usr/bin:/bin").args([
        "-c",
        &format!(
            "trap '' XFSZ; ulimit -S -f 8000; exec {} serve --listen 127.0.0.1:0 --database {}",
            env!("CARGO_BIN_EXE_canewright"),
            text(&database)
        ),
    ]);
    let mut program = Program::start(sh);
    let ruth = program.set_up();
    let id = program.id().to_string();
    holds_out(&mut program, ruth, "the disk refuses to write", || {
        let lifted = Command::new("prlimit")
            .args(["--pid", &id, "--fsize=unlimited"])
            .status();
        assert!(lifted.unwrap().success());
    });
    assert!(program.stops().success());
    assert!(well(&["verify", "--database", text(&database)]).contains("frozen"));
}

/// A small disk of its own for one program, in a namespace of its own; nothing where that is not permitted.
fn on_a_small_disk(folder: &Path, script: &str) -> Option<Command> {
    let small = |script: &str| {
        let mut unshare = Command::new("unshare");
        unshare
            .env_clear()
            .env("PATH", "/usr/sbin:/usr/bin:/sbin:/bin")
            .env("PROGRAM", env!("CARGO_BIN_EXE_canewright"))
            .env("DISK", folder)
            .args(["--map-root-user", "--mount", "sh", "-c"])
            .arg(format!(
                "mount -t tmpfs -o size=6m small \"$DISK\" && {script}"
            ));
        unshare
    };
    let may = small("true")
        .output()
        .is_ok_and(|done| done.status.success());
    may.then(|| small(script))
}

#[test]
#[expect(clippy::print_stdout, reason = "a test that was not tried says so")]
fn on_a_full_disk_people_read_on_and_it_comes_back_without_a_restart() {
    let folder = tempfile::tempdir().unwrap();
    let serve = "exec \"$PROGRAM\" serve --new --listen 127.0.0.1:0 --database \"$DISK/press.db\"";
    let Some(command) = on_a_small_disk(folder.path(), serve) else {
        println!("not tried: no small disk can be mounted here");
        return;
    };
    let mut program = Program::start(command);
    let ruth = program.set_up();
    let disk = PathBuf::from(format!(
        "/proc/{}/root{}",
        program.id(),
        text(folder.path())
    ));
    let filling = disk.join("filling");
    // Something else takes up most of the disk.
    let _ = fs::write(&filling, vec![7_u8; 4_000_000]);
    holds_out(&mut program, ruth, "the disk is full", || {
        fs::remove_file(&filling).unwrap();
    });
    assert!(program.stops().success());
}

#[test]
#[expect(clippy::print_stdout, reason = "a test that was not tried says so")]
fn a_start_on_a_full_or_read_only_disk_says_so_in_words() {
    let folder = tempfile::tempdir().unwrap();
    let serve = "\"$PROGRAM\" serve --new --listen 127.0.0.1:0 --database \"$DISK/press.db\"";
    for (before, words) in [
        (
            "head -c 9000000 /dev/zero > \"$DISK/filling\" 2>/dev/null",
            "disk is full",
        ),
        ("mount -o remount,ro \"$DISK\"", "cannot be written"),
    ] {
        let Some(mut command) = on_a_small_disk(folder.path(), &format!("{before}; {serve}"))
        else {
            println!("not tried: no small disk can be mounted here");
            return;
        };
        let done = command.output().unwrap();
        let why = String::from_utf8_lossy(&done.stderr).into_owned();
        assert!(!done.status.success() && why.contains(words), "{why}");
    }
}

#[test]
fn a_file_taken_away_or_swapped_while_served_takes_no_form_more() {
    for swap in [false, true] {
        let (folder, database) = desk();
        let mut program = Program::serves(&database, &["--new"]);
        let mut ruth = program.set_up();
        let page = ruth.opens("/members/new");
        let away = folder.path().join("away.db");
        if swap {
            fs::copy(&database, &away).unwrap();
            fs::rename(&away, &database).unwrap();
        } else {
            fs::rename(&database, &away).unwrap();
        }
        // Said by itself, before anybody sends a form.
        program.log_says("the database file was removed or replaced");
        let boxes = [
            ("name", "Amos Reed"),
            ("phone", "615 555 0111"),
            ("units", "us"),
            ("role", "member"),
        ];
        let refused = ruth.fills(&page, "/members/new", &boxes);
        assert_eq!(refused.status, 503);
        refused
            .says("removed or replaced while the program ran")
            .says("Amos Reed");
        let health = ruth.opens("/health");
        assert_eq!(health.status, 503);
        health.says("removed or replaced");
        if !swap {
            // Put back, it goes on.
            fs::rename(&away, &database).unwrap();
            assert_eq!(ruth.fills(&page, "/members/new", &boxes).status, 303);
            assert_eq!(ruth.opens("/health").status, 200);
        }
    }
}

/// The program as somebody whom permissions bind: root is not bound by them.
fn as_somebody(words: &str) -> Command {
    let mut sh = Command::new("sh");
    let script =
        format!("cp \"$BUILT\" \"$DESK/program\" 2>/dev/null; exec $AS \"$DESK/program\" {words}");
    let id = Command::new("id").arg("-u").output().unwrap();
    let root = String::from_utf8_lossy(&id.stdout).trim() == "0";
    let other = "setpriv --reuid 65534 --regid 65534 --clear-groups";
    sh.env_clear()
        .env("PATH", "/usr/sbin:/usr/bin:/sbin:/bin")
        .env("RUST_LOG", "info,sqlx=warn")
        .env("BUILT", env!("CARGO_BIN_EXE_canewright"))
        .env("AS", if root { other } else { "" })
        .args(["-c", &script]);
    sh
}

#[test]
fn permission_lost_while_served_loses_nothing_and_a_start_without_it_says_so_in_words() {
    let desk = tempfile::tempdir().unwrap();
    let folder = desk.path().join("press");
    let database = folder.join("press.db");
    fs::create_dir(&folder).unwrap();
    let allow = |folder_mode, file_mode| {
        if database.exists() {
            fs::set_permissions(&database, Permissions::from_mode(file_mode)).unwrap();
        }
        fs::set_permissions(&folder, Permissions::from_mode(folder_mode)).unwrap();
    };
    fs::set_permissions(desk.path(), Permissions::from_mode(0o755)).unwrap();
    allow(0o777, 0o600);
    let serve = "serve --listen 127.0.0.1:0 --database \"$DESK/press/press.db\"";
    let start = |more: &str| {
        let mut command = as_somebody(&format!("{serve} {more}"));
        command.env("DESK", desk.path());
        command
    };
    let program = Program::start(start("--new"));
    let mut ruth = program.set_up();
    assert_eq!(ruth.adds("Amos Reed").unwrap().status, 303);
    // Neither file nor folder may be written or opened any more. What is open stays open: forms go on.
    allow(0o500, 0o000);
    let mut taken = Vec::new();
    for n in 0..40 {
        let name = format!("Grower {n}");
        match ruth.adds(&name).unwrap() {
            answer if answer.status == 303 => taken.push(name),
            answer => {
                assert_eq!(answer.status, 503, "{}", answer.body);
                answer.says("Nothing was stored");
            }
        }
        assert!([200, 503].contains(&ruth.opens("/members").status));
    }
    program.killed();
    let why = start("").output().unwrap();
    let said = String::from_utf8_lossy(&why.stderr).into_owned();
    assert!(!why.status.success(), "it started");
    let words = said.to_lowercase();
    assert!(
        words.contains("permission") || words.contains("cannot be opened"),
        "{said}"
    );
    assert!(
        !said.contains("Error {") && !said.contains("code:"),
        "{said}"
    );
    allow(0o777, 0o600);
    let program = Program::start(start(""));
    let mut ruth = ruth.at(&program);
    for name in ["Amos Reed".to_owned()].iter().chain(&taken) {
        ruth.opens(&format!("/members?q={}", name.replace(' ', "+")))
            .says(name);
    }
    assert!(program.stops().success());
}

#[test]
fn a_flipped_bit_in_any_page_is_found_at_the_start() {
    let (_folder, database) = desk();
    let program = Program::serves(&database, &["--new"]);
    program.set_up();
    assert!(program.stops().success());
    let sound = fs::read(&database).unwrap();
    let pages = sound.len() / 4096;
    assert!(pages > 50, "{pages} pages");
    let claim = fs::read(database.with_file_name("press.db-lock")).unwrap();
    for page in 0..pages {
        let mut bytes = sound.clone();
        // Another bit in each page; those of the first hundred bytes tell what the file is.
        bytes[page * 4096 + (page * 797 + 120) % 4096] ^= 1 << (page % 8);
        fs::write(&database, &bytes).unwrap();
        // One that served it would go on: it is ended then, and found out.
        let done = Command::new("timeout")
            .args([
                "20",
                env!("CARGO_BIN_EXE_canewright"),
                "serve",
                "--listen",
                "127.0.0.1:0",
            ])
            .args(["--database", text(&database)])
            .output()
            .unwrap();
        let why = String::from_utf8_lossy(&done.stderr).into_owned();
        assert!(!done.status.success(), "page {page}");
        assert!(why.contains("canewright restore"), "page {page}: {why}");
        assert_eq!(
            fs::read(&database).unwrap(),
            bytes,
            "page {page} was touched"
        );
    }
    assert_eq!(
        fs::read(database.with_file_name("press.db-lock")).unwrap(),
        claim
    );
    fs::write(&database, &sound).unwrap();
    let again = Program::serves(&database, &[]);
    assert!(again.stops().success());
}
