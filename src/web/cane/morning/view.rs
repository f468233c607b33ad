//! The morning page, as text ready to print.

use super::form::boxes;
use crate::calc::cane::morning::{Found, Item, may_open_ticket};
use crate::calc::physics::elevation::{FactorFrom, WaterBoil};
use crate::calc::sources::source;
use crate::facts::boil::finish_of_day::FinishOfDay;
use crate::facts::cane::morning::Morning;
use crate::store::cane::mill::Scale;
use crate::store::cane::morning::OpeningCheck;
use crate::units::{Altitude, Units, Zone};
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::season::rules_lacking::lacking;
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// The day's finish in words.
struct FinishWords {
    first: String,
    second: String,
    target: String,
    water: String,
    rise: String,
    plus_minus: String,
    factor: String,
    measured: bool,
}

/// One time an item was checked.
struct Line {
    words: String,
    doubt: String,
    who: String,
    note: String,
}

/// One item of the list.
struct ItemBox {
    word: &'static str,
    title: &'static str,
    how: &'static str,
    look: &'static str,
    state: &'static str,
    lines: Vec<Line>,
    measured: bool,
    done: String,
    done_words: &'static str,
    waive: String,
    sure: String,
    ask: bool,
    note: String,
}

/// The page of the morning's checks.
#[derive(Template)]
#[template(path = "cane/morning/show.html")]
pub(super) struct MorningPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    day: String,
    ticket: String,
    closed: bool,
    /// Where rules for the day are to be confirmed; empty: they are.
    lacking: String,
    ready: bool,
    waits: String,
    finish: Option<FinishWords>,
    items: Vec<ItemBox>,
    scales: Vec<Choice>,
    known_label: &'static str,
    reading_label: &'static str,
    water_label: &'static str,
    sources: Vec<String>,
}

fn how(item: Item) -> &'static str {
    match item {
        Item::Weight => {
            "Level it, clear under it, set it to zero. Put on a weight that you know, near that of a load, and write both."
        }
        Item::Refractometer => {
            "Clean water on a clean prism, both as warm as the air: it must read 0, within 0.2. Again at noon and after any drop."
        }
        Item::WaterBoil => {
            "The thermometer that the finish is read with, in water boiling hard, clear of the bottom. It sets the finish of the day."
        }
        Item::Guards => {
            "Every guard on rollers, gears and shaft is in place, and the stop bar stops the mill. One named feeder; sleeves, hair and strings tied back."
        }
        Item::Extinguisher => {
            "Full, in reach of the fire but not behind it; a hose or buckets for the slabs and the press waste; no burn ban."
        }
        Item::Engine => {
            "Engine and exhaust stand out of doors, clear of doors and windows. An open barn door is not out of doors."
        }
        Item::Pan => {
            "Sweet and clean, sound seams, no brass and no lead solder; strainers and dippers too. Looked at cold, before it is filled."
        }
        Item::FirstAid => {
            "Drinking water for people, cold running water for burns, the first-aid box, and somebody who knows where they are."
        }
    }
}

fn done_words(item: Item) -> &'static str {
    match item {
        Item::Guards => "Done: guards are on and the stop bar works",
        Item::Extinguisher => "Done: it is full and at hand",
        Item::Engine => "Done: the engine stands out of doors",
        Item::Pan => "Done: the pan is clean and sound",
        Item::FirstAid => "Done: water and first aid are there",
        Item::Weight | Item::Refractometer | Item::WaterBoil => "",
    }
}

fn line(check: &OpeningCheck, height: Altitude, zone: &Zone, units: Units) -> Line {
    let verdict = check.found.verdict(height, units).ok().flatten();
    let (words, doubt) = match (&check.found, verdict) {
        (Found::Waived(_), _) => ("Waived.".to_owned(), String::new()),
        (_, None) => ("Done.".to_owned(), String::new()),
        (_, Some(verdict)) => (
            check.scale_name.as_ref().map_or_else(
                || verdict.sentence.clone(),
                |scale| format!("{scale}: {}", verdict.sentence),
            ),
            verdict.doubt.map_or_else(String::new, |d| d.sentence),
        ),
    };
    Line {
        words,
        doubt,
        who: format!("{}, {}", check.by_name, zone.show(check.at)),
        note: check.note.clone(),
    }
}

fn item_box(
    item: Item,
    sheet: &Sheet,
    checks: &[OpeningCheck],
    height: Altitude,
    (zone, units): (&Zone, Units),
) -> ItemBox {
    let of_item: Vec<_> = checks.iter().filter(|c| c.found.item() == item).collect();
    let lines: Vec<_> = of_item
        .iter()
        .map(|check| line(check, height, zone, units))
        .collect();
    let (look, state) = match (of_item.first().map(|c| &c.found), lines.first()) {
        (None, _) | (_, None) => ("bad", "missing"),
        (Some(Found::Waived(_)), _) => ("warn", "waived"),
        (_, Some(latest)) if latest.doubt.is_empty() => ("ok", "done"),
        _ => ("warn", "done, in doubt"),
    };
    let names = boxes(item);
    ItemBox {
        word: item.word(),
        title: item.name(),
        how: how(item),
        look,
        state,
        lines,
        measured: item.measured(),
        ask: sheet.at(&names.sure).problem.is_some() || sheet.ticked(&names.sure),
        done: names.done,
        done_words: done_words(item),
        waive: names.waive,
        sure: names.sure,
        note: names.note,
    }
}

impl FinishWords {
    fn new(of: &FinishOfDay, target_bx: f64, units: Units) -> Self {
        let finish = &of.target;
        let other = match units {
            Units::Us => Units::Metric,
            Units::Metric => Units::Us,
        };
        let k = of.factor.get();
        Self {
            first: finish.temp.show(units),
            second: finish.temp.show(other),
            target: format!("{target_bx:.0} °Bx"),
            water: finish.water.show(units),
            rise: finish.rise.show(units),
            plus_minus: format!(
                "±{}, or ±{:.1} °Bx",
                finish.plus_minus.show(units),
                finish.brix_plus_minus
            ),
            factor: match of.from {
                FactorFrom::Guess | FactorFrom::Learned(0) => {
                    format!("{k:.2}, the usual one: no finished boil of this season tells yet")
                }
                FactorFrom::Learned(1) => format!("{k:.2}, learned from one finished boil"),
                FactorFrom::Learned(boils) => {
                    format!("{k:.2}, learned from {boils} finished boils")
                }
            },
            measured: matches!(of.water, WaterBoil::Measured(_)),
        }
    }
}

fn scale_choices(scales: &[Scale]) -> Vec<Choice> {
    scales
        .iter()
        .map(|scale| Choice::new(scale.id.to_string(), scale.name.clone()))
        .collect()
}

fn labels(units: Units) -> (&'static str, &'static str, &'static str) {
    match units {
        Units::Us => (
            "The check weight weighs, lb",
            "The scale shows, lb",
            "Water boils at, °F",
        ),
        Units::Metric => (
            "The check weight weighs, kg",
            "The scale shows, kg",
            "Water boils at, °C",
        ),
    }
}

const SOURCES: [&str; 6] = [
    "scale_tolerance",
    "refractometer_zero",
    "water_boil_within",
    "boiling_rise",
    "guards",
    "carbon_monoxide",
];

impl MorningPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        sheet: Sheet,
        morning: &Morning,
    ) -> Result<Self, PageError> {
        let date = morning.day.date;
        let shell = Shell::new(app, visit, format!("Morning of {}", date.show()));
        let place = (visit.zone()?, visit.units());
        let mut page = Self::of(shell, sheet, (&morning.checks, morning.height), place);
        page.finish = morning
            .finish
            .map(|of| FinishWords::new(&of, morning.rules.target_bx, visit.units()));
        page.action = paths::morning(date);
        page.day = paths::day(date);
        page.ticket = paths::new_ticket(date);
        page.closed = morning.day.closed_at.is_some();
        page.lacking = lacking(&morning.rules, date);
        page.scales = scale_choices(&morning.scales);
        Ok(page)
    }

    fn of(
        shell: Shell,
        sheet: Sheet,
        (checks, height): (&[OpeningCheck], Altitude),
        place: (&Zone, Units),
    ) -> Self {
        let checked: Vec<_> = checks.iter().map(|c| c.found.item()).collect();
        let may = may_open_ticket(&checked);
        let (known_label, reading_label, water_label) = labels(place.1);
        Self {
            shell,
            action: String::new(),
            day: String::new(),
            ticket: String::new(),
            closed: false,
            lacking: String::new(),
            ready: may.is_ok(),
            waits: may.map_or_else(|refusal| refusal.sentence, |()| String::new()),
            finish: None,
            items: Item::ALL
                .into_iter()
                .map(|item| item_box(item, &sheet, checks, height, place))
                .collect(),
            sheet,
            scales: Vec::new(),
            known_label,
            reading_label,
            water_label,
            sources: SOURCES
                .iter()
                .filter_map(|key| source(key))
                .map(|s| format!("{} ({})", s.text, s.standing.words()))
                .collect(),
        }
    }
}

#[cfg(test)]
#[path = "samples.rs"]
mod sampled;
#[cfg(test)]
pub(in crate::web) use sampled::samples;
