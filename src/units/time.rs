//! Instants as whole UTC seconds; civil dates and minutes of the day as a person chose them.

use super::Refused;
use sqlx::encode::IsNull;
use sqlx::error::BoxDynError;
use sqlx::sqlite::{SqliteArgumentsBuffer, SqliteTypeInfo, SqliteValueRef};
use sqlx::{Decode, Encode, Sqlite, Type};
use std::fmt;
use std::iter::Sum;
use std::ops::Add;
use time::{Date, Month};

/// An instant: whole seconds since 1970-01-01T00:00:00 UTC.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Type)]
#[sqlx(transparent)]
pub struct UtcSecond(i64);

impl UtcSecond {
    /// The instant this many seconds after the epoch.
    pub const fn new(seconds: i64) -> Self {
        Self(seconds)
    }

    /// Seconds since the epoch.
    pub const fn get(self) -> i64 {
        self.0
    }

    /// The instant this many seconds later (or earlier, when negative).
    pub const fn plus(self, seconds: i64) -> Self {
        Self(self.0 + seconds)
    }

    /// Whole minutes from `earlier` to this, rounded down; negative when it is later.
    pub const fn minutes_since(self, earlier: Self) -> i64 {
        (self.0 - earlier.0).div_euclid(60)
    }
}

/// The refusal of a date that is not written year-month-day: that there is no such date, if it reads as one in other
/// orders and is none in any of them; and how to write it.
fn otherwise_written(text: &str) -> Refused {
    const LIKE: &str = "Please write the date as year-month-day, like 2027-09-18.";
    let parts: Vec<u16> = text
        .trim()
        .split(['/', '.', '-', ' '])
        .filter(|part| !part.is_empty())
        .map_while(|part| part.parse().ok())
        .collect();
    let date = |year: u16, month: u16, day: u16| {
        let month = u8::try_from(month)
            .ok()
            .and_then(|m| Month::try_from(m).ok())?;
        Date::from_calendar_date(i32::from(year), month, u8::try_from(day).ok()?).ok()
    };
    let ([year @ 1000..=9999, a, b] | [a, b, year @ 1000..=9999]) = parts[..] else {
        return Refused::new(LIKE);
    };
    if date(year, a, b).or_else(|| date(year, b, a)).is_some() {
        return Refused::new(LIKE);
    }
    Refused::new(format!("There is no such date as {}. {LIKE}", text.trim()))
}

/// A civil date in the co-op's place: the day of a press day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PressDate(Date);

impl PressDate {
    /// The date of a calendar day.
    pub const fn new(date: Date) -> Self {
        Self(date)
    }

    /// Reads `YYYY-MM-DD`, as a date box sends it.
    ///
    /// # Errors
    /// Not a date of the years 2000 to 2199.
    pub fn parse(text: &str) -> Result<Self, Refused> {
        let said = || otherwise_written(text);
        let mut parts = text.trim().splitn(3, '-');
        let mut next = |len: usize| {
            parts
                .next()
                .filter(|p| {
                    p.len() <= len && !p.is_empty() && p.chars().all(|c| c.is_ascii_digit())
                })
                .ok_or_else(said)
        };
        let (year, month, day) = (next(4)?, next(2)?, next(2)?);
        let year: i32 = year.parse().map_err(|_| said())?;
        let month: u8 = month.parse().map_err(|_| said())?;
        let day: u8 = day.parse().map_err(|_| said())?;
        let Ok(month) = Month::try_from(month) else {
            return Err(Refused::new(format!(
                "There is no month {month} in a year. Please look at the date again."
            )));
        };
        if !(2000..2200).contains(&year) {
            return Err(said());
        }
        Date::from_calendar_date(year, month, day)
            .map(Self)
            .map_err(|_| {
                Refused::new(format!(
                    "There is no {day} {month} {year}. Please look at the calendar again."
                ))
            })
    }

    /// The calendar day.
    pub const fn date(self) -> Date {
        self.0
    }

    /// The date in words: "Sat 18 Sep 2027".
    pub fn show(self) -> String {
        let day = self.0.weekday().to_string();
        let month = self.0.month().to_string();
        let short = |s: &str| s.chars().take(3).collect::<String>();
        format!(
            "{} {} {} {}",
            short(&day),
            self.0.day(),
            short(&month),
            self.0.year()
        )
    }

    /// The date this many days later (or earlier, when negative).
    pub fn plus_days(self, days: i64) -> Self {
        Self(self.0.saturating_add(time::Duration::days(days)))
    }
}

impl fmt::Display for PressDate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{:04}-{:02}-{:02}",
            self.0.year(),
            u8::from(self.0.month()),
            self.0.day()
        )
    }
}

impl Type<Sqlite> for PressDate {
    fn type_info() -> SqliteTypeInfo {
        <String as Type<Sqlite>>::type_info()
    }
}

impl Encode<'_, Sqlite> for PressDate {
    fn encode_by_ref(&self, buffer: &mut SqliteArgumentsBuffer) -> Result<IsNull, BoxDynError> {
        <String as Encode<'_, Sqlite>>::encode(self.to_string(), buffer)
    }
}

impl<'r> Decode<'r, Sqlite> for PressDate {
    fn decode(value: SqliteValueRef<'r>) -> Result<Self, BoxDynError> {
        Ok(Self::parse(<&str as Decode<'r, Sqlite>>::decode(value)?)?)
    }
}

/// A time of day in the co-op's place: minutes after midnight, 0 to 1440 (1440 ends the day).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Type)]
#[sqlx(transparent)]
pub struct MinuteOfDay(i64);

/// A length of time in whole minutes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Type)]
#[sqlx(transparent)]
pub struct Minutes(i64);

impl MinuteOfDay {
    /// The time this many minutes after midnight.
    ///
    /// # Errors
    /// Outside 0 to 1440.
    pub fn new(minutes: i64) -> Result<Self, Refused> {
        if (0..=1440).contains(&minutes) {
            Ok(Self(minutes))
        } else {
            Err(Refused::new(
                "Please write a time of day from 0:00 to 24:00.",
            ))
        }
    }

    /// Reads "7:30", "07.30", "730", "7:30 pm", "19:30", "7".
    ///
    /// # Errors
    /// Not a time of day.
    pub fn parse(text: &str) -> Result<Self, Refused> {
        let said = || Refused::new("Please write a time of day, like 7:30 or 19:30.");
        let lower = text.trim().to_lowercase();
        let (clock, half) = match lower.strip_suffix("am").map(|t| (t, 0)) {
            Some(found) => (found.0, Some(found.1)),
            None => match lower.strip_suffix("pm") {
                Some(rest) => (rest, Some(12)),
                None => (lower.as_str(), None),
            },
        };
        let clock = clock.trim();
        // A phone's digit keys have no colon: "730" and "0730" are half past seven.
        let bare = matches!(clock.len(), 3 | 4) && clock.bytes().all(|b| b.is_ascii_digit());
        let (hours, minutes) = if bare {
            clock.split_at(clock.len() - 2)
        } else {
            clock.split_once([':', '.']).unwrap_or((clock, "0"))
        };
        let number = |t: &str| -> Result<i64, Refused> {
            if t.is_empty() || t.len() > 2 || !t.chars().all(|c| c.is_ascii_digit()) {
                return Err(said());
            }
            t.parse().map_err(|_| said())
        };
        let (mut hours, minutes) = (number(hours)?, number(minutes)?);
        if let Some(add) = half {
            if !(1..=12).contains(&hours) {
                return Err(said());
            }
            hours = hours % 12 + add;
        }
        if minutes > 59 || hours * 60 + minutes > 1440 {
            return Err(said());
        }
        Self::new(hours * 60 + minutes)
    }

    /// Minutes after midnight.
    pub const fn get(self) -> i64 {
        self.0
    }

    /// "7:30" as the box of a form takes it: two digits, 24 hours.
    pub fn show(self) -> String {
        format!("{:02}:{:02}", self.0 / 60, self.0 % 60)
    }
}

impl Minutes {
    /// A length of time of this many minutes.
    pub const fn new(minutes: i64) -> Self {
        Self(minutes)
    }

    /// The number of minutes.
    pub const fn get(self) -> i64 {
        self.0
    }

    /// "1 h 25 min", "25 min", "2 h".
    pub fn show(self) -> String {
        let (hours, minutes) = (self.0.abs() / 60, self.0.abs() % 60);
        let text = match (hours, minutes) {
            (0, m) => format!("{m} min"),
            (h, 0) => format!("{h} h"),
            (h, m) => format!("{h} h {m} min"),
        };
        if self.0 < 0 {
            format!("−{text}")
        } else {
            text
        }
    }
}

impl Add for Minutes {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sum for Minutes {
    fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
        all.fold(Self(0), Add::add)
    }
}

/// Reads hours as "2:30" or with a decimal point: whole minutes, 1 to 1440.
///
/// # Errors
/// No hours, or more than a day.
pub fn hours_typed(text: &str) -> Result<i64, Refused> {
    let wrong = || Refused::new("Please write hours, like 2.5 or 2:30, at most 24 at a time.");
    let hours = match text.trim().split_once(':') {
        Some((hours, minutes)) => {
            let whole = |t: &str| t.trim().parse::<u32>().map_err(|_| wrong());
            f64::from(whole(hours)?) + f64::from(whole(minutes)?) / 60.0
        }
        None => super::decimal(text)?,
    };
    if !(1.0 / 60.0..=24.0).contains(&hours) {
        return Err(wrong());
    }
    #[expect(clippy::cast_possible_truncation, reason = "at most a day of minutes")]
    Ok((hours * 60.0).round() as i64)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_of_day_are_read_as_people_write_them() {
        for (typed, minutes) in [
            ("7:30", 450),
            ("07.30", 450),
            ("7:30 pm", 1170),
            ("12 am", 0),
            ("12:15pm", 735),
            ("24:00", 1440),
            ("7", 420),
            ("730", 450),
            ("0015", 15),
            ("1930", 1170),
        ] {
            assert_eq!(MinuteOfDay::parse(typed).unwrap().get(), minutes, "{typed}");
        }
        for typed in [
            "", "25:00", "24:01", "7:60", "13 pm", "noon", "7:5x", "761", "12345",
        ] {
            assert!(MinuteOfDay::parse(typed).is_err(), "{typed}");
        }
    }

    #[test]
    fn dates_are_read_and_shown() {
        let date = PressDate::parse("2027-09-18").unwrap();
        assert_eq!(
            (date.to_string().as_str(), date.show().as_str()),
            ("2027-09-18", "Sat 18 Sep 2027")
        );
        for typed in ["2027-02-30", "18.9.2027", "27-09-18", "2027-13-01", ""] {
            assert!(PressDate::parse(typed).is_err(), "{typed}");
        }
    }

    #[test]
    fn hours_are_typed_with_a_point_or_a_colon() {
        assert_eq!(hours_typed("2.5"), Ok(150));
        assert_eq!(hours_typed("2:05"), Ok(125));
        for typed in ["0", "25", "2:x"] {
            assert!(hours_typed(typed).is_err(), "{typed}");
        }
    }
}
