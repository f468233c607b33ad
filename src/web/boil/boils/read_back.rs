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
    let mut odd = Vec::new();
    for (name, key, typed) in temp.into_iter().chain(brix) {
        if let Some(surprise) = watch.surprise(new.read_at, typed) {
            let as_typed = sheet.typed(name).trim().to_owned();
            odd.push((as_typed, name, key, surprise.meant));
        }
    }
    // One answer confirms all of them: asked one by one, the second would undo the first.
    let names: Vec<&str> = odd.iter().map(|(_, name, ..)| *name).collect();
    let typed = sheet.together(&names);
    if typed.is_empty() || sheet.confirmed(&names) {
        return None;
    }
    let (_, name, key, meant) = odd.first()?;
    let meant = meant.filter(|_| odd.len() == 1);
    Some(ReadBack {
        question: format!("{typed}, really? Far from what is expected."),
        typed,
        meant: meant.map_or_else(String::new, |m| format!("{m:.1}")),
        key,
        name,
    })
}
