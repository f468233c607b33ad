//! How many queries a page needs: each is a message to the thread of its connection and back, so a page that asks for
//! every row by itself is slow on every machine. Counted in the demo's own log, page after page.

use crate::program::{Browser, Program, command};
use canewright::demo::PASSPHRASE;
use canewright::web::table;
use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::io::Write as _;

/// Most queries of a page that members open, sign-in included.
const MEMBERS: usize = 6;
/// Most queries of any other page.
const OTHERS: usize = 10;

/// The line of the table that an address belongs to.
fn line_of(path: &str) -> Option<&'static str> {
    let parts: Vec<&str> = path.split('/').collect();
    let fits = |line: &str| {
        let mut names = line.split('/');
        let all = parts.iter().all(|part| {
            names.next().is_some_and(|name| {
                name == *part || (name.contains('{') && part.ends_with(after(name)))
            })
        });
        all && names.next().is_none()
    };
    // What is written out comes before what has a hole.
    let mut found: Vec<_> = table()
        .into_iter()
        .filter(|line| line.gets && fits(line.path))
        .collect();
    found.sort_by_key(|line| line.path.matches('{').count());
    found.first().map(|line| line.path)
}

/// What stands after the hole in a part of an address.
fn after(name: &str) -> &str {
    name.rsplit('}').next().unwrap_or_default()
}

/// Addresses that a page leads to.
fn links(page: &str) -> impl Iterator<Item = String> {
    page.split("href=\"").skip(1).filter_map(|rest| {
        let link = rest.split(['"', '#']).next()?.replace("&amp;", "&");
        (link.starts_with('/') && !link.starts_with("/static/")).then_some(link)
    })
}

/// Opens pages from home on, one of each line of the table.
fn walks(somebody: &mut Browser) {
    let mut to_open = VecDeque::from(["/".to_owned()]);
    let mut opened = BTreeSet::new();
    while let Some(path) = to_open.pop_front() {
        let bare = path.split('?').next().unwrap_or_default();
        let Some(line) = line_of(bare) else {
            continue;
        };
        if !opened.insert(line) {
            continue;
        }
        let answer = somebody.opens(&path);
        assert!(answer.status < 400, "{path}: {}", answer.status);
        to_open.extend(links(&answer.body));
    }
    assert!(opened.len() > 15, "only {opened:?} were opened");
}

/// Most queries by line of the table and by whether a member looked, from the log. Whoever signs in looks from there on;
/// the first of them are members.
fn counted(log: &str, members: usize) -> BTreeMap<(&'static str, bool), usize> {
    let (mut most, mut signed_in) = (BTreeMap::new(), 0);
    let mut queries: BTreeMap<String, usize> = BTreeMap::new();
    for line in log.lines() {
        let after = |mark: &str| line.split_once(mark).map(|(_, rest)| rest);
        if let Some(rest) = after("request{reference=\"") {
            let reference = rest.split('"').next().unwrap_or_default();
            if line.contains("sqlx::query:") {
                *queries.entry(reference.to_owned()).or_default() += 1;
            }
        } else if let Some(rest) = after("answered reference=\"") {
            let word = |mark: &str| {
                let rest = line.split_once(mark).map_or("", |(_, rest)| rest);
                rest.split(' ').next().unwrap_or_default()
            };
            let reference = rest.split('"').next().unwrap_or_default();
            let found = line_of(word("path=\"").trim_end_matches('"'));
            signed_in += usize::from(word("method=") == "POST");
            if let (Some(path), "GET", "200") = (found, word("method="), word("status=")) {
                let count = queries.get(reference).copied().unwrap_or(0);
                let entry = most.entry((path, signed_in <= members)).or_default();
                *entry = count.max(*entry);
            }
        }
    }
    most
}

#[test]
fn a_page_asks_six_times_for_members_and_ten_times_for_anybody_else() {
    let folder = tempfile::tempdir().unwrap();
    let mut command = command();
    command
        .env("RUST_LOG", "info,canewright=debug,sqlx::query=debug")
        .args(["demo", "--listen", "127.0.0.1:0", "--database"])
        .arg(folder.path().join("demo.db"));
    let program = Program::start(command);
    for name in ["june", "otis", "delia", "ruth"] {
        let mut somebody = program.browser();
        somebody.signs_in_as(name, PASSPHRASE);
        walks(&mut somebody);
    }
    let most = counted(&program.stops_and_tells(), 2);
    assert!(most.len() > 60, "too few pages: {most:?}");
    let mut wrong = Vec::new();
    for ((path, members), count) in most {
        let goal = if members { MEMBERS } else { OTHERS };
        let who = if members { "a member" } else { "crew" };
        // Told with --nocapture. Nobody may be listening any more; that is no reason to stop.
        let _ = writeln!(std::io::stdout(), "{count} {path} ({who})");
        if count > goal {
            wrong.push(format!(
                "{path} asks {count} times for {who}, more than {goal}"
            ));
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}
