//! The sum of a finish, as text ready to print.

use crate::calc::boil::boil_rules::Balance;
use crate::facts::boil::boils::Boil;
use crate::store::boil::boils::FinishRow;
use crate::units::{Grams, Units};
use crate::web::boil::boil_words::Fact;
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
    let by = finish.by_name.to_string();
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

/// What was skimmed, spilt and burnt, as far as it was noted.
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
    if let Some((burnt, share)) = boil.burnt() {
        let reached = share.map_or_else(String::new, |s| {
            format!("; {:.0} of 100 of its heat reached the juice", 100.0 * s)
        });
        lines.push(("Fuel burnt", format!("{}{reached}", burnt.show(units))));
    }
    lines
}
