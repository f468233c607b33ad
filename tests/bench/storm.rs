//! A storm of kills: `cargo bench --bench storm -- --kills 1000`. The server is killed (SIGKILL) while three browsers send
//! forms, started again, and in the end every acknowledged member is looked for. Ends with an error when one is lost or
//! stands twice. A kill leaves what the system has taken; a power cut is tried elsewhere (`tests/trust/power.rs`).
#![expect(clippy::unwrap_used, reason = "a storm that cannot go on should stop")]

#[path = "../trust/program.rs"]
#[expect(dead_code, reason = "shared with the tests of trust")]
mod program;
#[path = "../trust/storm.rs"]
mod storm;

use std::io::Write;
use std::time::Instant;

/// Kills unless told otherwise.
const KILLS: usize = 1000;

fn main() {
    let told: Vec<String> = std::env::args().collect();
    let place = told.iter().position(|word| word == "--kills");
    let kills = place
        .and_then(|at| told.get(at + 1)?.parse().ok())
        .unwrap_or(KILLS);
    let begun = Instant::now();
    let storm = storm::storm(kills);
    let told = format!(
        "{} kills in {:.0} s: {} acknowledged, {} lost, {} doubled\n",
        storm.kills,
        begun.elapsed().as_secs_f64(),
        storm.acknowledged,
        storm.lost,
        storm.doubled
    );
    std::io::stdout()
        .write_all(told.as_bytes())
        .expect("the result is told");
    assert_eq!((storm.lost, storm.doubled), (0, 0));
}
