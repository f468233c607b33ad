//! What stands in the way of closing a season.

use super::season_close::to_bear;
use crate::calc::turns::day_board::is_over;
use crate::store::season::season_close as close;
use crate::store::turns::press_days;
use crate::store::{Conn, Stored};
use crate::units::{LotCode, PressDate, SeasonId};

/// What has to be done before a season can be closed and locked.
#[derive(Debug, Clone, Default)]
pub struct StillOpen {
    /// Press days that are to come, or today's that is not closed; while a loss is to be borne, past ones that are not closed as well.
    pub days: Vec<PressDate>,
    /// Lots neither divided nor lost.
    pub lots: Vec<LotCode>,
    /// Lots whose loss the season is to bear and does not yet.
    pub losses: Vec<LotCode>,
}

impl StillOpen {
    /// Reads it for a season, as things stand today.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, season: SeasonId, today: PressDate) -> Stored<Self> {
        let days = press_days::of_season(season).ask(conn).await?;
        let losses = to_bear(conn, season).await?;
        let to_come = days.iter().filter(|day| {
            let closed = day.closed_at.is_some();
            !(closed || losses.is_empty() && is_over((day.date, closed), today))
        });
        Ok(Self {
            days: to_come.map(|day| day.date).collect(),
            lots: close::open_lots(season).ask(conn).await?,
            losses: losses.into_iter().map(|loss| loss.lot).collect(),
        })
    }
}
