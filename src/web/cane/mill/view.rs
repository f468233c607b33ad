//! The pages of the mill, as text ready to print.

use crate::store::cane::mill::{Scale, Vessel};
use crate::units::{Altitude, Grams, Units};
use crate::web::changes::ChangeRow;
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::people::accounts::{unit_choices, zone_choices};
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// A scale or a vessel in its list, with the form of its button.
struct Row {
    sheet: Sheet,
    name: String,
    step: String,
    capacity: String,
    /// Address that follows a vessel's juice; empty: it is a scale.
    follow: String,
    in_use: bool,
    retire: String,
    words: String,
}

impl Row {
    fn new(sheet: Sheet, name: &str, in_use: bool, retire: String) -> Self {
        Self {
            sheet,
            name: name.to_owned(),
            step: String::new(),
            capacity: String::new(),
            follow: String::new(),
            in_use,
            retire,
            words: if in_use {
                format!("Take {name} out of use")
            } else {
                format!("Take {name} back into use")
            },
        }
    }
}

/// The co-op's card, scales and vessels.
#[derive(Template)]
#[template(path = "cane/mill/show.html")]
pub(super) struct MillPage {
    shell: Shell,
    name: String,
    place: String,
    zone: String,
    units: &'static str,
    altitude: String,
    phone: String,
    scales: Vec<Row>,
    vessels: Vec<Row>,
    coop: &'static str,
    new_scale: &'static str,
    new_vessel: &'static str,
    seasons: &'static str,
    pans: &'static str,
    colours: &'static str,
    changes: Vec<ChangeRow>,
    history: &'static str,
    stations: &'static str,
}

impl MillPage {
    pub(super) fn new(
        (app, visit): (&App, &Visit),
        scales: &[Scale],
        vessels: &[Vessel],
        changes: Vec<ChangeRow>,
    ) -> Result<Self, PageError> {
        let (coop, units) = (visit.coop()?, visit.units());
        Ok(Self {
            shell: Shell::new(app, visit, "The mill"),
            name: coop.name.clone(),
            place: coop.place.clone(),
            zone: coop.zone.name().to_owned(),
            units: match coop.units {
                Units::Us => "pounds, gallons, °F",
                Units::Metric => "kilograms, litres, °C",
            },
            // Nobody is asked at set-up, and a mill at the level of the sea is rarer than one whose height nobody wrote.
            altitude: match Altitude::new(coop.altitude_m) {
                Ok(_) if coop.altitude_m == 0.0 => "not given, so the level of the sea".to_owned(),
                Ok(altitude) => altitude.show(units),
                Err(_) => String::new(),
            },
            phone: coop.contact_phone.clone(),
            scales: scales
                .iter()
                .map(|s| scale_row(s, units, Sheet::blank(visit, &app.ids)))
                .collect(),
            vessels: vessels
                .iter()
                .map(|v| vessel_row(v, units, Sheet::blank(visit, &app.ids)))
                .collect(),
            coop: paths::COOP,
            new_scale: paths::NEW_SCALE,
            new_vessel: paths::NEW_VESSEL,
            seasons: paths::SEASONS,
            pans: paths::PANS,
            colours: paths::COLOURS,
            changes,
            history: paths::HISTORY,
            stations: paths::STATIONS,
        })
    }
}

fn scale_row(scale: &Scale, units: Units, sheet: Sheet) -> Row {
    let in_use = scale.retired_at.is_none();
    Row {
        step: Grams::show_step(scale.graduation_g, units),
        capacity: scale.capacity.show(units),
        ..Row::new(sheet, &scale.name, in_use, paths::retire_scale(scale.id))
    }
}

fn vessel_row(vessel: &Vessel, units: Units, sheet: Sheet) -> Row {
    let in_use = vessel.retired_at.is_none();
    Row {
        capacity: vessel.capacity.show(units),
        follow: paths::vessel_trace(vessel.id),
        ..Row::new(sheet, &vessel.name, in_use, paths::retire_vessel(vessel.id))
    }
}

/// The form of the co-op's card.
#[derive(Template)]
#[template(path = "cane/mill/coop.html")]
pub(super) struct CoopPage {
    shell: Shell,
    sheet: Sheet,
    action: &'static str,
    back: &'static str,
    altitude_label: &'static str,
    units: Vec<Choice>,
    zones: Vec<Choice>,
}

impl CoopPage {
    pub(super) fn new(app: &App, visit: &Visit, sheet: Sheet) -> Self {
        Self {
            shell: Shell::new(app, visit, "The co-op’s card"),
            sheet,
            action: paths::COOP,
            back: paths::MILL,
            altitude_label: match visit.units() {
                Units::Us => "Height above the sea, ft",
                Units::Metric => "Height above the sea, m",
            },
            units: unit_choices(),
            zones: zone_choices(),
        }
    }
}

/// The form of a new scale.
#[derive(Template)]
#[template(path = "cane/mill/scale.html")]
pub(super) struct NewScalePage {
    shell: Shell,
    sheet: Sheet,
    action: &'static str,
    back: &'static str,
    step_label: String,
    capacity_label: String,
}

impl NewScalePage {
    pub(super) fn new(app: &App, visit: &Visit, sheet: Sheet) -> Self {
        let unit = match visit.units() {
            Units::Us => "lb",
            Units::Metric => "kg",
        };
        Self {
            shell: Shell::new(app, visit, "New scale"),
            sheet,
            action: paths::NEW_SCALE,
            back: paths::MILL,
            step_label: format!("One step of its display (d), {unit}"),
            capacity_label: format!("The most it weighs, {unit}"),
        }
    }
}

/// The form of a new vessel.
#[derive(Template)]
#[template(path = "cane/mill/vessel.html")]
pub(super) struct NewVesselPage {
    shell: Shell,
    sheet: Sheet,
    action: &'static str,
    back: &'static str,
    capacity_label: &'static str,
}

impl NewVesselPage {
    pub(super) fn new(app: &App, visit: &Visit, sheet: Sheet) -> Self {
        Self {
            shell: Shell::new(app, visit, "New vessel"),
            sheet,
            action: paths::NEW_VESSEL,
            back: paths::MILL,
            capacity_label: match visit.units() {
                Units::Us => "What it holds, gal",
                Units::Metric => "What it holds, L",
            },
        }
    }
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let row = |n: usize| Row {
        step: "0.5 lb".to_owned(),
        capacity: "2,000.0 lb".to_owned(),
        ..Row::new(
            Sheet::sample(),
            &format!("Platform <b>{n}</b>"),
            n.is_multiple_of(2),
            "/mill/scales/01920000-0000-7000-8000-000000000000/retire".to_owned(),
        )
    };
    let mill = |count: usize, phone: &str| MillPage {
        shell: Shell::sample("The mill"),
        name: "Coldwater <Ridge> Co-op".to_owned(),
        place: "Tolliver, TN 37999".to_owned(),
        zone: "America/Chicago".to_owned(),
        units: "pounds, gallons, °F",
        altitude: "591 ft".to_owned(),
        phone: phone.to_owned(),
        scales: (0..count).map(row).collect(),
        vessels: (0..count).map(row).collect(),
        coop: paths::COOP,
        new_scale: paths::NEW_SCALE,
        new_vessel: paths::NEW_VESSEL,
        seasons: paths::SEASONS,
        pans: paths::PANS,
        colours: paths::COLOURS,
        changes: crate::web::changes::sample(count),
        history: paths::HISTORY,
        stations: paths::STATIONS,
    };
    let mut wrong = Sheet::sample();
    wrong
        .put("scale_name", "<script>")
        .refuse("graduation", "Please write a number here.")
        .refuse("capacity", "Please write a number here.");
    vec![
        Box::new(mill(0, "")),
        Box::new(mill(40, "615 555 0100")),
        Box::new(CoopPage {
            shell: Shell::sample("The co-op’s card"),
            sheet: Sheet::sample(),
            action: paths::COOP,
            back: paths::MILL,
            altitude_label: "Height above the sea, ft",
            units: unit_choices(),
            zones: zone_choices(),
        }),
        Box::new(NewScalePage {
            shell: Shell::sample("New scale"),
            sheet: wrong.clone(),
            action: paths::NEW_SCALE,
            back: paths::MILL,
            step_label: "One step of its display (d), lb".to_owned(),
            capacity_label: "The most it weighs, lb".to_owned(),
        }),
        Box::new(NewVesselPage {
            shell: Shell::sample("New vessel"),
            sheet: wrong,
            action: paths::NEW_VESSEL,
            back: paths::MILL,
            capacity_label: "What it holds, gal",
        }),
    ]
}
