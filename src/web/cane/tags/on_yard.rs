//! What is on the yard of a day, so far as it bears a tag.

use crate::store::Snapshot;
use crate::store::cane::juice::{self, JuiceRow};
use crate::store::cane::tickets::{self, LoadRow, Ticket};
use crate::store::turns::press_days::{self, PressDay};
use crate::units::{Grams, PressDate};
use crate::web::error::PageError;

/// What is on the yard of a day.
pub(super) struct OnYard {
    pub(super) day: PressDay,
    /// Each ticket with its loads in the versions that count, those crossed out left out.
    pub(super) tickets: Vec<(Ticket, Vec<LoadRow>)>,
    /// Juices that are not wholly poured.
    pub(super) juices: Vec<JuiceRow>,
}

impl OnYard {
    pub(super) async fn read(db: &mut Snapshot, date: PressDate) -> Result<Self, PageError> {
        let day = press_days::of_date(date)
            .ask(db)
            .await?
            .ok_or(PageError::NotFound)?;
        let mut weighed = Vec::new();
        for ticket in tickets::of_day(day.id).ask(db).await? {
            let mut loads = tickets::loads(ticket.id).ask(db).await?;
            // The latest version comes first.
            loads.dedup_by_key(|load| load.number);
            loads.retain(|load| !load.void);
            weighed.push((ticket, loads));
        }
        let mut standing = Vec::new();
        for row in juice::of_day(day.id).ask(db).await? {
            let left = juice::drawn(row.id).ask(db).await?.left(row.reckon()?.mass);
            if !row.void && left > Grams::ZERO {
                standing.push(row);
            }
        }
        Ok(Self {
            day,
            tickets: weighed,
            juices: standing,
        })
    }
}
