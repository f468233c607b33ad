//! Which season a day belongs to.

use crate::units::PressDate;

/// Whether a press day of this date may be of a year's season: one of the year itself, or of the months after it as far as April, for a
/// season that runs past New Year.
pub fn of_season(year: i64, date: PressDate) -> bool {
    let civil = date.date();
    let of = i64::from(civil.year());
    of == year || (of == year + 1 && u8::from(civil.month()) <= 4)
}

#[cfg(test)]
mod tests {
    use super::of_season;
    use crate::units::PressDate;

    #[test]
    fn a_season_takes_the_days_of_its_year_and_of_the_winter_after_it() {
        let takes = |date| of_season(2026, PressDate::parse(date).unwrap());
        assert!(takes("2026-01-01") && takes("2026-12-31"));
        assert!(takes("2027-01-09") && takes("2027-04-30"));
        assert!(!takes("2027-05-01") && !takes("2025-12-31") && !takes("2028-01-09"));
    }
}
