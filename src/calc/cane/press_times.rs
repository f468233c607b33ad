//! Times of one press day as the crew types them. A press day runs on past midnight: a quarter past
//! midnight, typed at half past, is the night that has just been. Never knows what is timed.

use crate::units::{MinuteOfDay, PressDate, Refused, UtcSecond, Zone};

/// How long before the mill opens cane may well be weighed; earlier, a time more likely means the
/// night after. 4 h (common practice: the first loads come with the dew).
const EARLY_S: i64 = 4 * 3600;
/// From an hour of the morning to the same of the afternoon.
const HALF_A_DAY_S: i64 = 12 * 3600;

/// What a time of a press day is read against.
#[derive(Debug, Clone, Copy)]
pub struct PressTimes<'a> {
    /// The co-op's zone.
    pub zone: &'a Zone,
    /// The press day.
    pub day: PressDate,
    /// When its mill opens: the night before the day ends then, and so does the night after it.
    pub opens: MinuteOfDay,
    /// The moment at which it is asked.
    pub at: UtcSecond,
    /// The earliest it can be: for juice, when the cane was weighed.
    pub from: Option<UtcSecond>,
}

/// The instant or instants that a typed time may mean.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Meant {
    /// It can only mean this instant.
    At(UtcSecond),
    /// The early morning of the press day, or the night after it: to be asked.
    Either(UtcSecond, UtcSecond),
    /// Before the mill opens: so long that nobody weighs cane then, or at an hour that may well be the afternoon's. To be asked.
    LongBefore(UtcSecond),
}

impl PressTimes<'_> {
    /// When the press day ends at the latest: when the mill would open next morning.
    pub fn ends(&self) -> UtcSecond {
        let next = self.zone.clock(self.day.plus_days(1));
        next.instant(next.opens(self.opens))
    }

    /// Whether an instant lies on the press day or in the night after it.
    pub fn holds(&self, at: UtcSecond) -> bool {
        self.zone.local(at).0 == self.day || (self.zone.local(at).0 > self.day && at < self.ends())
    }

    /// Whether it is still that day, or its night: a time left out means this moment.
    pub fn running(&self) -> bool {
        self.holds(self.at)
    }

    /// The instant of a time of day that somebody typed.
    ///
    /// # Errors
    /// The clocks skip it, it is still to come, or it is before the earliest.
    pub fn read(&self, typed: MinuteOfDay) -> Result<Meant, Refused> {
        let own = self.zone.instant(self.day, typed);
        let night = if typed < self.opens {
            self.zone.instant(self.day.plus_days(1), typed).ok()
        } else {
            None
        };
        let can = |at: &UtcSecond| *at <= self.at && self.from.is_none_or(|from| *at >= from);
        let own_can = own.as_ref().ok().copied().filter(|at| can(at));
        let clock = self.zone.clock(self.day);
        let opens = clock.instant(clock.opens(self.opens));
        let early = opens.plus(-EARLY_S);
        // "3:15" in the afternoon, typed as it is said.
        let afternoon = |own: UtcSecond| own < opens && own.plus(HALF_A_DAY_S) <= self.at;
        match (own_can, night.filter(|at| can(at))) {
            (Some(own), Some(night)) if own < early => Ok(Meant::At(night)),
            (Some(own), Some(night)) => Ok(Meant::Either(own, night)),
            (Some(own), None) if self.from.is_none() && (own < early || afternoon(own)) => {
                Ok(Meant::LongBefore(own))
            }
            (Some(at), None) | (None, Some(at)) => Ok(Meant::At(at)),
            (None, None) => Err(self.why_not(typed, own?)),
        }
    }

    fn why_not(&self, typed: MinuteOfDay, own: UtcSecond) -> Refused {
        match self.from {
            Some(from) if own < from => Refused::new(format!(
                "{} is before its cane was weighed, {}. Please write a later time.",
                typed.show(),
                self.zone.show(from)
            )),
            _ => Refused::new(format!(
                "{} of {} is still to come. Please write a time that is past, or leave it empty for this moment.",
                typed.show(),
                self.day.show()
            )),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn instant(date: &str, time: &str) -> UtcSecond {
        zone()
            .instant(PressDate::parse(date).unwrap(), minute(time))
            .unwrap()
    }

    fn zone() -> Zone {
        Zone::parse("America/Chicago").unwrap()
    }

    fn minute(text: &str) -> MinuteOfDay {
        MinuteOfDay::parse(text).unwrap()
    }

    fn read(at: UtcSecond, from: Option<UtcSecond>, typed: &str) -> Result<Meant, String> {
        let zone = zone();
        PressTimes {
            zone: &zone,
            day: PressDate::parse("2026-09-19").unwrap(),
            opens: minute("7:00"),
            at,
            from,
        }
        .read(minute(typed))
        .map_err(|refused| refused.to_string())
    }

    #[test]
    fn after_midnight_a_time_is_the_night_that_has_just_been() {
        let at = instant("2026-09-20", "0:30");
        let night = instant("2026-09-20", "0:15");
        assert_eq!(read(at, None, "0:15"), Ok(Meant::At(night)));
        let weighed = instant("2026-09-19", "9:00");
        assert_eq!(read(at, Some(weighed), "0:15"), Ok(Meant::At(night)));
        assert_eq!(
            read(at, Some(weighed), "23:50"),
            Ok(Meant::At(instant("2026-09-19", "23:50")))
        );
    }

    #[test]
    fn a_time_that_may_be_either_morning_is_asked_about() {
        let at = instant("2026-09-20", "6:00");
        let both = Meant::Either(instant("2026-09-19", "5:30"), instant("2026-09-20", "5:30"));
        assert_eq!(read(at, None, "5:30"), Ok(both));
        let weighed = instant("2026-09-19", "9:00");
        assert_eq!(
            read(at, Some(weighed), "5:30"),
            Ok(Meant::At(instant("2026-09-20", "5:30")))
        );
    }

    #[test]
    fn a_time_hours_before_the_mill_opens_is_asked_about() {
        let noon = instant("2026-09-19", "11:25");
        let early = instant("2026-09-19", "0:15");
        assert_eq!(read(noon, None, "0:15"), Ok(Meant::LongBefore(early)));
        assert_eq!(
            read(noon, None, "2:59").map(|m| matches!(m, Meant::LongBefore(_))),
            Ok(true)
        );
        let with_the_dew = instant("2026-09-19", "3:00");
        assert_eq!(read(noon, None, "3:00"), Ok(Meant::At(with_the_dew)));
        // In the afternoon, an hour of it that is written short.
        let three = instant("2026-09-19", "15:20");
        let short = instant("2026-09-19", "3:15");
        assert_eq!(read(three, None, "3:15"), Ok(Meant::LongBefore(short)));
        assert_eq!(
            read(three, None, "3:25"),
            Ok(Meant::At(instant("2026-09-19", "3:25")))
        );
        assert_eq!(
            read(three, None, "7:00"),
            Ok(Meant::At(instant("2026-09-19", "7:00")))
        );
        // Juice of cane that was weighed as early as that.
        assert_eq!(
            read(noon, Some(early), "0:20"),
            Ok(Meant::At(instant("2026-09-19", "0:20")))
        );
    }

    #[test]
    fn a_time_before_the_cane_was_weighed_or_still_to_come_is_refused() {
        let weighed = instant("2026-09-19", "9:00");
        let said = read(instant("2026-09-19", "12:00"), Some(weighed), "8:15").unwrap_err();
        assert!(said.contains("before its cane was weighed"), "{said}");
        let said = read(instant("2026-09-19", "12:00"), None, "14:00").unwrap_err();
        assert!(said.contains("still to come"), "{said}");
        let said = read(instant("2026-09-19", "22:00"), Some(weighed), "0:15").unwrap_err();
        assert!(said.contains("before its cane was weighed"), "{said}");
    }

    #[test]
    fn the_day_runs_until_the_mill_would_open_again_and_clocks_may_change_in_between() {
        let zone = zone();
        let of = |at| PressTimes {
            zone: &zone,
            day: PressDate::parse("2026-10-31").unwrap(),
            opens: minute("7:00"),
            at,
            from: None,
        };
        let at = instant("2026-11-01", "6:59");
        assert!(of(at).running());
        assert!(!of(at.plus(60)).running());
        assert!(!of(instant("2026-10-30", "23:59")).running());
        // The clocks went back at 2:00: the night is an hour longer.
        let begins = instant("2026-11-01", "0:00");
        assert_eq!(of(at).ends().minutes_since(begins), 8 * 60);
    }
}
