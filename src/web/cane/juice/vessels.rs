//! The vessels that a juice may be measured into, as buttons.

use crate::facts::cane::juice::JuiceToMeasure;
use crate::units::Units;

/// A vessel, as a button.
pub(super) struct VesselButton {
    pub(super) value: String,
    /// Words on the button: "Barrel 1, 55.0 gal: empty".
    pub(super) words: String,
    pub(super) name: String,
    /// How much it holds as a plain number, and its unit, for the page's script.
    pub(super) holds: String,
    pub(super) unit: &'static str,
}

/// The vessels in use as buttons, with what is in each.
pub(super) fn of(of: &JuiceToMeasure, units: Units) -> Vec<VesselButton> {
    let button = of.vessels.iter().map(|v| VesselButton {
        value: v.id.to_string(),
        words: format!(
            "{}, {}: {}",
            v.name,
            v.capacity.show(units),
            of.inside(&v.name, units)
        ),
        name: v.name.clone(),
        holds: v.capacity.typed(units),
        unit: match units {
            Units::Us => "gal",
            Units::Metric => "L",
        },
    });
    button.collect()
}
