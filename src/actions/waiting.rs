//! Waiting for room on a press day: joining and leaving the list, answering an offer, and settling:
//! what ran out is noted, room that is there is offered. Room is settled in the transaction in which
//! it comes free, so that nobody who comes later can take it first.

use super::bookings::{self as turns, own, own_units, why_text, zone};
use super::notices::{self, About, Tell};
use super::rooms::DayRoom;
use super::{Act, Done, Ids, Stop, begin};
use crate::calc::Unmet;
use crate::calc::day_room::Wanted;
use crate::calc::notices::Kind;
use crate::calc::turn_cane::Told;
use crate::calc::turns::{Asker, Span};
use crate::calc::waiting::{Answer, State, Step, Waiter, allot};
use crate::store::offers::{self, Offer};
use crate::store::press_days::PressDay;
use crate::store::waiting::{self, Entry, NewWaiting};
use crate::store::{WriteTx, Writer, coop, members, press_days, seasons};
use crate::units::{
    BookingId, DayClock, Grams, MemberId, OfferId, PressDayId, UtcSecond, WaitingId, Zone,
};

/// Somebody who wants to wait for a press day.
#[derive(Debug, Clone, Copy)]
pub struct Joins {
    /// Whose cane.
    pub member: MemberId,
    /// How much cane, as the member puts it.
    pub told: Told,
    /// The weight instead of what the season's figures make of it.
    pub corrected: Option<Grams>,
    /// Yes, the correction is meant, far off as it is.
    pub sure: bool,
}

/// A day's room before something changes it; kept only if somebody on its list declined, who is
/// asked for nothing but room that comes free.
#[derive(Debug, Default)]
pub(crate) struct Before(Option<DayRoom>);

/// Looks at a day's room before something changes it.
pub(crate) async fn look(tx: &mut WriteTx, day: PressDayId) -> Done<Before> {
    let list = waiting::of_day(tx, day).await?;
    if list.iter().all(|entry| entry.state != State::Declined) {
        return Ok(Before(None));
    }
    let day = press_days::find(tx, day).await?.ok_or(Stop::Missing)?;
    Ok(Before(Some(room_of(tx, &day).await?)))
}

async fn room_of(tx: &mut WriteTx, day: &PressDay) -> Done<DayRoom> {
    let rules = seasons::rules_in_force(tx, day.season_id).await?;
    let zone = zone(tx).await?;
    DayRoom::load(tx, day, &rules, &zone, &[]).await
}

/// Notes which offers of a day ran out, and offers its room to those who wait for it. To be called
/// in the transaction that frees room or lets somebody in, with what [`look`] saw before it.
pub(crate) async fn settle(
    act: &Act,
    tx: &mut WriteTx,
    day: PressDayId,
    before: Before,
) -> Done<()> {
    settle_at(&act.ids, act.at, tx, day, before).await
}

/// Settles a day as it stands: before a turn is placed on it, so that room that came free by an offer
/// running out goes to who waits.
pub(crate) async fn settle_first(act: &Act, tx: &mut WriteTx, day: PressDayId) -> Done<()> {
    let before = look(tx, day).await?;
    settle(act, tx, day, before).await
}

async fn settle_at(
    ids: &Ids,
    at: UtcSecond,
    tx: &mut WriteTx,
    day: PressDayId,
    before: Before,
) -> Done<()> {
    lapse(tx, day, at).await?;
    let mut list = waiting::of_day(tx, day).await?;
    let asked = |entry: &Entry| matches!(entry.state, State::Waiting | State::Declined);
    if !list.iter().any(asked) {
        return Ok(());
    }
    let day = press_days::find(tx, day).await?.ok_or(Stop::Missing)?;
    if day.closed_at.is_some() {
        return Ok(());
    }
    let rules = seasons::rules_in_force(tx, day.season_id).await?;
    let room = room_of(tx, &day).await?;
    let rooms = room.rooms();
    let clock = rooms.day.clock;
    let waiters = waiters(tx, &list, day.id, &clock).await?;
    let ends_at = at.plus(rules.offer.get() * 60);
    let before = before.0.as_ref().map(DayRoom::rooms);
    for allotted in allot(rooms, before, &waiters, ends_at) {
        let entry = &mut list[allotted.index];
        if entry.state == State::Declined {
            entry.rank = waiting::end_rank(tx, day.id).await?;
            step(tx, entry, Step::Offered, "").await?;
        }
        let id = OfferId::new(ids.next(at));
        let span = allotted.span;
        let place = (clock.time(span.start), span.minutes);
        offers::insert(tx, id, entry.id, place, (at, ends_at)).await?;
        for five in span.fives() {
            offers::take_five(tx, day.id, clock.time(five), id).await?;
        }
        let what = told(tx, entry, id, &span.show(&clock), ends_at).await?;
        notices::tell_at(ids, at, tx, what).await?;
    }
    Ok(())
}

/// What is said of an offer.
async fn told(
    tx: &mut WriteTx,
    entry: &Entry,
    id: OfferId,
    span: &str,
    ends_at: UtcSecond,
) -> Done<Tell> {
    let coop = coop::find(tx).await?.ok_or(Stop::Missing)?;
    let member = members::find(tx, entry.member_id).await?;
    let cane = entry.cane.show(member.ok_or(Stop::Missing)?.units);
    let date = entry.date.show();
    let call = if coop.contact_phone.is_empty() {
        String::new()
    } else {
        format!(" or call the mill: {}", coop.contact_phone)
    };
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
        about: About::Offer(id),
    })
}

/// The list as starts are allotted.
async fn waiters(
    tx: &mut WriteTx,
    list: &[Entry],
    day: PressDayId,
    clock: &DayClock,
) -> Done<Vec<Waiter>> {
    let made = offers::of_day(tx, day).await?;
    let of = |entry: &Entry| {
        let own = || made.iter().filter(|offer| offer.waiting_id == entry.id);
        Waiter {
            state: entry.state,
            cane: entry.cane,
            free: !entry.gone && own().all(|offer| offer.answer.is_some()),
            barred: own()
                .filter(|o| matches!(o.answer, Some(Answer::Declined | Answer::Withdrawn)))
                .map(|offer| Span::kept(clock, offer.start, offer.minutes))
                .collect(),
        }
    };
    Ok(list.iter().map(of).collect())
}

/// Notes which offers of a day ran out, and frees their minutes.
pub(super) async fn lapse(tx: &mut WriteTx, day: PressDayId, at: UtcSecond) -> Done<()> {
    for offer in offers::standing_of_day(tx, day).await? {
        if offer.ends_at <= at {
            close(tx, &offer, Answer::Lapsed, "", None, at).await?;
            let mut entry = entry(tx, offer.waiting_id).await?;
            step(tx, &mut entry, Step::Lapses, "").await?;
        }
    }
    Ok(())
}

/// Settles every day on which an offer ran out or somebody waits who is not asked yet: what to do once
/// a minute, for nobody in particular. A transaction for each day.
///
/// # Errors
/// The store failed; the days before are settled.
pub async fn lapse_due(writer: &Writer, ids: &Ids, at: UtcSecond) -> Done<()> {
    let mut tx = writer.begin().await?;
    let Some(coop) = coop::find(&mut tx).await? else {
        return Ok(());
    };
    let today = coop.zone.local(at).0;
    let mut days = offers::days_run_out(&mut tx, at).await?;
    days.extend(waiting::days_unasked(&mut tx, today).await?);
    days.sort_unstable();
    days.dedup();
    drop(tx);
    for day in days {
        let mut tx = writer.begin().await?;
        let before = look(&mut tx, day).await?;
        settle_at(ids, at, &mut tx, day, before).await?;
        tx.commit().await?;
    }
    Ok(())
}

/// Writes what came of an offer and frees its minutes.
pub(super) async fn close(
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
pub(super) async fn step(tx: &mut WriteTx, entry: &mut Entry, step: Step, why: &str) -> Done<()> {
    entry.state = may(entry, step)?;
    why.clone_into(&mut entry.why);
    waiting::update(tx, entry).await?;
    entry.version += 1;
    Ok(())
}

/// How a place stands after a step.
///
/// # Errors
/// That step is not possible; how the place stands is said.
pub(super) fn may(entry: &Entry, step: Step) -> Result<State, Unmet> {
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
    Err(Unmet::new(code, sentence))
}

/// A place on the list with what ran out on its day noted, and the day's room before that.
pub(super) async fn take_up(act: &Act, tx: &mut WriteTx, id: WaitingId) -> Done<(Entry, Before)> {
    let day = entry(tx, id).await?.press_day_id;
    let before = look(tx, day).await?;
    lapse(tx, day, act.at).await?;
    Ok((entry(tx, id).await?, before))
}

pub(super) async fn entry(tx: &mut WriteTx, id: WaitingId) -> Done<Entry> {
    waiting::find(tx, id).await?.ok_or(Stop::Missing)
}

/// Puts a member on a day's list, at its end: a member oneself, crew anybody.
pub async fn join(act: &Act, day: PressDayId, new: Joins) -> Done<WaitingId> {
    own(act, new.member)?;
    let mut tx = begin!(act, "join_waiting");
    let day = press_days::find(&mut tx, day).await?.ok_or(Stop::Missing)?;
    settle_first(act, &mut tx, day.id).await?;
    let told = (new.told, new.corrected, new.sure);
    let (member, estimate) = turns::expected(act, &mut tx, &day, new.member, told).await?;
    may_join(act, &mut tx, &day, estimate.cane).await?;
    let list = waiting::of_day(&mut tx, day.id).await?;
    if let Some((place, entry)) = list
        .iter()
        .filter(|entry| entry.state.on_list())
        .enumerate()
        .find(|(_, entry)| entry.member_id == member.id && entry.from_booking_id.is_none())
    {
        return Err(Unmet::new(
            "on-list",
            format!(
                "{} is on the list of {} already, since {}, as number {}.",
                member.name,
                day.date.show(),
                zone(&mut tx).await?.show(entry.made_at),
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
        from_booking_id: None,
        by: act.actor.id,
        at: act.at,
    };
    waiting::insert(&mut tx, &place).await?;
    settle(act, &mut tx, day.id, Before::default()).await?;
    act.finish(tx, "join_waiting", id).await
}

/// Whether one may wait: the day is open and not over, the cane fits into it, and no start is free.
async fn may_join(act: &Act, tx: &mut WriteTx, day: &PressDay, cane: Grams) -> Done<()> {
    let room = room_of(tx, day).await?;
    let rooms = room.rooms();
    let date = day.date.show();
    let stop = |code, sentence: String| Err(Unmet::new(code, sentence).into());
    if rooms.day.closed {
        return stop(
            "day-closed",
            format!("{date} is closed and takes no more turns. Please choose another press day."),
        );
    }
    if rooms.day.clock.instant(rooms.day.ends()) <= act.at {
        return stop(
            "day-over",
            format!("{date} is over. Please choose another press day."),
        );
    }
    let minutes = rooms.day.minutes_for(cane, own_units(act, tx).await?)?;
    let asker = Asker {
        at: act.at,
        crew: false,
    };
    match rooms.free(Wanted { minutes, cane }, asker).starts.first() {
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
    let mut tx = begin!(act, "leave_waiting");
    let (mut entry, before) = take_up(act, &mut tx, id).await?;
    own(act, entry.member_id)?;
    if let Some(offer) = standing_of(&mut tx, &entry).await? {
        let by = Some(act.actor.id);
        close(&mut tx, &offer, Answer::Declined, "", by, act.at).await?;
    }
    step(&mut tx, &mut entry, Step::Leaves, "").await?;
    settle(act, &mut tx, entry.press_day_id, before).await?;
    act.finish(tx, "leave_waiting", id).await
}

/// The offer that stands for a place on the list.
pub(super) async fn standing_of(tx: &mut WriteTx, entry: &Entry) -> Done<Option<Offer>> {
    let standing = offers::standing_of_day(tx, entry.press_day_id).await?;
    Ok(standing.into_iter().find(|o| o.waiting_id == entry.id))
}

/// "I still wait": after an offer ran out, at the end of the list.
pub async fn still_wait(act: &Act, id: WaitingId) -> Done<WaitingId> {
    let mut tx = begin!(act, "still_wait");
    let (mut entry, before) = take_up(act, &mut tx, id).await?;
    own(act, entry.member_id)?;
    entry.rank = waiting::end_rank(&mut tx, entry.press_day_id).await?;
    step(&mut tx, &mut entry, Step::StillWaits, "").await?;
    settle(act, &mut tx, entry.press_day_id, before).await?;
    act.finish(tx, "still_wait", id).await
}

/// The act's own offer, or any for crew, while it stands.
async fn own_offer(act: &Act, tx: &mut WriteTx, id: OfferId) -> Done<Offer> {
    let offer = offers::find(tx, id).await?.ok_or(Stop::Missing)?;
    own(act, offer.member_id)?;
    stands(&offer, &zone(tx).await?, act.at)?;
    Ok(offer)
}

/// Whether an offer can still be answered.
///
/// # Errors
/// It was answered or its time is over: how and when is said.
pub fn stands(offer: &Offer, zone: &Zone, at: UtcSecond) -> Result<(), Unmet> {
    let by = offer
        .answered_by
        .as_ref()
        .map_or_else(String::new, |name| format!(" by {name}"));
    let when = offer
        .answered_at
        .map_or_else(String::new, |at| format!(" on {}", zone.show(at)));
    match offer.answer {
        None if offer.ends_at > at => Ok(()),
        None | Some(Answer::Lapsed) => Err(Unmet::new(
            "offer-ran-out",
            format!(
                "This offer ran out at {}. Say that you still wait, and you will be asked again.",
                zone.show(offer.ends_at)
            ),
        )),
        Some(Answer::Taken) => Err(Unmet::new(
            "offer-taken",
            format!("This offer was taken{by}{when}: the turn is booked."),
        )),
        Some(Answer::Declined) => Err(Unmet::new(
            "offer-declined",
            format!("This offer was declined{by}{when}."),
        )),
        Some(Answer::Withdrawn) => Err(Unmet::new(
            "offer-withdrawn",
            format!("This offer was withdrawn{by}{when} because: {}.", offer.why),
        )),
    }
}

/// Takes what is offered: it becomes a turn.
pub async fn accept(act: &Act, id: OfferId) -> Done<BookingId> {
    let mut tx = begin!(act, "accept_offer");
    let offer = own_offer(act, &mut tx, id).await?;
    let day = press_days::find(&mut tx, offer.press_day_id)
        .await?
        .ok_or(Stop::Missing)?;
    if day.closed_at.is_some() {
        return Err(Unmet::new(
            "day-closed",
            format!("{} is closed and takes no more turns.", day.date.show()),
        )
        .into());
    }
    let by = Some(act.actor.id);
    close(&mut tx, &offer, Answer::Taken, "", by, act.at).await?;
    let zone = zone(&mut tx).await?;
    let clock = zone.clock(day.date);
    let span = Span::kept(&clock, offer.start, offer.minutes);
    let mut entry = entry(&mut tx, offer.waiting_id).await?;
    let turn = made(
        act,
        &mut tx,
        &entry,
        (&clock, span),
        "from the waiting list",
    )
    .await?;
    entry.booking_id = Some(turn);
    step(&mut tx, &mut entry, Step::Placed, "").await?;
    act.finish(tx, "accept_offer", turn).await
}

/// Makes the turn that a place on the list comes to.
pub(super) async fn made(
    act: &Act,
    tx: &mut WriteTx,
    entry: &Entry,
    (clock, span): (&DayClock, Span),
    why: &str,
) -> Done<BookingId> {
    let day = press_days::find(tx, entry.press_day_id)
        .await?
        .ok_or(Stop::Missing)?;
    let whose = (entry.member_id, entry.member.clone());
    let turn = turns::new_turn(act, &day, whose, entry.estimate(), (clock, span));
    turns::add(act, tx, &turn, (clock, span), why).await?;
    // Who takes a turn two days before it has said that the cane will come.
    if turns::when(&turn, &zone(tx).await?, act.at).to_confirm() {
        crate::store::bookings::mark(tx, turn.id, Some(act.at), None).await?;
    }
    Ok(turn.id)
}

/// Declines what is offered; who does is asked again when other room comes free.
pub async fn decline(act: &Act, id: OfferId) -> Done<WaitingId> {
    let mut tx = begin!(act, "decline_offer");
    let offer = own_offer(act, &mut tx, id).await?;
    let before = look(&mut tx, offer.press_day_id).await?;
    let by = Some(act.actor.id);
    close(&mut tx, &offer, Answer::Declined, "", by, act.at).await?;
    let mut entry = entry(&mut tx, offer.waiting_id).await?;
    step(&mut tx, &mut entry, Step::Declines, "").await?;
    settle(act, &mut tx, offer.press_day_id, before).await?;
    act.finish(tx, "decline_offer", entry.id).await
}

/// Why a steward goes past the order, as kept.
pub(super) fn reason(text: &str) -> Done<String> {
    why_text(text, 1)
}
