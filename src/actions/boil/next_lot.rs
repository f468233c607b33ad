//! The lot code of the next boil.

use crate::actions::{Done, Stop};
use crate::calc::RuleRefusal;
use crate::store::restores;
use crate::store::season::seasons::{self, Rules};
use crate::store::{StoreError, WriteTx};
use crate::units::LotCode;

/// The next code of the season's year: one above the last that a boil bears, or that a file gave which a backup was put in the place of.
pub(super) async fn next_lot(tx: &mut WriteTx, rules: &Rules) -> Done<LotCode> {
    let season = seasons::find(rules.season_id)
        .ask(tx)
        .await?
        .ok_or(Stop::Missing)?;
    let broken = |_| StoreError::Corrupt {
        what: "seasons.year",
        found: season.year.to_string(),
    };
    let year = i32::try_from(season.year).map_err(broken)?;
    let (last, given) = restores::last_lot(season.id).ask(tx).await?;
    let given = u32::try_from(given).map_err(broken)?;
    let last = last.and_then(|lot| lot.place(year)).unwrap_or(0);
    LotCode::nth(year, last.max(given) + 1)
        .map_err(|refused| RuleRefusal::new("no-lot-code", refused.sentence()).into())
}
