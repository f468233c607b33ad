//! The quickest of several rounds of the same work, and how it is printed beside half of the work.

use std::io::Write;
use std::time::{Duration, Instant};

/// The quickest of so many rounds is the one that was least disturbed by other programs.
const ROUNDS: usize = 5;

/// How long the work takes, ms: the quickest of five rounds. What it gives is not used, but made.
///
/// # Errors
/// As the work itself, which looks over what comes out.
pub fn quickest(mut work: impl FnMut() -> anyhow::Result<()>) -> anyhow::Result<f64> {
    let mut least = Duration::MAX;
    for _ in 0..ROUNDS {
        let begun = Instant::now();
        work()?;
        least = least.min(begun.elapsed());
    }
    Ok(least.as_secs_f64() * 1000.0)
}

/// How long it takes this machine to sort a million numbers that lie in no order, ms: a measure of the
/// machine, of nothing of ours.
///
/// # Errors
/// Never.
pub fn yardstick() -> anyhow::Result<f64> {
    let mixed: Vec<u64> = (0..1_000_000_u64)
        .map(|n| n.wrapping_mul(0x9e37_79b9_7f4a_7c15).rotate_left(31))
        .collect();
    quickest(|| {
        let mut sorted = mixed.clone();
        sorted.sort_unstable();
        anyhow::ensure!(sorted.is_sorted(), "not sorted");
        std::hint::black_box(sorted);
        Ok(())
    })
}

/// Heads the lines of [`tell`].
pub fn head(yardstick: f64) {
    say(&format!(
        "Quickest of {ROUNDS} rounds. “Half”: times the same for half as much. “Sorts”: times this\n\
         machine takes to sort a million numbers ({yardstick:.1} ms).\n\n\
         {:50}{:>10}{:>8}{:>9}",
        "", "ms", "half", "sorts"
    ));
}

/// Prints one work: its name, its time, and that of half as much, ms.
pub fn tell(name: &str, whole: f64, half: f64, yardstick: f64) {
    say(&format!(
        "{name:50}{whole:>10.2}{:>8.2}{:>9.3}",
        whole / half,
        whole / yardstick
    ));
}

fn say(line: &str) {
    // Nobody may be listening any more; that is no reason to stop.
    let _ = writeln!(std::io::stdout(), "{line}");
}
