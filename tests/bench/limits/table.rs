//! Figures of rounds, and how they are printed.

use super::phones::Round;
use std::io::Write as _;
use std::time::Duration;

/// What came of one page or form.
#[derive(Default)]
pub struct Figure {
    name: &'static str,
    /// What stands before the times.
    notes: Vec<String>,
    /// A second, of each round; and of what stands beside it.
    a_second: Vec<f64>,
    beside: Vec<f64>,
    ratios: Vec<f64>,
    times: Vec<Duration>,
}

impl Figure {
    pub fn of(name: &'static str, notes: Vec<String>) -> Self {
        Self {
            name,
            notes,
            ..Self::default()
        }
    }

    /// Adds a round beside a bare one.
    pub fn add(&mut self, real: Round, bare: &Round) {
        self.a_second.push(real.a_second);
        self.beside.push(bare.a_second);
        self.ratios.push(real.a_second / bare.a_second);
        self.times.extend(real.times);
    }
}

/// Of none, no number.
pub fn median(numbers: &mut [f64]) -> f64 {
    numbers.sort_by(f64::total_cmp);
    numbers.get(numbers.len() / 2).copied().unwrap_or(f64::NAN)
}

/// Prints all figures under the heads of their notes.
pub fn tell(heads: &[&str], beside: &str, figures: Vec<Figure>) {
    let columns = |all: &[String]| -> String {
        let all: Vec<String> = all.iter().map(|one| format!("{one:>9}")).collect();
        all.concat()
    };
    let heads: Vec<String> = heads.iter().map(|head| (*head).to_owned()).collect();
    say(&format!(
        "{:26}{}{:>10}{:>10}{:>22}{:>9}{:>9}",
        "",
        columns(&heads),
        "a second",
        "bare",
        beside,
        "p50 ms",
        "p99 ms"
    ));
    for mut figure in figures {
        figure.times.sort();
        let of_100 = |part: usize| {
            let last = figure.times.len().saturating_sub(1);
            let at = figure
                .times
                .get((figure.times.len() * part / 100).min(last));
            at.map_or(f64::NAN, |took| took.as_secs_f64() * 1000.0)
        };
        let (half, most) = (of_100(50), of_100(99));
        let ratio = median(&mut figure.ratios);
        let end = |at: Option<&f64>| at.copied().unwrap_or(f64::NAN);
        let (least, greatest) = (end(figure.ratios.first()), end(figure.ratios.last()));
        say(&format!(
            "{:26}{}{:>10.0}{:>10.0}{:>22}{half:>9.2}{most:>9.2}",
            figure.name,
            columns(&figure.notes),
            median(&mut figure.a_second),
            median(&mut figure.beside),
            format!("{ratio:.2} ({least:.2} to {greatest:.2})"),
        ));
    }
}

/// What the process holds, MB; not known: no number.
pub fn memory_mb() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let kb = status.lines().find_map(|line| line.strip_prefix("VmRSS:"));
    kb.and_then(|kb| kb.trim().trim_end_matches(" kB").parse::<f64>().ok())
        .map_or(f64::NAN, |kb| kb / 1024.0)
}

/// Prints a line.
pub fn say(line: &str) {
    // Nobody may be listening any more; that is no reason to stop.
    let _ = writeln!(std::io::stdout(), "{line}");
}
