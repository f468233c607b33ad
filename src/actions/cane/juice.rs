//! Measuring juice: recording what one ticket gave in one vessel, and correcting it.

use super::other_juices::{pairs, recorded};
use super::tickets::not_divided;
use super::vessels::{left_of, nothing_stands_in, vessel_in_use};
use super::went_home::pressed_after_all;
use crate::actions::{Act, Done, Stop, as_seen, begin};
use crate::calc::RuleRefusal;
use crate::calc::cane::day_juice::{Pair, unlike};
use crate::calc::cane::juice::{Amount, Juice, Measured, measure};
use crate::calc::cane::same_juice::{RecordedJuice, measured_twice};
use crate::calc::cane::tickets as rules;
use crate::calc::cane::tickets::Pressing;
use crate::calc::physics::refractometer::{AGREE_WITHIN, Instrument};
use crate::facts::cane::juice::juice_of_ticket;
use crate::store::cane::juice::{self, JuiceRow, NewJuiceRow, NewMeasure};
use crate::store::cane::mill::Vessel;
use crate::store::cane::tickets::LoadRow;
use crate::store::cane::{mill, tickets};
use crate::store::{Question, Together};
use crate::units::{
    BrixRead, Celsius, Grams, JuiceId, LotCode, TicketId, Units, UtcSecond, VesselId,
};
use std::mem::discriminant;

/// What was measured, as read off tank, thermometer and refractometer.
#[derive(Debug, Clone)]
pub struct JuiceMeasure {
    /// Amount of all the juice, sediment included.
    pub amount: Amount,
    /// Sediment drawn off, in the same kind as `amount`.
    pub sediment: Option<Amount>,
    /// Temperature of the juice as measured.
    pub temp: Celsius,
    /// The instrument that the Brix was read with.
    pub instrument: Instrument,
    /// Two readings, or three when the first two differ by more than 0.5 °Bx.
    pub readings: Vec<BrixRead>,
    /// Whether the person said that the figures are right, however unlikely they look.
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
    /// Whether the vessel was seen to be empty, whatever the book says.
    pub vessel_empty: bool,
    /// Whether its cane is pressed after all, though its ticket was closed as gone home.
    pub after_all: bool,
}

/// A correction of a juice's measuring.
#[derive(Debug, Clone)]
pub struct JuiceFix {
    /// The measuring as it should have been.
    pub taken: JuiceMeasure,
    /// When it was pressed; `None`: as it stands.
    pub pressed_at: Option<UtcSecond>,
    /// Whether the juice was poured away, or never was.
    pub void: bool,
    /// Whether its cane is pressed after all, though its ticket was closed as gone home.
    pub after_all: bool,
    /// Why it is corrected.
    pub why: String,
    /// The version that the person saw.
    pub seen: i64,
}

/// How many of the day's last juices are read to compare with: more than are compared, as some were poured away.
const OTHERS_READ: i64 = 20;

/// Records the juice of a ticket in a vessel. Its clock starts when it was pressed.
pub async fn record_juice(act: &Act, ticket: TicketId, new: NewJuice) -> Done<JuiceId> {
    act.crew()?;
    let mut tx = begin!(act, "record_juice");
    let found = (
        tickets::find(ticket),
        tickets::cane_counted_lot(ticket),
        tickets::divided_lot(ticket),
        act.units_read(),
        mill::vessel(new.vessel),
        juice::of_ticket(ticket),
        Question::when((!new.vessel_empty).then(|| juice::of_vessel(new.vessel))),
        tickets::loads(ticket),
        juice_of_ticket(ticket),
        tickets::net(ticket),
    );
    let found = found.together().ask(&mut tx).await?;
    let (of, counted, divided, units, vessel, own, inside, loads, other_juice, cane) = found;
    let of = of.ok_or(Stop::Missing)?;
    cane_not_counted(counted)?;
    // More juice of a ticket would change how much cane is behind the juice that was shared out.
    not_divided(divided)?;
    pressed_after_all(act, &mut tx, ticket, new.after_all).await?;
    let units = units?;
    let vessel = vessel_in_use(vessel)?;
    let standing = own.iter().map(recorded).collect::<Done<Vec<_>>>()?;
    let stood = (
        left_of(own.into_iter().filter(|own| own.vessel_id == vessel.id)),
        left_of(inside.unwrap_or_default()),
        juice::last_of_day(of.press_day_id, OTHERS_READ),
    );
    let (in_vessel, inside, of_day) = stood.together().ask(&mut tx).await?;
    nothing_stands_in(&vessel, &in_vessel, &inside, units)?;
    let pressed_at = new.pressed_at.unwrap_or_else(|| act.said_at());
    pressed_then(act, &loads, pressed_at)?;
    let held = ComparedWith {
        cane,
        other_juice,
        vessel: &vessel,
        others: pairs(&of_day, None)?,
        standing,
    };
    check(&held, (&new.taken, pressed_at), units)?;
    let juice = NewJuiceRow {
        id: JuiceId::new(act.record_id()),
        ticket_id: ticket,
        vessel: vessel.id,
        pressed_at,
    };
    let taken = (&new.taken, pressed_at);
    let recorded = Question::every([
        juice::insert(&juice, act.measured_by(), act.at),
        measured(act, (juice.id, 1), taken, (false, ""))?,
    ]);
    act.finish_with(tx, recorded, "record_juice", juice.id)
        .await
}

/// Juice is pressed after its cane was weighed, to the minute, and not later than this moment.
fn pressed_then(act: &Act, loads: &[LoadRow], pressed_at: UtcSecond) -> Done<()> {
    let weighed = loads.iter().map(LoadRow::weighed).min();
    rules::pressed_then(pressed_at, weighed, act.at)?;
    Ok(())
}

/// Once a divided lot has counted a ticket's cane, all of it is laid on the juice there was: more
/// juice would count it a second time.
fn cane_not_counted(lot: Option<LotCode>) -> Done<()> {
    match lot {
        None => Ok(()),
        Some(lot) => Err(RuleRefusal::new(
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
    let ticket = latest.ticket_id;
    let found = (
        tickets::divided_lot(ticket),
        act.units_read(),
        juice::drawn(id),
        tickets::loads(ticket),
        mill::vessel(latest.vessel_id),
        juice_of_ticket(ticket),
        tickets::net(ticket),
        juice::of_day(latest.press_day_id),
    );
    let found = found.together().ask(&mut tx).await?;
    let (divided, units, drawn, loads, vessel, mut other_juice, cane, of_day) = found;
    not_divided(divided)?;
    let pressed_at = fix.pressed_at.unwrap_or(latest.pressed_at);
    differs(&latest, &fix, pressed_at)?;
    let units = units?;
    let version = (id, latest.version + 1);
    if fix.void {
        // What is crossed out keeps its figures, so that it can still be read.
        rules::juice_covers(
            Grams::ZERO,
            drawn.amount + drawn.lost,
            drawn.any(),
            true,
            units,
        )?;
        let was = (&as_it_was(&latest), latest.pressed_at);
        let crossed_out = measured(act, version, was, (true, &fix.why))?;
        return act.finish_with(tx, crossed_out, "correct_juice", id).await;
    }
    pressed_after_all(act, &mut tx, ticket, fix.after_all).await?;
    if pressed_at != latest.pressed_at {
        pressed_then(act, &loads, pressed_at)?;
    }
    let vessel = vessel.ok_or(Stop::Missing)?;
    if !latest.void {
        other_juice -= latest.reckon()?.mass;
    }
    let held = ComparedWith {
        cane,
        other_juice,
        vessel: &vessel,
        others: pairs(&of_day, Some(id))?,
        standing: Vec::new(),
    };
    let juice = check(&held, (&fix.taken, pressed_at), units)?;
    let gone = drawn.amount + drawn.lost;
    rules::juice_covers(juice.mass, gone, drawn.any(), false, units)?;
    let put_right = measured(act, version, (&fix.taken, pressed_at), (false, &fix.why))?;
    act.finish_with(tx, put_right, "correct_juice", id).await
}

/// A correction of what the person saw, that changes something.
fn differs(latest: &JuiceRow, fix: &JuiceFix, pressed_at: UtcSecond) -> Done<()> {
    as_seen(latest.version, fix.seen, || {
        format!("{} corrected this juice", latest.by_name)
    })?;
    if latest.void && fix.void {
        return Err(RuleRefusal::beside(
            "void",
            "nothing-changed",
            "It is written down as never there already.",
        )
        .into());
    }
    if !latest.void && !fix.void && same(latest, &fix.taken) && pressed_at == latest.pressed_at {
        return Err(RuleRefusal::new(
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

/// What the measuring of a juice is compared with.
struct ComparedWith<'a> {
    /// Net cane of its ticket.
    cane: Grams,
    other_juice: Grams,
    vessel: &'a Vessel,
    /// Temperature and Brix of the day's other juices.
    others: Vec<Pair>,
    /// Juices of its ticket that it may be, if it is measured for the first time.
    standing: Vec<RecordedJuice>,
}

fn check(
    held: &ComparedWith<'_>,
    (taken, pressed_at): (&JuiceMeasure, UtcSecond),
    units: Units,
) -> Done<Juice> {
    if let Some(sediment) = taken.sediment
        && discriminant(&sediment) != discriminant(&taken.amount)
    {
        return Err(RuleRefusal::beside(
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
    let now = (juice.mass, juice.brix_20, pressed_at);
    let unlike_day =
        measured_twice(now, &held.standing, units).or_else(|| unlike(own, &held.others, units));
    let pressing = Pressing {
        amount: taken.amount,
        juice: &juice,
        other_juice: held.other_juice,
        cane: held.cane,
        capacity: held.vessel.capacity,
        unlike_day: unlike_day.as_ref(),
        sure: taken.sure,
    };
    rules::juice_stands(&pressing, units)?;
    Ok(juice)
}

/// A version of a juice's measuring, to be written.
pub(super) fn measured(
    act: &Act,
    (juice, version): (JuiceId, i64),
    (taken, pressed_at): (&JuiceMeasure, UtcSecond),
    (void, why): (bool, &str),
) -> Done<Question<()>> {
    let (Some(&first), Some(&second)) = (taken.readings.first(), taken.readings.get(1)) else {
        return Err(RuleRefusal::beside(
            "brix_2",
            "brix-missing",
            "Please take a second reading from a fresh drop.",
        )
        .into());
    };
    Ok(juice::insert_measure(&NewMeasure {
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
    }))
}
