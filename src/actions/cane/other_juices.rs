//! The juices that a measuring is compared with: those of the day, and those of its own ticket.

use crate::actions::Done;
use crate::calc::cane::day_juice::Pair;
use crate::calc::cane::same_juice::RecordedJuice;
use crate::store::cane::juice::JuiceRow;
use crate::units::JuiceId;

/// A juice of the ticket, as one that is measured now may be the same.
pub(super) fn recorded(row: &JuiceRow) -> Done<RecordedJuice> {
    let juice = row.reckon()?;
    Ok(RecordedJuice {
        mass: juice.mass,
        brix: juice.brix_20,
        pressed: row.pressed_at,
        vessel: row.vessel.clone(),
        by: row.by_name.to_string(),
    })
}

/// Temperature and Brix of a day's juices, without one of them.
pub(super) fn pairs(of_day: &[JuiceRow], not: Option<JuiceId>) -> Done<Vec<Pair>> {
    let others = of_day.iter().filter(|other| Some(other.id) != not);
    let pair = |other: &JuiceRow| {
        Ok(Pair {
            temp: other.temp,
            brix: other.reckon()?.brix_20,
        })
    };
    others.map(pair).collect()
}
