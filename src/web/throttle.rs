//! How often a sign-in may fail: per name and per address, within a window. Nobody is shut out for
//! good: the window passes, and a steward's invitation always opens another way.

use crate::units::UtcSecond;
use std::collections::HashMap;
use std::sync::{Arc, Mutex};

/// Failures allowed for one name within the window.
const NAME_TRIES: usize = 5;
/// Failures allowed from one address within the window: a whole mill may share one.
const ADDRESS_TRIES: usize = 30;
/// The window, in seconds.
const WINDOW_S: i64 = 15 * 60;
/// Most names and addresses remembered at once.
const MOST: usize = 10_000;

/// Failures remembered, in memory: a restart forgets them.
#[derive(Debug, Clone, Default)]
pub struct Throttle(Arc<Mutex<HashMap<String, Vec<i64>>>>);

impl Throttle {
    /// Seconds until this name or address may try again; `None`: at once.
    pub fn wait(&self, name: &str, address: &str, at: UtcSecond) -> Option<i64> {
        let failures = self
            .0
            .lock()
            .unwrap_or_else(std::sync::PoisonError::into_inner);
        let left = |key: String, tries: usize| {
            let times = failures.get(&key)?;
            let recent: Vec<i64> = times
                .iter()
                .copied()
                .filter(|t| at.get() - t < WINDOW_S)
                .collect();
            (recent.len() >= tries).then(|| recent.first().map_or(0, |t| t + WINDOW_S - at.get()))
        };
        left(format!("n:{name}"), NAME_TRIES).max(left(format!("a:{address}"), ADDRESS_TRIES))
    }

    /// Notes a failure.
    pub fn failed(&self, name: &str, address: &str, at: UtcSecond) {
        let mut failures = self
            .0
            .lock()
            .unwrap_or_else(std::sync::PoisonError::into_inner);
        if failures.len() > MOST {
            failures.retain(|_, times| times.last().is_some_and(|t| at.get() - t < WINDOW_S));
        }
        for key in [format!("n:{name}"), format!("a:{address}")] {
            let times = failures.entry(key).or_default();
            times.retain(|t| at.get() - t < WINDOW_S);
            times.push(at.get());
        }
    }

    /// Forgets a name's failures after a success.
    pub fn succeeded(&self, name: &str) {
        let mut failures = self
            .0
            .lock()
            .unwrap_or_else(std::sync::PoisonError::into_inner);
        failures.remove(&format!("n:{name}"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sixth_failure_waits_and_the_window_passes() {
        let throttle = Throttle::default();
        let at = |s: i64| UtcSecond::new(1_000_000 + s);
        for s in 0..5 {
            assert_eq!(throttle.wait("ruth", "10.0.0.1", at(s)), None);
            throttle.failed("ruth", "10.0.0.1", at(s));
        }
        assert_eq!(throttle.wait("ruth", "10.0.0.9", at(10)), Some(890));
        assert_eq!(throttle.wait("amos", "10.0.0.1", at(10)), None);
        assert_eq!(throttle.wait("ruth", "10.0.0.9", at(905)), None);
        throttle.succeeded("ruth");
        assert_eq!(throttle.wait("ruth", "10.0.0.9", at(10)), None);
    }
}
