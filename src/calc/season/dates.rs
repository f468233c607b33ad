//! What is said of a date that cannot be meant: one still to come where something has happened, or one of another
//! season. That a date exists at all is read before.

use crate::units::{PressDate, Refused};

/// A date on which something happened: not after today.
///
/// # Errors
/// It is still to come.
pub fn has_come(date: PressDate, today: PressDate) -> Result<PressDate, Refused> {
    if date <= today {
        return Ok(date);
    }
    Err(Refused::new(format!(
        "{} is still to come: today is {}. Please look at the date again.",
        date.show(),
        today.show()
    )))
}

/// A date of one of the seasons of those years.
///
/// # Errors
/// There is no season of its year, or none yet.
pub fn of_a_season(date: PressDate, years: &[i64]) -> Result<PressDate, Refused> {
    let year = i64::from(date.date().year());
    if years.contains(&year) {
        return Ok(date);
    }
    Err(Refused::new(match years.iter().max() {
        Some(latest) if year < *latest => format!(
            "{} lies in {year}, and there is no season of {year} here. Please look at the year again.",
            date.show()
        ),
        _ => {
            format!("The season of {year} is not open yet. A steward opens it first, under Rules.")
        }
    }))
}

/// A date of the season of that year.
///
/// # Errors
/// It lies in another.
pub fn of_season(date: PressDate, year: i64) -> Result<PressDate, Refused> {
    let lies_in = i64::from(date.date().year());
    if lies_in == year {
        return Ok(date);
    }
    Err(Refused::new(format!(
        "{} lies in another season, that of {lies_in}; this is the season of {year}. Please look at the year again.",
        date.show()
    )))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn date(text: &str) -> PressDate {
        PressDate::parse(text).unwrap()
    }

    #[test]
    fn a_date_to_come_and_one_of_another_season_are_called_that() {
        let today = date("2026-09-19");
        assert!(has_come(today, today).is_ok());
        let said = has_come(date("2026-09-20"), today).unwrap_err();
        assert!(
            said.sentence()
                .starts_with("Sun 20 Sep 2026 is still to come")
        );
        assert!(of_season(today, 2026).is_ok());
        let said = of_season(date("2025-09-19"), 2026).unwrap_err();
        assert!(said.sentence().contains("another season, that of 2025"));
    }
}
