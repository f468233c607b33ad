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
use crate::units::{ClockTyped, DayClock, Grams, MemberId, Units};

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
    Question::every(
        span.fives()
            .map(|five| turn::take_five(turn.press_day_id, clock.time(five), turn.id)),
    )
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
