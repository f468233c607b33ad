//! Further loads of a ticket, and loads put right.

use super::past::Past;
use super::tickets::{
    NewLoad, as_kept, in_use, no_scale, no_twin, not_divided, not_weighed_later, row,
    takes_tickets, timed_by_the_tap, weighing,
};
use super::went_home::pressed_after_all;
use super::yard::turn_of_cane;
use crate::actions::{Act, Done, Stop, as_seen, begin};
use crate::calc::RuleRefusal;
use crate::calc::cane::tickets as rules;
use crate::facts::cane::juice::juice_of_ticket;
use crate::store::cane::tickets::{self, LoadRow, Ticket};
use crate::store::cane::{mill, weigh_in};
use crate::store::people::coop;
use crate::store::turns::press_days;
use crate::store::{Question, Together, WriteTx};
use crate::units::{Grams, TicketId, Units};

/// A correction of a load.
#[derive(Debug, Clone)]
pub struct LoadFix {
    /// The load as it should have been.
    pub load: NewLoad,
    /// Whether it is crossed out and does not count at all.
    pub void: bool,
    /// Why it is corrected.
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
        of_cane(&ticket),
    );
    let (day, coop, lot, scale, units, of) = found.together().ask(&mut tx).await?;
    let (day, coop) = (day.ok_or(Stop::Missing)?, coop.ok_or(Stop::Missing)?);
    takes_tickets(act, &day, &coop)?;
    not_weighed_later(act, &coop, &day, &load)?;
    not_divided(lot)?;
    pressed_after_all(act, &mut tx, id, load.after_all).await?;
    let (scale, units) = (in_use(scale)?, units?);
    let past = Past::of(of.past);
    let expected = past.expected(of.turn, &standing(&of.loads, None));
    let weighing = weighing(&scale, &load, expected)?;
    let net = rules::load_net(&weighing, &past.tares(), load.sure, units)?;
    let of_day = weigh_in::standing_loads(day.id, ticket.member_id);
    let of_day = of_day.ask(&mut tx).await?;
    no_twin(act, (net, &load), (&ticket.member_name, of_day), units)?;
    // When its last load was crossed out, the ticket had set its turn free: the turn is taken again.
    if !of.loads.is_empty() && standing(&of.loads, None).is_empty() {
        turn_of_cane(act, &mut tx, &ticket, net).await?;
    }
    let number = of.loads.last().map_or(0, |l| l.number) + 1;
    let added = tickets::insert_load(&row(act, id, (number, 1), &scale, &load));
    act.finish_with(tx, added, "add_load", id).await
}

/// The facts by which a ticket's further loads are judged.
struct OfCane {
    loads: Vec<LoadRow>,
    past: Vec<weigh_in::PastLoad>,
    /// Cane that its turn expects; `None`: its member walked in.
    turn: Option<Grams>,
}

/// Reads those facts of a ticket.
fn of_cane(ticket: &Ticket) -> Question<OfCane> {
    let turn = match ticket.turn_id {
        Some(id) => weigh_in::turn(id).map(|turn| turn.map(|turn| turn.cane)),
        None => Question::answered(None),
    };
    let past = weigh_in::past_loads(ticket.member_id);
    let found = (tickets::loads(ticket.id), past, turn).together();
    found.map(|(loads, past, turn)| OfCane { loads, past, turn })
}

/// Nets of a ticket's loads that count, but for the one of that number. `loads` are all versions, the latest of each first.
fn standing(loads: &[LoadRow], but: Option<i64>) -> Vec<Grams> {
    let mut last = None;
    let mut nets = Vec::new();
    for load in loads {
        if last.replace(load.number) != Some(load.number) && !load.void && Some(load.number) != but
        {
            nets.push(load.kept_net);
        }
    }
    nets
}

/// Looks over the figures of a load that is put right. What the scale showed, as it stands, was looked over before.
async fn looks_right(
    tx: &mut WriteTx,
    (ticket, latest): (&Ticket, &LoadRow),
    (scale, load): (&mill::Scale, &NewLoad),
    units: Units,
) -> Done<()> {
    let of = of_cane(ticket).ask(tx).await?;
    let past = Past::besides(of.past, ticket.id, latest.number);
    let others = standing(&of.loads, Some(latest.number));
    let weighing = weighing(scale, load, past.expected(of.turn, &others))?;
    let as_before = !latest.void
        && (latest.gross, latest.tare, latest.scale_id) == (load.gross, load.tare, load.scale);
    rules::load_net(&weighing, &past.tares(), load.sure || as_before, units)?;
    Ok(())
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
    // Another version is the same weighing: its time stays, unless the time is what is put right.
    row.weighed_at = fix.load.weighed_at.or(Some(latest.weighed()));
    if fix.void {
        // What is crossed out keeps its figures, so that it can still be read.
        (row.gross, row.tare) = (latest.gross, latest.tare);
        row.net = as_kept(latest);
        (row.scale, row.graduation_g) = (latest.scale_id, latest.graduation_g);
        row.trailer = &latest.trailer;
        row.weighed_at = Some(latest.weighed());
    } else {
        looks_right(&mut tx, (&ticket, latest), (&scale, &fix.load), units).await?;
    }
    tickets::insert_load(&row).ask(&mut tx).await?;
    let weighed = (tickets::net(id), juice_of_ticket(id)).together();
    let (cane, juice) = weighed.ask(&mut tx).await?;
    rules::cane_covers(cane, juice, units)?;
    if latest.void != fix.void {
        turn_of_cane(act, &mut tx, &ticket, cane).await?;
    }
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
        return Err(RuleRefusal::new(
            "nothing-changed",
            "Nothing is different from what stands there already.",
        )
        .into());
    }
    Ok(())
}
