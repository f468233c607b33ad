//! A juice with all that belongs to it, and what measuring a new one is decided from.

use super::mill::vessels_in_use;
use super::yields::Yields;
use crate::calc::cane::juice::{Juice, Measured, measure};
use crate::calc::physics::refractometer::AGREE_WITHIN;
use crate::store::cane::juice::{self, Drawn, JuiceRow};
use crate::store::cane::mill::Vessel;
use crate::store::cane::tickets::{self, Ticket};
use crate::store::season::seasons::{self, Rules};
use crate::store::{Conn, StoreError, Stored};
use crate::units::{Grams, LotCode, TicketId};

impl JuiceRow {
    /// Its mass, volume at 20 °C and dissolved solids.
    ///
    /// # Errors
    /// [`StoreError::Corrupt`]: what is stored was checked before, so it must come to something.
    pub fn reckon(&self) -> Stored<Juice> {
        measure(&Measured {
            amount: self.amount,
            sediment: self.sediment,
            readings: &self.readings,
            instrument: self.instrument,
            sample: self.temp,
            agree_within: AGREE_WITHIN,
        })
        .map_err(|unmet| StoreError::Corrupt {
            what: "juice_measures",
            found: format!("{} version {}: {unmet}", self.id, self.version),
        })
    }
}

/// A ticket whose juice is measured.
#[derive(Debug)]
pub struct JuiceToMeasure {
    /// The ticket.
    pub ticket: Ticket,
    /// Its net cane.
    pub cane: Grams,
    /// Vessels in use.
    pub vessels: Vec<Vessel>,
    /// The juice of that day that was pressed last: a day goes on as it began.
    pub last_of_day: Option<JuiceRow>,
}

impl JuiceToMeasure {
    /// Reads what belongs to a ticket.
    pub async fn read(conn: &mut Conn, ticket: Ticket) -> Stored<Self> {
        Ok(Self {
            cane: tickets::net(conn, ticket.id).await?,
            vessels: vessels_in_use(conn).await?,
            last_of_day: juice::of_day(conn, ticket.press_day_id).await?.pop(),
            ticket,
        })
    }
}

/// A juice with all that belongs to it.
#[derive(Debug)]
pub struct FullJuice {
    /// The juice in its latest version.
    pub juice: JuiceRow,
    /// All versions of its measuring, latest first.
    pub versions: Vec<JuiceRow>,
    /// What was drawn of it.
    pub drawn: Drawn,
    /// The divided lot that its ticket's juice is in: its measuring is closed then.
    pub divided: Option<LotCode>,
    /// Juice per 100 of its ticket's cane.
    pub yields: Yields,
    /// The rules in force.
    pub rules: Rules,
}

impl FullJuice {
    /// Reads what belongs to a juice.
    pub async fn read(conn: &mut Conn, juice: JuiceRow) -> Stored<Self> {
        let ticket =
            tickets::find(conn, juice.ticket_id)
                .await?
                .ok_or_else(|| StoreError::Corrupt {
                    what: "juices.ticket_id",
                    found: juice.ticket_id.to_string(),
                })?;
        let rules = seasons::rules_in_force(conn, juice.season_id).await?;
        Ok(Self {
            versions: juice::versions(conn, juice.id).await?,
            drawn: juice::drawn(conn, juice.id).await?,
            divided: tickets::divided_lot(conn, juice.ticket_id).await?,
            yields: Yields::read(conn, &ticket, &rules).await?,
            juice,
            rules,
        })
    }
}

/// Juice measured from a ticket so far.
pub async fn juice_of_ticket(conn: &mut Conn, ticket: TicketId) -> Stored<Grams> {
    let mut sum = Grams::ZERO;
    for juice in juice::of_ticket(conn, ticket).await? {
        sum += juice.reckon()?.mass;
    }
    Ok(sum)
}
