//! What stands at the mill and is in use.

use crate::store::cane::mill::{self, Scale, Vessel};
use crate::store::{Conn, Stored};
use crate::units::Grams;

/// A scale that carries less than this weighs jars, and no cane.
pub const LEAST_FOR_CANE: Grams = Grams::new(20_000);

/// The scales for cane in use, by name.
pub async fn scales_in_use(conn: &mut Conn) -> Stored<Vec<Scale>> {
    let mut scales = mill::scales(conn).await?;
    scales.retain(|scale| scale.retired_at.is_none() && scale.capacity >= LEAST_FOR_CANE);
    Ok(scales)
}

/// The vessels in use, by name.
pub async fn vessels_in_use(conn: &mut Conn) -> Stored<Vec<Vessel>> {
    let mut vessels = mill::vessels(conn).await?;
    vessels.retain(|vessel| vessel.retired_at.is_none());
    Ok(vessels)
}
