//! One tap beside the pan: − and + that count without a script, keys of temperatures and remarks. Stores
//! nothing itself.

use crate::calc::boil::fire::on_fire::{
    FIRE_DRAWN, FIRE_LET_DOWN, FIRE_RELIT, FIRE_STAYS, QUIETED,
};
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
    /// The Brix aimed at.
    pub goal: String,
}

impl Steps {
    /// The last figures read of a boil.
    pub(super) fn of(boil: &Boil, units: Units) -> Self {
        let temp = boil.readings.iter().rev().find_map(|r| r.temp);
        let brix = boil.readings.iter().rev().find_map(|r| r.brix);
        Self {
            temp: temp.map_or_else(String::new, |t| t.typed(units)),
            brix: brix.map_or_else(String::new, BrixRead::typed),
            goal: format!("{:.1}", boil.row.target),
        }
    }

    fn start(&self, name: &str, boil: &Boil, units: Units) -> String {
        match name {
            "temp" if self.temp.is_empty() => boil.day.target.water.typed(units),
            "temp" => self.temp.clone(),
            _ if self.brix.is_empty() => self.goal.clone(),
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

/// A tap on a temperature or a Brix is as if it had been typed; a tap on a remark, as if that had been. Gives the remark
/// that was tapped.
pub(super) fn tapped(sheet: &mut Sheet, sent: &Sent) -> Option<&'static str> {
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
        _ => return None,
    };
    sheet.put("note", remark);
    Some(remark)
}

/// Figures that were typed beside a tap and are not noted yet: they stand in the boxes of the page that follows, as its address
/// has them.
#[derive(Debug, Default, serde::Deserialize)]
#[serde(default)]
pub(in crate::web) struct Beside {
    temp: String,
    brix: String,
}

/// Longest figure that is put back into its box, in characters.
const FIGURE_MOST: usize = 20;

impl Beside {
    /// What stands in the boxes.
    pub(super) fn of(sheet: &Sheet) -> Self {
        let typed = |name| sheet.typed(name).trim().to_owned();
        Self {
            temp: typed("temp"),
            brix: typed("brix"),
        }
    }

    /// The address of the page that has them in its boxes.
    pub(super) fn on(&self, path: &str) -> String {
        let both = [("temp", &self.temp), ("brix", &self.brix)];
        let typed: Vec<_> = both.iter().filter(|(_, typed)| !typed.is_empty()).collect();
        if typed.is_empty() {
            return path.to_owned();
        }
        let query = serde_urlencoded::to_string(typed).unwrap_or_default();
        format!("{path}?{query}#reading")
    }

    /// Puts them into the boxes, and says so.
    pub(super) fn fill(&self, sheet: &mut Sheet) {
        for (name, typed) in [("temp", &self.temp), ("brix", &self.brix)] {
            if !typed.is_empty() && typed.chars().count() <= FIGURE_MOST {
                sheet.put(name, typed.as_str()).put("beside", "yes");
            }
        }
    }
}
