//! What stands at the mill and is in use.

use crate::store::Question;
use crate::store::cane::mill::{self, Scale, Vessel};
use crate::units::Grams;

/// A scale that carries less than this weighs jars, and no cane.
pub const LEAST_FOR_CANE: Grams = Grams::new(20_000);

/// The scales for cane in use, by name.
pub fn scales_in_use() -> Question<Vec<Scale>> {
    mill::scales().map(|mut scales| {
        scales.retain(|scale| scale.retired_at.is_none() && scale.capacity >= LEAST_FOR_CANE);
        scales
    })
}

/// The vessels in use, by name.
pub fn vessels_in_use() -> Question<Vec<Vessel>> {
    mill::vessels().map(|mut vessels| {
        vessels.retain(|vessel| vessel.retired_at.is_none());
        vessels
    })
}
