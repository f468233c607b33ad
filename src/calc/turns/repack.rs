//! Turns put anew on a day, in their order: after a delay, on another day, or behind cane that frost
//! has killed. Never holds whose they are, and loses none: who finds no room is named.

use super::day_room::{DayWithTurns, TurnHeld, TurnWanted};
use crate::calc::RuleRefusal;
use crate::calc::turns::starts::{STEP_MIN, Span};
use crate::units::{DayMinute, Minutes, UtcSecond};

/// Hours within which cane killed by frost is pressed (common practice: a University of Kentucky
/// specialist's note, as quoted on a syrup makers' list in 2006).
pub const FROST_H: i64 = 48;
/// The longest delay of a day that is not another day.
const LATER_MOST_MIN: i64 = 600;

/// The ways in which several turns are moved together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MoveKind {
    /// Later on the same day: the mill stands.
    Later,
    /// To another day: it rains, or the mill stays broken.
    OtherDay,
    /// Cane that frost has killed goes first.
    Frost,
}

impl MoveKind {
    /// The word that the store uses.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Later => "later",
            Self::OtherDay => "other_day",
            Self::Frost => "frost",
        }
    }

    /// The kind that this word stands for.
    pub fn of_word(word: &str) -> Option<Self> {
        [Self::Later, Self::OtherDay, Self::Frost]
            .into_iter()
            .find(|kind| kind.word() == word)
    }
}

/// A turn that is to be put anew.
#[derive(Debug, Clone, Copy)]
pub struct Queued {
    /// The room that it needs.
    pub wanted: TurnWanted,
    /// The earliest minute at which it may start.
    pub not_before: DayMinute,
}

/// The earliest starts, each after the one before it, for turns in their order among those held; none
/// for a turn that finds no room before the day ends. Later ones may find room still: they overtake
/// nobody who is pressed that day.
///
/// Pan and vessels are heeded as for new turns, unless the turns held and `before` were too much for
/// them already: then only the mill is, so that a delay does not turn anybody away whom the day had
/// taken.
pub fn repack(
    rooms: &DayWithTurns<'_>,
    queue: &[Queued],
    before: &[TurnHeld],
) -> Vec<Option<DayMinute>> {
    let mut held = rooms.held.to_vec();
    let stood: Vec<TurnHeld> = held.iter().chain(before).copied().collect();
    let heeds_pan = rooms.takes(&stood).is_ok();
    let mut after = rooms.day.begins();
    let mut starts = Vec::with_capacity(queue.len());
    for turn in queue {
        let found = first_fit(rooms, &held, turn, after, heeds_pan);
        if let Some(one) = found {
            after = DayMinute::new(one.span.end());
            held.push(one);
        }
        starts.push(found.map(|one| one.span.start));
    }
    starts
}

fn first_fit(
    rooms: &DayWithTurns<'_>,
    held: &[TurnHeld],
    turn: &Queued,
    after: DayMinute,
    heeds_pan: bool,
) -> Option<TurnHeld> {
    let minutes = turn.wanted.minutes;
    let from = full_five(after.max(turn.not_before)).get();
    let last = rooms.day.ends().get() - minutes.get();
    (from..=last)
        .step_by(STEP)
        .map(|start| TurnHeld {
            span: Span {
                start: DayMinute::new(start),
                minutes,
            },
            cane: turn.wanted.cane,
            pools: turn.wanted.pools,
        })
        .find(|one| {
            let clear = !held.iter().any(|other| other.span.overlaps(one.span));
            clear && (!heeds_pan || takes_too(rooms, held, *one))
        })
}

/// [`STEP_MIN`] in the type that counts steps.
const STEP: usize = 5;

fn takes_too(rooms: &DayWithTurns<'_>, held: &[TurnHeld], one: TurnHeld) -> bool {
    let all: Vec<TurnHeld> = held.iter().copied().chain([one]).collect();
    rooms.takes(&all).is_ok()
}

/// The first full five minutes at or after a minute of the day.
pub const fn full_five(at: DayMinute) -> DayMinute {
    DayMinute::new((at.get() + STEP_MIN - 1).div_euclid(STEP_MIN) * STEP_MIN)
}

/// The minutes lost by a delay: from the moment it began, or from the planned end of the turn that the
/// mill is at then, to when it goes on; in full five minutes.
pub fn standstill(from: DayMinute, at_the_mill: &[Span], delay: Minutes) -> Span {
    let busy = at_the_mill
        .iter()
        .filter(|span| span.start < from && span.end() > from.get())
        .map(|span| span.end())
        .max();
    let lost = busy.unwrap_or(from.get());
    let start = lost.div_euclid(STEP_MIN) * STEP_MIN;
    let on = full_five(DayMinute::new(lost + delay.get()));
    Span {
        start: DayMinute::new(start),
        minutes: Minutes::new(on.get() - start),
    }
}

/// Whether a day may be put off by so much.
///
/// # Errors
/// Beside `minutes`: nothing, or more than ten hours.
pub fn may_put_off(delay: Minutes) -> Result<(), RuleRefusal> {
    if (STEP_MIN..=LATER_MOST_MIN).contains(&delay.get()) {
        return Ok(());
    }
    Err(RuleRefusal::beside(
        "minutes",
        "no-such-delay",
        "Please write a delay from 5 to 600 minutes. For longer, move the turns to another day.",
    ))
}

/// Whether a turn begins too late for cane that frost killed at that instant.
pub const fn too_late(frost: UtcSecond, starts: UtcSecond) -> bool {
    starts.get() > frost.get() + FROST_H * 3600
}

#[cfg(test)]
#[path = "repack_tests.rs"]
mod tests;
