//! The clock: the only file that asks what time it is.

use crate::units::UtcSecond;
use time::OffsetDateTime;

/// Where the time comes from.
#[derive(Debug, Clone, Copy)]
pub enum Clock {
    /// The system's clock.
    System,
    /// The system's clock, so many seconds on: the demo opens at a chosen hour.
    Shifted(i64),
    /// Always the same instant, for tests.
    Fixed(UtcSecond),
}

impl Clock {
    /// This instant.
    pub fn read(self) -> UtcSecond {
        let system = || OffsetDateTime::now_utc().unix_timestamp();
        match self {
            Self::System => UtcSecond::new(system()),
            Self::Shifted(by) => UtcSecond::new(system() + by),
            Self::Fixed(at) => at,
        }
    }

    /// A clock that reads `at` when made and runs on from there.
    pub fn starting_at(at: UtcSecond) -> Self {
        Self::Shifted(at.get() - OffsetDateTime::now_utc().unix_timestamp())
    }
}
