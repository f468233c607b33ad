//! Bringing turns back to where they were before the mill stood, once it runs again before its time.

use super::asker::zone;
use super::offering::{self, RoomBefore};
use super::turn_place::{latest_habit, note, take};
use super::turn_told::{Before, place_words};
use super::waiting::offer_of;
use crate::actions::people::notices::{self, NoticeSubject, Tell};
use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::people::notices::Kind;
use crate::calc::turns::waiting::{Answer, Step};
use crate::facts::turns::brought_back::{GoesBack, WayBack};
use crate::facts::turns::turn_habit::LatestHabit;
use crate::store::WriteTx;
use crate::store::turns::turn::{self, Turn};
use crate::store::turns::turn_events::What;
use crate::store::turns::{day_changes, standstills, waiting};
use crate::units::{DayChangeId, PressDayId, Zone};

/// Why such a turn was moved, as its history says it.
const RUNS_AGAIN: &str = "The mill runs again earlier than was said";

/// Brings the turns that a standstill put off back to where they were, as far as nothing else has taken that place and its time
/// is not past. Their members are told.
pub async fn bring_back(act: &Act, id: DayChangeId) -> Done<DayChangeId> {
    act.steward()?;
    let habit = latest_habit(&act.reader).await?;
    let mut tx = begin!(act, "bring_back");
    let change = day_changes::find(id)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    let stands = standstills::find(id).ask(&mut tx).await?;
    let zone = zone(&mut tx).await?;
    let of = (&change, stands.as_ref());
    let way = WayBack::read(&mut tx, of, (&zone, act.at)).await?;
    let Some(way) = way.filter(|way| !way.turns.is_empty()) else {
        return Err(RuleRefusal::new(
            "none-goes-back",
            "No turn can go back any more: the places where they were are past, or somebody else has them by now.",
        )
        .into());
    };
    let before = offering::room_before(&mut tx, habit, (way.day.id, act.at)).await?;
    let lists = off_the_lists(act, &mut tx, habit, &way).await?;
    // All minutes are freed first: one goes where another is.
    for one in &way.turns {
        turn::free_minutes(&mut tx, one.turn.id).await?;
    }
    for one in &way.turns {
        put(act, &mut tx, (id, &way, &zone), one).await?;
    }
    offering::offer_room(act, &mut tx, way.day.id, before).await?;
    for (day, before) in lists {
        offering::offer_room(act, &mut tx, day, before).await?;
    }
    act.finish(tx, "bring_back", id).await
}

/// Takes those who wait elsewhere since they found no room off their lists, with what was offered to them; gives the room before that of
/// the days they waited for.
async fn off_the_lists(
    act: &Act,
    tx: &mut WriteTx,
    habit: LatestHabit,
    way: &WayBack,
) -> Done<Vec<(PressDayId, RoomBefore)>> {
    let mut lists: Vec<(PressDayId, RoomBefore)> = Vec::new();
    for one in way.turns.iter().filter(|one| one.waits_for.is_some()) {
        let mut entry = waiting::instead_of(one.turn.id)
            .ask(tx)
            .await?
            .ok_or(Stop::Missing)?;
        let day = entry.press_day_id;
        if lists.iter().all(|(other, _)| *other != day) {
            let before = offering::room_before(tx, habit, (day, act.at)).await?;
            lists.push((day, before));
        }
        if let Some(offer) = offer_of(tx, &entry).await? {
            let by = Some(act.actor.id);
            offering::answer(tx, &offer, Answer::Recalled, RUNS_AGAIN, by, act.at).await?;
        }
        offering::take_step(tx, &mut entry, Step::Leaves, RUNS_AGAIN).await?;
    }
    Ok(lists)
}

async fn put(
    act: &Act,
    tx: &mut WriteTx,
    (change, way, zone): (DayChangeId, &WayBack, &Zone),
    one: &GoesBack,
) -> Done<()> {
    let before = turn::find(one.turn.id)
        .ask(tx)
        .await?
        .ok_or(Stop::Missing)?;
    let from = place_words(&way.clock, before.start);
    let put_off_to = before.start;
    let after = Turn {
        start: way.clock.time(one.to.start),
        held: true,
        ..before
    };
    turn::update(tx, &after).await?;
    take(&after, &way.clock, one.to).ask(tx).await?;
    let now = after.clone();
    note(act, tx, after, What::Moved, RUNS_AGAIN).await?;
    let told = Before::read(tx, &now).await?;
    if told.is_known(&now) {
        return Ok(());
    }
    let (date, span) = (now.date.show(), one.to.show(&way.clock));
    let knows_of_it = told.known.as_ref().is_none_or(|known| {
        known.what == What::Cancelled
            || (known.press_day_id, known.start) == (now.press_day_id, put_off_to)
    });
    let (subject, words) = match (one.waits_for, told.known) {
        // The member knows it where it was before all this, and not that it was put off.
        (_, Some(known)) if !knows_of_it => {
            let from = place_words(&zone.clock(known.date), known.start);
            let subject = format!("Your turn was moved to {date}, {span}");
            let why = if told.why.is_empty() {
                RUNS_AGAIN
            } else {
                told.why.trim_end_matches('.')
            };
            (
                subject,
                format!("Your turn on {from} is moved to {date}, {span}. Why: {why}."),
            )
        }
        (None, _) => (
            format!("Your turn on {date} is back at {span}"),
            format!("Your turn on {from} is back where it was: {date}, {span}. {RUNS_AGAIN}."),
        ),
        (Some(other), _) => (
            format!("Your turn on {date} is back at {span}"),
            format!(
                "Your turn on {from} found no room, and has it again: {date}, {span}. {RUNS_AGAIN}; you do not wait for {} any more.",
                other.show()
            ),
        ),
    };
    let tell = Tell {
        member: now.member_id,
        kind: Kind::Moved,
        mark: told.mark,
        subject,
        words,
        about: NoticeSubject::Change(change, now.id),
    };
    notices::tell(act, tx, tell).await
}
