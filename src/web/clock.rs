//! The clock: the only file that asks what time it is.

use crate::units::UtcSecond;
use std::sync::{Mutex, PoisonError};
use std::time::Instant;
use time::OffsetDateTime;

/// Seconds that the system's clock may run off between two looks and be followed at once.
const FOLLOWED_S: i64 = 60;
/// Seconds that a clock that jumped must stand by its jump before it is followed.
const STANDS_S: i64 = 300;

/// The system's clock without its short jumps: one that is set wrong for a minute ends no session and lets no
/// offer lapse. Between two looks time goes on as the machine counts it.
#[derive(Debug, Clone, Copy, Default)]
struct Steady {
    /// The machine's count at the last look, and the time told then, both in seconds.
    last: Option<(i64, i64)>,
    /// The machine's count when the clock was first seen to have jumped.
    jumped: Option<i64>,
}

impl Steady {
    /// The time to tell, from the machine's count of seconds and the system's clock.
    fn tell(&mut self, count: i64, clock: i64) -> i64 {
        let Some((then, told)) = self.last else {
            self.last = Some((count, clock));
            return clock;
        };
        let expected = told + (count - then);
        let off = (clock - expected).abs();
        let since = if off <= FOLLOWED_S {
            self.jumped = None;
            count - STANDS_S
        } else {
            *self.jumped.get_or_insert_with(|| {
                tracing::warn!(
                    "The system's clock jumped by {} s. It is not followed unless it stands by that for {STANDS_S} s.",
                    clock - expected
                );
                count
            })
        };
        let tells = if count - since >= STANDS_S {
            if self.jumped.take().is_some() {
                tracing::warn!("The system's clock is followed again.");
            }
            clock
        } else {
            expected
        };
        self.last = Some((count, tells));
        tells
    }
}

/// The time of the system, steadied.
fn steady() -> i64 {
    static STEADY: Mutex<(Option<Instant>, Steady)> = Mutex::new((
        None,
        Steady {
            last: None,
            jumped: None,
        },
    ));
    let mut held = STEADY.lock().unwrap_or_else(PoisonError::into_inner);
    let begun = *held.0.get_or_insert_with(Instant::now);
    let count = i64::try_from(begun.elapsed().as_secs()).unwrap_or(i64::MAX);
    held.1
        .tell(count, OffsetDateTime::now_utc().unix_timestamp())
}

/// The source of the time.
#[derive(Debug, Clone, Copy)]
pub enum Clock {
    /// The system's clock, without its short jumps.
    System,
    /// The system's clock put forward by this many seconds: the demo opens at a chosen hour.
    Shifted(i64),
    /// Always the same instant, for tests.
    Fixed(UtcSecond),
}

impl Clock {
    /// The time at this moment.
    pub fn read(self) -> UtcSecond {
        match self {
            Self::System => UtcSecond::new(steady()),
            Self::Shifted(by) => UtcSecond::new(steady() + by),
            Self::Fixed(at) => at,
        }
    }

    /// A clock that reads `at` when made and runs on from there.
    pub fn starting_at(at: UtcSecond) -> Self {
        Self::Shifted(at.get() - steady())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The times told second by second, by a clock that is wrong by `off` from second 100 to before second `until`.
    fn told(off: i64, until: i64) -> Vec<i64> {
        let mut steady = Steady::default();
        let clock = |s: i64| {
            if (100..until).contains(&s) {
                s + off
            } else {
                s
            }
        };
        (0..1000).map(|s| steady.tell(s, clock(s))).collect()
    }

    #[test]
    fn a_clock_that_is_wrong_for_a_minute_is_not_followed() {
        for off in [-3 * 3600, 365 * 86_400] {
            let told = told(off, 160);
            assert!(told.iter().zip(0..).all(|(told, s)| *told == s), "{off}");
        }
    }

    #[test]
    fn a_clock_that_stands_by_its_jump_is_followed_after_five_minutes_and_back() {
        let told = told(7200, 800);
        for (s, at) in (0_i64..).zip(&told) {
            let expected = if s < 400 { s } else { s + 7200 };
            assert_eq!(*at, expected, "at {s}");
        }
    }

    #[test]
    fn a_clock_that_is_set_right_by_a_few_seconds_is_followed_at_once() {
        let told = told(-5, 1000);
        assert_eq!((told[99], told[100], told[101]), (99, 95, 96));
    }
}
