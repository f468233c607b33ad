//! A figure that nobody would expect of this boil is read back before it counts: "231.5, really?", with what
//! may have been meant. Stores nothing.

use crate::actions::boil::boils::NewReading;
use crate::calc::boil::surprise::Typed;
use crate::facts::boil::boils::Boil;
use crate::units::Units;
use crate::web::form::Sheet;

/// A question about a figure just typed.
#[derive(Debug, Clone)]
pub(super) struct ReadBack {
    /// The question.
    pub question: String,
    /// As it was typed: sent again with `sure`, it counts.
    pub typed: String,
    /// What may have been meant; empty: nothing near it fits.
    pub meant: String,
    /// The key that sends what was meant.
    pub key: &'static str,
    /// The box it stands in.
    pub name: &'static str,
}

/// What to ask about a reading; nothing when it is expected, was confirmed, or puts an earlier one right.
pub(super) fn read_back(
    sheet: &Sheet,
    boil: &Boil,
    new: &NewReading,
    units: Units,
) -> Option<ReadBack> {
    if new.replaces.is_some() {
        return None;
    }
    let mut watch = boil.watch()?;
    let degrees = new.temp.map(|t| match units {
        Units::Us => t.fahrenheit(),
        Units::Metric => t.get(),
    });
    let temp = degrees.map(|d| ("temp", "tap", Typed::Temp(d, units)));
    let brix = new.brix.map(|b| ("brix", "tap_brix", Typed::Brix(b.get())));
    for (name, key, typed) in temp.into_iter().chain(brix) {
        let as_typed = sheet.typed(name).trim().to_owned();
        if sheet.typed("sure").trim() == as_typed {
            continue;
        }
        if let Some(surprise) = watch.surprise(new.read_at, typed) {
            return Some(ReadBack {
                question: format!("{as_typed}, really? It is far from what is expected."),
                typed: as_typed,
                meant: surprise
                    .meant
                    .map_or_else(String::new, |m| format!("{m:.1}")),
                key,
                name,
            });
        }
    }
    None
}
