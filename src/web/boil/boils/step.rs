//! One tap beside the pan: − and + that count without a script, keys of temperatures and remarks. Stores
//! nothing itself.

use crate::calc::boil::on_fire::{FIRE_DRAWN, FIRE_LET_DOWN, FIRE_RELIT, FIRE_STAYS, QUIETED};
use crate::facts::boil::boils::Boil;
use crate::units::{BrixRead, Units, decimal};
use crate::web::form::{Sent, Sheet};

/// How much − and + change a box by, in the degrees that are read and in °Bx.
const BY: f64 = 0.5;

/// The boxes that count: what stands in them before anything is typed, and what is typed with a tap.
pub(super) struct Steps {
    /// Last temperature read, as it would be typed; empty: none.
    pub temp: String,
    /// Last Brix read, as it would be typed; empty: none.
    pub brix: String,
}

impl Steps {
    /// The last figures read of a boil.
    pub(super) fn of(boil: &Boil, units: Units) -> Self {
        let temp = boil.readings.iter().rev().find_map(|r| r.temp);
        let brix = boil.readings.iter().rev().find_map(|r| r.brix);
        Self {
            temp: temp.map_or_else(String::new, |t| t.typed(units)),
            brix: brix.map_or_else(String::new, BrixRead::typed),
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

/// The box that a sending asks to change by a step, and the step; `None` for a reading to store.
pub(super) fn step_pressed(sent: &Sent) -> Option<(&'static str, f64)> {
    match sent.get("step") {
        "temp-" => Some(("temp", -BY)),
        "temp+" => Some(("temp", BY)),
        "brix-" => Some(("brix", -BY)),
        "brix+" => Some(("brix", BY)),
        _ => None,
    }
}

/// Changes a box by a step, from what is typed in it, else from the last reading. What cannot be read is left as it
/// is, with a word beside it.
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

/// A tap on a temperature or a Brix is as if it had been typed; a tap on a remark, as if that had been.
pub(super) fn tapped(sheet: &mut Sheet, sent: &Sent) {
    for (key, name) in [("tap", "temp"), ("tap_brix", "brix")] {
        if !sent.get(key).is_empty() {
            sheet.put(name, sent.get(key));
        }
    }
    let remark = match sent.get("remark") {
        "drawn" => FIRE_DRAWN,
        "relit" => FIRE_RELIT,
        "down" => FIRE_LET_DOWN,
        "stays" => FIRE_STAYS,
        "quiet" => QUIETED,
        _ => return,
    };
    // What is typed beside it stays for the next reading.
    sheet.put("note", remark).put("temp", "").put("brix", "");
}
