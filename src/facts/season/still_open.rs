//! What stands in the way of closing a season.

use super::season_close::to_bear;
use crate::store::season::season_close as close;
use crate::store::turns::press_days;
use crate::store::{Conn, Stored};
use crate::units::{LotCode, PressDate, SeasonId};

/// What has to be done before a season can be closed and locked.
#[derive(Debug, Clone, Default)]
pub struct StillOpen {
    /// Press days that are not closed, past or to come: cane or juice of theirs may be in no lot yet.
    pub days: Vec<PressDate>,
    /// Lots neither divided nor lost.
    pub lots: Vec<LotCode>,
    /// Lots whose loss the season is to bear and does not yet.
    pub losses: Vec<LotCode>,
}

impl StillOpen {
    /// Reads it for a season.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, season: SeasonId) -> Stored<Self> {
        let days = press_days::of_season(season).ask(conn).await?;
        let losses = to_bear(conn, season).await?;
        let open = days.iter().filter(|day| day.closed_at.is_none());
        Ok(Self {
            days: open.map(|day| day.date).collect(),
            lots: close::open_lots(season).ask(conn).await?,
            losses: losses.into_iter().map(|loss| loss.lot).collect(),
        })
    }
}
