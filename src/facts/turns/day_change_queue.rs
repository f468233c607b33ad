//! How turns are to be moved together, which of them move, in which order, and from when on each may
//! start.

use super::room::day_of;
use crate::calc::RuleRefusal;
use crate::calc::turns::day_board::is_over;
use crate::calc::turns::day_room::TurnWanted;
use crate::calc::turns::repack::{MoveKind, Queued, full_five, may_put_off, standstill};
use crate::calc::turns::starts::{Day, Span};
use crate::store::turns::day_changes::MovableTurn;
use crate::store::turns::press_days::PressDay;
use crate::units::{ClockTyped, DayMinute, Minutes, PressDate, TurnId, Units, UtcSecond, Zone};

/// How a steward wants turns to be moved together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Wish {
    /// The mill stands from a time on, for so long.
    Later {
        /// The time from which the mill stands.
        from: ClockTyped,
        /// How long it stands.
        minutes: Minutes,
    },
    /// All turns whose cane has not come, to another day.
    OtherDay {
        /// The day they are to move to.
        to: PressDate,
        /// Whether to close the day they leave.
        close: bool,
    },
    /// Cane that frost has killed goes first.
    Frost {
        /// When the frost came.
        at: UtcSecond,
        /// The killed cane can be at the mill from then on.
        from: ClockTyped,
        /// The turns whose cane was killed.
        killed: Vec<TurnId>,
    },
}

impl Wish {
    /// The kind of the change.
    pub fn kind(&self) -> MoveKind {
        match self {
            Self::Later { .. } => MoveKind::Later,
            Self::OtherDay { .. } => MoveKind::OtherDay,
            Self::Frost { .. } => MoveKind::Frost,
        }
    }
}

/// The day whose turns are to be moved, and when that is asked.
#[derive(Debug, Clone, Copy)]
pub struct DayAt<'a> {
    /// The press day.
    pub day: &'a PressDay,
    /// The co-op's zone.
    pub zone: &'a Zone,
    /// The moment at which it is asked.
    pub at: UtcSecond,
}

/// A queue as it is put together: the day it comes to, the turns in their order, and from when on each
/// may start.
pub(super) struct Queue {
    pub(super) target: PressDay,
    pub(super) stands: Option<Span>,
    pub(super) turns: Vec<(MovableTurn, Queued)>,
    pub(super) killed: Vec<TurnId>,
    pub(super) frost: Option<UtcSecond>,
}

/// Puts the queue together; `target` is the press day of the date that turns are to move to, if the
/// wish names one.
///
/// # Errors
/// The wish makes no sense on that day.
pub(super) fn queue(
    of: &DayAt<'_>,
    all: &[MovableTurn],
    target: Option<&PressDay>,
    wish: &Wish,
) -> Result<Queue, RuleRefusal> {
    match wish {
        Wish::Later { from, minutes } => later(of, all, *from, *minutes),
        Wish::OtherDay { to, .. } => other_day(of, all, (*to, target)),
        Wish::Frost { at, from, killed } => frost(of, all, (*at, *from), killed),
    }
}

/// A turn with the minutes it has.
fn as_it_is(turn: &MovableTurn, not_before: DayMinute) -> (MovableTurn, Queued) {
    let wanted = TurnWanted {
        minutes: turn.minutes,
        cane: turn.cane,
        pools: turn.pools,
    };
    (turn.clone(), Queued { wanted, not_before })
}

/// A turn with the minutes that the mill of another day takes for it; longer than that day if it
/// cannot be pressed on it at all.
fn on_day(turn: &MovableTurn, target: &Day, not_before: DayMinute) -> (MovableTurn, Queued) {
    let minutes = target
        .minutes_for(turn.cane, Units::Metric)
        .unwrap_or(Minutes::new(target.clock.length().get() + 5));
    let wanted = TurnWanted {
        minutes,
        cane: turn.cane,
        pools: turn.pools,
    };
    (turn.clone(), Queued { wanted, not_before })
}

/// Turns from a time on, behind a standstill of the mill.
fn later(
    of: &DayAt<'_>,
    all: &[MovableTurn],
    from: ClockTyped,
    minutes: Minutes,
) -> Result<Queue, RuleRefusal> {
    may_put_off(minutes)?;
    let day = day_of(of.day, of.zone);
    let from = day
        .clock
        .find(from)
        .map_err(|refused| RuleRefusal::refused("from", &refused))?;
    if from < day.begins() || from >= day.ends() {
        return Err(RuleRefusal::beside(
            "from",
            "outside-hours",
            format!(
                "The mill runs from {} to {} that day. Please write a time within.",
                of.day.opens.show(),
                of.day.closes.show()
            ),
        ));
    }
    let here: Vec<(&MovableTurn, Span)> = all
        .iter()
        .filter(|turn| turn.press_day_id == of.day.id && !turn.pressed && !turn.missed)
        .map(|turn| (turn, Span::kept(&day.clock, turn.start, turn.minutes)))
        .collect();
    let now = day.clock.run(of.at);
    // Cane that has not come is not at a mill that stands already, whatever was planned.
    let held_up = |turn: &MovableTurn, span: &Span| {
        let within = span.start < from && span.end() > from.get();
        within && from <= now && turn.ticket_id.is_none()
    };
    let spans: Vec<Span> = here
        .iter()
        .filter(|(turn, span)| !held_up(turn, span))
        .map(|(_, span)| *span)
        .collect();
    let stands = standstill(from, &spans, minutes);
    let on = DayMinute::new(stands.end());
    Ok(Queue {
        target: of.day.clone(),
        stands: Some(stands),
        turns: here
            .iter()
            .filter(|(turn, span)| span.start >= from || held_up(turn, span))
            .map(|(turn, span)| as_it_is(turn, span.start.max(on)))
            .collect(),
        killed: Vec::new(),
        frost: None,
    })
}

/// All turns of a day whose cane has not come, to `target`, the press day of that date.
fn other_day(
    of: &DayAt<'_>,
    all: &[MovableTurn],
    (to, target): (PressDate, Option<&PressDay>),
) -> Result<Queue, RuleRefusal> {
    let beside = |code, sentence: String| RuleRefusal::beside("to", code, sentence);
    let target = target.cloned().ok_or_else(|| {
        beside(
            "no-press-day",
            format!("{} is no press day. Please plan it first.", to.show()),
        )
    })?;
    if target.id == of.day.id || target.season_id != of.day.season_id {
        return Err(beside(
            "same-day",
            "Please choose another press day of this season.".to_owned(),
        ));
    }
    if is_over(
        (target.date, target.closed_at.is_some()),
        of.zone.local(of.at).0,
    ) {
        return Err(beside(
            "day-closed",
            format!(
                "{} takes no more turns. Please choose another day.",
                to.show()
            ),
        ));
    }
    let day = day_of(&target, of.zone);
    let now = full_five(day.clock.run(of.at));
    let turns = all
        .iter()
        .filter(|turn| turn.press_day_id == of.day.id && turn.ticket_id.is_none() && !turn.missed)
        .map(|turn| on_day(turn, &day, day.clock.kept(turn.start).max(now)))
        .collect();
    Ok(Queue {
        target,
        stands: None,
        turns,
        killed: Vec::new(),
        frost: None,
    })
}

/// Killed cane first, the turns of the day behind it.
fn frost(
    of: &DayAt<'_>,
    all: &[MovableTurn],
    (frost, from): (UtcSecond, ClockTyped),
    killed: &[TurnId],
) -> Result<Queue, RuleRefusal> {
    if frost > of.at {
        return Err(RuleRefusal::beside(
            "frost",
            "frost-to-come",
            "That is still to come. Please say when it froze.",
        ));
    }
    let day = day_of(of.day, of.zone);
    let from = day
        .clock
        .find(from)
        .map_err(|refused| RuleRefusal::refused("from", &refused))?;
    let from = full_five(day.clock.run(of.at).max(from)).max(day.begins());
    let (first, rest): (Vec<&MovableTurn>, Vec<&MovableTurn>) = all
        .iter()
        .filter(|turn| turn.ticket_id.is_none() && !turn.missed)
        .partition(|turn| killed.contains(&turn.id));
    if first.is_empty() {
        return Err(RuleRefusal::beside(
            "killed",
            "none-killed",
            "Please tick whose cane was killed.",
        ));
    }
    let first = first.into_iter().map(|turn| {
        if turn.press_day_id == of.day.id {
            as_it_is(turn, from)
        } else {
            on_day(turn, &day, from)
        }
    });
    // Whoever begins earlier keeps the place: that cane is on the road already.
    let rest = rest
        .into_iter()
        .filter(|turn| turn.press_day_id == of.day.id)
        .map(|turn| (turn, day.clock.kept(turn.start)))
        .filter(|(_, start)| *start >= from)
        .map(|(turn, start)| as_it_is(turn, start));
    Ok(Queue {
        target: of.day.clone(),
        stands: None,
        turns: first.chain(rest).collect(),
        killed: killed.to_vec(),
        frost: Some(frost),
    })
}
