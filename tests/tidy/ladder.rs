//! The ladder of floors: who may use whom, and what a floor never says or does.

use crate::{FLOORS, code, files, house, root};
use std::collections::BTreeSet;

/// Words a floor never says outside its tests and comments.
const NEVER: [(&str, &[&str]); 6] = [
    ("units", &["axum", "askama", "tokio", "query!", "async fn"]),
    (
        "calc",
        &["sqlx", "axum", "askama", "tokio", "async ", " now"],
    ),
    ("store", &["axum", "askama"]),
    (
        "facts",
        &["axum", "askama", "query!", "query(", "query_as", ".begin("],
    ),
    (
        "actions",
        &["axum", "askama", "query!", "query(", "query_as"],
    ),
    ("web", &["sqlx", ".begin(", ".snapshot("]),
];

/// What stands beside the floors and is used by some, with by whom: `files` looks at what lies on the disk.
const BESIDE: [(&str, &str); 2] = [("store", "files"), ("actions", "files")];

/// How high a module stands; none for what stands beside the floors.
fn height(module: &str) -> Option<usize> {
    let floor = module.split("::").next().unwrap_or_default();
    FLOORS.iter().position(|f| *f == floor)
}

/// The first part of a path.
fn first(module: &str) -> &str {
    module.split("::").next().unwrap_or_default()
}

#[test]
fn no_floor_uses_one_above_it_nor_what_stands_beside_them() {
    let house = house();
    let mut wrong = Vec::new();
    let mut climbs = 0;
    for (from, targets) in &house.arrows {
        let Some(own) = height(from) else { continue };
        for to in targets {
            match height(to) {
                Some(other) if other > own => wrong.push(format!("{from} uses {to}")),
                Some(other) => climbs += usize::from(other < own),
                None if BESIDE.contains(&(first(from), first(to))) => {}
                None => wrong.push(format!("{from} uses {to}, which stands beside the floors")),
            }
        }
    }
    assert!(climbs > 600, "only {climbs} arrows between floors are seen");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn no_floor_says_its_forbidden_words() {
    let mut wrong = Vec::new();
    for (height, (floor, never)) in NEVER.iter().enumerate() {
        assert_eq!(FLOORS[height], *floor);
        for path in files(&format!("src/{floor}"), ".rs") {
            // The one file through which every moment is opened.
            let door = path.ends_with("web/moment.rs");
            for (n, line) in code(&path) {
                let at = format!("{}:{n}", path.strip_prefix(root()).unwrap().display());
                for word in never.iter().filter(|w| !(door && **w == ".snapshot(")) {
                    if line.contains(word) {
                        wrong.push(format!("{at}: {floor} never says “{}”", word.trim()));
                    }
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The name after `fn` on a line.
fn function_on(line: &str) -> Option<&str> {
    let after = line.split_once("fn ")?.1;
    let end = after.find(|c: char| !(c.is_alphanumeric() || c == '_'))?;
    Some(&after[..end])
}

/// The functions of the store that write.
fn writing() -> BTreeSet<String> {
    let mut out = BTreeSet::new();
    for path in files("src/store", ".rs") {
        let mut name = String::new();
        for (_, line) in code(&path) {
            if let Some(found) = function_on(&line) {
                found.clone_into(&mut name);
            }
            let query = line.split_once('"').map_or("", |(_, query)| query);
            let words = ["insert into", "insert or", "update ", "delete from"];
            if words.iter().any(|w| query.trim_start().starts_with(w)) {
                out.insert(name.clone());
            }
        }
    }
    out
}

#[test]
fn facts_and_pages_call_nothing_of_the_store_that_writes() {
    let writing = writing();
    assert!(writing.len() > 90, "only {} functions write", writing.len());
    let mut wrong = Vec::new();
    for path in files("src/facts", ".rs")
        .into_iter()
        .chain(files("src/web", ".rs"))
    {
        let text = std::fs::read_to_string(&path).unwrap();
        for (n, line) in code(&path) {
            for name in &writing {
                // Through a module of the store that the file takes.
                let called = line
                    .split_once(&format!("::{name}("))
                    .and_then(|(before, _)| {
                        let from = before.rfind(|c: char| !(c.is_alphanumeric() || c == '_'));
                        let module = &before[from.map_or(0, |at| at + 1)..];
                        let of_store = |line: &str| line.contains("store") && line.contains(module);
                        let own = text.contains(&format!("mod {module};"));
                        text.lines()
                            .any(|line| line.starts_with("use ") && of_store(line) && !own)
                            .then_some(module)
                    });
                if let Some(module) = called {
                    let path = path.strip_prefix(root()).unwrap().display();
                    wrong.push(format!("{path}:{n}: {module}::{name} writes"));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// What the store may call of `calc`: the digest of a record, which is no figure.
const DIGESTS: [&str; 2] = ["digest", "sha256_hex"];

#[test]
fn the_store_takes_kinds_from_calc_and_never_a_sum_but_a_digest() {
    // A kind is written with a capital letter; a function, or a module to call one through, is not.
    let sums: Vec<String> = files("src/store", ".rs")
        .into_iter()
        .flat_map(|path| {
            let lines = code(&path);
            let text: String = lines.iter().map(|(_, line)| line.as_str()).collect();
            let taken: Vec<String> = text.split("calc::").skip(1).flat_map(names).collect();
            taken
                .iter()
                .filter(|name| !name.starts_with(char::is_uppercase))
                .filter(|name| !DIGESTS.contains(&name.as_str()))
                .map(|name| format!("{}: {name}", path.display()))
                .collect::<Vec<_>>()
        })
        .collect();
    assert!(sums.is_empty(), "{sums:#?}");
}

/// The last names of a path, all of those in its braces: of `turns::day_room::{Limit, Room}` both.
fn names(path: &str) -> Vec<String> {
    let (before, inside) = match path.split_once('{') {
        Some((before, rest)) if before.ends_with("::") && !before.contains(';') => {
            ("", rest.split('}').next().unwrap_or_default())
        }
        _ => (path.split([';', ')', ',']).next().unwrap_or_default(), ""),
    };
    let all = inside.split(',').chain([before]).map(str::trim);
    let all = all.filter(|name| !name.is_empty() && *name != "self");
    all.map(|name| name.rsplit("::").next().unwrap_or(name).to_owned())
        .collect()
}
