//! What is measured or weighed of a ticket that was closed as gone home: it is asked about first, and the answer takes the
//! end back.

use crate::actions::{Act, Done, Stop};
use crate::calc::cane::went_home::GoneHome;
use crate::store::cane::yard::{self, TicketEnd};
use crate::store::people::coop;
use crate::store::{Together, WriteTx};
use crate::units::TicketId;

/// Asks whether the cane of a ticket that was closed as gone home is pressed after all. Once that is `said`, takes its end
/// back, in the transaction of what is written of it.
pub(super) async fn pressed_after_all(
    act: &Act,
    tx: &mut WriteTx,
    ticket: TicketId,
    said: bool,
) -> Done<()> {
    let Some((end, gone)) = closed(tx, ticket).await? else {
        return Ok(());
    };
    if !said {
        return Err(gone.asks().into());
    }
    let row = (end.version + 1, false, "");
    yard::insert_end(tx, ticket, row, (act.actor.id, act.at)).await?;
    Ok(())
}

/// Refuses what would have juice stand on such a ticket, where there is no box for an answer.
pub(super) async fn not_gone_home(tx: &mut WriteTx, ticket: TicketId) -> Done<()> {
    match closed(tx, ticket).await? {
        Some((_, gone)) => Err(gone.back_first().into()),
        None => Ok(()),
    }
}

/// The end of a ticket that stands closed as gone home.
async fn closed(tx: &mut WriteTx, ticket: TicketId) -> Done<Option<(TicketEnd, GoneHome)>> {
    let (end, coop) = (yard::end_of(ticket), coop::find())
        .together()
        .ask(tx)
        .await?;
    let coop = coop.ok_or(Stop::Missing)?;
    Ok(end.and_then(|end| {
        let gone = end.gone_home(&coop.zone)?;
        Some((end, gone))
    }))
}
