//! What is on the yard of a day, so far as it bears a tag.

use crate::store::cane::juice::{self, JuiceRow};
use crate::store::cane::tickets::{self, LoadRow, Ticket};
use crate::store::turns::press_days::{self, PressDay};
use crate::store::{Question, Snapshot, Together};
use crate::units::{Grams, PressDate};
use crate::web::error::PageError;

/// Cane and juice that are on the yard on a press day.
pub(super) struct OnYard {
    pub(super) day: PressDay,
    /// Each ticket with its loads in the versions that count, without those crossed out and those whose cane is juice already.
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
        let found = (juice::of_day(day.id), tickets::of_day(day.id));
        let (juices, tickets) = found.together().ask(db).await?;
        let found = (
            Question::all(tickets.iter().map(|ticket| tickets::loads(ticket.id))),
            Question::all(juices.iter().map(|row| juice::drawn(row.id))),
        );
        let (loads, drawn) = found.together().ask(db).await?;
        let pressed = |load: &LoadRow, ticket: &Ticket| {
            let mut of_it = juices
                .iter()
                .filter(|j| j.ticket_id == ticket.id && !j.void);
            of_it.any(|j| j.pressed_at >= load.weighed())
        };
        let mut weighed = Vec::new();
        for (ticket, mut loads) in tickets.into_iter().zip(loads) {
            // The latest version comes first.
            loads.dedup_by_key(|load| load.number);
            loads.retain(|load| !load.void && !pressed(load, &ticket));
            weighed.push((ticket, loads));
        }
        let mut standing = Vec::new();
        for (row, drawn) in juices.into_iter().zip(drawn) {
            if !row.void && drawn.left(row.reckon()?.mass) > Grams::ZERO {
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
