//! The waiting list of a press day: how a place on it stands, who is offered which start, what came
//! of an offer. Never knows who waits.
//!
//! The rules (our own choice but for the first, which is common practice: first come, first served,
//! past those for whom the room is too small):
//! - the first in order whose cane finds a start is offered the earliest, then the next with what is
//!   left; minutes on offer are held like a turn's;
//! - an offer never outlives its start: only starts are offered that begin after the offer's time;
//! - who lets an offer run out is asked no more until saying so, and then stands at the end;
//! - who declines is asked after all others, and only when other room has come free since; who takes an offer and undoes it keeps
//!   the place on the list, and is asked when other room comes free;
//! - nobody is offered minutes again that were declined by, or withdrawn from, that same person.

use super::day_room::{DayWithTurns, TurnHeld, TurnWanted};
use crate::calc::turns::starts::{Asker, Span};
use crate::units::{Grams, MinuteOfDay, Minutes, Units, UtcSecond, Zone};

/// How a place on the list stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    /// Waits: is offered the first start that fits.
    Waiting,
    /// Declined what was offered: is asked again when other room comes free.
    Declined,
    /// Let an offer run out: is asked no more until the member says so.
    Missed,
    /// The member got a turn.
    Placed,
    /// Left the list, or was taken off it.
    Left,
}

impl State {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::Waiting,
        Self::Declined,
        Self::Missed,
        Self::Placed,
        Self::Left,
    ];

    /// The word under which the database keeps it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Waiting => "waiting",
            Self::Declined => "declined",
            Self::Missed => "missed",
            Self::Placed => "placed",
            Self::Left => "left",
        }
    }

    /// The state of that word; none: there is none.
    pub fn of_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|state| state.word() == word)
    }

    /// Whether the member is still on the list.
    pub const fn on_list(self) -> bool {
        matches!(self, Self::Waiting | Self::Declined | Self::Missed)
    }

    /// The state of a place after a step; `None`: that step is not possible.
    pub const fn after(self, step: Step) -> Option<Self> {
        match (self, step) {
            (Self::Waiting | Self::Declined, Step::Offered)
            | (Self::Waiting, Step::Withdrawn)
            | (Self::Placed, Step::Undone)
            | (Self::Missed, Step::StillWaits) => Some(Self::Waiting),
            (Self::Waiting, Step::Declines) => Some(Self::Declined),
            (Self::Waiting, Step::Lapses) => Some(Self::Missed),
            (Self::Waiting | Self::Declined | Self::Missed, Step::Placed) => Some(Self::Placed),
            (Self::Waiting | Self::Declined | Self::Missed, Step::Leaves) => Some(Self::Left),
            _ => None,
        }
    }
}

/// What happens to a place on the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// A start is offered.
    Offered,
    /// The offer is declined.
    Declines,
    /// The offer runs out.
    Lapses,
    /// The offer is taken back.
    Withdrawn,
    /// The member says: I still wait.
    StillWaits,
    /// The place became a turn: the offer was taken, or a steward placed it.
    Placed,
    /// The turn that the place became was undone at once.
    Undone,
    /// The member leaves the list, or is taken off it.
    Leaves,
}

impl Step {
    /// All of them.
    pub const ALL: [Self; 8] = [
        Self::Offered,
        Self::Declines,
        Self::Lapses,
        Self::Withdrawn,
        Self::StillWaits,
        Self::Placed,
        Self::Undone,
        Self::Leaves,
    ];
}

/// What came of an offer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Answer {
    /// The member took it, and it became a turn.
    Taken,
    /// The member did not want it.
    Declined,
    /// Nobody answered in time.
    Lapsed,
    /// It was taken back from this member, with a reason: those minutes are not offered again.
    Withdrawn,
    /// It was taken back since the minutes were needed, not because of the member, who is asked again.
    Recalled,
}

impl Answer {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::Taken,
        Self::Declined,
        Self::Lapsed,
        Self::Withdrawn,
        Self::Recalled,
    ];

    /// The word under which the database keeps it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Taken => "taken",
            Self::Declined => "declined",
            Self::Lapsed => "lapsed",
            Self::Withdrawn => "withdrawn",
            Self::Recalled => "recalled",
        }
    }

    /// The answer of that word; none: there is none.
    pub fn of_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|answer| answer.word() == word)
    }
}

/// A place on the list as starts are allotted.
#[derive(Debug, Clone)]
pub struct Waiter {
    /// State of the place.
    pub state: State,
    /// Cane to expect.
    pub cane: Grams,
    /// Whether its juice may be boiled together with that of others.
    pub pools: bool,
    /// Whether it is asked at all: not while an offer stands.
    pub free: bool,
    /// Minutes that it declined, or that were withdrawn from it.
    pub barred: Vec<Span>,
}

/// A start to be offered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Allotted {
    /// Its place in the list of those who wait.
    pub index: usize,
    /// The minutes that are offered.
    pub span: Span,
}

/// The order in which the places of a list are asked, by their states in order of rank: those who wait, then those
/// who declined. Others are not asked.
pub fn order(states: &[State]) -> Vec<usize> {
    let of = |wanted: State| {
        let all = states.iter().enumerate();
        all.filter(move |(_, state)| **state == wanted)
            .map(|(index, _)| index)
    };
    of(State::Waiting).chain(of(State::Declined)).collect()
}

/// "2nd of 3": a place in the order, the first being 0.
pub fn place_words(place: usize, of: usize) -> String {
    let n = place + 1;
    let ending = match (n % 10, n % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("{n}{ending} of {of}")
}

/// Who is offered which start, of a list by rank, when offers made at this moment end at `ends_at`.
/// `before`: the room as it was before it changed; without, nobody who declined is asked.
pub fn allot(
    rooms: DayWithTurns<'_>,
    before: Option<DayWithTurns<'_>>,
    list: &[Waiter],
    ends_at: UtcSecond,
) -> Vec<Allotted> {
    let asker = Asker {
        at: ends_at,
        crew: false,
    };
    let starts = |rooms: DayWithTurns<'_>, waiter: &Waiter| {
        let (cane, pools) = (waiter.cane, waiter.pools);
        // A turn longer than the day has no start on it.
        let minutes = rooms.day.minutes_for(cane, Units::Metric).ok()?;
        let wanted = TurnWanted {
            minutes,
            cane,
            pools,
        };
        Some((minutes, rooms.free(wanted, asker).starts))
    };
    let mut held = rooms.held.to_vec();
    let mut out = Vec::new();
    let states: Vec<State> = list.iter().map(|waiter| waiter.state).collect();
    for index in order(&states) {
        let waiter = &list[index];
        let known = match (waiter.state, before) {
            (State::Declined, None) => continue,
            (State::Declined, Some(before)) => {
                starts(before, waiter).map_or_else(Vec::new, |(_, starts)| starts)
            }
            _ => Vec::new(),
        };
        let left = DayWithTurns {
            held: &held,
            ..rooms
        };
        let Some((minutes, free)) = starts(left, waiter).filter(|_| waiter.free) else {
            continue;
        };
        let span = free
            .into_iter()
            .filter(|start| !known.contains(start))
            .map(|start| Span { start, minutes })
            .find(|span| !waiter.barred.iter().any(|barred| barred.overlaps(*span)));
        if let Some(span) = span {
            held.push(TurnHeld {
                span,
                cane: waiter.cane,
                pools: waiter.pools,
            });
            out.push(Allotted { index, span });
        }
    }
    out
}

/// A turn of a season's proposal that is farther off than this gives its member two days to answer, seconds (our own choice).
const FAR_S: i64 = 7 * 86_400;
const FAR_WAITS_S: i64 = 2 * 86_400;
/// No answer is due while people sleep, minutes since midnight (our own choice): who would have to answer then has until the morning.
const NIGHT: (i64, i64) = (21 * 60, 8 * 60);
const MORNING: i64 = 9 * 60;

/// Until when a turn of a season's proposal waits for its member's answer: as long as the season gives for offers, for a turn far off two
/// days at least, never ending in the night; but no longer than until it starts.
pub fn answer_due(at: UtcSecond, offer: Minutes, start: UtcSecond, zone: &Zone) -> UtcSecond {
    let far = start > at.plus(FAR_S);
    let waits = (offer.get() * 60).max(if far { FAR_WAITS_S } else { 0 });
    let due = at.plus(waits);
    let (date, minute) = zone.local(due);
    let morning = if minute.get() >= NIGHT.0 {
        date.plus_days(1)
    } else if minute.get() < NIGHT.1 {
        date
    } else {
        return due.min(start);
    };
    let nine = MinuteOfDay::new(MORNING).and_then(|nine| zone.instant(morning, nine));
    nine.unwrap_or(due).min(start)
}

#[cfg(test)]
#[path = "waiting_tests.rs"]
mod tests;
