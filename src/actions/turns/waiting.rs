//! Waiting for room on a press day: joining and leaving the list, answering an offer. What a steward
//! does against the order is in `waiting_overrides`, who is offered what in `offering`.

use super::asker::zone;
use super::offering::{
    RoomBefore, answer, entry, entry_up_to_date, not_taken, offer_room, offer_room_first,
    room_before, take_step,
};
use super::turn_new;
use super::turn_place::latest_habit;
use super::turn_told::tell_booked;
use crate::actions::people::household::own;
use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::turns::starts::{Asker, Span};
use crate::calc::turns::turn_cane::AmountTold;
use crate::calc::turns::waiting::{Answer, Step};
use crate::facts::season::proposal_fields::fields;
use crate::facts::season::seasons::SeasonRules;
use crate::facts::turns::room::DayRoom;
use crate::facts::turns::turn::when;
use crate::facts::turns::turn_habit::LatestHabit;
use crate::facts::turns::waiting::may_answer;
use crate::store::WriteTx;
use crate::store::season::plantings::{self, Planting};
use crate::store::turns::offers::{self, Offer};
use crate::store::turns::possible_days::{self, DayAnswer};
use crate::store::turns::waiting::{self, Entry, NewWaiting};
use crate::store::turns::{press_days, turn};
use crate::units::{
    DayClock, Grams, MemberId, Metres, OfferId, PressDate, PressDayId, TurnId, Units, UtcSecond,
    WaitingId,
};

/// Somebody who wants to wait for a press day.
#[derive(Debug, Clone, Copy)]
pub struct Joins {
    /// The member whose cane it is.
    pub member: MemberId,
    /// How much cane comes, as the member told it.
    pub told: AmountTold,
    /// The weight instead of what the season's figures make of it.
    pub corrected: Option<Grams>,
    /// Whether the corrected weight is meant, far off as it is.
    pub sure: bool,
}

/// Puts a member on a day's list, at its end: a member oneself, crew anybody.
pub async fn join(act: &Act, day: PressDayId, new: Joins) -> Done<WaitingId> {
    join_asking(act, day, new, true).await
}

/// As [`join`]; whether a turn besides one that the member has on that day is `meant` is asked first.
pub async fn join_asking(act: &Act, day: PressDayId, new: Joins, meant: bool) -> Done<WaitingId> {
    let habit = latest_habit(&act.reader).await?;
    let mut tx = begin!(act, "join_waiting");
    own(act, &mut tx, new.member).await?;
    let day = press_days::find(day)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    if !meant {
        let again =
            "If another one besides is meant, tick the box and join the waiting list again.";
        turn_new::no_turn_yet(&mut tx, &day, new.member, again).await?;
    }
    offer_room_first(act, &mut tx, habit, day.id).await?;
    let zone = zone(&mut tx).await?;
    let room = DayRoom::by_habit(&mut tx, (&day, &habit), (&zone, act.at), &[]).await?;
    let told = (new.told, new.corrected, new.sure);
    let (member, estimate) = turn_new::expected(act, &mut tx, &room, new.member, told).await?;
    let units = act.units(&mut tx).await?;
    may_join(&room, (member.id, estimate.cane), units, (day.date, act.at))?;
    let list = waiting::of_day(day.id).ask(&mut tx).await?;
    if let Some((place, entry)) = list
        .iter()
        .filter(|entry| entry.state.on_list())
        .enumerate()
        .find(|(_, entry)| entry.member_id == member.id && entry.from_turn_id.is_none())
    {
        return Err(RuleRefusal::new(
            "on-list",
            format!(
                "{} is on the list of {} already, since {}, as number {}.",
                member.name,
                day.date.show(),
                zone.show(entry.made_at),
                place + 1
            ),
        )
        .into());
    }
    let id = WaitingId::new(act.id());
    let place = NewWaiting {
        id,
        press_day_id: day.id,
        member_id: member.id,
        cane: estimate.cane,
        told: estimate.told,
        row_kg_per_m: estimate.row_kg_per_m,
        from_turn_id: None,
        beside: false,
        by: act.actor.id,
        at: act.at,
    };
    waiting::insert(&mut tx, &place).await?;
    offer_room(act, &mut tx, day.id, RoomBefore::unknown(habit)).await?;
    act.finish(tx, "join_waiting", id).await
}

/// Whether one may wait: the day is open and not over, the cane fits into it, and no start is free.
fn may_join(
    room: &DayRoom,
    (member, cane): (MemberId, Grams),
    units: Units,
    (date, at): (PressDate, UtcSecond),
) -> Result<(), RuleRefusal> {
    let rooms = room.rooms();
    let date = date.show();
    let stop = |code, sentence: String| Err(RuleRefusal::new(code, sentence));
    if rooms.day.closed {
        return stop(
            "day-closed",
            format!("{date} is closed and takes no more turns. Please choose another press day."),
        );
    }
    if rooms.day.clock.instant(rooms.day.ends()) <= at {
        return stop(
            "day-over",
            format!("{date} is over. Please choose another press day."),
        );
    }
    let minutes = rooms.day.minutes_for(cane, units)?;
    let asker = Asker { at, crew: false };
    let wanted = room.wanted(member, minutes, cane);
    match rooms.free(wanted, asker).starts.first() {
        Some(start) => stop(
            "room-free",
            format!(
                "There is room on {date}, from {} on. Please take a start instead of waiting.",
                rooms.day.clock.show(*start)
            ),
        ),
        None => Ok(()),
    }
}

/// Leaves the list; an offer that stands counts as declined.
pub async fn leave(act: &Act, id: WaitingId) -> Done<WaitingId> {
    let habit = latest_habit(&act.reader).await?;
    let mut tx = begin!(act, "leave_waiting");
    let (mut entry, before) = entry_up_to_date(act, &mut tx, habit, id).await?;
    own(act, &mut tx, entry.member_id).await?;
    if let Some(offer) = offer_of(&mut tx, &entry).await? {
        let by = Some(act.actor.id);
        answer(&mut tx, &offer, Answer::Declined, "", by, act.at).await?;
        if offer.proposed {
            not_that_day(act, &mut tx, &offer).await?;
        }
    }
    take_step(&mut tx, &mut entry, Step::Leaves, "").await?;
    offer_room(act, &mut tx, entry.press_day_id, before).await?;
    act.finish(tx, "leave_waiting", id).await
}

/// The offer that stands for a place on the list.
pub(super) async fn offer_of(tx: &mut WriteTx, entry: &Entry) -> Done<Option<Offer>> {
    let standing = offers::standing_of_day(entry.press_day_id).ask(tx).await?;
    Ok(standing.into_iter().find(|o| o.waiting_id == entry.id))
}

/// "I still wait": after an offer ran out, at the end of the list.
pub async fn still_wait(act: &Act, id: WaitingId) -> Done<WaitingId> {
    let habit = latest_habit(&act.reader).await?;
    let mut tx = begin!(act, "still_wait");
    let (mut entry, before) = entry_up_to_date(act, &mut tx, habit, id).await?;
    own(act, &mut tx, entry.member_id).await?;
    entry.rank = waiting::end_rank(entry.press_day_id).ask(&mut tx).await?;
    take_step(&mut tx, &mut entry, Step::StillWaits, "").await?;
    offer_room(act, &mut tx, entry.press_day_id, before).await?;
    act.finish(tx, "still_wait", id).await
}

/// The act's own offer, or any for crew, while it stands.
async fn own_offer(act: &Act, tx: &mut WriteTx, id: OfferId) -> Done<Offer> {
    let offer = offers::find(id).ask(tx).await?.ok_or(Stop::Missing)?;
    own(act, tx, offer.member_id).await?;
    may_answer(&offer, &zone(tx).await?, act.at)?;
    Ok(offer)
}

/// Takes what is offered: it becomes a turn.
pub async fn accept(act: &Act, id: OfferId) -> Done<TurnId> {
    let mut tx = begin!(act, "accept_offer");
    let offer = own_offer(act, &mut tx, id).await?;
    let day = press_days::find(offer.press_day_id)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    if day.closed_at.is_some() {
        return Err(RuleRefusal::new(
            "day-closed",
            format!("{} is closed and takes no more turns.", day.date.show()),
        )
        .into());
    }
    let by = Some(act.actor.id);
    answer(&mut tx, &offer, Answer::Taken, "", by, act.at).await?;
    let zone = zone(&mut tx).await?;
    let clock = zone.clock(day.date);
    let span = Span::kept(&clock, offer.start, offer.minutes);
    let mut entry = entry(&mut tx, offer.waiting_id).await?;
    let why = if offer.proposed {
        "as the season’s proposal asked"
    } else {
        "from the waiting list"
    };
    let turn = made(act, &mut tx, &entry, (&clock, span), why).await?;
    // Taking a turn within two days of it also says that the cane will come.
    let made = turn::find(turn).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    if when(&made, &zone, act.at).to_confirm() {
        turn::confirm(&mut tx, turn, act.actor.id, act.at).await?;
    }
    tell_booked(act, &mut tx, &made, (&clock, span)).await?;
    entry.turn_id = Some(turn);
    take_step(&mut tx, &mut entry, Step::Placed, "").await?;
    act.finish(tx, "accept_offer", turn).await
}

/// Makes the turn that a place on the list comes to.
pub(super) async fn made(
    act: &Act,
    tx: &mut WriteTx,
    entry: &Entry,
    (clock, span): (&DayClock, Span),
    why: &str,
) -> Done<TurnId> {
    let day = press_days::find(entry.press_day_id)
        .ask(tx)
        .await?
        .ok_or(Stop::Missing)?;
    let whose = (entry.member_id, entry.member.clone());
    let turn = turn_new::new_turn(act, &day, whose, entry.estimate(), (clock, span));
    turn_new::add(act, &turn, (clock, span), why)
        .ask(tx)
        .await?;
    Ok(turn.id)
}

/// Declines what is offered; who does is asked again when other room comes free. A turn of the season's proposal that is declined is
/// one for another day: see [`another_day`].
pub async fn decline(act: &Act, id: OfferId) -> Done<WaitingId> {
    let habit = latest_habit(&act.reader).await?;
    let mut tx = begin!(act, "decline_offer");
    let offer = own_offer(act, &mut tx, id).await?;
    let entry = declined(act, &mut tx, &offer, habit).await?;
    if offer.proposed {
        not_that_day(act, &mut tx, &offer).await?;
    }
    act.finish(tx, "decline_offer", entry).await
}

async fn declined(
    act: &Act,
    tx: &mut WriteTx,
    offer: &Offer,
    habit: LatestHabit,
) -> Done<WaitingId> {
    let before = room_before(tx, habit, (offer.press_day_id, act.at)).await?;
    let by = Some(act.actor.id);
    answer(tx, offer, Answer::Declined, "", by, act.at).await?;
    let entry = not_taken(tx, offer, Step::Declines).await?;
    offer_room(act, tx, offer.press_day_id, before).await?;
    Ok(entry.id)
}

/// Declines a turn of the season's proposal for another day: its cane is proposed again, never for that day.
pub async fn another_day(act: &Act, id: OfferId) -> Done<MemberId> {
    let habit = latest_habit(&act.reader).await?;
    let mut tx = begin!(act, "another_day");
    let offer = own_offer(act, &mut tx, id).await?;
    proposed(act, &mut tx, &offer, habit).await?;
    not_that_day(act, &mut tx, &offer).await?;
    act.finish(tx, "another_day", offer.member_id).await
}

/// Notes that the member of a turn of the season's proposal cannot bring cane on its day.
async fn not_that_day(act: &Act, tx: &mut WriteTx, offer: &Offer) -> Done<()> {
    let day = press_days::find(offer.press_day_id)
        .ask(tx)
        .await?
        .ok_or(Stop::Missing)?;
    let said = possible_days::answers_of(offer.member_id, day.season_id)
        .ask(tx)
        .await?;
    let said = said.into_iter().find(|a| a.date == day.date);
    let answer = DayAnswer {
        member_id: offer.member_id,
        date: day.date,
        brings: false,
        helps: said.as_ref().is_some_and(|a| a.helps),
        from: said.as_ref().and_then(|a| a.from),
        to: said.as_ref().and_then(|a| a.to),
    };
    Ok(possible_days::answer(tx, day.season_id, &answer, act.actor.id, act.at).await?)
}

/// Declines a turn of the season's proposal for this year: what of the plantings that it was for has no turn is taken off the record.
pub async fn not_this_year(act: &Act, id: OfferId) -> Done<MemberId> {
    let habit = latest_habit(&act.reader).await?;
    let mut tx = begin!(act, "not_this_year");
    let offer = own_offer(act, &mut tx, id).await?;
    proposed(act, &mut tx, &offer, habit).await?;
    let day = press_days::find(offer.press_day_id)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    let year = day.date.date().year();
    let season = SeasonRules::of_year(&mut tx, i64::from(year), day.date).await?;
    let fields = fields(&mut tx, &season.ok_or(Stop::Missing)?).await?;
    for planting in offers::plantings(&mut tx, offer.id).await? {
        // A planting that was taken off the record already is not among these.
        let Some(field) = fields.iter().find(|f| f.planting.id == planting) else {
            continue;
        };
        let before = field.planting.clone();
        // The part of it that has its turn, or is asked about, stays.
        let stays = field.with_a_day().as_f64() / field.whole.as_f64().max(1.0);
        let row = Metres::new(before.row.get() * stays.min(1.0)).unwrap_or(before.row);
        let void = field.with_a_day() == Grams::ZERO;
        let after = Planting {
            version: before.version + 1,
            void,
            row: if void { before.row } else { row },
            ..before
        };
        plantings::insert_version(&mut tx, &after, act.actor.id, act.at).await?;
    }
    act.finish(tx, "not_this_year", offer.member_id).await
}

/// Declines an offer of the season's proposal, and no other.
async fn proposed(act: &Act, tx: &mut WriteTx, offer: &Offer, habit: LatestHabit) -> Done<()> {
    if !offer.proposed {
        return Err(Stop::Missing);
    }
    declined(act, tx, offer, habit).await?;
    Ok(())
}
