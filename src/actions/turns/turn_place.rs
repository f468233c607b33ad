//! Where a turn is to be: whether there is room for it, the minutes it takes, and the line in its
//! history.

use super::asker::{asker, zone};
use crate::actions::{Act, Done};
use crate::calc::turns::day_room::Wanted;
use crate::calc::turns::starts::Span;
use crate::facts::turns::room::DayRoom;
use crate::facts::turns::turn::said_of_day;
use crate::store::WriteTx;
use crate::store::turns::press_days::PressDay;
use crate::store::turns::turn::{self, Turn, What};
use crate::units::{ClockTyped, DayClock, Grams, TurnId, Units};

/// Where a turn is to stand.
pub(super) struct Place<'a> {
    pub(super) day: &'a PressDay,
    /// The turn that moves: it does not stand in its own way.
    pub(super) moving: Option<TurnId>,
    pub(super) start: ClockTyped,
    pub(super) cane: Grams,
}

/// The minutes for that much cane from that start, if they may stand there among the turns held.
pub(super) async fn placed(
    act: &Act,
    tx: &mut WriteTx,
    place: Place<'_>,
    units: Units,
) -> Done<(DayClock, Span)> {
    let zone = zone(tx).await?;
    let room = DayRoom::read(tx, place.day, &zone, place.moving.as_slice()).await?;
    let rooms = room.rooms();
    let start = rooms.day.find(place.start)?;
    let cane = place.cane;
    let minutes = rooms
        .day
        .minutes_for(cane, units)
        .map_err(|unmet| match place.moving {
            Some(_) => said_of_day(unmet),
            None => unmet,
        })?;
    let span = rooms.place(Wanted { minutes, cane }, start, asker(act))?;
    Ok((rooms.day.clock, span))
}

/// Takes the minutes that a turn holds.
pub(super) async fn take(tx: &mut WriteTx, turn: &Turn, clock: &DayClock, span: Span) -> Done<()> {
    for five in span.fives() {
        turn::take_five(tx, turn.press_day_id, clock.time(five), turn.id).await?;
    }
    Ok(())
}

/// Adds a line to a turn's history, for the version that the turn was just brought to.
pub(super) async fn note(
    act: &Act,
    tx: &mut WriteTx,
    turn: Turn,
    what: What,
    why: &str,
) -> Done<()> {
    let turn = Turn {
        version: turn.version + 1,
        ..turn
    };
    turn::insert_event(tx, &turn, what, why, act.actor.id, act.at).await?;
    Ok(())
}
