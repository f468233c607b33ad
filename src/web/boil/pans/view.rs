//! The pages of pans, as text ready to print.

use crate::calc::boil::pan::{rate, rate_unit};
use crate::calc::physics::energy::Fuel;
use crate::calc::sources::source;
use crate::facts::boil::probes::KnownProbe;
use crate::store::boil::pans::Pan;
use crate::units::{Units, fixed};
use crate::web::boil::probes::{ProbeList, probe_list};
use crate::web::changes::ChangeRow;
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::session::{Me, Visit};
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// One row of the list.
struct Row {
    name: String,
    area: String,
    charge: String,
    depth: String,
    rate: String,
    water: String,
    fuel: String,
    retired: bool,
    retire: String,
    words: &'static str,
}

/// All pans.
#[derive(Template)]
#[template(path = "boil/pans/list.html")]
pub(super) struct ListPage {
    shell: Shell,
    sheet: Sheet,
    steward: bool,
    new: &'static str,
    rows: Vec<Row>,
    probes: ProbeList,
    sources: Vec<String>,
    history: Vec<ChangeRow>,
}

fn row(pan: &Pan, units: Units) -> Row {
    let s = &pan.settings;
    let retired = pan.retired_at.is_some();
    Row {
        name: pan.name.clone(),
        area: s.area.show(units),
        charge: format!("{} to {}", s.least.show(units), s.most.show(units)),
        depth: format!("{} to {}", s.depth(s.least, units), s.depth(s.most, units)),
        rate: rate(s.rate_l_m2_h, units),
        water: format!("{} an hour", s.water_an_hour().show(units)),
        fuel: format!("{}, {} %", s.fuel.name(), fixed(s.efficiency_pct, 0, units)),
        retired,
        retire: paths::retire_pan(pan.id),
        words: if retired {
            "Use again"
        } else {
            "Take out of use"
        },
    }
}

/// The lines of sources, with how well each stands.
fn lines(keys: &[&str]) -> Vec<String> {
    keys.iter()
        .filter_map(|key| source(key))
        .map(|s| format!("{} ({})", s.text, s.standing.words()))
        .collect()
}

impl ListPage {
    pub(super) fn new(
        (app, visit, me): (&App, &Visit, &Me),
        pans: &[Pan],
        probes: &[KnownProbe],
        history: Vec<ChangeRow>,
    ) -> Result<Self, PageError> {
        Ok(Self {
            shell: Shell::new(app, visit, "Pans"),
            sheet: Sheet::blank(visit, &app.ids),
            steward: me.is_steward(),
            new: paths::NEW_PAN,
            rows: pans.iter().map(|pan| row(pan, visit.units())).collect(),
            probes: probe_list(probes, pans, visit, me.is_steward())?,
            sources: lines(&["pan_rate", "efficiency"]),
            history,
        })
    }
}

/// The form of a new pan.
#[derive(Template)]
#[template(path = "boil/pans/form.html")]
pub(super) struct FormPage {
    shell: Shell,
    sheet: Sheet,
    action: &'static str,
    back: &'static str,
    area_label: &'static str,
    least_label: &'static str,
    most_label: &'static str,
    rate_label: String,
    rate_hint: String,
    efficiency_hint: String,
    fuels: Vec<Choice>,
}

impl FormPage {
    pub(super) fn new(app: &App, visit: &Visit, sheet: Sheet) -> Self {
        Self::of(Shell::new(app, visit, "New pan"), sheet, visit.units())
    }

    fn of(shell: Shell, sheet: Sheet, units: Units) -> Self {
        let (area_label, least_label, most_label) = match units {
            Units::Us => (
                "Boiling surface, sq ft",
                "Least charge of juice, gal",
                "Greatest charge of juice, gal",
            ),
            Units::Metric => (
                "Boiling surface, m²",
                "Least charge of juice, L",
                "Greatest charge of juice, L",
            ),
        };
        Self {
            shell,
            sheet,
            action: paths::NEW_PAN,
            back: paths::PANS,
            area_label,
            least_label,
            most_label,
            rate_label: format!("Water it drives off, {}", rate_unit(units)),
            rate_hint: lines(&["pan_rate"]).join(" "),
            efficiency_hint: lines(&["efficiency"]).join(" "),
            fuels: Fuel::ALL
                .into_iter()
                .map(|fuel| Choice::new(fuel.word(), fuel.name()))
                .collect(),
        }
    }
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    use crate::calc::boil::boil_plan::RATE_START_L_M2_H;
    use crate::calc::boil::pan::Settings;
    use crate::units::{Millilitres, PanId, SquareMetres, UtcSecond};
    let pan = |retired: bool| Pan {
        id: PanId::parse("01920000-0000-7000-8000-000000000000").unwrap(),
        name: "Flat pan <b>“north”</b> & its lid".to_owned(),
        settings: Settings {
            area: SquareMetres::new(2.229_672_96).unwrap(),
            least: Millilitres::new(151_416),
            most: Millilitres::new(492_104),
            rate_l_m2_h: RATE_START_L_M2_H,
            fuel: Fuel::YellowPoplar,
            efficiency_pct: 33.3,
        },
        retired_at: retired.then_some(UtcSecond::new(0)),
    };
    let list = |rows: Vec<Row>, steward| ListPage {
        shell: Shell::sample("Pans"),
        sheet: Sheet::sample(),
        steward,
        new: paths::NEW_PAN,
        probes: ProbeList::sample(rows.len()),
        rows,
        history: crate::web::changes::sample(3),
        sources: lines(&["pan_rate", "efficiency"]),
    };
    let mut wrong = Sheet::sample();
    wrong
        .put("pan_area", "<b>big</b>")
        .refuse("pan_area", "“<b>big</b>” is not a number.")
        .refuse("most", "The greatest charge must not be below the least.");
    let form = |sheet, units| FormPage::of(Shell::sample("New pan"), sheet, units);
    vec![
        Box::new(list(Vec::new(), true)),
        Box::new(list(vec![row(&pan(false), Units::Us)], false)),
        Box::new(list(
            (0..20).map(|n| row(&pan(n > 3), Units::Metric)).collect(),
            true,
        )),
        Box::new(form(Sheet::sample(), Units::Metric)),
        Box::new(form(wrong, Units::Us)),
    ]
}
