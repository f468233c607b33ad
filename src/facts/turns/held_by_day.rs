//! What takes minutes of the mill on a press day: turns, what is on offer, and when the mill stands.

use super::running_line::RunningLine;
use crate::calc::turns::day_room::TurnHeld;
use crate::calc::turns::starts::Span;
use crate::store::turns::{offers, standstills, turn};
use crate::store::{Question, Together};
use crate::units::{ClockTime, DayClock, Grams, MemberId, Minutes, PressDayId, TurnId};
use std::collections::BTreeSet;

/// Minutes of a day as they are kept.
#[derive(Debug, Clone, Copy)]
struct HeldMinutes {
    start: ClockTime,
    minutes: Minutes,
    /// Whose cane is pressed in them, and how much; `None`: the mill stands.
    whose: Option<(MemberId, Grams)>,
    /// The turn that they were planned for, if its cane is there.
    weighed_in: Option<TurnId>,
}

/// What takes minutes of some days: turns, offers and standstills.
#[derive(Debug)]
pub(super) struct HeldByDay(Vec<(PressDayId, HeldMinutes)>);

/// Minutes in which a member's cane is to be pressed.
fn pressed(
    (start, minutes): (ClockTime, Minutes),
    whose: (MemberId, Grams),
    weighed_in: Option<TurnId>,
) -> HeldMinutes {
    HeldMinutes {
        start,
        minutes,
        whose: Some(whose),
        weighed_in,
    }
}

/// Minutes in which the mill stands.
fn stands(start: ClockTime, minutes: Minutes) -> HeldMinutes {
    HeldMinutes {
        start,
        minutes,
        whose: None,
        weighed_in: None,
    }
}

impl HeldByDay {
    /// Reads what takes minutes of one day, without turns that are about to move.
    pub(super) fn day(day: PressDayId, moving: &[TurnId]) -> Question<Self> {
        let moving = moving.to_vec();
        let found = (
            turn::held_of_day(day),
            offers::standing_of_day(day),
            standstills::of_day(day),
        );
        found.together().map(move |(turns, on_offer, mill_stands)| {
            let turns = turns.iter().filter(|turn| !moving.contains(&turn.id));
            let turns = turns.map(|t| {
                let weighed_in = t.ticket_id.map(|_| t.id);
                pressed((t.start, t.minutes), (t.member_id, t.cane), weighed_in)
            });
            let on_offer = on_offer.iter();
            let on_offer =
                on_offer.map(|o| pressed((o.start, o.minutes), (o.member_id, o.cane), None));
            let mill_stands = mill_stands.iter().map(|m| stands(m.start, m.minutes));
            let all = turns.chain(on_offer).chain(mill_stands);
            Self(all.map(|kept| (day, kept)).collect())
        })
    }

    /// Reads what takes minutes of several days, without turns that are about to move; `days`: a JSON array of their ids.
    pub(super) fn days(days: &str, moving: &[TurnId]) -> Question<Self> {
        let moving = moving.to_vec();
        let found = (
            turn::held_of_days(days),
            offers::standing_of_days(days),
            standstills::of_days(days),
        );
        found.together().map(move |(turns, on_offer, mill_stands)| {
            let turns = turns.iter().filter(|turn| !moving.contains(&turn.id));
            let turns = turns.map(|t| {
                let weighed_in = t.weighed_in.then_some(t.id);
                let kept = pressed((t.start, t.minutes), (t.member_id, t.cane), weighed_in);
                (t.press_day_id, kept)
            });
            let on_offer = on_offer.into_iter().map(|o| {
                let kept = pressed((o.start, o.minutes), (o.member_id, o.cane), None);
                (o.press_day_id, kept)
            });
            let mill_stands = mill_stands.into_iter();
            let mill_stands = mill_stands.map(|m| (m.press_day_id, stands(m.start, m.minutes)));
            Self(turns.chain(on_offer).chain(mill_stands).collect())
        })
    }

    /// What is held of one of the days, in minutes that it has run. While the day runs, cane that is there has the minutes in which the
    /// mill takes it or took it, not those that were planned.
    pub(super) fn of(
        &self,
        day: PressDayId,
        (clock, line): (&DayClock, &RunningLine),
        alone: &BTreeSet<MemberId>,
    ) -> Vec<TurnHeld> {
        let of_day = self.0.iter().filter(|(of, _)| *of == day);
        let held = of_day.filter_map(|(_, kept)| {
            let planned = Span::kept(clock, kept.start, kept.minutes);
            let span = match kept.weighed_in {
                Some(id) if line.runs => *line.really.get(&id)?,
                _ => planned,
            };
            Some(TurnHeld {
                span,
                cane: kept.whose.map_or(Grams::ZERO, |(_, cane)| cane),
                pools: kept
                    .whose
                    .is_none_or(|(member, _)| !alone.contains(&member)),
            })
        });
        held.collect()
    }
}
