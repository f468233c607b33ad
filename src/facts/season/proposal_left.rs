//! Cane that a season's proposal leaves without a day, and why.

use super::proposal_days::ProposedDay;
use super::proposal_places::{Places, best_days, holds};
use crate::calc::season::proposal::{LEAST_PIECE_KG, Season};
use crate::calc::season::ripeness::FARTHEST_DAYS;
use crate::units::Grams;
use std::collections::BTreeMap;

/// Cane below this that has no turn is rounding, grams.
const ROUNDING: i64 = 500;

/// Why cane was left without a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WhyLeft {
    /// No press day lies near enough to the days it is ready.
    NoDay,
    /// Nothing may be proposed on the days that are near enough.
    Shut,
    /// The member cannot come on those near enough.
    CannotCome,
    /// They have room, but not in the hours in which the member can come.
    Hours,
    /// The cane left is too little for a turn of its own.
    TooLittle,
    /// A day would have room, and opening it costs more than that saves.
    NotWorth,
    /// The days that suit it have no room left.
    Full,
}

impl Places<'_> {
    /// Cane of each field that has no turn: the place of the field, how much, and why.
    pub(super) fn left(
        &self,
        days: &[ProposedDay],
        why: &BTreeMap<usize, WhyLeft>,
    ) -> Vec<(usize, Grams, WhyLeft)> {
        (0..self.fields.len())
            .map(|n| (n, self.rest(n, days)))
            .filter(|(_, cane)| cane.get() > ROUNDING)
            .map(|(n, cane)| (n, cane, why.get(&n).copied().unwrap_or(WhyLeft::Full)))
            .collect()
    }

    /// The reason why cane of each field was left without a day.
    pub(super) fn why_left(&self, of: &Season, days: &[ProposedDay]) -> BTreeMap<usize, WhyLeft> {
        let left: Vec<(usize, Grams)> = (0..self.fields.len())
            .map(|f| (f, self.rest(f, days)))
            .filter(|(_, rest)| rest.get() > ROUNDING)
            .collect();
        if left.is_empty() {
            return BTreeMap::new();
        }
        let full = self.full(days);
        left.into_iter()
            .map(|(field, rest)| (field, self.why(of, (days, &full), (field, rest))))
            .collect()
    }

    fn why(
        &self,
        of: &Season,
        (days, full): (&[ProposedDay], &[bool]),
        (field, rest): (usize, Grams),
    ) -> WhyLeft {
        let own = &self.fields[field];
        let ready = own.ready;
        let near = || {
            let days = days.iter();
            days.filter(|day| ready.days_off(day.day.date) <= FARTHEST_DAYS)
        };
        let best_days = best_days(of, field);
        if best_days.is_empty() {
            return if near().next().is_none() {
                WhyLeft::NoDay
            } else if near().all(ProposedDay::is_shut) {
                WhyLeft::Shut
            } else {
                WhyLeft::CannotCome
            };
        }
        if rest.kg() < LEAST_PIECE_KG {
            return WhyLeft::TooLittle;
        }
        let member = own.planting.member_id;
        let least = Grams::nearest(LEAST_PIECE_KG * 1000.0);
        let mut hours = false;
        for n in best_days {
            if full[n] {
                continue;
            }
            let least = vec![vec![(field, least)]];
            let held = holds(&days[n]);
            if !self.in_turns(&days[n], (&held, member), least).is_empty() {
                return WhyLeft::NotWorth;
            }
            hours = true;
        }
        if hours { WhyLeft::Hours } else { WhyLeft::Full }
    }
}
