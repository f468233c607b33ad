//! One tap beside the pan: − and + that count without a script, and the next few temperatures as
//! buttons. Stores nothing itself.

use crate::facts::boil::boils::Boil;
use crate::units::{BrixRead, Celsius, Units, decimal};
use crate::web::form::{Sent, Sheet};

/// What − and + change by, in the degrees that are read and in °Bx.
const BY: f64 = 0.5;

/// The boxes that count: what stands in them before anything is typed, and what is typed with a tap.
pub(super) struct Steps {
    /// Last temperature read, as it would be typed; empty: none.
    pub temp: String,
    /// Last Brix read, as it would be typed; empty: none.
    pub brix: String,
    /// The last temperature and the next few, each a reading at one tap.
    pub taps: Vec<String>,
}

impl Steps {
    /// From the readings of a boil.
    pub fn of(boil: &Boil, units: Units) -> Self {
        let temp = boil.readings.iter().rev().find_map(|r| r.temp);
        let brix = boil.readings.iter().rev().find_map(|r| r.brix);
        Self {
            temp: temp.map_or_else(String::new, |t| t.typed(units)),
            brix: brix.map_or_else(String::new, BrixRead::typed),
            taps: temp.map_or_else(Vec::new, |t| taps(t, units)),
        }
    }

    fn start(&self, name: &str, boil: &Boil, units: Units) -> String {
        match name {
            "temp" if self.temp.is_empty() => boil.day.target.water.typed(units),
            "temp" => self.temp.clone(),
            _ if self.brix.is_empty() => format!("{:.1}", boil.row.target),
            _ => self.brix.clone(),
        }
    }
}

/// The temperature read last and four steps above it.
fn taps(last: Celsius, units: Units) -> Vec<String> {
    let degrees = match units {
        Units::Us => last.fahrenheit(),
        Units::Metric => last.get(),
    };
    let from = (degrees / BY).round() * BY;
    (0..5)
        .map(|n| format!("{:.1}", from + f64::from(n) * BY))
        .collect()
}

/// Which box a sending asks to count, and by how much; nothing for a reading to store.
pub(super) fn asked(sent: &Sent) -> Option<(&'static str, f64)> {
    match sent.get("step") {
        "temp-" => Some(("temp", -BY)),
        "temp+" => Some(("temp", BY)),
        "brix-" => Some(("brix", -BY)),
        "brix+" => Some(("brix", BY)),
        _ => None,
    }
}

/// Counts a box on, from what is typed in it, else from the last reading. What cannot be read is
/// left as it is, with a word beside it.
pub(super) fn count(sheet: &mut Sheet, (name, by): (&str, f64), boil: &Boil, units: Units) {
    let typed = sheet.typed(name).trim().to_owned();
    let from = if typed.is_empty() {
        Steps::of(boil, units).start(name, boil, units)
    } else {
        typed
    };
    match decimal(&from) {
        Ok(value) => {
            sheet.put(name, format!("{:.1}", (value + by).max(0.0)));
        }
        Err(refused) => {
            sheet.refuse(name, refused.sentence());
        }
    }
}

/// A tap on a temperature: as if it had been typed.
pub(super) fn tapped(sheet: &mut Sheet, sent: &Sent) {
    if !sent.get("tap").is_empty() {
        sheet.put("temp", sent.get("tap"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn taps_begin_at_the_last_reading_and_go_up_by_halves() {
        let last = Celsius::parse("217.2", Units::Us).unwrap();
        assert_eq!(
            taps(last, Units::Us),
            ["217.0", "217.5", "218.0", "218.5", "219.0"]
        );
        let last = Celsius::new(103.1).unwrap();
        assert_eq!(taps(last, Units::Metric)[0], "103.0");
    }
}
