//! The one writer is held for the shortest time: what grows with the season is not read while it is.

use crate::{code, files, root};

/// Reads that take the longer, the more was booked, weighed in or divided.
const GROWS: [&str; 8] = [
    "turn_habit::of_season(",
    "DayRoom::read(",
    "DivisionInputs::read(",
    "season_solids(",
    "refunds(",
    "rules_beforehand(",
    "Touched::read(",
    "StillSo::read(",
];

/// How those begin that are read again inside, since something was recorded after they were read before.
const AGAIN: &str = "None =>";

#[test]
fn what_grows_with_the_season_is_read_before_the_writer_is_waited_for() {
    let mut wrong = Vec::new();
    let mut before = 0;
    for path in files("src/actions", ".rs") {
        let lines = code(&path);
        for (at, (n, line)) in lines.iter().enumerate() {
            let Some(read) = GROWS.iter().find(|read| line.contains(**read)) else {
                continue;
            };
            let held = line.contains("(&mut tx") || line.contains("(tx");
            let again = lines[at.saturating_sub(2)..=at]
                .iter()
                .any(|(_, line)| line.contains(AGAIN));
            if held && !again {
                let path = path.strip_prefix(root()).unwrap().display();
                wrong.push(format!("{path}:{n}: {read}"));
            } else if !held {
                before += 1;
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(
        before >= 4,
        "only {before} reads before the writer are left to look at"
    );
}

/// How a transaction ends: kept with its form, committed, or handed to who does so.
fn ends(line: &str) -> bool {
    let handed = ["(tx,", "(tx)", " tx)", " tx,"];
    line.contains("commit") || line.contains("finish") || handed.iter().any(|h| line.contains(h))
}

#[test]
fn who_only_reads_does_not_wait_for_the_writer() {
    let mut wrong = Vec::new();
    let mut begun = 0;
    for path in files("src/actions", ".rs") {
        let lines = code(&path);
        for (at, (n, line)) in lines.iter().enumerate() {
            if !line.contains("begin!(") && !line.contains("writer.begin().await") {
                continue;
            }
            begun += 1;
            let indent = |line: &str| line.len() - line.trim_start().len();
            let block = lines[at + 1..]
                .iter()
                .take_while(|(_, l)| l.trim().is_empty() || indent(l) >= indent(line));
            // Whether the writer can be had at all is tried by taking it.
            let tried = line.contains(".map(drop)");
            if !tried && !block.into_iter().any(|(_, line)| ends(line)) {
                let path = path.strip_prefix(root()).unwrap().display();
                wrong.push(format!("{path}:{n}: begun, and never kept"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(begun > 100, "only {begun} transactions are seen");
}
