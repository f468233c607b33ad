//! Further loads of a ticket, and loads put right.

use super::tickets::{
    NewLoad, as_kept, in_use, no_scale, not_divided, not_weighed_later, row, takes_tickets,
    tares_before, timed_by_the_tap, weighing,
};
use crate::actions::{Act, Done, Stop, as_seen, begin};
use crate::calc::Unmet;
use crate::calc::cane::tickets as rules;
use crate::facts::cane::juices::juice_of_ticket;
use crate::store::Together;
use crate::store::cane::mill;
use crate::store::cane::tickets::{self, LoadRow};
use crate::store::people::coop;
use crate::store::turns::press_days;
use crate::units::TicketId;

/// A correction of a load.
#[derive(Debug, Clone)]
pub struct LoadFix {
    /// What it should have been.
    pub load: NewLoad,
    /// Crossed out: it does not count at all.
    pub void: bool,
    /// Why.
    pub why: String,
    /// The version that the person saw.
    pub seen: i64,
}

/// Weighs another load of a ticket.
pub async fn add_load(act: &Act, id: TicketId, load: NewLoad) -> Done<TicketId> {
    act.crew()?;
    let load = timed_by_the_tap(act, load);
    let mut tx = begin!(act, "add_load");
    let ticket = tickets::find(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    let found = (
        press_days::find(ticket.press_day_id),
        coop::find(),
        tickets::divided_lot(id),
        mill::scale(load.scale),
        act.units_read(),
        tares_before(ticket.member_id),
        tickets::loads(id),
    );
    let (day, coop, lot, scale, units, before, loads) = found.together().ask(&mut tx).await?;
    let (day, coop) = (day.ok_or(Stop::Missing)?, coop.ok_or(Stop::Missing)?);
    takes_tickets(act, &day, &coop)?;
    not_weighed_later(act, &coop, &day, &load)?;
    not_divided(lot)?;
    let (scale, units) = (in_use(scale)?, units?);
    rules::load_net(&weighing(&scale, &load, None)?, &before, load.sure, units)?;
    let number = loads.last().map_or(0, |l| l.number) + 1;
    let added = tickets::insert_load(&row(act, id, (number, 1), &scale, &load));
    act.finish_with(tx, added, "add_load", id).await
}

/// Corrects a load, or crosses it out: a new version with its reason; the old ones stay.
pub async fn correct_load(act: &Act, id: TicketId, number: i64, fix: LoadFix) -> Done<TicketId> {
    act.crew()?;
    let mut tx = begin!(act, "correct_load");
    let found = (
        tickets::loads(id),
        tickets::divided_lot(id),
        tickets::find(id),
        coop::find(),
        mill::scale(fix.load.scale),
        act.units_read(),
    );
    let (loads, lot, ticket, coop, scale, units) = found.together().ask(&mut tx).await?;
    let latest = loads
        .iter()
        .find(|l| l.number == number)
        .ok_or(Stop::Missing)?;
    not_divided(lot)?;
    load_as_seen(latest, &fix)?;
    let (ticket, coop) = (ticket.ok_or(Stop::Missing)?, coop.ok_or(Stop::Missing)?);
    let day = press_days::find(ticket.press_day_id)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    not_weighed_later(act, &coop, &day, &fix.load)?;
    let (scale, units) = (scale.ok_or_else(no_scale)?, units?);
    let mut row = row(act, id, (number, latest.version + 1), &scale, &fix.load);
    row.void = fix.void;
    row.why = &fix.why;
    // Another version is no other weighing: its time stays, unless it is what was put right.
    row.weighed_at = fix.load.weighed_at.or(Some(latest.weighed()));
    if fix.void {
        // What was crossed out stays readable as it was.
        (row.gross, row.tare) = (latest.gross, latest.tare);
        row.net = as_kept(latest);
        (row.scale, row.graduation_g) = (latest.scale_id, latest.graduation_g);
        row.trailer = &latest.trailer;
        row.weighed_at = Some(latest.weighed());
    } else {
        rules::load_net(
            &weighing(&scale, &fix.load, None)?,
            &[],
            fix.load.sure,
            units,
        )?;
    }
    tickets::insert_load(&row).ask(&mut tx).await?;
    let weighed = (tickets::net(id), juice_of_ticket(id)).together();
    let (cane, juice) = weighed.ask(&mut tx).await?;
    rules::cane_covers(cane, juice, units)?;
    act.finish(tx, "correct_load", id).await
}

fn load_as_seen(latest: &LoadRow, fix: &LoadFix) -> Done<()> {
    as_seen(latest.version, fix.seen, || {
        format!("{} corrected this load", latest.by_name)
    })?;
    let same = latest.gross == fix.load.gross
        && latest.tare == fix.load.tare
        && latest.scale_id == fix.load.scale
        && latest.trailer == fix.load.trailer
        && fix.load.weighed_at.is_none_or(|at| at == latest.weighed());
    if latest.void == fix.void && (fix.void || same) {
        return Err(Unmet::new(
            "nothing-changed",
            "Nothing is different from what stands there already.",
        )
        .into());
    }
    Ok(())
}
