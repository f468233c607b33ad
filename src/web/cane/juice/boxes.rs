//! The boxes of a juice that differ with units, and what is asked again.

use super::again;
use super::form::LOOKED_AT;
use crate::calc::physics::refractometer::Instrument;
use crate::units::Units;
use crate::web::form::{Choice, Sheet};

/// The boxes that differ with units, and what to ask again.
pub(super) struct Boxes {
    pub(super) kinds: Vec<Choice>,
    pub(super) instruments: Vec<Choice>,
    pub(super) amount_hint: &'static str,
    pub(super) temp: &'static str,
    /// The third reading: only once the first two were found apart.
    pub(super) third: bool,
    /// Unit of the amount as it is measured on this day, and of temperatures.
    pub(super) unit: &'static str,
    /// The units that it would have, weighed and gauged.
    pub(super) mass: &'static str,
    pub(super) volume: &'static str,
    pub(super) degrees: &'static str,
    /// Whether the day’s last juice says how and with what it is measured.
    pub(super) known: bool,
    /// A line that tells what the further boxes hold.
    pub(super) line: String,
    pub(super) more_open: bool,
    /// The figures that are read back; empty: nothing was questioned.
    pub(super) ask: String,
}

impl Boxes {
    pub(super) fn new(sheet: &Sheet, units: Units) -> Self {
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
        let (mass, volume) = match units {
            Units::Us => ("lb", "gal"),
            Units::Metric => ("kg", "L"),
        };
        Self {
            kinds: vec![
                Choice::new("mass", "Weighed"),
                Choice::new("volume", "Gauged: a volume"),
            ],
            instruments: again::instruments(),
            amount_hint,
            temp,
            unit: match sheet.typed("kind") {
                "mass" => mass,
                "volume" => volume,
                _ => "",
            },
            mass,
            volume,
            degrees: match units {
                Units::Us => "°F",
                Units::Metric => "°C",
            },
            known: !sheet.typed("kind").is_empty() && !sheet.typed("instrument").is_empty(),
            line: more_line(sheet),
            more_open: ["kind", "instrument", "sediment", "pressed"]
                .iter()
                .any(|name| sheet.at(name).problem.is_some()),
            third: third.problem.is_some() || !third.typed.trim().is_empty(),
            ask: sheet.asked_about(&LOOKED_AT),
        }
    }
}

/// What the further boxes of a juice hold: "Weighed, self-compensating; no sediment; pressed just now".
fn more_line(sheet: &Sheet) -> String {
    let how = match sheet.typed("kind") {
        "mass" => "Weighed",
        "volume" => "Gauged",
        _ => "Sediment and time",
    };
    let instrument = Instrument::parse(sheet.typed("instrument"))
        .map_or_else(String::new, |i| format!(", {}", i.name()));
    let typed = |name: &str, empty: &str, word: &str| match sheet.typed(name).trim() {
        "" => empty.to_owned(),
        text => format!("{word} {text}"),
    };
    format!(
        "{how}{instrument}; {}; {}",
        typed("sediment", "no sediment", "sediment"),
        typed("pressed", "pressed just now", "pressed at")
    )
}
