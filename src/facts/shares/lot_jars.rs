//! A lot as its jars name it, with what was filled.

use crate::store::shares::lots::{self, Filled, Lot};
use crate::store::{Conn, Stored};
use crate::units::LotCode;

/// A lot with its jars.
#[derive(Debug, Clone)]
pub struct LotJars {
    /// The lot.
    pub lot: Lot,
    /// Its jars by net weight, whole jars first, largest first.
    pub filled: Vec<Filled>,
    /// Why the lot is held; `None`: it is not.
    pub held: Option<String>,
}

impl LotJars {
    /// Reads a lot and its jars. `None`: no such lot.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, code: &LotCode) -> Stored<Option<Self>> {
        let Some(lot) = lots::find(conn, code).await? else {
            return Ok(None);
        };
        let filled = lots::filled(conn, code).await?;
        let held = lots::held(conn, code).await?;
        Ok(Some(Self { lot, filled, held }))
    }
}
