//! What may be done with a turn as its time comes: confirm it, move it before the cut-off, note it
//! as missed. Never knows whose it is.

use crate::calc::RuleRefusal;
use crate::units::{ClockTime, PressDate, UtcSecond, Zone};

/// Days before its press day from which a turn is confirmed.
pub const CONFIRM_DAYS: i64 = 2;

/// Seconds for which booking and moving can be undone by whoever did it: ten minutes (our own choice).
pub const UNDO_S: i64 = 600;

/// A turn as its time is looked at.
#[derive(Debug, Clone, Copy)]
pub struct When<'a> {
    /// Its press day.
    pub date: PressDate,
    /// Its start.
    pub start: ClockTime,
    /// The co-op's zone.
    pub zone: &'a Zone,
    /// The moment at which it is looked at.
    pub at: UtcSecond,
}

impl When<'_> {
    /// The first day on which its member is asked to confirm it: two days before its press day.
    pub fn confirms_from(self) -> PressDate {
        self.date.plus_days(-CONFIRM_DAYS)
    }

    /// Whether its member is asked to confirm it: from that day until it begins.
    pub fn to_confirm(self) -> bool {
        self.zone.local(self.at).0 >= self.confirms_from() && !self.begun()
    }

    /// When it begins; it can be confirmed until then.
    pub fn starts(self) -> UtcSecond {
        self.zone.at(self.date, self.start)
    }

    /// Whether its start is past.
    pub fn begun(self) -> bool {
        self.starts() <= self.at
    }

    /// Whether it may be confirmed.
    ///
    /// # Errors
    /// It is more than two days away, or has begun.
    pub fn may_confirm(self) -> Result<(), RuleRefusal> {
        if self.to_confirm() {
            return Ok(());
        }
        Err(if self.begun() {
            RuleRefusal::new(
                "begun",
                "This turn has begun; it needs no confirming any more.",
            )
        } else {
            RuleRefusal::new(
                "confirm-early",
                format!(
                    "This turn can be confirmed from {} on.",
                    self.confirms_from().show()
                ),
            )
        })
    }

    /// Whether its member may still move it or give it up, `cutoff_h` hours before it.
    ///
    /// # Errors
    /// The cut-off has passed: when that was is said.
    pub fn before_cutoff(self, cutoff_h: i64) -> Result<(), RuleRefusal> {
        let last = self.starts().plus(-cutoff_h * 3600);
        if cutoff_h == 0 || self.at <= last {
            return Ok(());
        }
        Err(RuleRefusal::new(
            "cut-off",
            format!(
                "A turn can be moved or cancelled until {cutoff_h} h before it begins; for this one that was {}. Please call the crew.",
                self.zone.show(last)
            ),
        ))
    }

    /// Whether it may be noted as missed: once it has begun.
    ///
    /// # Errors
    /// It is still to come.
    pub fn may_be_missed(self) -> Result<(), RuleRefusal> {
        if self.begun() {
            return Ok(());
        }
        Err(RuleRefusal::new(
            "not-begun",
            format!(
                "This turn does not begin before {}: nobody has missed it yet.",
                self.start.show()
            ),
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::MinuteOfDay;

    fn when<'a>(zone: &'a Zone, date: &str, minute: i64, looked: (&str, i64)) -> When<'a> {
        let at = MinuteOfDay::new(looked.1).unwrap();
        When {
            date: PressDate::parse(date).unwrap(),
            start: ClockTime::first(MinuteOfDay::new(minute).unwrap()),
            zone,
            at: zone
                .instant(PressDate::parse(looked.0).unwrap(), at)
                .unwrap(),
        }
    }

    #[test]
    fn a_turn_is_confirmed_from_the_second_day_before_until_it_begins() {
        let zone = Zone::parse("America/Chicago").unwrap();
        let look = |date, minute| when(&zone, "2026-09-19", 540, (date, minute));
        let early = look("2026-09-16", 1439).may_confirm().unwrap_err();
        assert!(early.sentence.contains("from Thu 17 Sep 2026"), "{early}");
        assert!(look("2026-09-17", 0).may_confirm().is_ok());
        assert!(look("2026-09-19", 539).may_confirm().is_ok());
        assert_eq!(
            look("2026-09-19", 540).may_confirm().unwrap_err().code,
            "begun"
        );
    }

    #[test]
    fn the_cut_off_counts_true_hours_over_a_night_when_the_clocks_change() {
        let zone = Zone::parse("America/Chicago").unwrap();
        // The clocks go back on 1 November 2026 at 2:00: noon is 25 hours after the noon before.
        let look = |minute| when(&zone, "2026-11-01", 720, ("2026-10-31", minute));
        assert!(look(780).before_cutoff(24).is_ok());
        let late = look(785).before_cutoff(24).unwrap_err();
        assert!(late.sentence.contains("Sat 31 Oct 2026 13:00"), "{late}");
        assert!(look(785).before_cutoff(0).is_ok());
    }

    #[test]
    fn only_a_turn_that_has_begun_can_be_missed() {
        let zone = Zone::parse("America/Chicago").unwrap();
        let look = |minute| when(&zone, "2026-09-19", 540, ("2026-09-19", minute));
        assert_eq!(look(539).may_be_missed().unwrap_err().code, "not-begun");
        assert!(look(540).may_be_missed().is_ok());
    }
}
