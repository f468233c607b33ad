//! A civil day as its clocks show it and as it runs: on two days of a year the two differ. Never
//! knows a time zone: `zone.rs` makes it.

use super::{MinuteOfDay, Minutes, PressDate, Refused, UtcSecond};
use sqlx::Type;

/// Minutes from midnight to midnight on all days but two.
const PLAIN: i64 = 1440;

/// A start as clocks show it: a time of day, and which of the two on the night an hour comes twice.
///
/// Kept as minutes after midnight, from 1440 on the second time of those minutes 1440 before.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Type)]
#[sqlx(transparent)]
pub struct ClockTime(i64);

/// A start as somebody wrote it: which of two need not be said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ClockTyped {
    /// The time of day that was typed.
    pub minute: MinuteOfDay,
    /// Whether the second of two is meant; none: not said.
    pub again: Option<bool>,
}

/// Minutes that a day has run since it began: what turns are reckoned in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct DayMinute(i64);

/// The clocks of one civil day in one place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DayClock {
    date: PressDate,
    /// When the day begins.
    begins: UtcSecond,
    /// Minutes that the clocks show when it begins: midnight, or later where midnight is skipped.
    base: i64,
    /// How many minutes the day runs.
    length: i64,
    /// Minutes after which the clocks are moved, and by how many minutes; `None`: they are not.
    change: Option<(i64, i64)>,
}

impl ClockTime {
    /// The first, or only, time of that minute; of 24:00 the midnight before it.
    pub const fn first(minute: MinuteOfDay) -> Self {
        Self(minute.get() % PLAIN)
    }

    const fn of(minute: i64, again: bool) -> Self {
        Self(if again { minute + PLAIN } else { minute })
    }

    /// The time of day.
    pub fn minute(self) -> MinuteOfDay {
        MinuteOfDay::new(self.0 % PLAIN).unwrap_or_else(|_| unreachable!("below 1440"))
    }

    /// Whether it is the second time that the hour comes.
    pub const fn again(self) -> bool {
        self.0 >= PLAIN
    }

    /// The number that the database keeps.
    pub const fn get(self) -> i64 {
        self.0
    }

    /// The time in words: "07:30"; "01:30, second time".
    pub fn show(self) -> String {
        let minute = self.minute().show();
        if self.again() {
            format!("{minute}, second time")
        } else {
            minute
        }
    }
}

impl ClockTyped {
    /// Reads "7:30", and "1:30 first" or "1:30 second", as a button of a form sends it.
    ///
    /// # Errors
    /// Not a time of day.
    pub fn parse(text: &str) -> Result<Self, Refused> {
        let text = text.trim();
        let (text, again) = match (text.strip_suffix(" first"), text.strip_suffix(" second")) {
            (Some(rest), _) => (rest, Some(false)),
            (_, Some(rest)) => (rest, Some(true)),
            _ => (text, None),
        };
        let minute = MinuteOfDay::parse(text)?;
        Ok(Self { minute, again })
    }
}

impl From<MinuteOfDay> for ClockTyped {
    fn from(minute: MinuteOfDay) -> Self {
        Self {
            minute,
            again: None,
        }
    }
}

impl From<ClockTime> for ClockTyped {
    fn from(time: ClockTime) -> Self {
        Self {
            minute: time.minute(),
            again: Some(time.again()),
        }
    }
}

impl DayMinute {
    /// The minute this many minutes after the day began.
    pub const fn new(minutes: i64) -> Self {
        Self(minutes)
    }

    /// Minutes since the day began.
    pub const fn get(self) -> i64 {
        self.0
    }

    /// The minute this many minutes later.
    pub const fn plus(self, minutes: Minutes) -> Self {
        Self(self.0 + minutes.get())
    }
}

impl DayClock {
    /// A day that begins then, when the clocks show `base` minutes after midnight, runs `length`
    /// minutes, and of which, perhaps, after some minutes the clocks are moved by some.
    pub(super) const fn new(
        date: PressDate,
        begins: UtcSecond,
        base: i64,
        length: i64,
        change: Option<(i64, i64)>,
    ) -> Self {
        Self {
            date,
            begins,
            base,
            length,
            change,
        }
    }

    /// The civil date of the day.
    pub const fn date(&self) -> PressDate {
        self.date
    }

    /// How long the day runs: 24 h on all days but two.
    pub const fn length(&self) -> Minutes {
        Minutes::new(self.length)
    }

    /// The instant so far into the day.
    pub const fn instant(&self, at: DayMinute) -> UtcSecond {
        self.begins.plus(at.0 * 60)
    }

    /// Whether an instant is in this day.
    pub fn holds(&self, at: UtcSecond) -> bool {
        at >= self.begins && at < self.ends()
    }

    /// When the day ends.
    pub const fn ends(&self) -> UtcSecond {
        self.begins.plus(self.length * 60)
    }

    /// How far the day has run at an instant, in minutes rounded up; zero before it began.
    pub fn run(&self, at: UtcSecond) -> DayMinute {
        let seconds = (at.get() - self.begins.get()).clamp(0, self.length * 60);
        DayMinute((seconds + 59) / 60)
    }

    /// The time of day that the clocks show at this minute of the day; at its end 24:00.
    pub fn shows(&self, at: DayMinute) -> MinuteOfDay {
        let moved = match self.change {
            Some((after, by)) if at.0 >= after => by,
            _ => 0,
        };
        MinuteOfDay::new((self.base + at.0 + moved).clamp(0, PLAIN))
            .unwrap_or_else(|_| unreachable!("held within the day"))
    }

    /// The time on the clock at a minute; in an hour that comes twice, with which of the two it is.
    pub fn time(&self, at: DayMinute) -> ClockTime {
        let again = matches!(self.change, Some((after, by)) if by < 0 && at.0 >= after && at.0 < after - by);
        ClockTime::of(self.shows(at).get() % PLAIN, again)
    }

    /// The time in words: "07:30"; in an hour that comes twice "01:30, first time".
    pub fn show(&self, at: DayMinute) -> String {
        let shown = self.shows(at).show();
        match self.which(at) {
            Some(false) => format!("{shown}, first time"),
            Some(true) => format!("{shown}, second time"),
            None => shown,
        }
    }

    /// The time as a form sends it, so that [`ClockTyped::parse`] and [`DayClock::find`] come back to it.
    pub fn value(&self, at: DayMinute) -> String {
        let shown = self.shows(at).show();
        match self.which(at) {
            Some(false) => format!("{shown} first"),
            Some(true) => format!("{shown} second"),
            None => shown,
        }
    }

    /// Whether it is the second of two such times; `None`: that time comes once.
    fn which(&self, at: DayMinute) -> Option<bool> {
        match self.both(self.shows(at).get()) {
            (Some(_), Some(second)) => Some(second == at),
            _ => None,
        }
    }

    /// Where in the day the clocks show a minute: before they are moved, and after.
    fn both(&self, minute: i64) -> (Option<DayMinute>, Option<DayMinute>) {
        let plain = minute - self.base;
        match self.change {
            None => ((plain >= 0).then_some(DayMinute(plain)), None),
            Some((after, by)) => {
                let moved = plain - by;
                (
                    (plain >= 0 && plain < after).then_some(DayMinute(plain)),
                    (moved >= after).then_some(DayMinute(moved)),
                )
            }
        }
    }

    /// Where in the day a start lies that somebody wrote.
    ///
    /// # Errors
    /// The clocks skip it; or it comes twice and which was not said; or the second was said and it
    /// comes once.
    pub fn find(&self, typed: ClockTyped) -> Result<DayMinute, Refused> {
        let (minute, date) = (typed.minute.show(), self.date.show());
        match (self.both(typed.minute.get()), typed.again) {
            ((Some(first), Some(_)), Some(false)) => Ok(first),
            ((Some(_), Some(second)), Some(true)) => Ok(second),
            ((Some(_), Some(_)), None) => Err(Refused::new(format!(
                "The clocks go back on {date}: {minute} comes twice. Please choose the first or the second time."
            ))),
            ((Some(one), None) | (None, Some(one)), None | Some(false)) => Ok(one),
            ((Some(_), None) | (None, Some(_)), Some(true)) => Err(Refused::new(format!(
                "{minute} comes once on {date}. Please choose it without saying which."
            ))),
            ((None, None), _) => Err(Refused::new(format!(
                "The clocks skip {minute} on {date}. Please choose another time."
            ))),
        }
    }

    /// Where in the day a start lies that was kept; a time that no longer is (the rules of the place
    /// were changed since) at the nearest that is.
    pub fn kept(&self, time: ClockTime) -> DayMinute {
        let minute = time.minute();
        match self.both(minute.get()) {
            (Some(first), Some(second)) => {
                if time.again() {
                    second
                } else {
                    first
                }
            }
            (Some(one), None) | (None, Some(one)) => one,
            (None, None) => self.skipped(minute),
        }
    }

    /// Where in the day an opening hour lies: the first of two, the moving of the clocks if skipped.
    pub fn opens(&self, minute: MinuteOfDay) -> DayMinute {
        let (first, second) = self.both(minute.get());
        first.or(second).unwrap_or_else(|| self.skipped(minute))
    }

    /// Where in the day a closing hour lies: the second of two, the moving of the clocks if skipped.
    pub fn closes(&self, minute: MinuteOfDay) -> DayMinute {
        let (first, second) = self.both(minute.get());
        second.or(first).unwrap_or_else(|| self.skipped(minute))
    }

    fn skipped(&self, minute: MinuteOfDay) -> DayMinute {
        match self.change {
            Some((after, by)) if by > 0 && minute.get() >= self.base => DayMinute(after),
            _ => DayMinute(0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::Zone;
    use super::*;
    use proptest::prelude::*;

    fn clock(zone: &str, date: &str) -> DayClock {
        Zone::parse(zone)
            .unwrap()
            .clock(PressDate::parse(date).unwrap())
    }

    fn typed(text: &str) -> ClockTyped {
        ClockTyped::parse(text).unwrap()
    }

    #[test]
    fn days_are_as_long_as_they_run() {
        for (zone, date, minutes) in [
            ("America/Chicago", "2026-10-10", 1440),
            ("America/Chicago", "2026-03-08", 1380),
            ("America/Chicago", "2026-11-01", 1500),
            ("Australia/Lord_Howe", "2026-04-05", 1470), // half an hour
            ("America/Havana", "2024-11-03", 1500),      // back to midnight itself
            ("Asia/Beirut", "2026-03-29", 1380),         // midnight itself is skipped
        ] {
            assert_eq!(clock(zone, date).length().get(), minutes, "{zone} {date}");
        }
    }

    #[test]
    fn an_hour_that_comes_twice_is_asked_about_and_one_that_is_skipped_refused() {
        let back = clock("America/Chicago", "2026-11-01");
        let said = back.find(typed("1:30")).unwrap_err().to_string();
        assert!(said.contains("comes twice"), "{said}");
        assert_eq!(back.find(typed("1:30 first")).unwrap().get(), 90);
        assert_eq!(back.find(typed("1:30 second")).unwrap().get(), 150);
        assert_eq!(back.find(typed("2:00")).unwrap().get(), 180);
        assert!(back.find(typed("2:00 second")).is_err());
        assert_eq!(back.show(DayMinute(150)), "01:30, second time");
        assert_eq!(back.value(DayMinute(90)), "01:30 first");
        assert_eq!(back.time(DayMinute(150)).show(), "01:30, second time");
        assert_eq!(back.shows(DayMinute(1500)).show(), "24:00");
        let on = clock("America/Chicago", "2026-03-08");
        assert!(
            on.find(typed("2:30"))
                .unwrap_err()
                .to_string()
                .contains("skip")
        );
        assert_eq!(on.find(typed("3:00")).unwrap().get(), 120);
    }

    #[test]
    fn hours_of_a_day_are_read_generously() {
        let back = clock("America/Chicago", "2026-11-01");
        let at = |text| MinuteOfDay::parse(text).unwrap();
        assert_eq!(back.opens(at("1:30")).get(), 90);
        assert_eq!(back.closes(at("1:30")).get(), 150);
        assert_eq!(back.closes(at("24:00")).get(), 1500);
        let on = clock("America/Chicago", "2026-03-08");
        assert_eq!(on.opens(at("2:30")).get(), 120);
        assert_eq!(on.closes(at("2:30")).get(), 120);
        let skipped = clock("Asia/Beirut", "2026-03-29");
        assert_eq!(skipped.opens(at("0:00")).get(), 0);
        assert_eq!(skipped.opens(at("1:00")).get(), 0);
    }

    #[test]
    fn how_far_a_day_has_run_is_held_within_it() {
        let day = clock("America/Chicago", "2026-10-10");
        let begins = day.instant(DayMinute(0));
        assert_eq!(day.run(begins.plus(-5)).get(), 0);
        assert_eq!(day.run(begins.plus(61)).get(), 2);
        assert_eq!(day.run(begins.plus(200_000)).get(), 1440);
        assert!(day.holds(begins) && !day.holds(day.ends()));
    }

    proptest! {
        #[test]
        fn prop_what_the_clocks_show_is_found_again(which in 0_usize..5, minute in 0_i64..1500) {
            let day = [
                clock("America/Chicago", "2026-10-10"),
                clock("America/Chicago", "2026-11-01"),
                clock("America/Chicago", "2026-03-08"),
                clock("America/Havana", "2024-11-03"),
                clock("Australia/Lord_Howe", "2026-04-05"),
            ][which];
            let at = DayMinute(minute % day.length().get());
            prop_assert_eq!(day.kept(day.time(at)), at);
            prop_assert_eq!(day.find(typed(&day.value(at))).unwrap(), at);
            let again = day.time(at).again();
            prop_assert_eq!(ClockTime(day.time(at).get()).again(), again);
        }
    }
}
