//! Offering a press day's room to its waiting list: what ran out is noted, room that is there is offered.
//! That is done in the transaction in which room comes free, so that nobody who comes later can take it
//! first.

use super::asker::zone;
use super::turn_place::{latest_habit, not_planned_any_more};
use crate::actions::people::notices::{self, NoticeSubject, Tell};
use crate::actions::{Act, Done, Ids, Stop};
use crate::calc::RuleRefusal;
use crate::calc::people::notices::Kind;
use crate::calc::turns::starts::Span;
use crate::calc::turns::waiting::{Answer, State, Step, allot};
use crate::facts::turns::room::DayRoom;
use crate::facts::turns::turn_habit::LatestHabit;
use crate::facts::turns::waiting::waiters;
use crate::store::people::coop::Coop;
use crate::store::people::{coop, members};
use crate::store::turns::offers::{self, Offer};
use crate::store::turns::press_days;
use crate::store::turns::waiting::{self, Entry};
use crate::store::{Reader, WriteTx, Writer};
use crate::units::{DayClock, MemberId, OfferId, PressDayId, UtcSecond, WaitingId};

/// What is known of a day's room before something changes it.
#[derive(Debug)]
pub(super) struct RoomBefore {
    /// What the season's turns have taught.
    habit: LatestHabit,
    /// The room; kept only if somebody on its list declined, who is asked for nothing but room that comes free.
    room: Option<DayRoom>,
}

impl RoomBefore {
    /// The room before is not known: nobody who declined is asked again.
    pub(super) fn unknown(habit: LatestHabit) -> Self {
        Self { habit, room: None }
    }
}

/// Looks at a day's room before something changes it.
pub(super) async fn room_before(
    tx: &mut WriteTx,
    habit: LatestHabit,
    (day, at): (PressDayId, UtcSecond),
) -> Done<RoomBefore> {
    let list = waiting::of_day(day).ask(tx).await?;
    if list.iter().all(|entry| entry.state != State::Declined) {
        return Ok(RoomBefore::unknown(habit));
    }
    let day = press_days::find(day).ask(tx).await?.ok_or(Stop::Missing)?;
    let zone = zone(tx).await?;
    let room = DayRoom::by_habit(tx, (&day, &habit), (&zone, at), &[]).await?;
    Ok(RoomBefore {
        habit,
        room: Some(room),
    })
}

/// Notes which offers of a day ran out, and offers its room to those who wait for it. To be called
/// in the transaction that frees room or lets somebody in, with what [`room_before`] saw before it.
pub(super) async fn offer_room(
    act: &Act,
    tx: &mut WriteTx,
    day: PressDayId,
    before: RoomBefore,
) -> Done<()> {
    offer_room_at(&act.ids, act.at, tx, day, before).await
}

/// Offers the room of a day as it stands: before a turn is placed on it, so that room that came free by an offer
/// running out goes to who waits.
pub(super) async fn offer_room_first(
    act: &Act,
    tx: &mut WriteTx,
    habit: LatestHabit,
    day: PressDayId,
) -> Done<()> {
    let before = room_before(tx, habit, (day, act.at)).await?;
    offer_room(act, tx, day, before).await
}

async fn offer_room_at(
    ids: &Ids,
    at: UtcSecond,
    tx: &mut WriteTx,
    day: PressDayId,
    before: RoomBefore,
) -> Done<()> {
    note_run_out(tx, day, at).await?;
    let mut list = waiting::of_day(day).ask(tx).await?;
    let may_be_offered = |entry: &Entry| matches!(entry.state, State::Waiting | State::Declined);
    if !list.iter().any(may_be_offered) {
        return Ok(());
    }
    let day = press_days::find(day).ask(tx).await?.ok_or(Stop::Missing)?;
    if day.closed_at.is_some() {
        return Ok(());
    }
    let zone = zone(tx).await?;
    let room = DayRoom::by_habit(tx, (&day, &before.habit), (&zone, at), &[]).await?;
    let rooms = room.rooms();
    let clock = rooms.day.clock;
    let waiters = waiters(tx, &list, day.id, &clock).await?;
    let ends_at = at.plus(room.rules.offer.get() * 60);
    let before = before.room.as_ref().map(DayRoom::rooms);
    for allotted in allot(rooms, before, &waiters, ends_at) {
        let entry = &mut list[allotted.index];
        if entry.state == State::Declined {
            entry.rank = waiting::end_rank(day.id).ask(tx).await?;
            take_step(tx, entry, Step::Offered, "").await?;
        }
        let id = OfferId::new(ids.next(at));
        let span = allotted.span;
        make(tx, (id, entry), (&clock, span), (at, ends_at)).await?;
        let what = offer_notice(tx, entry, id, &span.show(&clock), ends_at).await?;
        notices::tell_at(ids, at, tx, what).await?;
    }
    Ok(())
}

/// Makes an offer to one who waits; it holds its minutes until it is answered or runs out.
pub(super) async fn make(
    tx: &mut WriteTx,
    (id, entry): (OfferId, &Entry),
    (clock, span): (&DayClock, Span),
    times: (UtcSecond, UtcSecond),
) -> Done<()> {
    let place = (clock.time(span.start), span.minutes);
    offers::insert(tx, id, entry.id, place, times).await?;
    not_planned_any_more(entry.press_day_id, clock, span)
        .ask(tx)
        .await?;
    for five in span.fives() {
        offers::take_five(tx, entry.press_day_id, clock.time(five), id).await?;
    }
    Ok(())
}

/// The end of a sentence that asks somebody: whom to call; empty where the co-op gave no number.
pub(super) fn or_call(coop: &Coop) -> String {
    if coop.contact_phone.is_empty() {
        String::new()
    } else {
        format!(" or call the mill: {}", coop.contact_phone)
    }
}

/// Writes the notice that tells a member of an offer.
async fn offer_notice(
    tx: &mut WriteTx,
    entry: &Entry,
    id: OfferId,
    span: &str,
    ends_at: UtcSecond,
) -> Done<Tell> {
    let coop = coop::find().ask(tx).await?.ok_or(Stop::Missing)?;
    let member = members::find(entry.member_id).ask(tx).await?;
    let cane = entry.cane.show(member.ok_or(Stop::Missing)?.units);
    let date = entry.date.show();
    let call = or_call(&coop);
    Ok(Tell {
        member: entry.member_id,
        kind: Kind::Offer,
        mark: format!("offer:{id}"),
        subject: format!("A turn is free for you on {date}"),
        words: format!(
            "A turn is free for you: {date}, {span}, {cane} of cane. It is kept for you until {}. Please answer on \
             your home page{call}.",
            coop.zone.show(ends_at)
        ),
        about: NoticeSubject::Offer(id),
    })
}

/// Notes which offers of a day ran out, and frees their minutes.
pub(super) async fn note_run_out(tx: &mut WriteTx, day: PressDayId, at: UtcSecond) -> Done<()> {
    for offer in offers::standing_of_day(day).ask(tx).await? {
        if offer.ends_at <= at {
            answer(tx, &offer, Answer::Lapsed, "", None, at).await?;
            not_taken(tx, &offer, Step::Lapses).await?;
        }
    }
    Ok(())
}

/// Takes the place of an offer that nobody took a step further. A turn of the season's proposal is no place to wait: its cane waits for
/// the next proposal, which knows what of it has another turn by then.
pub(super) async fn not_taken(tx: &mut WriteTx, offer: &Offer, step: Step) -> Done<Entry> {
    let mut entry = entry(tx, offer.waiting_id).await?;
    let step = if offer.proposed { Step::Leaves } else { step };
    take_step(tx, &mut entry, step, "").await?;
    Ok(entry)
}

/// Looks after every day on which an offer ran out or somebody waits who is not asked yet: what to do once
/// a minute, for nobody in particular. A transaction for each day.
///
/// # Errors
/// The store failed; the days before are looked after.
pub async fn offer_due((reader, writer): (&Reader, &Writer), ids: &Ids, at: UtcSecond) -> Done<()> {
    let mut moment = reader.snapshot().await?;
    let Some(coop) = coop::find().ask(&mut moment).await? else {
        return Ok(());
    };
    let today = coop.zone.local(at).0;
    let mut days = offers::days_run_out(&mut moment, at).await?;
    days.extend(waiting::days_unasked(today).ask(&mut moment).await?);
    days.sort_unstable();
    days.dedup();
    drop(moment);
    for day in days {
        let habit = latest_habit(reader).await?;
        let mut tx = writer.begin().await?;
        tx.on_server(at);
        let before = room_before(&mut tx, habit, (day, at)).await?;
        offer_room_at(ids, at, &mut tx, day, before).await?;
        tx.commit().await?;
    }
    Ok(())
}

/// Writes what came of an offer and frees its minutes.
pub(super) async fn answer(
    tx: &mut WriteTx,
    offer: &Offer,
    answer: Answer,
    why: &str,
    by: Option<MemberId>,
    at: UtcSecond,
) -> Done<()> {
    offers::free_minutes(tx, offer.id).await?;
    Ok(offers::answer(tx, offer.id, answer, why, by, at).await?)
}

/// Takes a place on the list a step further.
///
/// # Errors
/// The place does not stand so that the step is possible.
pub(super) async fn take_step(
    tx: &mut WriteTx,
    entry: &mut Entry,
    step: Step,
    why: &str,
) -> Done<()> {
    entry.state = state_after(entry, step)?;
    why.clone_into(&mut entry.why);
    waiting::update(tx, entry).await?;
    entry.version += 1;
    Ok(())
}

/// How a place stands after a step.
///
/// # Errors
/// That step is not possible; how the place stands is said.
pub(super) fn state_after(entry: &Entry, step: Step) -> Result<State, RuleRefusal> {
    let date = entry.date.show();
    let name = &entry.member;
    if let Some(state) = entry.state.after(step) {
        return Ok(state);
    }
    let (code, sentence) = match entry.state {
        State::Waiting => (
            "waits",
            format!("{name} waits for {date} already and will be asked in order."),
        ),
        State::Declined => (
            "declined",
            format!("{name} is asked again when other room comes free on {date}."),
        ),
        State::Missed => (
            "missed",
            format!("The last offer to {name} for {date} ran out."),
        ),
        State::Placed => (
            "placed",
            format!("{name} does not wait for {date} any more: there is a turn."),
        ),
        State::Left => (
            "left-list",
            format!("{name} is not on the list of {date} any more."),
        ),
    };
    Err(RuleRefusal::new(code, sentence))
}

/// A place on the list with what ran out on its day noted, and the day's room before that.
pub(super) async fn entry_up_to_date(
    act: &Act,
    tx: &mut WriteTx,
    habit: LatestHabit,
    id: WaitingId,
) -> Done<(Entry, RoomBefore)> {
    let day = entry(tx, id).await?.press_day_id;
    let before = room_before(tx, habit, (day, act.at)).await?;
    note_run_out(tx, day, act.at).await?;
    Ok((entry(tx, id).await?, before))
}

pub(super) async fn entry(tx: &mut WriteTx, id: WaitingId) -> Done<Entry> {
    waiting::find(id).ask(tx).await?.ok_or(Stop::Missing)
}
