//! What came by way of a phone's own store: when it was tapped by the phone's clock, how far that clock was
//! off, and the time of the tap by the mill's clock. Holds no clock itself.

use crate::units::UtcSecond;

/// Entries older than this count as made when they arrived, seconds: a phone whose battery was out begins
/// again years ago.
const OLDEST_S: i64 = 31 * 86_400;

/// What a phone says of an entry that it kept before it was sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FromPhone {
    /// The tap, by the phone's clock.
    pub tapped_at: UtcSecond,
    /// How far the phone's clock was ahead of the mill's at the last contact, seconds; negative: behind.
    pub ahead_s: Option<i64>,
}

impl FromPhone {
    /// The tap by the mill's clock. Never after the arrival; the arrival itself when the phone's clock
    /// cannot be believed (more than 31 days before it).
    pub fn said_at(self, arrived: UtcSecond) -> UtcSecond {
        let ahead = self.ahead_s.unwrap_or(0);
        let said = UtcSecond::new(self.tapped_at.get().saturating_sub(ahead));
        if said > arrived || arrived.get().saturating_sub(said.get()) > OLDEST_S {
            arrived
        } else {
            said
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ARRIVED: UtcSecond = UtcSecond::new(1_789_822_800);

    fn said(before_arrival: i64, ahead_s: Option<i64>) -> i64 {
        let phone = FromPhone {
            tapped_at: ARRIVED.plus(-before_arrival + ahead_s.unwrap_or(0)),
            ahead_s,
        };
        ARRIVED.get() - phone.said_at(ARRIVED).get()
    }

    #[test]
    fn a_tap_counts_by_the_mills_clock_however_wrong_the_phones_is() {
        assert_eq!(said(1200, Some(3 * 3600)), 1200);
        assert_eq!(said(1200, Some(-3 * 3600)), 1200);
        assert_eq!(said(1200, None), 1200);
    }

    #[test]
    fn a_tap_is_never_after_its_arrival_and_a_clock_that_began_again_is_not_believed() {
        assert_eq!(said(-30, Some(0)), 0);
        assert_eq!(said(40 * 86_400, Some(0)), 0);
        let reset = FromPhone {
            tapped_at: UtcSecond::new(0),
            ahead_s: Some(i64::MAX),
        };
        assert_eq!(reset.said_at(ARRIVED), ARRIVED);
    }
}
