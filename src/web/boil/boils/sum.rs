//! The sum of a finish, as text ready to print.

use crate::calc::boil::boil_rules::Balance;
use crate::calc::physics::energy::Fuel;
use crate::facts::boil::boils::Boil;
use crate::store::boil::boils::FinishRow;
use crate::units::{Grams, Units};
use crate::web::boil::boil_words::Fact;
use crate::web::cane::cane_words::typed_in;
use crate::web::error::PageError;
use crate::web::session::Visit;

/// The sum of a finish, line by line.
pub(super) fn balance(boil: &Boil, visit: &Visit) -> Result<Vec<Fact>, PageError> {
    let units = visit.units();
    let (Some(finish), Some(sum)) = (&boil.row.finish, boil.balance()) else {
        return Ok(Vec::new());
    };
    let mut lines = vec![
        ("Drawn off", visit.zone()?.show(finish.finished_at)),
        ("Syrup", finish.syrup.exact(units)),
        (
            "Refractometer",
            format!(
                "read {} at {}, {}: {} at 20 °C",
                finish.brix.show(),
                finish.sample.show(units),
                finish.instrument.name(),
                finish.brix_20.show()
            ),
        ),
        ("Dissolved solids in", sum.solids_in.exact(units)),
        (
            "Dissolved solids out",
            format!(
                "{} × {} = {}",
                finish.syrup.exact(units),
                finish.brix_20.show(),
                sum.solids_out.exact(units)
            ),
        ),
        (
            "Recovery",
            format!(
                "{:.1} of 100 (± {:.1}, were each Brix out by 0.2 and each weight by 1 %)",
                sum.recovery_pct, sum.tolerance_pct
            ),
        ),
        (
            "Not accounted for",
            format!(
                "{}: in scum, on the pan or misread",
                sum.unexplained().exact(units)
            ),
        ),
    ];
    if let Some(temp) = finish.finish_temp {
        lines.insert(1, ("Pan when drawn off", temp.show(units)));
    }
    lines.extend(lost_and_burnt(boil, finish, &sum, units));
    let typed = typed_in(finish.typed_by.as_ref(), finish.at, visit.zone()?);
    let by = format!("{}{typed}", finish.by_name);
    lines.push((
        "Measured by",
        if finish.version > 1 {
            format!(
                "{by}; corrected, version {}: {}",
                finish.version, finish.why
            )
        } else {
            by
        },
    ));
    Ok(lines)
}

/// Lines for what was skimmed, spilt and burnt, as far as it was noted.
fn lost_and_burnt(boil: &Boil, finish: &FinishRow, sum: &Balance, units: Units) -> Vec<Fact> {
    let mut lines = Vec::new();
    if finish.skimmed > Grams::ZERO {
        lines.push(("Skimmings weighed", finish.skimmed.exact(units)));
    }
    if finish.spilt > Grams::ZERO {
        lines.push((
            "Spilt or scorched",
            format!(
                "{} of syrup: {} of dissolved solids",
                finish.spilt.exact(units),
                sum.solids_spilt.exact(units)
            ),
        ));
    }
    if let Some((burnt, share)) = boil.fuel_burnt() {
        let reached = share.map_or_else(String::new, |s| {
            format!("; {:.0} of 100 of its heat reached the juice", 100.0 * s)
        });
        lines.push(("Fuel burnt", format!("{}{reached}", burnt.show(units))));
    }
    lines
}

/// Label of the box for the fuel.
pub(super) fn fuel_label(fuel: Fuel, units: Units) -> String {
    format!(
        "Fuel burnt, if measured: {}, {}",
        fuel.name(),
        fuel.read_in(units)
    )
}

/// Hint on how this fuel is measured, and what for.
pub(super) fn fuel_hint(fuel: Fuel, units: Units) -> &'static str {
    match (fuel, units) {
        // Liquid propane at 60 °F, 4.2 lb a gallon: from memory, a trade figure.
        (Fuel::Propane, _) => {
            "From the gauge, or the bottle weighed before and after: a gallon weighs about 4.2 lb (a litre \
             0.51 kg). It teaches the mill how much of the heat reaches the juice."
        }
        (Fuel::NaturalGas, _) => {
            "From the meter, before and after. It teaches the mill how much of the heat reaches the \
             juice."
        }
        (_, Units::Us) => {
            "Like 0.1 or 1/8. A cord is 128 cubic feet stacked: length × height × depth in feet, over \
             128. It teaches the mill how much of the heat reaches the juice."
        }
        (_, Units::Metric) => {
            "Stacked: length × height × depth in metres. It teaches the mill how much of the heat \
             reaches the juice."
        }
    }
}
