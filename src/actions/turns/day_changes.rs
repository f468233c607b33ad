//! Moving a day's turns together: later, to another day, or behind cane that frost has killed. One
//! transaction; nobody is dropped: who finds no room heads the next day's waiting list. Everybody
//! concerned is told.

use super::asker::zone;
use super::offering::{self, take_step};
use super::turn_place::{latest_habit, note, take};
use super::turn_told::{Before, place_words};
use super::{press_days as days, waiting_overrides};
use crate::actions::people::notices::{self, NoticeSubject, Tell};
use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::people::notices::Kind as NoticeKind;
use crate::calc::turns::queue::{Stand, as_one};
use crate::calc::turns::starts::Span;
use crate::calc::turns::waiting::Step;
use crate::facts::turns::day_changes::{DayAt, Planned, TurnOutcome, Wish, plan};
use crate::facts::turns::running_line::stood;
use crate::facts::turns::turn_habit::LatestHabit;
use crate::store::WriteTx;
use crate::store::people::coop;
use crate::store::people::coop::Coop;
use crate::store::turns::day_changes::{self, NewMoved, WentTo};
use crate::store::turns::press_days::{self, PressDay};
use crate::store::turns::standstills::{self, Standstill};
use crate::store::turns::turn::{self, Turn};
use crate::store::turns::turn_events::{TurnEvent, What};
use crate::store::turns::waiting::{self, Entry, NewWaiting};
use crate::units::{
    ClockTime, DayChangeId, DayClock, PressDate, PressDayId, UtcSecond, WaitingId, plain_text,
};

/// A change that moves turns of a day together, as a steward wants it.
#[derive(Debug, Clone)]
pub struct NewChange {
    /// How they are to be moved.
    pub wish: Wish,
    /// Why they are moved: everybody concerned reads it.
    pub why: String,
    /// The outcome that was shown, as [`Planned::mark`] says it.
    pub seen: String,
}

/// Moves a day's turns together, as it was shown.
///
/// # Errors
/// As [`plan`]; no reason given; or the outcome is another by now.
pub async fn change(act: &Act, day: PressDayId, new: NewChange) -> Done<DayChangeId> {
    act.steward()?;
    let habit = latest_habit(&act.reader).await?;
    let mut tx = begin!(act, "change_day");
    let why =
        plain_text(&new.why, 1, 160).map_err(|refused| RuleRefusal::refused("why", &refused))?;
    let day = press_days::find(day)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    let zone = zone(&mut tx).await?;
    let of = DayAt {
        day: &day,
        zone: &zone,
        at: act.at,
    };
    let planned = plan(&mut tx, &of, &new.wish, &habit).await??;
    if planned.mark() != new.seen {
        return Err(RuleRefusal::changed(
            "The day was changed while you had the page open. Below stands what would become of it now: please look again.",
        )
        .into());
    }
    let id = DayChangeId::new(act.id());
    let by = (act.actor.id, act.at);
    day_changes::insert(&mut tx, id, (day.id, new.wish.kind()), &why, by).await?;
    let before = rooms_before(&mut tx, (habit, act.at), (&planned, &day)).await?;
    if let Some(span) = planned.stands {
        stand_still(act, &mut tx, (id, &day), (&planned.clock, span)).await?;
    }
    let notice = MoveNotice {
        coop: coop::find().ask(&mut tx).await?.ok_or(Stop::Missing)?,
        change: id,
        why: reason(&new.wish, &day, &why),
        said: why,
    };
    move_lines(act, &mut tx, &planned, &notice).await?;
    if planned.close {
        follow(act, &mut tx, &day, &planned.target).await?;
        days::close(act, &mut tx, &day).await?;
    }
    for (day, room) in before {
        offering::offer_room(act, &mut tx, day, room).await?;
    }
    act.finish(tx, "change_day", id).await
}

/// Notes that the mill stands, and takes back what was on offer in that time.
async fn stand_still(
    act: &Act,
    tx: &mut WriteTx,
    (change_id, day): (DayChangeId, &PressDay),
    (clock, span): (&DayClock, Span),
) -> Done<()> {
    let standstill = Standstill {
        change_id,
        press_day_id: day.id,
        start: clock.time(span.start),
        minutes: span.minutes,
        ended_at: None,
    };
    standstills::insert(tx, &standstill).await?;
    waiting_overrides::withdraw_within(act, tx, day, span).await
}

/// Puts every turn where it goes, and notes in the change from where to where.
async fn move_lines(
    act: &Act,
    tx: &mut WriteTx,
    planned: &Planned,
    notice: &MoveNotice,
) -> Done<()> {
    // All minutes are freed first: turns of one queue take over each other's.
    for line in &planned.lines {
        turn::free_minutes(tx, line.turn.id).await?;
    }
    let listed = list_places(act, tx, planned).await?;
    for (place, line) in (0..).zip(&planned.lines) {
        let waits = listed
            .iter()
            .find(|entry| entry.from_turn_id == Some(line.turn.id));
        put(act, tx, planned, line, notice).await?;
        let to = match (line.to, waits) {
            (Some(span), _) => (
                planned.target.id,
                WentTo::Start(planned.clock.time(span.start)),
            ),
            (None, Some(entry)) => (entry.press_day_id, WentTo::List(entry.id)),
            (None, None) => return Err(Stop::Missing),
        };
        let moved = NewMoved {
            place,
            turn_id: line.turn.id,
            from_day: line.turn.press_day_id,
            from: line.turn.start,
            to_day: to.0,
            to: to.1,
        };
        day_changes::insert_turn(tx, notice.change, &moved).await?;
    }
    Ok(())
}

/// Moves those who wait for a day that is closed to the other day's list, in their order and behind those who wait
/// there.
async fn follow(act: &Act, tx: &mut WriteTx, day: &PressDay, target: &PressDay) -> Done<()> {
    waiting_overrides::withdraw_all(act, tx, day.id).await?;
    let there = waiting::of_day(target.id).ask(tx).await?;
    for mut entry in waiting::of_day(day.id).ask(tx).await? {
        if !entry.state.on_list() {
            continue;
        }
        let twice = |other: &Entry| {
            other.state.on_list()
                && other.member_id == entry.member_id
                && other.from_turn_id.is_none()
        };
        if entry.from_turn_id.is_some() || !there.iter().any(twice) {
            let estimate = entry.estimate();
            let new = NewWaiting {
                id: WaitingId::new(act.id()),
                press_day_id: target.id,
                member_id: entry.member_id,
                cane: estimate.cane,
                told: estimate.told,
                row_kg_per_m: estimate.row_kg_per_m,
                from_turn_id: entry.from_turn_id,
                // A large planting may have two such places on one day.
                beside: entry.from_turn_id.is_none(),
                by: act.actor.id,
                at: act.at,
            };
            waiting::insert(tx, &new).await?;
        }
        let why = format!("waits for {} now", target.date.show());
        take_step(tx, &mut entry, Step::Leaves, &why).await?;
    }
    Ok(())
}

/// Notes that the mill runs again before its time: what is left of the standstill is free for turns, and so is what is left of those that
/// meet it or overlap it, since the mill stands or runs. Turns that were put off stay where they are by now.
pub async fn runs_again(act: &Act, id: DayChangeId) -> Done<DayChangeId> {
    act.steward()?;
    let habit = latest_habit(&act.reader).await?;
    let mut tx = begin!(act, "runs_again");
    let stands = standstills::find(id)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    if stands.ended_at.is_none() {
        let before = offering::room_before(&mut tx, habit, (stands.press_day_id, act.at)).await?;
        for one in standing_with(&mut tx, &stands, act.at).await? {
            standstills::end(&mut tx, one, act.actor.id, act.at).await?;
        }
        offering::offer_room(act, &mut tx, stands.press_day_id, before).await?;
    }
    act.finish(tx, "runs_again", id).await
}

/// The changes whose standstills are one with this one, as far as they are not over.
async fn standing_with(
    tx: &mut WriteTx,
    stands: &Standstill,
    at: UtcSecond,
) -> Done<Vec<DayChangeId>> {
    let day = press_days::find(stands.press_day_id)
        .ask(tx)
        .await?
        .ok_or(Stop::Missing)?;
    let clock = zone(tx).await?.clock(day.date);
    let all = standstills::of_day(day.id).ask(tx).await?;
    let spans: Vec<Stand> = all.iter().map(|one| stood(one, &clock)).collect();
    let (from, to) = as_one(stood(stands, &clock), &spans);
    let now = clock.run(at).get();
    let within = |(_, span): &(&Standstill, &Stand)| {
        span.0 >= from && span.1 <= to && (span.1 > now || span.1 == to)
    };
    let ended = all.iter().zip(&spans).filter(within);
    Ok(ended.map(|(one, _)| one.change_id).collect())
}

/// The days whose room may become another, with their room before that.
async fn rooms_before(
    tx: &mut WriteTx,
    (habit, at): (LatestHabit, UtcSecond),
    (planned, day): (&Planned, &PressDay),
) -> Done<Vec<(PressDayId, offering::RoomBefore)>> {
    let mut days = vec![day.id, planned.target.id];
    days.extend(planned.next.as_ref().map(|next| next.id));
    days.extend(planned.lines.iter().map(|line| line.turn.press_day_id));
    days.sort_unstable();
    days.dedup();
    let mut before = Vec::new();
    for day in days {
        before.push((day, offering::room_before(tx, habit, (day, at)).await?));
    }
    Ok(before)
}

/// Places at the head of the next day's list for those who find no room, in their order.
async fn list_places(act: &Act, tx: &mut WriteTx, planned: &Planned) -> Done<Vec<NewWaiting>> {
    let Some(next) = &planned.next else {
        return Ok(Vec::new());
    };
    let mut places = Vec::new();
    for line in planned.lines.iter().filter(|line| line.to.is_none()) {
        let turn = turn::find(line.turn.id)
            .ask(tx)
            .await?
            .ok_or(Stop::Missing)?;
        places.push(NewWaiting {
            id: WaitingId::new(act.id()),
            press_day_id: next.id,
            member_id: turn.member_id,
            cane: turn.cane,
            told: turn.told,
            row_kg_per_m: turn.row_kg_per_m,
            from_turn_id: Some(turn.id),
            beside: false,
            by: act.actor.id,
            at: act.at,
        });
    }
    waiting::insert_head(tx, &places).await?;
    Ok(places)
}

/// Puts one turn where it goes, notes it in the turn's history, and tells its member.
async fn put(
    act: &Act,
    tx: &mut WriteTx,
    planned: &Planned,
    line: &TurnOutcome,
    notice: &MoveNotice,
) -> Done<()> {
    let before = turn::find(line.turn.id)
        .ask(tx)
        .await?
        .ok_or(Stop::Missing)?;
    let (after, what) = if let Some(span) = line.to {
        let after = Turn {
            press_day_id: planned.target.id,
            start: planned.clock.time(span.start),
            minutes: span.minutes,
            // A turn moved within its day stays confirmed: the cane comes all the same.
            confirmed_at: before
                .confirmed_at
                .filter(|_| before.press_day_id == planned.target.id),
            ..before
        };
        turn::update(tx, &after).await?;
        take(&after, &planned.clock, span).ask(tx).await?;
        (after, What::Moved)
    } else {
        let after = Turn {
            held: false,
            ..before
        };
        turn::update(tx, &after).await?;
        (after, What::Cancelled)
    };
    let now = after.clone();
    note(act, tx, after, what, &notice.why).await?;
    let told = Before::read(tx, &now).await?;
    if told.is_known(&now) {
        return Ok(());
    }
    let place = |known: &TurnEvent| (known.date, known.start);
    let was = told
        .known
        .as_ref()
        .map_or((line.turn.date, line.turn.start), place);
    let words = notice.words(planned, line, was);
    let tell = Tell {
        member: line.turn.member_id,
        kind: NoticeKind::Moved,
        mark: told.mark,
        subject: match line.to {
            Some(span) if planned.target.date == line.turn.date => format!(
                "Your turn on {} was moved to {}",
                planned.target.date.show(),
                span.show(&planned.clock)
            ),
            Some(_) => format!("Your turn was moved to {}", planned.target.date.show()),
            None => format!(
                "Your turn on {} finds no room any more",
                line.turn.date.show()
            ),
        },
        words,
        about: NoticeSubject::Change(notice.change, line.turn.id),
    };
    notices::tell(act, tx, tell).await
}

/// What the notice to everybody concerned is written from.
struct MoveNotice {
    coop: Coop,
    change: DayChangeId,
    /// The reason, with how turns were moved.
    why: String,
    /// The reason as the steward wrote it.
    said: String,
}

impl MoveNotice {
    /// The words to a member who knew the turn on that day at that start.
    fn words(
        &self,
        planned: &Planned,
        line: &TurnOutcome,
        (date, start): (PressDate, ClockTime),
    ) -> String {
        let was = place_words(&self.coop.zone.clock(date), start);
        let went = match (line.to, &planned.next) {
            (Some(span), _) => format!(
                "Your turn on {was} is moved to {}, {}.",
                planned.target.date.show(),
                span.show(&planned.clock)
            ),
            (None, Some(next)) => format!(
                "Your turn on {was} finds no room any more. You stand at the head of the waiting list of {} and are \
                 offered a turn as soon as one is free.",
                next.date.show()
            ),
            (None, None) => format!("Your turn on {was} finds no room any more."),
        };
        let call = if self.coop.contact_phone.is_empty() {
            String::new()
        } else {
            format!(
                " If that does not suit you, please call {}.",
                self.coop.contact_phone
            )
        };
        format!("{went} Why: {}.{call}", self.said.trim_end_matches('.'))
    }
}

/// The reason that stands in each turn's history.
fn reason(wish: &Wish, day: &PressDay, why: &str) -> String {
    match wish {
        Wish::Later { minutes, .. } => format!("Put off by {}: {why}", minutes.show()),
        Wish::OtherDay { .. } => format!("Moved with all of {}: {why}", day.date.show()),
        Wish::Frost { .. } => format!("Killed cane first: {why}"),
    }
}
