//! Booking a turn, moving it, giving it up. Looks and writes in one immediate transaction, so that
//! of two who want the same minutes one is told so; the schema's key asserts it once more.

use super::asker::{asker, why_text, zone};
use super::offering;
pub use super::turn_new::SECOND;
use super::turn_new::{add, expected, new_turn, no_turn_yet};
use super::turn_place::{latest_habit, note, placed, take};
use super::turn_told::{tell_booked, tell_given_up, tell_moved};
use crate::actions::people::household::own;
use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::turns::turn_cane::AmountTold;
use crate::facts::turns::room::DayRoom;
use crate::facts::turns::turn::{ChangeLimits, said_of_day, still_to_come, when};
use crate::store::WriteTx;
use crate::store::turns::press_days;
use crate::store::turns::turn::{self, Turn};
use crate::store::turns::turn_events::What;
use crate::units::{ClockTyped, Grams, MemberId, PressDayId, TurnId};

/// A turn as it is asked for.
#[derive(Debug, Clone, Copy)]
pub struct NewTurn {
    /// The member whose cane it is.
    pub member: MemberId,
    /// The start that is wanted.
    pub start: ClockTyped,
    /// How much cane comes, as the member told it.
    pub told: AmountTold,
    /// The weight instead of what the season's figures make of it.
    pub corrected: Option<Grams>,
    /// Whether the corrected weight is meant, far off as it is.
    pub sure: bool,
}

/// The place that a turn is to be moved to.
#[derive(Debug, Clone)]
pub struct NewPlace {
    /// The press day, the same or another.
    pub day: PressDayId,
    /// The start that is wanted.
    pub start: ClockTyped,
    /// Why it is moved, in a few words; may be empty.
    pub why: String,
    /// Whether a second turn of the member on that day is meant.
    pub second: bool,
    /// The version of the turn that the form was filled in from.
    pub seen: i64,
}

/// What is to be done where both turns are meant.
const TAP_AGAIN: &str = "If both are meant, tick the box and tap the start again.";

/// Books a turn: a member for oneself, crew for anybody.
pub async fn book(act: &Act, day: PressDayId, new: NewTurn) -> Done<TurnId> {
    book_asking(act, day, new, true).await
}

/// As [`book`]; whether a second turn of a member on one day is `meant` is asked first.
pub async fn book_asking(act: &Act, day: PressDayId, new: NewTurn, meant: bool) -> Done<TurnId> {
    let habit = latest_habit(&act.reader).await?;
    let mut tx = begin!(act, "book_turn");
    own(act, &mut tx, new.member).await?;
    let day = press_days::find(day)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    if !meant {
        no_turn_yet(&mut tx, &day, new.member, TAP_AGAIN).await?;
    }
    offering::offer_room_first(act, &mut tx, habit, day.id).await?;
    let zone = zone(&mut tx).await?;
    let room = DayRoom::by_habit(&mut tx, (&day, &habit), (&zone, act.at), &[]).await?;
    let told = (new.told, new.corrected, new.sure);
    let (member, estimate) = expected(act, &mut tx, &room, new.member, told).await?;
    let units = act.units(&mut tx).await?;
    let clock = room.day.clock;
    let span = placed(
        &room,
        (member.id, estimate.cane, new.start),
        units,
        asker(act),
    )?;
    let whose = (member.id, member.name);
    let turn = new_turn(act, &day, whose, estimate, (&clock, span));
    let added = add(act, &turn, (&clock, span), "");
    if turn.member_id == act.actor.id {
        return act.finish_with(tx, added, "book_turn", turn.id).await;
    }
    added.ask(&mut tx).await?;
    tell_booked(act, &mut tx, &turn, (&clock, span)).await?;
    act.finish(tx, "book_turn", turn.id).await
}

/// Moves a turn to another start, on its own press day or another. Its minutes are reckoned anew
/// with that day's mill rate and change-over.
pub async fn move_turn(act: &Act, id: TurnId, to: NewPlace) -> Done<TurnId> {
    let habit = latest_habit(&act.reader).await?;
    let mut tx = begin!(act, "move_turn");
    let before = own_turn(act, &mut tx, id).await?;
    if before.version != to.seen {
        return Err(RuleRefusal::changed(
            format!(
                "This turn was moved while you had the page open: it is on {} at {}. Choose again to move it from there.",
                before.date.show(),
                before.start.show()
            ),
        )
        .into());
    }
    let why = why_text(&to.why, 0)?;
    let day = press_days::find(to.day)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    let left = before.press_day_id;
    if day.id != left && !to.second {
        no_turn_yet(&mut tx, &day, before.member_id, TAP_AGAIN).await?;
    }
    offering::offer_room_first(act, &mut tx, habit, day.id).await?;
    let room_before = offering::room_before(&mut tx, habit, (left, act.at)).await?;
    let units = act.units(&mut tx).await?;
    let zone = zone(&mut tx).await?;
    // The turn does not stand in its own way.
    let room = DayRoom::by_habit(&mut tx, (&day, &habit), (&zone, act.at), &[id]).await?;
    let clock = room.day.clock;
    let span = placed(
        &room,
        (before.member_id, before.cane, to.start),
        units,
        asker(act),
    )
    .map_err(said_of_day)?;
    let start = clock.time(span.start);
    if (day.id, start, span.minutes) == (left, before.start, before.minutes) {
        let sentence = format!("The turn is at {} already.", start.show());
        return Err(RuleRefusal::beside("start", "same-place", sentence).into());
    }
    let after = Turn {
        press_day_id: day.id,
        date: day.date,
        start,
        minutes: span.minutes,
        // What was confirmed was the place that the turn had before.
        confirmed_at: None,
        confirmed_by: None,
        no_show_at: None,
        ..before
    };
    turn::update(&mut tx, &after).await?;
    turn::free_minutes(&mut tx, id).await?;
    take(&after, &clock, span).ask(&mut tx).await?;
    let told = after.clone();
    note(act, &mut tx, after, What::Moved, &why).await?;
    tell_moved(act, &mut tx, &told, (&zone, &clock, span), &why).await?;
    offering::offer_room(act, &mut tx, left, room_before).await?;
    act.finish(tx, "move_turn", id).await
}

/// Gives a turn up, saying why; its time is free again.
pub async fn cancel(act: &Act, id: TurnId, why: &str) -> Done<TurnId> {
    let habit = latest_habit(&act.reader).await?;
    let mut tx = begin!(act, "cancel_turn");
    let before = own_turn(act, &mut tx, id).await?;
    let why = why_text(why, 1)?;
    let day = before.press_day_id;
    let room_before = offering::room_before(&mut tx, habit, (day, act.at)).await?;
    let after = Turn {
        held: false,
        ..before
    };
    turn::update(&mut tx, &after).await?;
    turn::free_minutes(&mut tx, id).await?;
    let told = after.clone();
    note(act, &mut tx, after, What::Cancelled, &why).await?;
    let zone = zone(&mut tx).await?;
    tell_given_up(act, &mut tx, &told, &zone, &why).await?;
    offering::offer_room(act, &mut tx, day, room_before).await?;
    act.finish(tx, "cancel_turn", id).await
}

/// Confirms a turn: a member one's own, or that of a card acted for, from two days before its press day. Confirmed again, it
/// stays as it was.
pub async fn confirm(act: &Act, id: TurnId) -> Done<TurnId> {
    let mut tx = begin!(act, "confirm_turn");
    let turn = turn_to_come(act, &mut tx, id).await?;
    when(&turn, &zone(&mut tx).await?, act.at).may_confirm()?;
    if turn.confirmed_at.is_none() {
        turn::confirm(&mut tx, id, act.actor.id, act.at).await?;
    }
    act.finish(tx, "confirm_turn", id).await
}

/// Notes that nobody came to a turn, once it has begun; or that somebody came after all.
pub async fn set_missed(act: &Act, id: TurnId, missed: bool) -> Done<TurnId> {
    act.crew()?;
    let mut tx = begin!(act, "miss_turn");
    let turn = turn_to_come(act, &mut tx, id).await?;
    if missed {
        when(&turn, &zone(&mut tx).await?, act.at).may_be_missed()?;
    }
    let missed = missed.then(|| turn.no_show_at.unwrap_or(act.at));
    turn::miss(&mut tx, id, missed).await?;
    act.finish(tx, "miss_turn", id).await
}

/// The act's own turn, or any for crew, while it is neither cancelled nor weighed in.
async fn turn_to_come(act: &Act, tx: &mut WriteTx, id: TurnId) -> Done<Turn> {
    let turn = turn::find(id).ask(tx).await?.ok_or(Stop::Missing)?;
    own(act, tx, turn.member_id).await?;
    still_to_come(&turn, turn::ticket(id).ask(tx).await?)?;
    Ok(turn)
}

/// The turn, if this person may still move it or give it up.
async fn own_turn(act: &Act, tx: &mut WriteTx, id: TurnId) -> Done<Turn> {
    let turn = turn::find(id).ask(tx).await?.ok_or(Stop::Missing)?;
    own(act, tx, turn.member_id).await?;
    let limits = ChangeLimits::read(tx, &turn).await?.ok_or(Stop::Missing)?;
    limits.allow_change(&turn, &zone(tx).await?, asker(act))?;
    Ok(turn)
}
