//! The line of a press day: who comes in which order, as the queue and the room of a running day reckon with it.

use crate::calc::turns::queue::{Coming, Stand, really_pressed};
use crate::calc::turns::starts::Span;
use crate::store::turns::day_line::{self, InLine};
use crate::store::turns::press_days::PressDay;
use crate::store::turns::standstills::{self, Standstill};
use crate::store::{Question, Together};
use crate::units::{DayClock, DayMinute, Grams, Minutes, TurnId, UtcSecond, Zone};
use std::collections::BTreeMap;

/// Who comes on a day, in the order in which the day runs, walk-ins last. The store knows clock times
/// only; on one night of the year an hour of them comes twice.
pub fn line_of_day(day: &PressDay, zone: &Zone) -> Question<Vec<InLine>> {
    let clock = zone.clock(day.date);
    day_line::of_day(day.id).map(move |mut line| {
        line.sort_by_key(|one| {
            one.start
                .map_or((1, DayMinute::new(0)), |at| (0, clock.kept(at)))
        });
        line
    })
}

/// A day that is being pressed, as its room is reckoned from it.
#[derive(Debug, Clone, Default)]
pub struct RunningLine {
    /// Who is at the mill, waits there or is still expected.
    pub coming: Vec<Coming>,
    /// When the mill stands.
    pub stands: Vec<Stand>,
    /// Whether the day is being pressed.
    pub runs: bool,
    /// When the cane that is there is really pressed, or was, by its turn.
    pub really: BTreeMap<TurnId, Span>,
}

/// The line of a running day, without the turns that are about to move and those that nobody came to. Empty before the day
/// and once it is closed: its turns stand as planned then.
pub(super) fn under_way(
    day: &PressDay,
    (zone, at): (&Zone, UtcSecond),
    moving: &[TurnId],
) -> Question<RunningLine> {
    let runs = day.closed_at.is_none() && day.date <= zone.local(at).0;
    let (of, clock, moving) = (day.clone(), zone.clock(day.date), moving.to_vec());
    let read = runs.then(|| (line_of_day(day, zone), stands_of_day(day, zone)).together());
    Question::when(read).map(move |found| {
        let (mut line, stands) = found.unwrap_or_default();
        line.retain(|one| !one.missed && one.turn_id.is_none_or(|id| !moving.contains(&id)));
        let coming: Vec<Coming> = line.iter().map(|one| coming(one, &of, &clock)).collect();
        let really = really_pressed(&coming, &stands, clock.run(at).get());
        let turns = line.iter().map(|one| one.turn_id);
        let really = turns.zip(really).filter_map(|(id, span)| id.zip(span));
        RunningLine {
            really: really.collect(),
            coming,
            stands,
            runs,
        }
    })
}

/// When the mill stands on a day, and stood, in minutes that the day has run.
pub(super) fn stands_of_day(day: &PressDay, zone: &Zone) -> Question<Vec<Stand>> {
    let clock = zone.clock(day.date);
    standstills::all_of_day(day.id).map(move |all| {
        let stood = all.iter().map(|stand| stood(stand, &clock));
        stood.filter(|(from, to)| from < to).collect()
    })
}

/// When the mill stands, or stood until it ran again before its time: what was at the mill then was not pressed on.
pub fn stood(stand: &Standstill, clock: &DayClock) -> Stand {
    let from = clock.kept(stand.start).get();
    let to = from + stand.minutes.get();
    let ended = stand.ended_at.map(|at| clock.run(at).get());
    (from, ended.map_or(to, |ended| to.min(ended)))
}

/// One in the line, as the queue reckons with it.
pub(super) fn coming(one: &InLine, day: &PressDay, clock: &DayClock) -> Coming {
    let weighed = one.weighed_at.zip(one.ticket);
    Coming {
        start: one.start.map(|start| clock.kept(start)),
        minutes: one.minutes.unwrap_or_else(|| pressing(one.cane, day)),
        weighed: weighed.map(|(at, ticket)| (ticket, clock.run(at).get())),
        pressed: one.pressed,
    }
}

/// Minutes that a walk-in's cane takes, at the day's rate.
fn pressing(cane: Grams, day: &PressDay) -> Minutes {
    let pressing = cane.get() * 60 / day.mill_per_h.get().max(1);
    Minutes::new(pressing) + day.changeover
}
