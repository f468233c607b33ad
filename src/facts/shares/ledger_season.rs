//! The ledger of a season: its lines, and what everybody owes and is owed.

use crate::store::season::seasons::{self, Season};
use crate::store::shares::ledger::{self, Balance, LedgerLine};
use crate::store::{Conn, Stored};

/// The ledger of a season.
#[derive(Debug, Clone)]
pub struct LedgerSeason {
    /// The season; `None`: there is none yet.
    pub season: Option<Season>,
    /// Every season, the latest first.
    pub seasons: Vec<Season>,
    /// What everybody with a line owes and is owed.
    pub balances: Vec<Balance>,
    /// The season's lines, the latest first.
    pub lines: Vec<LedgerLine>,
}

impl LedgerSeason {
    /// Reads the ledger of a year's season, or of the latest when that year has none.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, year: Option<i64>) -> Stored<Self> {
        let seasons = seasons::list(conn).await?;
        let season = seasons
            .iter()
            .find(|s| Some(s.year) == year)
            .or_else(|| seasons.first())
            .cloned();
        let (balances, lines) = match &season {
            Some(season) => (
                ledger::balances(conn, season.id).await?,
                ledger::of_season(conn, season.id).await?,
            ),
            None => (Vec::new(), Vec::new()),
        };
        Ok(Self {
            season,
            seasons,
            balances,
            lines,
        })
    }
}
