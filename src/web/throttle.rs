//! How often a probe may send, and how often a sign-in may fail: per name and per address, within a window. Nobody is shut out for
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
/// Times that a probe may send within [`PROBE_WINDOW_S`]: one in two seconds.
const PROBE_TIMES: usize = 30;
/// The window of a probe, in seconds.
const PROBE_WINDOW_S: i64 = 60;
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

    /// Notes that a probe sends, unless it does so too often: then the seconds until it may again.
    pub fn too_often(&self, sender: &str, at: UtcSecond) -> Option<i64> {
        let mut all = self
            .0
            .lock()
            .unwrap_or_else(std::sync::PoisonError::into_inner);
        if all.len() > MOST {
            all.retain(|_, times| times.last().is_some_and(|t| at.get() - t < WINDOW_S));
        }
        let times = all.entry(format!("p:{sender}")).or_default();
        times.retain(|t| at.get() - t < PROBE_WINDOW_S);
        if times.len() >= PROBE_TIMES {
            return times.first().map(|t| t + PROBE_WINDOW_S - at.get());
        }
        times.push(at.get());
        None
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

    #[test]
    fn a_probe_may_send_thirty_times_a_minute_and_each_for_itself() {
        let throttle = Throttle::default();
        let at = |s: i64| UtcSecond::new(1_000_000 + s);
        for s in 0..30 {
            assert_eq!(throttle.too_often("a", at(s)), None);
        }
        assert_eq!(throttle.too_often("a", at(30)), Some(30));
        assert_eq!(throttle.too_often("b", at(30)), None);
        // What was turned away does not count: the first of the thirty leaves the window.
        assert_eq!(throttle.too_often("a", at(60)), None);
        assert_eq!(throttle.too_often("a", at(60)), Some(1));
    }
}
