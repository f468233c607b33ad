//! The pages of juice, as text ready to print.

use super::sums;
use crate::calc::cane::juice::{Amount, Juice};
use crate::calc::physics::refractometer::Instrument;
use crate::facts::cane::juices::{FullJuice, JuiceToMeasure};
use crate::store::cane::juice::JuiceRow;
use crate::units::{BrixRead, Units, Zone};
use crate::web::cane::cane_words::{
    clock_words, typed_in, yield_band, yield_figure, yield_medians,
};
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::session::{Me, Visit};
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

fn amount(amount: Amount, units: Units) -> String {
    match amount {
        Amount::Weight(g) => g.show(units),
        Amount::Volume(ml, at) => format!("{} at {}", ml.show(units), at.show(units)),
    }
}

/// The boxes that differ with units, and what to ask again.
struct Boxes {
    kinds: Vec<Choice>,
    instruments: Vec<Choice>,
    amount_hint: &'static str,
    temp: &'static str,
    /// The third reading: only once the first two were found apart.
    third: bool,
    /// “It really is so”: only once something was questioned.
    ask: bool,
}

impl Boxes {
    fn new(sheet: &Sheet, units: Units) -> Self {
        let third = sheet.at("brix_3");
        let (amount_hint, temp) = match units {
            Units::Us => (
                "Pounds if weighed, gallons if gauged. Let the foam fall first.",
                "Temperature, °F",
            ),
            Units::Metric => (
                "Kilograms if weighed, litres if gauged. Let the foam fall first.",
                "Temperature, °C",
            ),
        };
        Self {
            kinds: vec![
                Choice::new("mass", "Weighed"),
                Choice::new("volume", "Gauged: a volume"),
            ],
            instruments: Instrument::ALL
                .into_iter()
                .map(|i| Choice::new(i.word(), i.name()))
                .collect(),
            amount_hint,
            temp,
            third: third.problem.is_some() || !third.typed.trim().is_empty(),
            ask: sheet.ticked("sure")
                || ["amount", "brix_1", "temp"]
                    .iter()
                    .any(|name| sheet.at(name).problem.is_some()),
        }
    }
}

/// Measuring a juice, or correcting it.
#[derive(Template)]
#[template(path = "cane/juice/form.html")]
pub(super) struct FormPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    back: String,
    whose: String,
    vessels: Vec<Choice>,
    ask_empty: bool,
    fixing: bool,
    boxes: Boxes,
    versions: Vec<VersionLine>,
}

impl FormPage {
    pub(super) fn adding(app: &App, visit: &Visit, sheet: Sheet, of: &JuiceToMeasure) -> Self {
        let units = visit.units();
        let vessels = of.vessels.iter().map(|v| {
            let words = format!("{}, holds {}", v.name, v.capacity.show(units));
            Choice::new(v.id.to_string(), words)
        });
        let mut choices = vec![Choice::new("", "Choose the vessel")];
        choices.extend(vessels);
        Self {
            shell: Shell::new(app, visit, format!("Juice of ticket {}", of.ticket.ticket)),
            action: paths::new_juice(of.ticket.id),
            back: paths::ticket(of.ticket.id),
            whose: format!("{}: {} of cane", of.ticket.member_name, of.cane.show(units)),
            vessels: choices,
            ask_empty: sheet.at("vessel").problem.is_some() || sheet.ticked("vessel_empty"),
            fixing: false,
            boxes: Boxes::new(&sheet, units),
            versions: Vec::new(),
            sheet,
        }
    }

    pub(super) fn fixing(
        app: &App,
        visit: &Visit,
        sheet: Sheet,
        juice: &JuiceRow,
        versions: &[JuiceRow],
    ) -> Result<Self, PageError> {
        let units = visit.units();
        Ok(Self {
            shell: Shell::new(
                app,
                visit,
                format!("Correct the juice of ticket {}", juice.ticket),
            ),
            action: paths::fix_juice(juice.id),
            back: paths::juice(juice.id),
            whose: format!("{}, in {}", juice.member_name, juice.vessel),
            vessels: Vec::new(),
            ask_empty: false,
            fixing: true,
            boxes: Boxes::new(&sheet, units),
            versions: version_lines(versions, units, visit.zone()?),
            sheet,
        })
    }
}

/// One version of what was measured.
struct VersionLine {
    amount: String,
    sediment: String,
    readings: String,
    how: String,
    by: String,
    why: String,
    struck: bool,
    tag: &'static str,
}

fn version_lines(versions: &[JuiceRow], units: Units, zone: &Zone) -> Vec<VersionLine> {
    let latest = versions.first().map_or(0, |v| v.version);
    versions
        .iter()
        .map(|v| VersionLine {
            amount: amount(v.amount, units),
            sediment: v
                .sediment
                .map_or_else(|| "none".to_owned(), |s| amount(s, units)),
            readings: readings(&v.readings),
            how: format!("{}, {}", v.temp.show(units), v.instrument.name()),
            by: format!(
                "{}{}, {}{}",
                if v.version == 1 { "" } else { "corrected by " },
                v.by_name,
                // On paper it was measured when it was pressed; typed in it was later.
                zone.show(if v.typed_by.is_some() {
                    v.pressed_at
                } else {
                    v.at
                }),
                typed_in(v.typed_by.as_ref(), v.at, zone)
            ),
            why: v.why.clone(),
            struck: v.void || v.version < latest,
            tag: match (v.version < latest, v.void) {
                (true, _) => "before",
                (false, true) => "poured away",
                (false, false) => "counts",
            },
        })
        .collect()
}

fn readings(all: &[BrixRead]) -> String {
    let shown: Vec<String> = all.iter().map(|r| r.show()).collect();
    shown.join(", ")
}

/// What a juice came to.
#[derive(Template)]
#[template(path = "cane/juice/show.html")]
pub(super) struct JuicePage {
    shell: Shell,
    name: String,
    vessel: String,
    ticket: i64,
    ticket_at: String,
    pressed: String,
    clock: String,
    look: &'static str,
    left: String,
    void: bool,
    solids: String,
    brix: String,
    mass: String,
    volume: String,
    sum: Vec<String>,
    cautions: Vec<String>,
    figure: Option<String>,
    yield_sum: String,
    band: &'static str,
    band_look: &'static str,
    medians: String,
    versions: Vec<VersionLine>,
    fix: String,
    closed: bool,
}

impl JuicePage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        me: &Me,
        parts: &FullJuice,
    ) -> Result<Self, PageError> {
        let (units, zone, row) = (visit.units(), visit.zone()?, &parts.juice);
        let juice = row.reckon()?;
        let (clock, look) = clock_words(row, parts.drawn, juice.mass, &parts.rules, visit.at);
        let (band, band_look) = yield_band(&parts.yields);
        let closed = parts.divided.is_some();
        let figure = yield_figure(&parts.yields).filter(|_| !row.void);
        Ok(Self {
            shell: Shell::new(app, visit, format!("Juice of ticket {}", row.ticket)),
            name: row.member_name.to_string(),
            vessel: row.vessel.clone(),
            ticket: row.ticket,
            ticket_at: paths::ticket(row.ticket_id),
            pressed: zone.show(row.pressed_at),
            clock,
            look,
            left: parts.drawn.left(juice.mass).show(units),
            void: row.void,
            solids: juice.solids.show(units),
            brix: juice.brix_20.show(),
            mass: juice.mass.show(units),
            volume: juice.volume_20c.show(units),
            sum: sums::lines(row, &juice, units),
            cautions: cautions(&juice, parts.rules.floor_bx),
            yield_sum: figure.as_ref().map_or_else(String::new, |figure| {
                format!(
                    "All juice of the ticket: 100 × {} ÷ {} of cane = {figure}",
                    parts.yields.juice.show(units),
                    parts.yields.cane.show(units)
                )
            }),
            figure,
            band,
            band_look,
            medians: yield_medians(&parts.yields),
            versions: version_lines(&parts.versions, units, zone),
            fix: if me.is_crew() && !closed {
                paths::fix_juice(row.id)
            } else {
                String::new()
            },
            closed,
        })
    }
}

fn cautions(juice: &Juice, floor_bx: f64) -> Vec<String> {
    let mut out: Vec<String> = juice.cautions.iter().map(|c| (*c).to_owned()).collect();
    if juice.brix_20.get() < floor_bx {
        out.push(format!(
            "{} is below the season’s floor of {floor_bx:.1} °Bx: it takes more fire for less syrup. \
             Boil it with sweeter juice, or let the cane ripen.",
            juice.brix_20.show()
        ));
    }
    out
}

#[cfg(test)]
#[path = "view_tests.rs"]
mod tests;
#[cfg(test)]
pub(in crate::web) use tests::samples;
