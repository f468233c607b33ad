//! Which ticket, juice or press day an address means, for whoever may see it.

use crate::calc::cane::press_times::PressTimes;
use crate::store::Snapshot;
use crate::store::cane::juice::{self, JuiceRow};
use crate::store::cane::tickets::{self, Ticket};
use crate::store::turns::press_days::{self, PressDay};
use crate::units::{JuiceId, PressDate, PressDayId, TicketId, UtcSecond};
use crate::web::error::PageError;
use crate::web::session::{Me, Visit};

/// The press day of the date in an address.
pub(super) async fn press_day(db: &mut Snapshot, date: &str) -> Result<PressDay, PageError> {
    let date = PressDate::parse(date).map_err(|_| PageError::NotFound)?;
    press_days::of_date(date)
        .ask(db)
        .await?
        .ok_or(PageError::NotFound)
}

/// A ticket that this person may see: one's own, or anybody's for crew.
pub(super) async fn own_ticket(db: &mut Snapshot, me: &Me, id: &str) -> Result<Ticket, PageError> {
    let id = TicketId::parse(id).ok_or(PageError::NotFound)?;
    tickets::find(id)
        .ask(db)
        .await?
        .filter(|t| me.may_see(t.member_id))
        .ok_or(PageError::NotFound)
}

/// A juice that this person may see: one's own, or anybody's for crew.
pub(super) async fn own_juice(db: &mut Snapshot, me: &Me, id: &str) -> Result<JuiceRow, PageError> {
    let id = JuiceId::parse(id).ok_or(PageError::NotFound)?;
    juice::find(id)
        .ask(db)
        .await?
        .filter(|j| me.may_see(j.member_id))
        .ok_or(PageError::NotFound)
}

/// What a time of a press day is read against, as of the tap; `from` is the earliest that it can be.
pub(super) fn times<'a>(
    (visit, at): (&'a Visit, UtcSecond),
    day: &PressDay,
    from: Option<UtcSecond>,
) -> Result<PressTimes<'a>, PageError> {
    Ok(PressTimes {
        zone: visit.zone()?,
        day: day.date,
        opens: day.opens,
        at,
        // To the minute: the clock on the wall has no seconds.
        from: from.map(|from| UtcSecond::new(from.get() - from.get().rem_euclid(60))),
    })
}

/// The press day of that id.
pub(super) async fn day_of(db: &mut Snapshot, id: PressDayId) -> Result<PressDay, PageError> {
    press_days::find(id)
        .ask(db)
        .await?
        .ok_or(PageError::NotFound)
}

/// The time at which the first load of a ticket was on the scale.
pub(super) async fn first_weighed(
    db: &mut Snapshot,
    ticket: TicketId,
) -> Result<Option<UtcSecond>, PageError> {
    let loads = tickets::loads(ticket).ask(db).await?;
    Ok(loads.iter().map(tickets::LoadRow::weighed).min())
}
