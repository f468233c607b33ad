//! Turns that a standstill put off and that could go back to where they were, once the mill runs again before its time.

use super::room::DayRoom;
use super::turn_habit::LatestHabit;
use crate::calc::turns::day_room::{TurnHeld, TurnWanted};
use crate::calc::turns::starts::{Asker, Span};
use crate::store::turns::day_changes::{self, DayChange, MovableTurn, Moved};
use crate::store::turns::press_days::{self, PressDay};
use crate::store::turns::standstills::Standstill;
use crate::store::{Conn, Stored, Together};
use crate::units::{DayClock, PressDate, TurnId, UtcSecond, Zone};

/// A turn that could go back.
#[derive(Debug, Clone)]
pub struct GoesBack {
    /// The turn where it is now.
    pub turn: MovableTurn,
    /// Where it was before the mill stood.
    pub to: Span,
    /// It found no room and its member waits on the list of another day, of that date; none: it is where it was put.
    pub waits_for: Option<PressDate>,
}

/// The turns of a change that could go back, in order, and the day they are on.
#[derive(Debug, Clone)]
pub struct WayBack {
    /// Their press day.
    pub day: PressDay,
    /// The clock of that day.
    pub clock: DayClock,
    /// The turns.
    pub turns: Vec<GoesBack>,
    /// How many of those it put off are still where it put them, and stay there: their time is past or taken.
    pub stay: usize,
}

impl WayBack {
    /// Reads it. `None`: the standstill was not ended before its time, or the day is closed.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(
        conn: &mut Conn,
        (change, stands): (&DayChange, Option<&Standstill>),
        (zone, at): (&Zone, UtcSecond),
    ) -> Stored<Option<Self>> {
        if stands.is_none_or(|stands| stands.ended_at.is_none()) {
            return Ok(None);
        }
        let found = (
            press_days::find(change.press_day_id),
            day_changes::turns(change.id),
            day_changes::turns_listed(change.id),
        );
        let (day, moved, listed) = found.together().ask(conn).await?;
        let Some(day) = day.filter(|day| day.closed_at.is_none() && !moved.is_empty()) else {
            return Ok(None);
        };
        let clock = zone.clock(day.date);
        let all = day_changes::movable_turns(day.season_id, day.date);
        let all = all.ask(conn).await?;
        let put_off: Vec<GoesBack> = moved
            .iter()
            .filter_map(|moved| {
                still_put_off(moved, &all, &day, &clock)
                    .or_else(|| still_waits(moved, &listed, &day, &clock))
            })
            .collect();
        let now = clock.run(at);
        let all_of_it = put_off.len();
        let to_come: Vec<GoesBack> = put_off
            .into_iter()
            .filter(|one| one.to.start >= now)
            .collect();
        let turns = if to_come.is_empty() {
            to_come
        } else {
            let moving: Vec<TurnId> = to_come.iter().map(|one| one.turn.id).collect();
            let habit = LatestHabit::read(conn).await?;
            let room = DayRoom::by_habit(conn, (&day, &habit), (zone, at), &moving).await?;
            which_fit(room, to_come, at)
        };
        Ok(Some(Self {
            stay: all_of_it - turns.len(),
            day,
            clock,
            turns,
        }))
    }
}

/// The turn, if it is where the change put it, later on its own day, and its cane is still expected.
fn still_put_off(
    moved: &Moved,
    all: &[MovableTurn],
    day: &PressDay,
    clock: &DayClock,
) -> Option<GoesBack> {
    let turn = all.iter().find(|turn| turn.id == moved.turn_id)?;
    let stands = turn.press_day_id == day.id && moved.to == Some(turn.start);
    let expected = turn.ticket_id.is_none() && !turn.missed;
    let to = Span::kept(clock, moved.from, turn.minutes);
    let later = clock.kept(turn.start) > to.start;
    (stands && expected && later && moved.from_date == day.date).then(|| GoesBack {
        turn: turn.clone(),
        to,
        waits_for: None,
    })
}

/// The turn, if it found no room on its own day and its member still waits on the list that it was put on.
fn still_waits(
    moved: &Moved,
    listed: &[MovableTurn],
    day: &PressDay,
    clock: &DayClock,
) -> Option<GoesBack> {
    let turn = listed.iter().find(|turn| turn.id == moved.turn_id)?;
    (turn.press_day_id == day.id).then(|| GoesBack {
        turn: turn.clone(),
        to: Span::kept(clock, moved.from, turn.minutes),
        waits_for: Some(moved.to_date),
    })
}

/// Those for whom there is room where they were, beside all others and beside those that find none and so stay where they are.
fn which_fit(mut room: DayRoom, mut going: Vec<GoesBack>, at: UtcSecond) -> Vec<GoesBack> {
    going.sort_by_key(|one| one.to.start);
    let asker = Asker { at, crew: true };
    let mut others = room.held.clone();
    loop {
        room.held.clone_from(&others);
        let stays = going.iter().position(|one| {
            let wanted = TurnWanted {
                minutes: one.turn.minutes,
                cane: one.turn.cane,
                pools: one.turn.pools,
            };
            let placed = room.rooms().place(wanted, one.to.start, asker);
            if placed.is_ok() {
                room.held.push(held(&one.turn, one.to));
            }
            placed.is_err()
        });
        let Some(stays) = stays else {
            return going;
        };
        let one = going.remove(stays);
        if one.waits_for.is_some() {
            continue;
        }
        let now = Span::kept(&room.day.clock, one.turn.start, one.turn.minutes);
        others.push(held(&one.turn, now));
    }
}

fn held(turn: &MovableTurn, span: Span) -> TurnHeld {
    TurnHeld {
        span,
        cane: turn.cane,
        pools: turn.pools,
    }
}
