//! What is put right in the yard: undone within ten minutes by who wrote it, a ticket that belongs to somebody
//! else or went home unpressed, and juice that is lost.

use super::juice::{JuiceMeasure, as_it_was, measured};
use super::tickets::{as_kept, not_divided};
use super::went_home::not_gone_home;
use super::whose::{CaneOf, whose};
use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::boil::sums::Draw;
use crate::calc::cane::juice::Amount;
use crate::calc::cane::tickets as rules;
use crate::calc::cane::trash::Sample;
use crate::calc::cane::undo::{UNDONE, Written, may_undo};
use crate::calc::turns::starts::not_closed;
use crate::facts::cane::juice::juice_of_ticket;
use crate::store::cane::tickets::{LoadRow, NewLoadRow, Ticket};
use crate::store::cane::yard::{self, NewLoss, NewMove};
use crate::store::cane::{juice, tickets, trash, weigh_in};
use crate::store::turns::press_days;
use crate::store::{Together, WriteTx};
use crate::units::{Grams, JuiceId, TicketId};

/// Takes back the last version of a load: a first one is crossed out, a correction gives way to what was before.
pub async fn undo_load(act: &Act, id: TicketId, number: i64, seen: i64) -> Done<TicketId> {
    act.crew()?;
    let mut tx = begin!(act, "undo_load");
    let ticket = tickets::find(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    let loads = tickets::loads(id).ask(&mut tx).await?;
    let versions: Vec<&LoadRow> = loads.iter().filter(|l| l.number == number).collect();
    let latest = *versions.first().ok_or(Stop::Missing)?;
    not_divided(tickets::divided_lot(id).ask(&mut tx).await?)?;
    still_last(seen, latest.version)?;
    may_undo(&written(latest), (act.actor.id, act.said_at()))?;
    let before = versions.get(1).copied();
    let of = before.unwrap_or(latest);
    let row = NewLoadRow {
        ticket_id: id,
        number,
        version: latest.version + 1,
        scale: of.scale_id,
        graduation_g: of.graduation_g,
        gross: of.gross,
        tare: of.tare,
        net: as_kept(of),
        trailer: &of.trailer,
        void: before.is_none_or(|b| b.void),
        why: UNDONE,
        by: act.actor.id,
        at: act.at,
        weighed_at: Some(of.weighed()),
    };
    tickets::insert_load(&row).ask(&mut tx).await?;
    let units = act.units(&mut tx).await?;
    let cane = tickets::net(id).ask(&mut tx).await?;
    rules::cane_covers(cane, juice_of_ticket(id).ask(&mut tx).await?, units).map_err(whole)?;
    turn_of_cane(act, &mut tx, &ticket, cane).await?;
    act.finish(tx, "undo_load", id).await
}

/// A ticket with every load crossed out sets its turn free, so that the cane can be weighed in for it; with cane again it takes it
/// back, unless the turn was weighed in elsewhere or is held no more.
pub(super) async fn turn_of_cane(
    act: &Act,
    tx: &mut WriteTx,
    ticket: &Ticket,
    cane: Grams,
) -> Done<()> {
    let to = match (cane == Grams::ZERO, ticket.turn_id) {
        (true, Some(_)) => None,
        (false, None) => {
            let last = yard::moves(ticket.id).ask(tx).await?.into_iter().next();
            let freed = last.filter(|m| m.from_member == ticket.member_id);
            let Some(turn) = freed.and_then(|m| m.from_turn) else {
                return Ok(());
            };
            let found = (weigh_in::turn(turn), tickets::of_turn(turn)).together();
            match found.ask(tx).await? {
                (Some(held), None) if held.held && held.press_day_id == ticket.press_day_id => {
                    Some(turn)
                }
                _ => return Ok(()),
            }
        }
        _ => return Ok(()),
    };
    let new = NewMove {
        from: (ticket.member_id, ticket.turn_id),
        to: (ticket.member_id, to),
    };
    yard::move_ticket(tx, ticket.id, &new, (act.actor.id, act.at)).await?;
    Ok(())
}

/// A refusal of a button, which has no boxes.
fn whole(refusal: RuleRefusal) -> RuleRefusal {
    RuleRefusal {
        at: None,
        ..refusal
    }
}

fn written(load: &LoadRow) -> Written<'_> {
    Written {
        by: load.by,
        at: load.at,
        undone: load.why == UNDONE,
        by_name: load.by_name.as_str(),
    }
}

fn still_last(seen: i64, version: i64) -> Done<()> {
    if seen == version {
        return Ok(());
    }
    Err(RuleRefusal::changed(
        "Somebody put this right meanwhile. Please look at what stands there.",
    )
    .into())
}

/// Takes back the last version of a juice's measuring.
pub async fn undo_juice(act: &Act, id: JuiceId, seen: i64) -> Done<JuiceId> {
    act.crew()?;
    let mut tx = begin!(act, "undo_juice");
    let versions = juice::versions(id).ask(&mut tx).await?;
    let latest = versions.first().ok_or(Stop::Missing)?;
    not_divided(tickets::divided_lot(latest.ticket_id).ask(&mut tx).await?)?;
    still_last(seen, latest.version)?;
    let written = Written {
        by: latest.by,
        at: latest.at,
        undone: latest.why == UNDONE,
        by_name: latest.by_name.as_str(),
    };
    may_undo(&written, (act.actor.id, act.said_at()))?;
    let drawn = juice::drawn(id).ask(&mut tx).await?;
    let units = act.units(&mut tx).await?;
    let before = versions.get(1);
    let of = before.unwrap_or(latest);
    let void = before.is_none_or(|b| b.void);
    if !void {
        not_gone_home(&mut tx, latest.ticket_id).await?;
    }
    let mass = if void { Grams::ZERO } else { of.reckon()?.mass };
    let gone = drawn.amount + drawn.lost;
    rules::juice_covers(mass, gone, drawn.any(), void, units).map_err(whole)?;
    let was: JuiceMeasure = as_it_was(of);
    let version = (id, latest.version + 1);
    let undone = measured(act, version, (&was, of.pressed_at), (void, UNDONE))?;
    act.finish_with(tx, undone, "undo_juice", id).await
}

/// Closes a ticket whose cane was not pressed, with where it went; or takes that back (`went`: nothing).
pub async fn end_ticket(act: &Act, id: TicketId, went: Option<String>) -> Done<TicketId> {
    act.crew()?;
    let mut tx = begin!(act, "end_ticket");
    let ticket = tickets::find(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    day_open(&mut tx, &ticket).await?;
    let last = yard::end_of(id).ask(&mut tx).await?;
    if went.is_some() && !juice::of_ticket(id).ask(&mut tx).await?.is_empty() {
        return Err(RuleRefusal::beside(
            "went",
            "has-juice",
            "Juice of this ticket was measured, so its cane was pressed.",
        )
        .into());
    }
    if last.as_ref().is_some_and(|e| e.unpressed) == went.is_some() {
        return Err(
            RuleRefusal::beside("went", "nothing-changed", "That stands there already.").into(),
        );
    }
    let version = last.map_or(0, |e| e.version) + 1;
    let words = went.as_deref().unwrap_or_default();
    let row = (version, went.is_some(), words);
    yard::insert_end(&mut tx, id, row, (act.actor.id, act.at)).await?;
    act.finish(tx, "end_ticket", id).await
}

async fn day_open(tx: &mut WriteTx, ticket: &Ticket) -> Done<()> {
    let day = press_days::find(ticket.press_day_id)
        .ask(tx)
        .await?
        .ok_or(Stop::Missing)?;
    Ok(not_closed(day.date, day.closed_at.is_some())?)
}

/// Gives a ticket to the turn or member that it belongs to; what was weighed, seen and measured stays with it.
pub async fn move_ticket(act: &Act, id: TicketId, to: CaneOf) -> Done<TicketId> {
    act.crew()?;
    let mut tx = begin!(act, "move_ticket");
    let ticket = tickets::find(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    not_divided(tickets::divided_lot(id).ask(&mut tx).await?)?;
    for juice in juice::of_ticket(id).ask(&mut tx).await? {
        if juice::drawn(juice.id).ask(&mut tx).await?.any() {
            return Err(RuleRefusal::beside(
                "whose",
                "drawn-already",
                "Juice of this ticket is in a boil. Take it out of the boil first, then move the ticket.",
            )
            .into());
        }
    }
    let day = press_days::find(ticket.press_day_id)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    let (member, turn, _) = whose(&mut tx, day.id, to).await?;
    if member == ticket.member_id && turn == ticket.turn_id {
        return Err(
            RuleRefusal::beside("whose", "nothing-changed", "It is theirs already.").into(),
        );
    }
    let new = NewMove {
        from: (ticket.member_id, ticket.turn_id),
        to: (member, turn),
    };
    yard::move_ticket(&mut tx, id, &new, (act.actor.id, act.at)).await?;
    act.finish(tx, "move_ticket", id).await
}

/// A sample of a ticket's cane, as it was typed.
#[derive(Debug, Clone, Copy)]
pub struct NewSample {
    /// Weight of the sample as it came, and once stripped.
    pub weights: (Grams, Grams),
    /// Whether the scale really showed this.
    pub sure: bool,
}

/// Writes down a sample that was stripped; or, with nothing, that there was none.
pub async fn sample(act: &Act, id: TicketId, new: Option<NewSample>) -> Done<TicketId> {
    act.crew()?;
    let mut tx = begin!(act, "trash_sample");
    tickets::find(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    not_divided(tickets::divided_lot(id).ask(&mut tx).await?)?;
    let last = trash::versions(id).ask(&mut tx).await?.into_iter().next();
    let stands = last.as_ref().and_then(trash::SampleRow::sample);
    let units = act.units(&mut tx).await?;
    let (sample, void) = match new {
        Some(new) => {
            let net = tickets::net(id).ask(&mut tx).await?;
            (Sample::new(new.weights, net, new.sure, units)?, false)
        }
        None => (stands.ok_or_else(same_sample)?, true),
    };
    if !void && stands == Some(sample) {
        return Err(same_sample().into());
    }
    let version = last.map_or(0, |row| row.version) + 1;
    let by = (act.measured_by(), act.at);
    trash::insert(&mut tx, (id, version), (sample, void), by).await?;
    act.finish(tx, "trash_sample", id).await
}

fn same_sample() -> RuleRefusal {
    RuleRefusal::new("nothing-changed", "That stands there already.")
}

/// Part of a juice that is lost.
#[derive(Debug, Clone)]
pub struct NewLost {
    /// Amount lost, by weight or volume as the juice was measured.
    pub amount: LostAmount,
    /// How it was lost: `spilt`, `spoilt`, or `twice` (measured twice).
    pub what: &'static str,
    /// Remark.
    pub note: String,
}

/// The amount of a juice that is lost.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LostAmount {
    /// This amount.
    Part(Amount),
    /// All that is left in the vessel.
    Rest,
}

/// Writes down that part of a juice is gone; what was measured stands.
pub async fn lose(act: &Act, id: JuiceId, new: NewLost) -> Done<JuiceId> {
    act.crew()?;
    let mut tx = begin!(act, "lose_juice");
    let row = juice::find(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    not_divided(tickets::divided_lot(row.ticket_id).ask(&mut tx).await?)?;
    if row.void {
        return Err(RuleRefusal::new(
            "void",
            "This juice is crossed out, so nothing of it is lost.",
        )
        .into());
    }
    let reckoned = row.reckon()?;
    let left = juice::drawn(id).ask(&mut tx).await?.left(reckoned.mass);
    let amount = match new.amount {
        LostAmount::Rest => left,
        LostAmount::Part(amount) => amount.mass(reckoned.brix_20),
    };
    let units = act.units(&mut tx).await?;
    rules::lost_part(amount, left, units)?;
    let number = yard::losses(id)
        .ask(&mut tx)
        .await?
        .last()
        .map_or(0, |l| l.number)
        + 1;
    let loss = NewLoss {
        juice: id,
        number: (number, 1),
        amount,
        what: new.what,
        note: &new.note,
        lost_at: act.said_at(),
        by: act.actor.id,
        at: act.at,
    };
    yard::insert_loss(&mut tx, &loss).await?;
    act.finish(tx, "lose_juice", id).await
}

/// Takes a loss back: it is in the vessel after all.
pub async fn take_loss_back(act: &Act, id: JuiceId, number: i64) -> Done<JuiceId> {
    act.crew()?;
    let mut tx = begin!(act, "take_loss_back");
    let row = juice::find(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    not_divided(tickets::divided_lot(row.ticket_id).ask(&mut tx).await?)?;
    let all = yard::losses(id).ask(&mut tx).await?;
    let loss = all
        .iter()
        .find(|l| l.number == number && l.amount > Grams::ZERO)
        .ok_or(Stop::Missing)?;
    let back = NewLoss {
        juice: id,
        number: (number, loss.version + 1),
        amount: Grams::ZERO,
        what: &loss.what,
        note: &loss.note,
        lost_at: loss.lost_at,
        by: act.actor.id,
        at: act.at,
    };
    yard::insert_loss(&mut tx, &back).await?;
    act.finish(tx, "take_loss_back", id).await
}

/// The loss written as a draw that went into no boil.
pub(in crate::actions) const fn as_draw(lost: Grams) -> Draw {
    Draw {
        amount: lost,
        whole: false,
    }
}
