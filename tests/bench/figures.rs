//! Times by kind of request, and how they are printed.

use std::collections::BTreeMap;
use std::io::Write;
use std::time::Duration;

/// What was timed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    Home,
    Days,
    Book,
    Turn,
    Booked,
    ToldNo,
    Bare,
}

/// The rows that are printed: a name and the kinds it takes together.
const ROWS: [(&str, &[Kind]); 9] = [
    ("GET home", &[Kind::Home]),
    ("GET press days", &[Kind::Days]),
    ("GET free starts of a day", &[Kind::Book]),
    ("GET the turn taken", &[Kind::Turn]),
    (
        "GET, all of them",
        &[Kind::Home, Kind::Days, Kind::Book, Kind::Turn],
    ),
    ("POST, turn taken (303)", &[Kind::Booked]),
    ("POST, told no (409)", &[Kind::ToldNo]),
    ("POST, all of them", &[Kind::Booked, Kind::ToldNo]),
    ("bare limit (same SQL, no rules)", &[Kind::Bare]),
];

/// All times of a run.
#[derive(Debug, Default)]
pub struct Figures(BTreeMap<Kind, Vec<Duration>>);

impl Figures {
    pub fn add(&mut self, seen: Vec<(Kind, Duration)>) {
        for (kind, took) in seen {
            self.0.entry(kind).or_default().push(took);
        }
    }

    pub fn lay(&mut self, kind: Kind, times: Vec<Duration>) {
        self.0.insert(kind, times);
    }

    fn of(&self, kinds: &[Kind]) -> Sorted {
        let mut all: Vec<Duration> = kinds
            .iter()
            .filter_map(|kind| self.0.get(kind))
            .flatten()
            .copied()
            .collect();
        all.sort();
        Sorted(all)
    }

    pub fn say(&self) {
        say(&format!(
            "{:32}{:>7}{:>10}{:>10}{:>10}",
            "", "count", "p50 ms", "p99 ms", "max ms"
        ));
        for (name, kinds) in ROWS {
            let times = self.of(kinds);
            let (half, most, worst) = (times.percent(50), times.percent(99), times.percent(100));
            let count = times.0.len();
            say(&format!(
                "{name:32}{count:>7}{half:>10.2}{most:>10.2}{worst:>10.2}"
            ));
        }
        let (taken, bare) = (self.of(&[Kind::Booked]), self.of(&[Kind::Bare]));
        say(&format!(
            "A turn taken through the site takes {:.1} times the bare limit at p50, {:.1} times at p99.",
            taken.percent(50) / bare.percent(50),
            taken.percent(99) / bare.percent(99),
        ));
    }
}

struct Sorted(Vec<Duration>);

impl Sorted {
    /// Of all times the least that so many of a hundred do not exceed (nearest rank), ms; of none,
    /// no number.
    fn percent(&self, of_100: usize) -> f64 {
        let rank = (self.0.len() * of_100).div_ceil(100);
        let at = self.0.get(rank.saturating_sub(1));
        at.map_or(f64::NAN, |took| took.as_secs_f64() * 1000.0)
    }
}

/// Prints a line.
pub fn say(line: &str) {
    // Nobody may be listening any more; that is no reason to stop.
    let _ = writeln!(std::io::stdout(), "{line}");
}
