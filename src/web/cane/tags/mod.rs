//! Tags to print: one a load and one a vessel with juice in it, each with a big number, whose it is, since
//! when, and a code that leads to the ticket.

mod view;

use crate::store::Snapshot;
use crate::store::cane::juice::{self, JuiceRow};
use crate::store::cane::tickets::{self, LoadRow, Ticket};
use crate::store::turns::press_days::{self, PressDay};
use crate::units::{Grams, PressDate};
use crate::web::error::PageError;
use crate::web::request::PageRequest;
use crate::web::{Page, page};
use axum::extract::Path;
use view::TagsPage;
#[cfg(test)]
pub(in crate::web) use view::samples;

/// What is on the yard of a day.
struct OnYard {
    day: PressDay,
    /// Each ticket with its loads in the versions that count, those crossed out left out.
    tickets: Vec<(Ticket, Vec<LoadRow>)>,
    /// Juices that are not wholly poured.
    juices: Vec<JuiceRow>,
}

impl OnYard {
    async fn read(db: &mut Snapshot, date: PressDate) -> Result<Self, PageError> {
        let day = press_days::of_date(db, date)
            .await?
            .ok_or(PageError::NotFound)?;
        let mut weighed = Vec::new();
        for ticket in tickets::of_day(db, day.id).await? {
            let mut loads = tickets::loads(db, ticket.id).await?;
            // The latest version comes first.
            loads.dedup_by_key(|load| load.number);
            loads.retain(|load| !load.void);
            weighed.push((ticket, loads));
        }
        let mut standing = Vec::new();
        for row in juice::of_day(db, day.id).await? {
            let left = juice::drawn(db, row.id).await?.left(row.reckon()?.mass);
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

/// `GET /days/{date}/tags`
pub async fn show(mut request: PageRequest, Path(date): Path<String>) -> Page {
    let date = PressDate::parse(&date).map_err(|_| PageError::NotFound)?;
    let yard = OnYard::read(&mut request.db, date).await?;
    let site = request.app.public_url.as_deref();
    page(&TagsPage::new(site, &request.visit, &yard)?)
}
