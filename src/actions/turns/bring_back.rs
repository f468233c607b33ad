//! Bringing turns back to where they were before the mill stood, once it runs again before its time.

use super::asker::zone;
use super::offering;
use super::turn_place::{latest_habit, note, take};
use super::turn_told::place_words;
use crate::actions::people::notices::{self, NoticeSubject, Tell};
use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::people::notices::Kind;
use crate::facts::turns::brought_back::{GoesBack, WayBack};
use crate::store::WriteTx;
use crate::store::turns::turn::{self, Turn};
use crate::store::turns::turn_events::What;
use crate::store::turns::{day_changes, standstills};
use crate::units::DayChangeId;

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
    // All minutes are freed first: one goes where another is.
    for one in &way.turns {
        turn::free_minutes(&mut tx, one.turn.id).await?;
    }
    for one in &way.turns {
        put(act, &mut tx, (id, &way), one).await?;
    }
    offering::offer_room(act, &mut tx, way.day.id, before).await?;
    act.finish(tx, "bring_back", id).await
}

async fn put(
    act: &Act,
    tx: &mut WriteTx,
    (change, way): (DayChangeId, &WayBack),
    one: &GoesBack,
) -> Done<()> {
    let before = turn::find(one.turn.id)
        .ask(tx)
        .await?
        .ok_or(Stop::Missing)?;
    let from = place_words(&way.clock, before.start);
    let after = Turn {
        start: way.clock.time(one.to.start),
        ..before
    };
    turn::update(tx, &after).await?;
    take(&after, &way.clock, one.to).ask(tx).await?;
    let (date, span) = (after.date.show(), one.to.show(&way.clock));
    let tell = Tell {
        member: after.member_id,
        kind: Kind::Moved,
        mark: format!("back:{change}:{}", after.id),
        subject: format!("Your turn on {date} is back at {span}"),
        words: format!("Your turn on {from} is back where it was: {date}, {span}. {RUNS_AGAIN}."),
        about: NoticeSubject::Change(change, after.id),
    };
    note(act, tx, after, What::Moved, RUNS_AGAIN).await?;
    notices::tell(act, tx, tell).await
}
