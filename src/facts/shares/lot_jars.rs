//! A lot as its jars name it, with what was filled.

use crate::facts::boil::jar_checks::LotWeights;
use crate::store::boil::boils;
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
    /// The size of jars that do not hold what their label says, by the check weights; `None`: there is none.
    pub short: Option<String>,
}

impl LotJars {
    /// The lot for the public page, for which nothing is weighed.
    pub fn public(lot: Lot, filled: Vec<Filled>, held: Option<String>) -> Self {
        Self {
            lot,
            filled,
            held,
            short: None,
        }
    }

    /// Reads a lot and its jars. `None`: no such lot.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, code: &LotCode) -> Stored<Option<Self>> {
        let Some(lot) = lots::find(code).ask(conn).await? else {
            return Ok(None);
        };
        let filled = lots::filled(code).ask(conn).await?;
        let held = lots::held(conn, code).await?;
        let short = match boils::find(code).ask(conn).await? {
            Some(boil) => {
                let weights = LotWeights::of(conn, boil).await?;
                weights.short().next().map(|k| k.size_name.clone())
            }
            None => None,
        };
        Ok(Some(Self {
            lot,
            filled,
            held,
            short,
        }))
    }
}
