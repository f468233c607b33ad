//! The crates that the program is built from: their licences may be used, and none stands beside another that does the
//! same. Read from cargo itself, without network. What is known of faults in them (advisories) is looked up by
//! `cargo deny` in `.ci/run` where that is installed, and its database can be reached.

use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::process::Command;

/// Licences (SPDX) that let anybody use, change and hand on, with the text kept.
const LICENCES: [&str; 10] = [
    "MIT",
    "Apache-2.0",
    "BSD-3-Clause",
    "ISC",
    "0BSD",
    "Zlib",
    "Unlicense",
    "BSL-1.0",
    "Unicode-3.0",
    // The list of certificate authorities in webpki-roots: data, no code.
    "CDLA-Permissive-2.0",
];

/// Crates that others still ask for in two versions; one more, or one less, is to be looked at.
const TWICE: [&str; 9] = [
    "base64",
    "block-buffer",
    "cpufeatures",
    "crypto-common",
    "digest",
    "getrandom",
    "hashbrown",
    "sha2",
    "syn",
];

/// Crates that do the same: of each row one at most.
const SAME: [&[&str]; 8] = [
    // jiff stands beside time: the one for zones, in one file alone, the other for dates.
    &["chrono", "time"],
    &["openssl", "native-tls", "rustls"],
    &["reqwest", "ureq", "isahc"],
    &["axum", "actix-web", "warp", "rocket"],
    &["rusqlite", "diesel", "sqlx"],
    &["askama", "tera", "handlebars", "minijinja"],
    &["bcrypt", "scrypt", "argon2"],
    &["log4rs", "env_logger", "slog", "tracing-subscriber"],
];

/// What cargo says of the crates.
fn metadata() -> Value {
    let cargo = option_env!("CARGO").unwrap_or("cargo");
    let said = Command::new(cargo)
        .args(["metadata", "--offline", "--locked", "--format-version", "1"])
        .args(["--filter-platform", "x86_64-unknown-linux-gnu"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    let why = String::from_utf8_lossy(&said.stderr);
    assert!(said.status.success(), "{why}");
    serde_json::from_slice(&said.stdout).unwrap()
}

fn text<'a>(of: &'a Value, name: &str) -> &'a str {
    of[name].as_str().unwrap_or_default()
}

fn list<'a>(of: &'a Value, name: &str) -> &'a [Value] {
    of[name].as_array().map_or(&[], Vec::as_slice)
}

/// The crates that are part of the program, and not only of its tests.
fn in_the_program(metadata: &Value) -> Vec<&Value> {
    let nodes: BTreeMap<&str, &Value> = list(&metadata["resolve"], "nodes")
        .iter()
        .map(|node| (text(node, "id"), node))
        .collect();
    let mut open = vec![text(&metadata["resolve"], "root")];
    let mut seen = BTreeSet::new();
    while let Some(id) = open.pop() {
        if !seen.insert(id) {
            continue;
        }
        for of in list(nodes[id], "deps") {
            let kinds = list(of, "dep_kinds");
            if kinds.iter().any(|kind| kind["kind"] != "dev") {
                open.push(text(of, "pkg"));
            }
        }
    }
    let all = list(metadata, "packages").iter();
    all.filter(|package| seen.contains(text(package, "id")))
        .collect()
}

/// Whether an SPDX expression can be met with the licences that may be used: of an OR one, of an AND all.
fn may_be_used(expression: &str) -> bool {
    let plain = expression.replace(['(', ')'], "").replace('/', " OR ");
    plain.split(" AND ").all(|all| {
        all.split(" OR ").any(|one| {
            let name = one.split(" WITH ").next().unwrap_or_default().trim();
            LICENCES.contains(&name)
        })
    })
}

#[test]
fn every_crate_may_be_used_by_its_licence() {
    let metadata = metadata();
    let crates = in_the_program(&metadata);
    assert!(crates.len() > 100, "{}", crates.len());
    let not: Vec<&str> = crates
        .iter()
        .filter(|package| !may_be_used(text(package, "license")))
        .map(|package| text(package, "name"))
        .collect();
    assert!(not.is_empty(), "{not:?}");
    assert!(!may_be_used("GPL-3.0-only") && !may_be_used(""));
    assert!(!may_be_used("MIT AND GPL-3.0-only") && may_be_used("GPL-2.0 OR MIT"));
}

#[test]
fn no_crate_stands_beside_another_that_does_the_same() {
    let metadata = metadata();
    let mut versions: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for package in in_the_program(&metadata) {
        let (name, version) = (text(package, "name"), text(package, "version"));
        versions.entry(name).or_default().insert(version);
    }
    let twice: Vec<&str> = versions
        .iter()
        .filter(|(_, versions)| versions.len() > 1)
        .map(|(name, _)| *name)
        .collect();
    assert_eq!(twice, TWICE, "{versions:?}");
    let root = list(&metadata, "packages")
        .iter()
        .find(|p| text(p, "name") == "canewright");
    let asked: BTreeSet<&str> = list(root.unwrap(), "dependencies")
        .iter()
        .map(|of| text(of, "name"))
        .collect();
    for row in SAME {
        let both: Vec<&&str> = row.iter().filter(|name| asked.contains(**name)).collect();
        assert!(both.len() <= 1, "{both:?} do the same");
    }
}
