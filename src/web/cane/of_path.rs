//! Which ticket, juice or press day an address means, for whoever may see it.

use crate::store::Snapshot;
use crate::store::cane::juice::{self, JuiceRow};
use crate::store::cane::tickets::{self, Ticket};
use crate::store::turns::press_days::{self, PressDay};
use crate::units::{JuiceId, PressDate, TicketId};
use crate::web::error::PageError;
use crate::web::session::Me;

/// The press day of the date in an address.
pub(super) async fn press_day(db: &mut Snapshot, date: &str) -> Result<PressDay, PageError> {
    let date = PressDate::parse(date).map_err(|_| PageError::NotFound)?;
    press_days::of_date(db, date)
        .await?
        .ok_or(PageError::NotFound)
}

/// A ticket that this person may see: one's own, or anybody's for crew.
pub(super) async fn own_ticket(db: &mut Snapshot, me: &Me, id: &str) -> Result<Ticket, PageError> {
    let id = TicketId::parse(id).ok_or(PageError::NotFound)?;
    tickets::find(db, id)
        .await?
        .filter(|t| t.member_id == me.id || me.is_crew())
        .ok_or(PageError::NotFound)
}

/// A juice that this person may see: one's own, or anybody's for crew.
pub(super) async fn own_juice(db: &mut Snapshot, me: &Me, id: &str) -> Result<JuiceRow, PageError> {
    let id = JuiceId::parse(id).ok_or(PageError::NotFound)?;
    juice::find(db, id)
        .await?
        .filter(|j| j.member_id == me.id || me.is_crew())
        .ok_or(PageError::NotFound)
}
