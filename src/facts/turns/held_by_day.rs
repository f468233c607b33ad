//! What takes minutes of the mill on a press day: turns, what is on offer, and when the mill stands.

use crate::calc::turns::day_room::TurnHeld;
use crate::calc::turns::starts::Span;
use crate::store::turns::{offers, standstills, turn};
use crate::store::{Question, Together};
use crate::units::{ClockTime, DayClock, Grams, MemberId, Minutes, PressDayId, TurnId};
use std::collections::BTreeSet;

/// Minutes of a day as they are kept, with whose cane is pressed in them; `None`: the mill stands.
type HeldMinutes = (ClockTime, Minutes, Option<(MemberId, Grams)>);

/// What takes minutes of some days: turns, offers and standstills.
#[derive(Debug)]
pub(super) struct HeldByDay(Vec<(PressDayId, HeldMinutes)>);

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
            let turns = turns.map(|t| (t.start, t.minutes, Some((t.member_id, t.cane))));
            let on_offer = on_offer
                .iter()
                .map(|o| (o.start, o.minutes, Some((o.member_id, o.cane))));
            let mill_stands = mill_stands.iter().map(|m| (m.start, m.minutes, None));
            let all = turns.chain(on_offer).chain(mill_stands);
            Self(all.map(|kept| (day, kept)).collect())
        })
    }

    /// Reads what takes minutes of several days; `days`: a JSON array of their ids.
    pub(super) fn days(days: &str) -> Question<Self> {
        let found = (
            turn::held_of_days(days),
            offers::standing_of_days(days),
            standstills::of_days(days),
        );
        found.together().map(|(turns, on_offer, mill_stands)| {
            let turns = turns.into_iter().map(|t| {
                let kept = (t.start, t.minutes, Some((t.member_id, t.cane)));
                (t.press_day_id, kept)
            });
            let on_offer = on_offer.into_iter().map(|o| {
                let kept = (o.start, o.minutes, Some((o.member_id, o.cane)));
                (o.press_day_id, kept)
            });
            let mill_stands = mill_stands.into_iter();
            let mill_stands = mill_stands.map(|m| (m.press_day_id, (m.start, m.minutes, None)));
            Self(turns.chain(on_offer).chain(mill_stands).collect())
        })
    }

    /// What is held of one of the days, in minutes that it has run.
    pub(super) fn of(
        &self,
        day: PressDayId,
        clock: &DayClock,
        alone: &BTreeSet<MemberId>,
    ) -> Vec<TurnHeld> {
        let of_day = self.0.iter().filter(|(of, _)| *of == day);
        of_day.map(|(_, kept)| held(clock, alone, *kept)).collect()
    }
}

fn held(
    clock: &DayClock,
    alone: &BTreeSet<MemberId>,
    (start, minutes, whose): HeldMinutes,
) -> TurnHeld {
    TurnHeld {
        span: Span::kept(clock, start, minutes),
        cane: whose.map_or(Grams::ZERO, |(_, cane)| cane),
        pools: whose.is_none_or(|(member, _)| !alone.contains(&member)),
    }
}
