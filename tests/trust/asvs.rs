//! OWASP ASVS 5.0.0 up to level 2, and rows of level 3 that are met: each with the test that shows it, or why it does not
//! apply, or that it is not met. The rows stand in `asvs.csv`; numbers marked "looked up" were read in OWASP's own list,
//! the others are from memory; the words are ours.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

/// Rows that apply and are not met; one more, or one less, is to be looked at.
const NOT_MET: usize = 0;

/// Every test in the sources, by its name.
fn tests_in(folder: &Path, found: &mut BTreeSet<String>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            let other = path
                .file_name()
                .is_some_and(|n| n == "node_modules" || n == ".venv");
            if !other {
                tests_in(&path, found);
            }
        } else if path.extension().is_some_and(|e| e == "rs") {
            let text = fs::read_to_string(&path).unwrap();
            let mut marked = false;
            for line in text.lines().map(str::trim) {
                if line == "#[test]" || line.starts_with("#[tokio::test") {
                    marked = true;
                } else if let Some((_, rest)) = line.split_once("fn ").filter(|_| marked) {
                    let name = rest.split('(').next().unwrap_or_default();
                    found.insert(name.to_owned());
                    marked = false;
                }
            }
        }
    }
}

#[test]
fn every_row_of_the_list_has_its_test_or_a_reason() {
    let top = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut tests = BTreeSet::new();
    for folder in ["src", "tests"] {
        tests_in(&top.join(folder), &mut tests);
    }
    assert!(tests.len() > 500, "{}", tests.len());
    let mut rows = csv::Reader::from_reader(include_str!("asvs.csv").as_bytes());
    let (mut count, mut not_met, mut seen) = (0, 0, BTreeSet::new());
    for row in rows.records() {
        let row = row.unwrap();
        let (id, shown) = (&row[0], &row[3]);
        assert!(
            seen.insert((id.to_owned(), row[2].to_owned())),
            "{id} twice"
        );
        count += 1;
        if shown.starts_with("not met: ") {
            not_met += 1;
        } else if let Some(reason) = shown.strip_prefix("does not apply: ") {
            assert!(reason.len() > 20, "{id}: {reason}");
        } else {
            assert!(tests.contains(shown), "{id}: there is no test {shown}");
        }
    }
    assert!(count >= 64, "{count} rows");
    assert_eq!(not_met, NOT_MET);
}
