//! Where a turn is to be: whether there is room for it, the minutes it takes, and the line in its
//! history.

use crate::actions::{Act, Done};
use crate::calc::RuleRefusal;
use crate::calc::turns::starts::{Asker, Span};
use crate::facts::turns::room::DayRoom;
use crate::facts::turns::turn_habit::LatestHabit;
use crate::store::turns::turn::{self, Turn};
use crate::store::turns::turn_events::{self, What};
use crate::store::{Question, Reader, WriteTx};
use crate::units::{ClockTyped, DayClock, Grams, MemberId, PressDayId, Units};

/// What the latest season's turns teach, read before the writer is waited for.
pub(super) async fn latest_habit(reader: &Reader) -> Done<LatestHabit> {
    Ok(LatestHabit::read(&mut *reader.snapshot().await?).await?)
}

/// The minutes for that much cane from that start, if they may stand there among the turns held.
pub(super) fn placed(
    room: &DayRoom,
    (member, cane, start): (MemberId, Grams, ClockTyped),
    units: Units,
    asker: Asker,
) -> Result<Span, RuleRefusal> {
    let rooms = room.rooms();
    let start = rooms.day.find(start)?;
    let minutes = rooms.day.minutes_for(cane, units)?;
    rooms.place(room.wanted(member, minutes, cane), start, asker)
}

/// Takes the minutes that a turn holds.
pub(super) fn take(turn: &Turn, clock: &DayClock, span: Span) -> Question<()> {
    let (day, id) = (turn.press_day_id, turn.id);
    let fives = span
        .fives()
        .map(|five| turn::take_five(day, clock.time(five), id));
    Question::every(
        [not_planned_any_more(day, clock, span)]
            .into_iter()
            .chain(fives),
    )
}

/// Frees what of these minutes was planned for a turn whose cane is there by now: the mill takes it when the line comes to it.
pub(super) fn not_planned_any_more(day: PressDayId, clock: &DayClock, span: Span) -> Question<()> {
    let fives = span.fives().map(|five| clock.time(five).get().to_string());
    let fives: Vec<String> = fives.collect();
    turn::free_of_weighed_in(day, &format!("[{}]", fives.join(",")))
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
    let line = turn_events::insert(&turn, what, why, act.actor.id, act.at);
    Ok(line.ask(tx).await?)
}
