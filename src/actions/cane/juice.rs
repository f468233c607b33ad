//! Measuring juice: recording what one ticket gave in one vessel, and correcting it.

use super::tickets::not_divided;
use crate::actions::{Act, Done, Stop, as_seen, begin};
use crate::calc::Unmet;
use crate::calc::cane::day_juice::{Pair, unlike};
use crate::calc::cane::juice::{Amount, Juice, Measured, measure};
use crate::calc::cane::tickets as rules;
use crate::calc::cane::tickets::Pressing;
use crate::calc::physics::refractometer::{AGREE_WITHIN, Instrument};
use crate::facts::cane::juices::juice_of_ticket;
use crate::store::WriteTx;
use crate::store::cane::juice::{self, JuiceRow, NewJuiceRow, NewMeasure};
use crate::store::cane::mill::Vessel;
use crate::store::cane::tickets::Ticket;
use crate::store::cane::{mill, tickets};
use crate::units::{
    BrixRead, Celsius, Grams, JuiceId, LotCode, TicketId, Units, UtcSecond, VesselId,
};
use std::mem::discriminant;

/// What was measured, as read off tank, thermometer and refractometer.
#[derive(Debug, Clone)]
pub struct JuiceMeasure {
    /// All of it, sediment and all.
    pub amount: Amount,
    /// Sediment drawn off, in the same kind as `amount`.
    pub sediment: Option<Amount>,
    /// Temperature of juice and drop.
    pub temp: Celsius,
    /// What the Brix was read with.
    pub instrument: Instrument,
    /// Two readings, or three when the first two differ by more than 0.5 °Bx.
    pub readings: Vec<BrixRead>,
    /// It really is so, however unlikely it looks.
    pub sure: bool,
}

/// A juice to record.
#[derive(Debug, Clone)]
pub struct NewJuice {
    /// The vessel it stands in.
    pub vessel: VesselId,
    /// What was measured.
    pub taken: JuiceMeasure,
    /// When it was pressed; `None`: just now.
    pub pressed_at: Option<UtcSecond>,
    /// The vessel was seen to be empty, whatever the book says.
    pub vessel_empty: bool,
}

/// A correction of a juice's measuring.
#[derive(Debug, Clone)]
pub struct JuiceFix {
    /// What it should have been.
    pub taken: JuiceMeasure,
    /// When it was pressed; `None`: as it stands.
    pub pressed_at: Option<UtcSecond>,
    /// Poured away, or never was.
    pub void: bool,
    /// Why.
    pub why: String,
    /// The version that the person saw.
    pub seen: i64,
}

/// Records the juice of a ticket in a vessel. Its clock starts when it was pressed.
pub async fn record_juice(act: &Act, ticket: TicketId, new: NewJuice) -> Done<JuiceId> {
    act.crew()?;
    let mut tx = begin!(act, "record_juice");
    let of = tickets::find(ticket)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    cane_not_counted(tickets::cane_counted_lot(ticket).ask(&mut tx).await?)?;
    // More juice of a ticket moves what cane is behind the juice that was shared out.
    not_divided(tickets::divided_lot(ticket).ask(&mut tx).await?)?;
    let units = act.units(&mut tx).await?;
    let vessel = free_vessel(&mut tx, ticket, &new, units).await?;
    let pressed_at = new.pressed_at.unwrap_or_else(|| act.said_at());
    pressed_then(act, &mut tx, ticket, pressed_at).await?;
    let other_juice = juice_of_ticket(ticket).ask(&mut tx).await?;
    let held = Held {
        ticket: &of,
        other_juice,
        vessel: &vessel,
        others: day_pairs(&mut tx, &of, None).await?,
    };
    check(&mut tx, &held, &new.taken, units).await?;
    let juice = NewJuiceRow {
        id: JuiceId::new(act.record_id()),
        ticket_id: ticket,
        vessel: vessel.id,
        pressed_at,
    };
    juice::insert(&mut tx, &juice, act.measured_by(), act.at).await?;
    let taken = (&new.taken, pressed_at);
    write(act, &mut tx, (juice.id, 1), taken, (false, "")).await?;
    act.finish(tx, "record_juice", juice.id).await
}

/// Juice is pressed after its cane was weighed, to the minute, and not later than this moment.
async fn pressed_then(
    act: &Act,
    tx: &mut WriteTx,
    ticket: TicketId,
    pressed_at: UtcSecond,
) -> Done<()> {
    let loads = tickets::loads(ticket).ask(tx).await?;
    let weighed = loads.iter().map(tickets::LoadRow::weighed).min();
    rules::pressed_then(pressed_at, weighed, act.at)?;
    Ok(())
}

/// Once a divided lot has counted a ticket's cane, all of it is laid on the juice there was: more
/// juice would count it a second time.
fn cane_not_counted(lot: Option<LotCode>) -> Done<()> {
    match lot {
        None => Ok(()),
        Some(lot) => Err(Unmet::new(
            "cane-counted",
            format!(
                "Lot {lot} is divided and has counted all cane of this ticket, so the ticket takes no \
                 more juice. Weigh cane that was pressed since on a ticket of its own; what was \
                 charged too much for it can be taken back in the ledger."
            ),
        )
        .into()),
    }
}

/// Corrects what was measured of a juice, or says that it was poured away: a new version with its
/// reason; the old ones stay.
pub async fn correct_juice(act: &Act, id: JuiceId, fix: JuiceFix) -> Done<JuiceId> {
    act.crew()?;
    let mut tx = begin!(act, "correct_juice");
    let latest = juice::find(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    not_divided(tickets::divided_lot(latest.ticket_id).ask(&mut tx).await?)?;
    let pressed_at = fix.pressed_at.unwrap_or(latest.pressed_at);
    differs(&latest, &fix, pressed_at)?;
    let units = act.units(&mut tx).await?;
    let drawn = juice::drawn(id).ask(&mut tx).await?;
    let version = (id, latest.version + 1);
    if fix.void {
        // What was poured away stays readable as it was.
        rules::juice_covers(Grams::ZERO, drawn.amount, drawn.any(), true, units)?;
        let was = as_it_was(&latest);
        write(
            act,
            &mut tx,
            version,
            (&was, latest.pressed_at),
            (true, &fix.why),
        )
        .await?;
        return act.finish(tx, "correct_juice", id).await;
    }
    if pressed_at != latest.pressed_at {
        pressed_then(act, &mut tx, latest.ticket_id, pressed_at).await?;
    }
    let vessel = mill::vessel(latest.vessel_id)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    let mut other_juice = juice_of_ticket(latest.ticket_id).ask(&mut tx).await?;
    if !latest.void {
        other_juice -= latest.reckon()?.mass;
    }
    let taken = &fix.taken;
    let ticket = tickets::find(latest.ticket_id)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    let held = Held {
        ticket: &ticket,
        other_juice,
        vessel: &vessel,
        others: day_pairs(&mut tx, &ticket, Some(id)).await?,
    };
    let juice = check(&mut tx, &held, taken, units).await?;
    let gone = drawn.amount + drawn.lost;
    rules::juice_covers(juice.mass, gone, drawn.any(), false, units)?;
    let put_right = (taken, pressed_at);
    write(act, &mut tx, version, put_right, (false, &fix.why)).await?;
    act.finish(tx, "correct_juice", id).await
}

/// A correction of what the person saw, that changes something.
fn differs(latest: &JuiceRow, fix: &JuiceFix, pressed_at: UtcSecond) -> Done<()> {
    as_seen(latest.version, fix.seen, || {
        format!("{} corrected this juice", latest.by_name)
    })?;
    if latest.void && fix.void {
        return Err(Unmet::beside(
            "void",
            "nothing-changed",
            "It is written down as never there already.",
        )
        .into());
    }
    if !latest.void && !fix.void && same(latest, &fix.taken) && pressed_at == latest.pressed_at {
        return Err(Unmet::new(
            "nothing-changed",
            "Nothing is different from what stands there already.",
        )
        .into());
    }
    Ok(())
}

fn same(latest: &JuiceRow, taken: &JuiceMeasure) -> bool {
    latest.amount == taken.amount
        && latest.sediment == taken.sediment
        && latest.temp == taken.temp
        && latest.instrument == taken.instrument
        && latest.readings == taken.readings
}

pub(super) fn as_it_was(latest: &JuiceRow) -> JuiceMeasure {
    JuiceMeasure {
        amount: latest.amount,
        sediment: latest.sediment,
        temp: latest.temp,
        instrument: latest.instrument,
        readings: latest.readings.clone(),
        sure: true,
    }
}

/// A vessel in use in which nobody's juice stands.
async fn free_vessel(
    tx: &mut WriteTx,
    ticket: TicketId,
    new: &NewJuice,
    units: Units,
) -> Done<Vessel> {
    let vessel = mill::vessel(new.vessel)
        .ask(tx)
        .await?
        .ok_or_else(|| Unmet::beside("vessel", "no-vessel", "Please choose the vessel."))?;
    let beside = |code, sentence| Err(Unmet::beside("vessel", code, sentence).into());
    if vessel.retired_at.is_some() {
        return beside(
            "vessel-retired",
            format!(
                "{} was taken out of use. Please choose another vessel.",
                vessel.name
            ),
        );
    }
    let mut stands = false;
    for own in juice::of_ticket(ticket).ask(tx).await? {
        let left = juice::drawn(own.id).ask(tx).await?.left(own.reckon()?.mass);
        stands |= own.vessel_id == vessel.id && left > Grams::ZERO;
    }
    if stands {
        return beside(
            "vessel-measured",
            format!(
                "The juice of this ticket in {} was measured already. Correct that measuring \
                 instead, or choose another vessel.",
                vessel.name
            ),
        );
    }
    if new.vessel_empty {
        return Ok(vessel);
    }
    for other in juice::of_vessel(vessel.id).ask(tx).await? {
        let left = juice::drawn(other.id)
            .ask(tx)
            .await?
            .left(other.reckon()?.mass);
        if left > Grams::ZERO {
            return beside(
                "vessel-full",
                format!(
                    "{} still holds {} of {}’s juice (ticket {}) by the book, and two members’ \
                     juice is not mixed here. Choose another vessel; or, if it stands empty, tick \
                     the box for it.",
                    vessel.name,
                    left.show(units),
                    other.member_name,
                    other.ticket
                ),
            );
        }
    }
    Ok(vessel)
}

/// What a juice is held against.
struct Held<'a> {
    ticket: &'a Ticket,
    other_juice: Grams,
    vessel: &'a Vessel,
    /// The day's other juices.
    others: Vec<Pair>,
}

/// Temperature and Brix of the other juices of a ticket's day.
async fn day_pairs(tx: &mut WriteTx, of: &Ticket, not: Option<JuiceId>) -> Done<Vec<Pair>> {
    let mut pairs = Vec::new();
    for other in juice::of_day(of.press_day_id).ask(tx).await? {
        if Some(other.id) != not {
            pairs.push(Pair {
                temp: other.temp,
                brix: other.reckon()?.brix_20,
            });
        }
    }
    Ok(pairs)
}

async fn check(
    tx: &mut WriteTx,
    held: &Held<'_>,
    taken: &JuiceMeasure,
    units: Units,
) -> Done<Juice> {
    if let Some(sediment) = taken.sediment
        && discriminant(&sediment) != discriminant(&taken.amount)
    {
        return Err(Unmet::beside(
            "sediment",
            "sediment-kind",
            "Please measure the sediment as the juice: both by weight, or both by volume.",
        )
        .into());
    }
    let juice = measure(&Measured {
        amount: taken.amount,
        sediment: taken.sediment,
        readings: &taken.readings,
        instrument: taken.instrument,
        sample: taken.temp,
        agree_within: AGREE_WITHIN,
    })?;
    let own = Pair {
        temp: taken.temp,
        brix: juice.brix_20,
    };
    let unlike_day = unlike(own, &held.others, units);
    let pressing = Pressing {
        amount: taken.amount,
        juice: &juice,
        other_juice: held.other_juice,
        cane: tickets::net(held.ticket.id).ask(tx).await?,
        capacity: held.vessel.capacity,
        unlike_day: unlike_day.as_ref(),
        sure: taken.sure,
    };
    rules::juice_stands(&pressing, units)?;
    Ok(juice)
}

pub(super) async fn write(
    act: &Act,
    tx: &mut WriteTx,
    (juice, version): (JuiceId, i64),
    (taken, pressed_at): (&JuiceMeasure, UtcSecond),
    (void, why): (bool, &str),
) -> Done<()> {
    let (Some(&first), Some(&second)) = (taken.readings.first(), taken.readings.get(1)) else {
        return Err(Unmet::beside(
            "brix_2",
            "brix-missing",
            "Please take a second reading from a fresh drop.",
        )
        .into());
    };
    let measured = NewMeasure {
        juice,
        version,
        amount: taken.amount,
        sediment: taken.sediment,
        temp: taken.temp,
        instrument: taken.instrument,
        readings: (first, second, taken.readings.get(2).copied()),
        pressed_at: Some(pressed_at),
        void,
        why,
        by: act.measured_by(),
        at: act.at,
    };
    juice::insert_measure(tx, &measured).await?;
    Ok(())
}
