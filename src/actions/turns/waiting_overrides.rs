//! What a steward may do against the order of a waiting list, each with a reason that is kept: give
//! somebody a turn out of order, take somebody off, take an offer back.

use super::asker::{asker, why_text, zone};
use super::offering::{
    answer, entry_up_to_date, not_taken, note_run_out, offer_room, room_before, state_after,
    take_step,
};
use super::turn_place::{latest_habit, placed};
use super::waiting::{made, offer_of};
use crate::actions::people::notices::{self, NoticeSubject, Tell};
use crate::actions::{Act, Done, Stop, begin};
use crate::calc::people::notices::Kind;
use crate::calc::turns::starts::Span;
use crate::calc::turns::waiting::{Answer, Step};
use crate::facts::turns::room::{DayRoom, day_of};
use crate::facts::turns::waiting::may_answer;
use crate::store::WriteTx;
use crate::store::turns::offers::{self, Offer};
use crate::store::turns::press_days;
use crate::store::turns::press_days::PressDay;
use crate::units::{ClockTyped, OfferId, PressDayId, TurnId, WaitingId};

/// Gives somebody on the list a turn at a start, whoever waits before. Offers in the way are withdrawn
/// for the same reason; those people keep their places and are asked next.
pub async fn place(act: &Act, id: WaitingId, start: ClockTyped, why: &str) -> Done<TurnId> {
    act.steward()?;
    let why = why_text(why, 1)?;
    let habit = latest_habit(&act.reader).await?;
    let mut tx = begin!(act, "place_waiting");
    let (mut entry, before) = entry_up_to_date(act, &mut tx, habit, id).await?;
    state_after(&entry, Step::Placed)?;
    let day = press_days::find(entry.press_day_id)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    let units = act.units(&mut tx).await?;
    let zone = zone(&mut tx).await?;
    let reckoned = day_of(&day, &zone);
    let wanted = Span {
        start: reckoned.find(start)?,
        minutes: reckoned.minutes_for(entry.cane, units)?,
    };
    for offer in offers::standing_of_day(day.id).ask(&mut tx).await? {
        let in_way = Span::kept(&reckoned.clock, offer.start, offer.minutes).overlaps(wanted);
        if offer.waiting_id == id {
            // Its place becomes the turn.
            let by = Some(act.actor.id);
            answer(&mut tx, &offer, Answer::Recalled, &why, by, act.at).await?;
        } else if in_way {
            recall(act, &mut tx, &offer, &why).await?;
        }
    }
    let room = DayRoom::by_habit(&mut tx, (&day, &habit), (&zone, act.at), &[]).await?;
    let span = placed(
        &room,
        (entry.member_id, entry.cane, start),
        units,
        asker(act),
    )?;
    let clock = room.day.clock;
    let event = format!("out of order: {why}");
    let turn = made(act, &mut tx, &entry, (&clock, span), &event).await?;
    entry.turn_id = Some(turn);
    take_step(&mut tx, &mut entry, Step::Placed, &event).await?;
    let tell = Tell {
        member: entry.member_id,
        kind: Kind::Moved,
        mark: format!("placed:{turn}"),
        subject: format!("You have a turn on {}", day.date.show()),
        words: format!(
            "You waited for {}: your turn is {}. Please confirm it, or say so if you cannot come.",
            day.date.show(),
            span.show(&clock)
        ),
        about: NoticeSubject::Turn(turn),
    };
    notices::tell(act, &mut tx, tell).await?;
    offer_room(act, &mut tx, day.id, before).await?;
    act.finish(tx, "place_waiting", turn).await
}

/// Takes somebody off the list; an offer that stands is withdrawn for the same reason.
pub async fn take_off(act: &Act, id: WaitingId, why: &str) -> Done<WaitingId> {
    act.steward()?;
    let why = why_text(why, 1)?;
    let habit = latest_habit(&act.reader).await?;
    let mut tx = begin!(act, "take_off_waiting");
    let (mut entry, before) = entry_up_to_date(act, &mut tx, habit, id).await?;
    if let Some(offer) = offer_of(&mut tx, &entry).await? {
        take_back(act, &mut tx, &offer, &why).await?;
    }
    take_step(
        &mut tx,
        &mut entry,
        Step::Leaves,
        &format!("taken off: {why}"),
    )
    .await?;
    offer_room(act, &mut tx, entry.press_day_id, before).await?;
    act.finish(tx, "take_off_waiting", id).await
}

/// Takes an offer back. Its member keeps the place on the list but is not offered those minutes
/// again; the next who fits is. Of the season's proposal it leaves no place.
pub async fn withdraw(act: &Act, id: OfferId, why: &str) -> Done<WaitingId> {
    act.steward()?;
    let why = why_text(why, 1)?;
    let habit = latest_habit(&act.reader).await?;
    let mut tx = begin!(act, "withdraw_offer");
    let offer = offers::find(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    may_answer(&offer, &zone(&mut tx).await?, act.at)?;
    let before = room_before(&mut tx, habit, (offer.press_day_id, act.at)).await?;
    take_back(act, &mut tx, &offer, &why).await?;
    let entry = not_taken(&mut tx, &offer, Step::Withdrawn).await?;
    offer_room(act, &mut tx, offer.press_day_id, before).await?;
    act.finish(tx, "withdraw_offer", entry.id).await
}

/// Takes an offer back from its member.
async fn take_back(act: &Act, tx: &mut WriteTx, offer: &Offer, why: &str) -> Done<()> {
    let by = Some(act.actor.id);
    answer(tx, offer, Answer::Withdrawn, why, by, act.at).await
}

/// Takes an offer back since its minutes are needed.
async fn recall(act: &Act, tx: &mut WriteTx, offer: &Offer, why: &str) -> Done<()> {
    let by = Some(act.actor.id);
    answer(tx, offer, Answer::Recalled, why, by, act.at).await?;
    not_taken(tx, offer, Step::Withdrawn).await?;
    Ok(())
}

/// Takes back the offers that a changed day has no hours for any more.
pub(super) async fn withdraw_outside(act: &Act, tx: &mut WriteTx, day: &PressDay) -> Done<()> {
    note_run_out(tx, day.id, act.at).await?;
    let reckoned = day_of(day, &zone(tx).await?);
    for offer in offers::standing_of_day(day.id).ask(tx).await? {
        let span = Span::kept(&reckoned.clock, offer.start, offer.minutes);
        if span.start < reckoned.begins() || span.end() > reckoned.ends().get() {
            recall(act, tx, &offer, "the hours of the day were changed").await?;
        }
    }
    Ok(())
}

/// Takes back the offers of minutes in which the mill stands.
pub(super) async fn withdraw_within(
    act: &Act,
    tx: &mut WriteTx,
    day: &PressDay,
    standstill: Span,
) -> Done<()> {
    note_run_out(tx, day.id, act.at).await?;
    let clock = zone(tx).await?.clock(day.date);
    for offer in offers::standing_of_day(day.id).ask(tx).await? {
        if Span::kept(&clock, offer.start, offer.minutes).overlaps(standstill) {
            recall(act, tx, &offer, "the mill stands then").await?;
        }
    }
    Ok(())
}

/// Takes back all offers of a day that is closed.
pub(super) async fn withdraw_all(act: &Act, tx: &mut WriteTx, day: PressDayId) -> Done<()> {
    note_run_out(tx, day, act.at).await?;
    for offer in offers::standing_of_day(day).ask(tx).await? {
        recall(act, tx, &offer, "the day was closed").await?;
    }
    Ok(())
}
