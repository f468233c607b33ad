//! The one writer is held for the shortest time: what grows with the season is not read while it is.

use crate::{code, files, root};

/// Reads that take the longer, the more was booked, weighed in or divided.
const GROWS: [&str; 7] = [
    "turn_habit::of_season(",
    "DayRoom::read(",
    "DivisionInputs::read(",
    "season_solids(",
    "refunds(",
    "rules_beforehand(",
    "Touched::read(",
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
