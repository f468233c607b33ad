//! A juice read again by a second person: the form.

use crate::actions::cane::second_readings::ReadAgain;
use crate::calc::physics::refractometer::Instrument;
use crate::facts::cane::juice::FullJuice;
use crate::units::{BrixRead, Celsius, Refused, Units, plain_text};
use crate::web::form::{Choice, Sheet};
use crate::web::session::{Me, Visit};
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// The instruments that a Brix can be read with, to choose from.
pub(super) fn instruments() -> Vec<Choice> {
    Instrument::ALL
        .into_iter()
        .map(|i| Choice::new(i.word(), i.name()))
        .collect()
}

/// Reads what the second person read.
pub(super) fn reading(sheet: &mut Sheet, units: Units) -> Option<ReadAgain> {
    let instrument = sheet.read("instrument", |text| {
        Instrument::parse(text).ok_or_else(|| Refused::new("Please choose the refractometer."))
    });
    let temp = sheet.read("temp", |text| Celsius::parse(text, units));
    let brix = sheet.read("brix", BrixRead::parse);
    let note = sheet.read("note", |text| plain_text(text, 0, 200));
    Some(ReadAgain {
        brix: brix?,
        temp: temp?,
        instrument: instrument?,
        note: note?,
    })
}

/// Whether the juice waits for a second reading, and this person may be the second.
pub(super) fn waits_for(parts: &FullJuice, me: &Me) -> bool {
    let row = &parts.juice;
    let measured = parts.versions.iter().any(|version| version.by == me.id);
    let open = parts.divided.is_none() && !row.void && row.again.is_none();
    parts.drawn_by_lot && open && me.is_crew() && !measured
}

/// The form. It does not show what was read first, so that nobody reads after it.
#[derive(Template)]
#[template(path = "cane/juice/again.html")]
pub(super) struct AgainPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    back: String,
    whose: String,
    temp: &'static str,
    instruments: Vec<Choice>,
}

impl AgainPage {
    pub(super) fn new(app: &App, visit: &Visit, sheet: Sheet, of: &FullJuice) -> Self {
        let row = &of.juice;
        Self {
            shell: Shell::new(app, visit, format!("Read again, ticket {}", row.ticket)),
            action: paths::read_again(row.id),
            back: paths::juice(row.id),
            whose: format!("{}, in {}", row.member_name, row.vessel),
            temp: match visit.units() {
                Units::Us => "Temperature, °F",
                Units::Metric => "Temperature, °C",
            },
            instruments: instruments(),
            sheet,
        }
    }
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut wrong = Sheet::sample();
    wrong
        .put("brix", "<b>sweet</b>")
        .refuse("brix", "Please write a Brix.")
        .refuse("instrument", "Please choose the refractometer.");
    let page = |sheet| AgainPage {
        shell: Shell::sample("Read again, ticket 7"),
        sheet,
        action: "/juices/x/again".to_owned(),
        back: "/juices/x".to_owned(),
        whose: "Amos <b>Trout</b>, in <Blue> barrel".to_owned(),
        temp: "Temperature, °F",
        instruments: instruments(),
    };
    vec![Box::new(page(Sheet::sample())), Box::new(page(wrong))]
}
