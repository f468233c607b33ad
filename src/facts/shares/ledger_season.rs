//! The ledger of a season: its lines, and what everybody owes and is owed.

use crate::store::season::in_use;
use crate::store::season::season_close as close;
use crate::store::season::seasons::Season;
use crate::store::shares::ledger::{self, AllBalances, Balance, LedgerLine};
use crate::store::{Conn, Stored};
use crate::units::{Cents, SeasonId};

/// The ledger of a season, or as much of it as is asked for.
#[derive(Debug, Clone, Default)]
pub struct LedgerSeason {
    /// The season; `None`: there is none yet.
    pub season: Option<Season>,
    /// Every season, the latest in which cane was weighed in first.
    pub seasons: Vec<Season>,
    /// Balances of those who have a line.
    pub balances: Vec<Balance>,
    /// Everybody's balances together, also of those that are not read.
    pub together: AllBalances,
    /// The lines of the season's ledger.
    pub lines: Vec<LedgerLine>,
    /// How many lines the season has, also those that were not asked for.
    pub all_lines: i64,
    /// The season is closed and locked.
    pub locked: bool,
}

/// How much of a ledger is asked for.
#[derive(Debug, Clone, Copy)]
pub enum Asked {
    /// Every line, the latest first, and every balance by name.
    All,
    /// As many lines as a page shows, and the largest balances.
    Part {
        /// The first line wanted, counted from nought.
        skip: i64,
        /// The most lines wanted.
        lines: i64,
        /// The most balances wanted.
        balances: i64,
        /// The latest line first; else the first.
        latest_first: bool,
    },
}

impl LedgerSeason {
    /// Reads the ledger of a year's season, or of the latest in use when that year has none.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, year: Option<i64>, asked: Asked) -> Stored<Self> {
        let seasons = in_use::by_use().ask(conn).await?;
        let season = seasons
            .iter()
            .find(|s| Some(s.year) == year)
            .or_else(|| seasons.first())
            .cloned();
        let mut book = match &season {
            Some(season) => Self {
                locked: close::is_locked(season.id).ask(conn).await?,
                ..Self::lines_of(conn, season.id, asked).await?
            },
            None => Self::default(),
        };
        (book.season, book.seasons) = (season, seasons);
        Ok(book)
    }

    async fn lines_of(conn: &mut Conn, season: SeasonId, asked: Asked) -> Stored<Self> {
        Ok(match asked {
            Asked::All => {
                let balances = ledger::balances(season).ask(conn).await?;
                let lines = ledger::of_season(season).ask(conn).await?;
                Self {
                    together: AllBalances {
                        count: balances.len().try_into().unwrap_or(i64::MAX),
                        cents: balances.iter().map(|b| b.cents).sum::<Cents>(),
                    },
                    all_lines: lines.len().try_into().unwrap_or(i64::MAX),
                    balances,
                    lines,
                    ..Self::default()
                }
            }
            Asked::Part {
                skip,
                lines,
                balances,
                latest_first,
            } => {
                let (balances, together) =
                    ledger::largest_balances(season, balances).ask(conn).await?;
                let (lines, all_lines) =
                    ledger::part_of_season(season, (skip, lines), latest_first)
                        .ask(conn)
                        .await?;
                Self {
                    balances,
                    together,
                    lines,
                    all_lines,
                    ..Self::default()
                }
            }
        })
    }
}
