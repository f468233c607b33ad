//! Which turns move together, in which order, and from when on each may start.

use super::day_changes_plan::Look;
use super::turn::day_of;
use crate::actions::{Done, Stop};
use crate::calc::Unmet;
use crate::calc::turns::day_room::Wanted;
use crate::calc::turns::repack::{Queued, full_five, may_put_off, standstill};
use crate::calc::turns::starts::{Day, Span};
use crate::store::Conn;
use crate::store::turns::day_changes::Standing;
use crate::store::turns::press_days::{self, PressDay};
use crate::units::{ClockTyped, DayMinute, Minutes, PressDate, TurnId, Units, UtcSecond};

/// A queue as it is put together: the day it comes to, the turns in their order, and from when on each
/// may start.
pub(in crate::actions) struct Queue {
    pub(in crate::actions) target: PressDay,
    pub(in crate::actions) stands: Option<Span>,
    pub(in crate::actions) turns: Vec<(Standing, Queued)>,
    pub(in crate::actions) killed: Vec<TurnId>,
    pub(in crate::actions) frost: Option<UtcSecond>,
}

/// A turn with the minutes it has.
fn as_it_is(turn: &Standing, not_before: DayMinute) -> (Standing, Queued) {
    let wanted = Wanted {
        minutes: turn.minutes,
        cane: turn.cane,
    };
    (turn.clone(), Queued { wanted, not_before })
}

/// A turn with the minutes that the mill of another day takes for it; longer than that day if it
/// cannot be pressed on it at all.
fn on_day(turn: &Standing, target: &Day, not_before: DayMinute) -> (Standing, Queued) {
    let minutes = target
        .minutes_for(turn.cane, Units::Metric)
        .unwrap_or(Minutes::new(target.clock.length().get() + 5));
    let wanted = Wanted {
        minutes,
        cane: turn.cane,
    };
    (turn.clone(), Queued { wanted, not_before })
}

pub(in crate::actions) fn later(
    look: &Look<'_>,
    all: &[Standing],
    from: ClockTyped,
    minutes: Minutes,
) -> Result<Queue, Unmet> {
    may_put_off(minutes)?;
    let day = day_of(look.day, look.zone);
    let from = day
        .clock
        .find(from)
        .map_err(|refused| Unmet::refused("from", &refused))?;
    if from < day.begins() || from >= day.ends() {
        return Err(Unmet::beside(
            "from",
            "outside-hours",
            format!(
                "The mill runs from {} to {} that day. Please write a time within.",
                look.day.opens.show(),
                look.day.closes.show()
            ),
        ));
    }
    let here: Vec<(&Standing, Span)> = all
        .iter()
        .filter(|turn| turn.press_day_id == look.day.id && !turn.pressed && !turn.missed)
        .map(|turn| (turn, Span::kept(&day.clock, turn.start, turn.minutes)))
        .collect();
    let spans: Vec<Span> = here.iter().map(|(_, span)| *span).collect();
    let stands = standstill(from, &spans, minutes);
    let on = DayMinute::new(stands.end());
    Ok(Queue {
        target: look.day.clone(),
        stands: Some(stands),
        turns: here
            .iter()
            .filter(|(_, span)| span.start >= from)
            .map(|(turn, span)| as_it_is(turn, span.start.max(on)))
            .collect(),
        killed: Vec::new(),
        frost: None,
    })
}

pub(in crate::actions) async fn other_day(
    conn: &mut Conn,
    look: &Look<'_>,
    all: &[Standing],
    to: PressDate,
) -> Done<Queue> {
    let beside = |code, sentence: String| Stop::from(Unmet::beside("to", code, sentence));
    let target = press_days::of_date(conn, to).await?.ok_or_else(|| {
        beside(
            "no-press-day",
            format!("{} is no press day. Please plan it first.", to.show()),
        )
    })?;
    if target.id == look.day.id || target.season_id != look.day.season_id {
        return Err(beside(
            "same-day",
            "Please choose another press day of this season.".to_owned(),
        ));
    }
    if target.closed_at.is_some() || target.date < look.zone.local(look.at).0 {
        return Err(beside(
            "day-closed",
            format!(
                "{} takes no more turns. Please choose another day.",
                to.show()
            ),
        ));
    }
    let day = day_of(&target, look.zone);
    let now = full_five(day.clock.run(look.at));
    let turns = all
        .iter()
        .filter(|turn| turn.press_day_id == look.day.id && turn.ticket_id.is_none() && !turn.missed)
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

pub(in crate::actions) fn frost(
    look: &Look<'_>,
    all: &[Standing],
    (frost, from): (UtcSecond, ClockTyped),
    killed: &[TurnId],
) -> Result<Queue, Unmet> {
    if frost > look.at {
        return Err(Unmet::beside(
            "frost",
            "frost-to-come",
            "That is still to come. Please say when it froze.",
        ));
    }
    let day = day_of(look.day, look.zone);
    let from = day
        .clock
        .find(from)
        .map_err(|refused| Unmet::refused("from", &refused))?;
    let from = full_five(day.clock.run(look.at).max(from)).max(day.begins());
    let (first, rest): (Vec<&Standing>, Vec<&Standing>) = all
        .iter()
        .filter(|turn| turn.ticket_id.is_none() && !turn.missed)
        .partition(|turn| killed.contains(&turn.id));
    if first.is_empty() {
        return Err(Unmet::beside(
            "killed",
            "none-killed",
            "Please tick whose cane was killed.",
        ));
    }
    let first = first.into_iter().map(|turn| {
        if turn.press_day_id == look.day.id {
            as_it_is(turn, from)
        } else {
            on_day(turn, &day, from)
        }
    });
    // Whoever begins before keeps the place: that cane is on the road.
    let rest = rest
        .into_iter()
        .filter(|turn| turn.press_day_id == look.day.id)
        .map(|turn| (turn, day.clock.kept(turn.start)))
        .filter(|(_, start)| *start >= from)
        .map(|(turn, start)| as_it_is(turn, start));
    Ok(Queue {
        target: look.day.clone(),
        stands: None,
        turns: first.chain(rest).collect(),
        killed: killed.to_vec(),
        frost: Some(frost),
    })
}
