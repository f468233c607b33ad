//! Which boil an address means.

use crate::store::Snapshot;
use crate::store::boil::boils::{self, BoilRow};
use crate::units::LotCode;
use crate::web::error::PageError;

/// The boil of the lot code in an address.
pub(in crate::web) async fn boil_of_path(
    db: &mut Snapshot,
    lot: &str,
) -> Result<BoilRow, PageError> {
    let lot = LotCode::parse(lot).map_err(|_| PageError::NotFound)?;
    boils::find(&lot).ask(db).await?.ok_or(PageError::NotFound)
}
