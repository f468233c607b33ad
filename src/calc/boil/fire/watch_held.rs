//! What a watch goes on saying from one figure to the next: a call that was made, a drop that is asked for; the temperature to
//! draw off at, by this boil's own belief; and that a probe which counts for nothing is no reading.

use super::belief::Belief;
use super::call::{self, Call, FinishBasis};
use super::forecast::{Ends, FOLLOWED, HORIZON, Mark};
use super::on_fire::Spread;
use super::outside_belief::PAIR_BRIX;
use super::thickness::u_of;
use super::watch::{Watch, minutes_between};
use crate::calc::physics::elevation::Factor;
use crate::units::UtcSecond;

/// So long after a probe's last figure that counts another reading is due, minutes.
const WITHOUT_PROBE_MIN: f64 = 2.0;
/// A temperature is near what it is drawn off at within so many °C, two degrees Fahrenheit (our own allowance).
const NEAR_DRAW_OFF_C: f64 = 1.12;

impl Watch {
    /// Keeps the call that stood when a reading came, and whether a finish was told, before a figure of it counts: by the
    /// readings alone, whether anybody looks or not.
    pub(super) fn hold(&mut self) {
        if !self.held.is_due() {
            return;
        }
        let near = self.near();
        if !near {
            self.held.call = Call::Drawn;
        }
        if !self.held.looks_again(near) {
            return;
        }
        let (marks, _) = self.followed_by();
        let (belief, conditions) = (&self.belief, &self.conditions);
        let ends = Ends::of(belief, conditions, marks, FOLLOWED, self.held.seed);
        self.held.told = self.tells(ends.at(Mark::Goal, [0.1, 0.5, 0.9]), self.belief.at);
        if !near {
            return;
        }
        let chances = call::chances(&ends, self.held.at, call::drawing_min(&self.boil));
        let made = call::call(&chances, false, false);
        // What time alone has brought is never candy: see `call::loudest`.
        self.held.call = call::held(&chances, made, self.held.call).min(Call::Past);
    }

    /// Whether a finish, its earliest, middle and latest, is told at a minute.
    pub(super) fn tells(&self, finish: [f64; 3], minute: f64) -> bool {
        let by = match (self.brix.is_empty(), self.boil.k) {
            (false, _) => FinishBasis::Refractometer,
            (true, Some(_)) => FinishBasis::Learned,
            (true, None) => FinishBasis::Guessed,
        };
        let seen = self.belief.boil_seen() || !self.brix.is_empty();
        let from = minute.max(self.belief.at);
        // Courses that never end all end at the far end of what is foretold: that is no finish, however well they agree.
        let [_, _, late] = finish;
        let in_sight = late < self.belief.at + HORIZON;
        seen && in_sight && call::finish_is_told(finish, from, (by, self.held.keeps_told(minute)))
    }

    /// From half-thick syrup on a drop tells this boil's K, where nobody has learned it: it is asked for until one does.
    pub(super) fn open_or_answer_drop(&mut self) {
        let answered = self.brix.iter().any(|(_, brix)| *brix >= PAIR_BRIX);
        let thick = || self.belief.share(|c| c.u <= u_of(PAIR_BRIX)) >= call::EVEN;
        self.drop_open = self.boil.k.is_none() && !answered && (self.drop_open || thick());
    }

    /// What the thermometer should show at the target, °C, by what is believed; none before anything at the boil was read.
    pub(super) fn draw_off(&self, belief: &Belief) -> Option<Spread> {
        if !self.belief.boil_seen() && self.brix.is_empty() {
            return None;
        }
        let conditions = &self.conditions;
        let shown = |c: &super::course::Course| c.rise_at(conditions.goal, conditions) + c.off;
        let above = belief.quantiles(shown, [0.1, 0.5, 0.9]);
        let [low, middle, high] = above.map(|rise| self.boil.water.get() + rise);
        Some(Spread { low, middle, high })
    }

    /// Since when what a probe sends counts for nothing, if it does not: the next reading is due then.
    pub fn probe_counts_until(&mut self, at: Option<UtcSecond>) {
        self.probe_out = at.map(|at| minutes_between(self.boil.lit, at));
    }

    /// When a reading is due because a probe counts for nothing any more, and none was taken since.
    pub(super) fn due_without_probe(&self) -> f64 {
        let since = self
            .probe_out
            .filter(|out| self.last.is_none_or(|last| last <= *out));
        since.map_or(f64::MAX, |out| out + WITHOUT_PROBE_MIN)
    }

    /// Whether a temperature lies where the boil is drawn off or on the way there, and the end may be near: it is never
    /// asked back, for it may only be too right. Nor is one above, once the fire is to be drawn: it asks for nothing else.
    pub(super) fn is_on_the_way(&self, belief: &Belief, temp: f64, call: Call) -> bool {
        let (conditions, water) = (&self.conditions, self.boil.water.get());
        if !self.near() && call < Call::Check {
            return false;
        }
        let k = self.boil.k.map_or(Factor::DEFAULT.get(), |k| k.value);
        let learned = water + k * conditions.rise.at(conditions.goal);
        let own = self
            .draw_off(belief)
            .map_or((learned, learned), |of| (of.low, of.high));
        let shown =
            |c: &super::course::Course| super::sensors::temp_of(c, conditions, water, belief.at).0;
        let [expected] = belief.quantiles(shown, [0.5]);
        let low = expected.min(own.0).min(learned - NEAR_DRAW_OFF_C);
        let high = own.1.max(learned) + NEAR_DRAW_OFF_C;
        let any_syrup = conditions.rise.most() * k.max(1.0) + water;
        (low..=high).contains(&temp) || (call >= Call::There && (high..=any_syrup).contains(&temp))
    }
}
