//! Which pan a charge is made in when nobody says.

use crate::calc::boil::pan::{Settings, suits};
use crate::store::boil::pans::Pan;
use crate::units::Millilitres;

/// The pan among those in use that takes a charge; nothing when none is set up.
pub fn pan_for_charge(in_use: &[Pan], charge: Millilitres) -> Option<&Pan> {
    let settings: Vec<Settings> = in_use.iter().map(|p| p.settings).collect();
    suits(&settings, charge).and_then(|place| in_use.get(place))
}
