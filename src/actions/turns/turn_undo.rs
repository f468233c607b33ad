//! Undoing what was just done with a turn: whoever booked it gives it up again, whoever moved it puts it back, if
//! nobody has taken the minutes meanwhile.

use super::asker::{asker, zone};
use super::offering;
use super::turn_place::{latest_habit, note, placed, take};
use super::turn_told::{tell_given_up, tell_moved};
use crate::actions::people::household::own;
use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::turns::waiting::Step;
use crate::facts::turns::room::DayRoom;
use crate::facts::turns::turn::{UNDONE, Undo, said_of_day, still_to_come, undo, undo_overtaken};
use crate::facts::turns::turn_habit::LatestHabit;
use crate::facts::turns::waiting::place_again;
use crate::store::WriteTx;
use crate::store::turns::turn::{self, Turn};
use crate::store::turns::turn_events::{TurnEvent, What};
use crate::store::turns::waiting;
use crate::store::turns::{offers, press_days, turn_events};
use crate::units::{ClockTime, ClockTyped, PressDayId, TurnId, UtcSecond, Zone};

/// Undoes what the actor did last with a turn, within ten minutes.
pub async fn undo_turn(act: &Act, id: TurnId) -> Done<TurnId> {
    let habit = latest_habit(&act.reader).await?;
    let mut tx = begin!(act, "undo_turn");
    let before = turn::find(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    own(act, &mut tx, before.member_id).await?;
    still_to_come(&before, turn::ticket(id).ask(&mut tx).await?)?;
    let events = turn_events::of_turn(id).ask(&mut tx).await?;
    let Some(what) = undo(&events, act.actor.id, act.at) else {
        let zone = zone(&mut tx).await?;
        let since = undo_overtaken(&events, act.actor.id, act.at);
        return Err(not_undone(since, &zone, act.at).into());
    };
    let left = before.press_day_id;
    let room_before = offering::room_before(&mut tx, habit, (left, act.at)).await?;
    match what {
        Undo::Made => give_up(act, &mut tx, before).await?,
        Undo::Move { day, start, .. } => {
            put_back(act, &mut tx, habit, before, (day, start)).await?;
        }
    }
    offering::offer_room(act, &mut tx, left, room_before).await?;
    act.finish(tx, "undo_turn", id).await
}

/// Why nothing is undone; `since`: what somebody else did to the turn after the actor.
fn not_undone(since: Option<&TurnEvent>, zone: &Zone, at: UtcSecond) -> RuleRefusal {
    let Some(since) = since else {
        return RuleRefusal::new(
            "undo-over",
            "What was done can be undone for ten minutes, by whoever did it, and only the last. You can still move or cancel the turn.",
        );
    };
    RuleRefusal::new(
        "undo-overtaken",
        format!(
            "Nothing was undone: {} changed this turn since you did, at {}. Below is where it stands now; you can still move or cancel it.",
            since.by,
            zone.show_by(since.at, at)
        ),
    )
}

async fn give_up(act: &Act, tx: &mut WriteTx, before: Turn) -> Done<()> {
    let after = Turn {
        held: false,
        ..before
    };
    turn::update(tx, &after).await?;
    turn::free_minutes(tx, after.id).await?;
    back_on_the_list(tx, (after.press_day_id, after.id)).await?;
    let told = after.clone();
    note(act, tx, after, What::Cancelled, UNDONE).await?;
    let zone = zone(tx).await?;
    tell_given_up(act, tx, &told, &zone, UNDONE).await
}

/// The place on the waiting list that the turn came from stands there again, where it stood; what was given up is not offered to
/// it again. A turn of the season's proposal leaves none, nor one whose member waits for that day anew.
async fn back_on_the_list(tx: &mut WriteTx, (day, id): (PressDayId, TurnId)) -> Done<()> {
    let list = waiting::of_day(day).ask(tx).await?;
    let Some(entry) = list.iter().find(|entry| entry.turn_id == Some(id)) else {
        return Ok(());
    };
    if !place_again(entry, &list, &offers::of_day(day).ask(tx).await?) {
        return Ok(());
    }
    let mut entry = entry.clone();
    entry.turn_id = None;
    offering::take_step(tx, &mut entry, Step::Undone, "").await
}

async fn put_back(
    act: &Act,
    tx: &mut WriteTx,
    habit: LatestHabit,
    before: Turn,
    (day, start): (PressDayId, ClockTime),
) -> Done<()> {
    let day = press_days::find(day).ask(tx).await?.ok_or(Stop::Missing)?;
    let zone = zone(tx).await?;
    let units = act.units(tx).await?;
    let room = DayRoom::by_habit(tx, (&day, &habit), (&zone, act.at), &[before.id]).await?;
    let clock = room.day.clock;
    let wanted = (before.member_id, before.cane, ClockTyped::from(start));
    let span = placed(&room, wanted, units, asker(act)).map_err(|refusal| {
        let sentence = said_of_day(refusal).sentence;
        RuleRefusal::new(
            "undo-taken",
            format!("The turn stays where it is now, for it cannot go back. {sentence}"),
        )
    })?;
    let after = Turn {
        press_day_id: day.id,
        date: day.date,
        start: clock.time(span.start),
        minutes: span.minutes,
        confirmed_at: None,
        confirmed_by: None,
        no_show_at: None,
        ..before
    };
    turn::update(tx, &after).await?;
    turn::free_minutes(tx, after.id).await?;
    take(&after, &clock, span).ask(tx).await?;
    let told = after.clone();
    note(act, tx, after, What::Moved, UNDONE).await?;
    tell_moved(act, tx, &told, (&zone, &clock, span), UNDONE).await
}
