//! Days to book a turn on, on the home page.

use super::lines::HomeLine;
use crate::facts::home::{DayLeft, PlaceInLine};
use crate::units::MemberId;
use crate::web::paths;

/// The days to book a turn on, or to wait for. Who waits for a full day already finds the place on its list above.
pub(super) fn lines(
    days: &[DayLeft],
    places: &[PlaceInLine],
    card: Option<MemberId>,
) -> Vec<HomeLine> {
    let waits = |day: &DayLeft| places.iter().any(|place| place.entry.date == day.date);
    days.iter()
        .filter(|day| !(day.full && waits(day)))
        .map(|day| line(day, card))
        .collect()
}

/// A day to book a turn on, or to wait for: for the own card, or for one acted for.
fn line(day: &DayLeft, card: Option<MemberId>) -> HomeLine {
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
