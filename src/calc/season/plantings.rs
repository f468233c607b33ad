//! When a planting is ready to cut, and which rows a turn on a given day would bring. Never guesses
//! a variety.

use crate::calc::RuleRefusal;
use crate::units::{Metres, PressDate, Refused};

/// Days to maturity to start from: sweet kinds take 100 to 120 (common practice; seedsmen list 90,
/// 100 and about 120 for early, middling and late kinds).
pub const MATURITY_DAYS: i64 = 110;
/// Days before and after the day of maturity that count as ready: half of 100 to 120.
pub const READY_AROUND_DAYS: i64 = 10;
/// Days to maturity that are believed.
pub const MATURITY_LEAST: i64 = 60;
/// Days to maturity that are believed.
pub const MATURITY_MOST: i64 = 200;

/// One planting, as planning needs it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Planting {
    /// When it was planted.
    pub planted: PressDate,
    /// Days from planting until it is best cut.
    pub days: i64,
    /// Length of row, all rows together.
    pub row: Metres,
}

/// The days on which a planting is ready to cut, both ends included.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ready {
    /// First day on which it is ready.
    pub from: PressDate,
    /// Day of maturity, on which it is best cut.
    pub best: PressDate,
    /// Last day on which it is ready.
    pub to: PressDate,
}

impl Ready {
    /// Whether a date is one of those days.
    pub fn holds(self, date: PressDate) -> bool {
        (self.from..=self.to).contains(&date)
    }

    /// Days from `date` to the nearest day within; nought inside.
    pub fn days_off(self, date: PressDate) -> i64 {
        let days = |a: PressDate, b: PressDate| (a.date() - b.date()).whole_days();
        days(self.from, date).max(days(date, self.to)).max(0)
    }

    /// The days in words: "Mon 31 Aug 2026 to Sun 20 Sep 2026".
    pub fn show(self) -> String {
        format!("{} to {}", self.from.show(), self.to.show())
    }
}

impl Planting {
    /// The days on which it is ready.
    pub fn ready(&self) -> Ready {
        let best = self.planted.plus_days(self.days);
        Ready {
            from: best.plus_days(-READY_AROUND_DAYS),
            best,
            to: best.plus_days(READY_AROUND_DAYS),
        }
    }
}

/// The row that a turn on that day would bring: that of all plantings ready then, together; when none is, that of
/// the one nearest to being so.
pub fn row_on(date: PressDate, plantings: &[Planting]) -> Option<Metres> {
    let nearest = plantings.iter().map(|p| p.ready().days_off(date)).min()?;
    let ready = plantings
        .iter()
        .filter(|p| p.ready().days_off(date) == nearest);
    let row = if nearest == 0 {
        ready.map(|p| p.row.get()).sum()
    } else {
        ready.map(|p| p.row.get()).next()?
    };
    Metres::new(row).ok()
}

/// Rows that are there.
///
/// # Errors
/// Their length is nothing.
pub fn some_row(row: Metres) -> Result<Metres, Refused> {
    if row.get() > 0.0 {
        return Ok(row);
    }
    Err(Refused::new(
        "Please write the length of all rows together, more than nothing.",
    ))
}

/// Days to maturity that are believed.
///
/// # Errors
/// Fewer or more.
pub fn maturity(days: i64) -> Result<i64, Refused> {
    if (MATURITY_LEAST..=MATURITY_MOST).contains(&days) {
        return Ok(days);
    }
    Err(Refused::new(format!(
        "Please write {MATURITY_LEAST} to {MATURITY_MOST} days to maturity; sweet kinds take 100 to 120."
    )))
}

/// Whether what is said of a planting can be.
///
/// # Errors
/// Beside `row`: no row. Beside `days`: days to maturity out of range. Beside `planted_on`: another
/// year than the season's.
pub fn sound(planting: &Planting, season_year: i64) -> Result<(), RuleRefusal> {
    some_row(planting.row).map_err(|r| RuleRefusal::beside("row", "no-row", r.sentence()))?;
    maturity(planting.days)
        .map_err(|r| RuleRefusal::beside("days", "maturity-range", r.sentence()))?;
    if i64::from(planting.planted.date().year()) != season_year {
        return Err(RuleRefusal::beside(
            "planted_on",
            "other-season",
            format!(
                "This planting belongs to the season of {season_year}. Please add one of another year to its own season."
            ),
        ));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn date(text: &str) -> PressDate {
        PressDate::parse(text).unwrap()
    }

    fn planting(planted: &str, days: i64, row: f64) -> Planting {
        Planting {
            planted: date(planted),
            days,
            row: Metres::new(row).unwrap(),
        }
    }

    #[test]
    fn planted_in_the_middle_of_may_it_is_ready_in_september() {
        // 18 May + 110 days = 5 September: 13 + 30 + 31 + 31 days, and 5.
        let ready = planting("2026-05-18", 110, 90.0).ready();
        assert_eq!(ready.best.to_string(), "2026-09-05");
        assert_eq!(ready.show(), "Wed 26 Aug 2026 to Tue 15 Sep 2026");
        assert!(ready.holds(date("2026-08-26")) && ready.holds(date("2026-09-15")));
        assert_eq!(ready.days_off(date("2026-09-19")), 4);
        assert_eq!(ready.days_off(date("2026-08-20")), 6);
        assert_eq!(ready.days_off(date("2026-09-01")), 0);
    }

    #[test]
    fn a_turn_brings_all_that_is_ready_or_else_the_nearest() {
        let early = planting("2026-05-18", 110, 90.0);
        let late = planting("2026-06-08", 110, 60.0);
        let row = |text| row_on(date(text), &[early, late]).unwrap().get();
        // Ready 26 Aug–15 Sep and 16 Sep–6 Oct.
        for (day, metres) in [
            ("2026-09-10", 90.0),
            ("2026-09-20", 60.0),
            ("2026-08-01", 90.0),
            ("2026-11-01", 60.0),
        ] {
            assert!((row(day) - metres).abs() < 1e-9, "{day}");
        }
        let overlapping = planting("2026-05-28", 110, 40.0);
        let both = row_on(date("2026-09-10"), &[early, overlapping]).unwrap();
        assert!((both.get() - 130.0).abs() < 1e-9);
        assert_eq!(row_on(date("2026-09-10"), &[]), None);
    }

    #[test]
    fn what_cannot_be_is_said_beside_its_box() {
        let at = |p: Planting| sound(&p, 2026).map_err(|u| u.at.unwrap());
        assert_eq!(at(planting("2026-05-18", 110, 90.0)), Ok(()));
        assert_eq!(at(planting("2026-05-18", 110, 0.0)), Err("row"));
        assert_eq!(at(planting("2026-05-18", 20, 9.0)), Err("days"));
        assert_eq!(at(planting("2025-05-18", 110, 9.0)), Err("planted_on"));
    }
}
