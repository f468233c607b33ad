//! A figure that nobody would expect of this boil is read back before it counts: "231.5, really?", with what
//! may have been meant. Stores nothing.

use crate::actions::boil::boils::NewReading;
use crate::calc::boil::fire::surprise::Typed;
use crate::facts::boil::boils::Boil;
use crate::units::Units;
use crate::web::form::Sheet;

/// A question about a figure just typed.
#[derive(Debug, Clone)]
pub(super) struct ReadBack {
    /// The question that is asked.
    pub question: String,
    /// The figure as it was typed: sent again with `sure`, it counts.
    pub typed: String,
    /// The figure that may have been meant; empty: nothing near it fits.
    pub meant: String,
    /// The key that sends what was meant.
    pub key: &'static str,
    /// The box it stands in.
    pub name: &'static str,
}

/// Whether a question was asked about a reading, and how it was answered.
pub(super) enum Asked {
    /// It is expected, or puts an earlier one right: nothing is asked.
    Nothing,
    /// It was asked about before and is confirmed now.
    Confirmed,
    /// It is asked about now.
    Back(ReadBack),
}

/// Whether to ask about a reading, and what.
pub(super) fn read_back(sheet: &Sheet, boil: &Boil, new: &NewReading, units: Units) -> Asked {
    asked(sheet, boil, new, units).unwrap_or(Asked::Nothing)
}

fn asked(sheet: &Sheet, boil: &Boil, new: &NewReading, units: Units) -> Option<Asked> {
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
            odd.push((as_typed, name, key, surprise));
        }
    }
    // One answer confirms all of them: asked one by one, the second would undo the first.
    let names: Vec<&str> = odd.iter().map(|(_, name, ..)| *name).collect();
    let typed = sheet.together(&names);
    if typed.is_empty() {
        return None;
    }
    if sheet.confirmed(&names) {
        return Some(Asked::Confirmed);
    }
    let (_, name, key, surprise) = odd.first()?;
    let meant = surprise.meant.filter(|_| odd.len() == 1);
    let why = if odd.iter().all(|(.., surprise)| surprise.past) {
        "By it alone the boil is past its target. If that may be so, draw the fire first."
    } else {
        "Far from what is expected."
    };
    Some(Asked::Back(ReadBack {
        question: format!("{typed}, really? {why}"),
        typed,
        meant: meant.map_or_else(String::new, |m| format!("{m:.1}")),
        key,
        name,
    }))
}
