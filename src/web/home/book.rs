//! Days to book a turn on, on the home page.

use super::lines::HomeLine;
use crate::facts::home::DayLeft;
use crate::units::MemberId;
use crate::web::paths;

/// A day to book a turn on, or to wait for: for the own card, or for one acted for.
pub(super) fn line(day: &DayLeft, card: Option<MemberId>) -> HomeLine {
    let left = if day.full {
        "full: you can wait for a turn".to_owned()
    } else {
        format!("{} left", day.left.show())
    };
    let more = format!("{}–{}, {left}", day.opens.show(), day.closes.show());
    let address = match card {
        Some(card) => paths::book_for(day.date, card),
        None => paths::book(day.date),
    };
    HomeLine::new(address, day.date.show(), more)
}
