//! The one file that knows time zones: civil time in the co-op's place to UTC and back.

use super::{ClockTime, DayClock, MinuteOfDay, PressDate, Refused, UtcSecond};
use jiff::civil;
use jiff::tz::{AmbiguousOffset, TimeZone};

/// An IANA time zone, such as `America/Chicago`.
#[derive(Debug, Clone)]
pub struct Zone {
    name: String,
    zone: TimeZone,
}

impl Zone {
    /// The zone of that IANA name.
    ///
    /// # Errors
    /// No such zone in the tz database.
    pub fn parse(name: &str) -> Result<Self, Refused> {
        let name = name.trim();
        let zone = TimeZone::get(name).map_err(|_| {
            Refused::new("Please write a time zone of the tz database, like America/Chicago.")
        })?;
        Ok(Self {
            name: name.to_owned(),
            zone,
        })
    }

    /// The names of all zones that are known, in alphabetical order.
    pub fn names() -> Vec<String> {
        let mut names: Vec<String> = jiff::tz::db()
            .available()
            .map(|name| name.to_string())
            .filter(|name| name.contains('/'))
            .collect();
        names.sort();
        names
    }

    /// The IANA name.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The civil date and minute of an instant in this zone.
    pub fn local(&self, at: UtcSecond) -> (PressDate, MinuteOfDay) {
        let stamp = jiff::Timestamp::from_second(at.get()).unwrap_or(jiff::Timestamp::UNIX_EPOCH);
        let zoned = stamp.to_zoned_datetime(self.zone.clone());
        let date = zoned.date();
        let month = time::Month::try_from(u8::try_from(date.month()).unwrap_or(1))
            .unwrap_or(time::Month::January);
        let day = u8::try_from(date.day()).unwrap_or(1);
        let civil = time::Date::from_calendar_date(i32::from(date.year()), month, day)
            .unwrap_or(time::Date::MIN);
        let minute = i64::from(zoned.hour()) * 60 + i64::from(zoned.minute());
        (
            PressDate::new(civil),
            MinuteOfDay::new(minute)
                .unwrap_or_else(|_| unreachable!("an hour and a minute of a day")),
        )
    }

    /// The time in words: "Sat 18 Sep 2027 07:30".
    pub fn show(&self, at: UtcSecond) -> String {
        let (date, minute) = self.local(at);
        format!("{} {}", date.show(), minute.show())
    }

    /// By when something is to be done, as read at `now`: "14:05 today", or with the day.
    pub fn show_by(&self, by: UtcSecond, now: UtcSecond) -> String {
        let (day, time) = self.local(by);
        if day == self.local(now).0 {
            format!("{} today", time.show())
        } else {
            self.show(by)
        }
    }

    /// The clocks of a civil day: when it begins, how long it runs, where they are moved.
    pub fn clock(&self, date: PressDate) -> DayClock {
        let begins = self.begins(date);
        let length = self.begins(date.plus_days(1)).minutes_since(begins);
        let base = match self.local(begins) {
            (day, minute) if day == date => minute.get(),
            _ => 0,
        };
        // From midnight, or when it is skipped from later, to midnight: the day is as long as the
        // clocks say, unless they are moved in between.
        let change = (length != 1440 - base)
            .then(|| {
                let stamp = jiff::Timestamp::from_second(begins.get()).ok()?;
                let moved = self.zone.following(stamp).next()?.timestamp();
                let after = UtcSecond::new(moved.as_second()).minutes_since(begins);
                Some((after, 1440 - base - length))
            })
            .flatten();
        DayClock::new(date, begins, base, length, change)
    }

    /// The moment at which a civil day begins: midnight, or when the clocks have skipped it.
    fn begins(&self, date: PressDate) -> UtcSecond {
        let day = date.date();
        let narrow = |n: u8| i8::try_from(n).unwrap_or(1);
        let civil = civil::Date::new(
            i16::try_from(day.year()).unwrap_or(2000),
            narrow(u8::from(day.month())),
            narrow(day.day()),
        );
        let zoned = civil.and_then(|civil| {
            self.zone
                .to_ambiguous_zoned_datetime(civil.at(0, 0, 0, 0))
                .compatible()
        });
        UtcSecond::new(zoned.map_or(0, |zoned| zoned.timestamp().as_second()))
    }

    /// The instant of a start, from its date and the time of the clock as they were kept.
    pub fn at(&self, date: PressDate, time: ClockTime) -> UtcSecond {
        let clock = self.clock(date);
        clock.instant(clock.kept(time))
    }

    /// The instant of a civil date and time. In an overlap (clocks going back) the first of the
    /// two, as RFC 5545 section 3.3.5 reads it.
    ///
    /// # Errors
    /// The clocks skip that time on that day.
    pub fn instant(&self, date: PressDate, minute: MinuteOfDay) -> Result<UtcSecond, Refused> {
        let said = || {
            Refused::new(format!(
                "The clocks skip {} on {}. Please choose another time.",
                minute.show(),
                date.show()
            ))
        };
        let day = date.date();
        // 24:00 is midnight of the next day.
        let (day, minute) = if minute.get() == 1440 {
            (day.saturating_add(time::Duration::DAY), 0)
        } else {
            (day, minute.get())
        };
        let narrow = |n: i64| i8::try_from(n).map_err(|_| said());
        let civil = civil::DateTime::new(
            i16::try_from(day.year()).map_err(|_| said())?,
            narrow(i64::from(u8::from(day.month())))?,
            narrow(i64::from(day.day()))?,
            narrow(minute / 60)?,
            narrow(minute % 60)?,
            0,
            0,
        )
        .map_err(|_| said())?;
        let ambiguous = self.zone.to_ambiguous_zoned_datetime(civil);
        if matches!(ambiguous.offset(), AmbiguousOffset::Gap { .. }) {
            return Err(said());
        }
        let zoned = ambiguous.compatible().map_err(|_| said())?;
        Ok(UtcSecond::new(zoned.timestamp().as_second()))
    }
}
