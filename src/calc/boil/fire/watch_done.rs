//! How a watch takes what is done to its boil: the fire let down, drawn, lit again; juice poured in; and a thermometer
//! that shows no more than a pan that cools or warms.

use super::belief::Belief;
use super::call::EVEN;
use super::course::Course;
use super::done::Poured;
use super::on_fire::{Done, Figure, FireSaid, Pour};
use super::sensors::{self, DIES_MIN};
use super::watch::{Watch, minutes_between};
use crate::units::{BrixAt20C, UtcSecond};

/// A thermometer that shows no more than it did when the fire was drawn, within so many °C, shows syrup that cools and not
/// how thick it is.
const COOLS_C: f64 = 1.0;
/// Where the readings say that a drawn fire burns on, only so far below what is expected then, °C.
const COLD_C: f64 = -2.0;
/// A pan that comes back to the boil is in it all over so many minutes after its first bubble.
const ALL_OVER_MIN: f64 = 2.0;

impl Watch {
    /// Takes in what was done at a minute.
    pub(super) fn take_done(&mut self, at: f64, done: Done) {
        if !matches!(done, Done::Fire(FireSaid::LetDown | FireSaid::Stays)) {
            self.end_stretch();
        }
        // Whatever is done to fire or pan, a thermometer may show less after it.
        self.read = None;
        self.belief.advance(&self.conditions, at);
        if let Some(aside) = &mut self.aside {
            aside.advance(&self.conditions, at);
        }
        match done {
            Done::Fire(FireSaid::Drawn) => self.drawn(),
            Done::Fire(FireSaid::Relit) => self.relit(),
            Done::Fire(said) => {
                self.each_belief(|belief| belief.fire_said(said));
                self.conditions.fire_said = Some((self.belief.at, said));
            }
            Done::Poured(pour) => self.poured(&pour),
        }
        self.ahead = self.belief.clone();
        self.ends = None;
    }

    /// The fire was drawn: the pan boils on for a minute or two by its own heat and stops.
    pub fn fire_drawn(&mut self, at: UtcSecond) {
        let at = minutes_between(self.boil.lit, at).max(0.0);
        self.take_done(at, Done::Fire(FireSaid::Drawn));
    }

    fn drawn(&mut self) {
        let at = self.belief.at;
        match self.conditions.drawn_at {
            Some(first) if self.is_drawn() => {
                self.each_belief(|belief| belief.drawn_again(at - first));
            }
            _ => {
                self.conditions.drawn_at = Some(at);
                self.each_belief(Belief::drawn);
            }
        }
    }

    fn relit(&mut self) {
        let Some(drawn) = self.conditions.drawn_at.take() else {
            // Nobody wrote down that it was drawn: nothing tells for how long.
            return;
        };
        let pause = self.belief.at - drawn;
        self.each_belief(|belief| belief.relit(pause));
        self.begins_anew();
    }

    /// Does the same to what is believed and to what is believed without a figure that nobody expected.
    fn each_belief(&mut self, of: impl Fn(&mut Belief)) {
        of(&mut self.belief);
        if let Some(aside) = &mut self.aside {
            of(&mut aside.belief);
        }
    }

    /// Juice was poured in: all that is reckoned for each kg of solids is for those of both.
    fn poured(&mut self, pour: &Pour) {
        let (before, added) = (self.boil.solids.kg(), pour.solids.kg());
        if before <= 0.0 {
            return;
        }
        self.belief.poured(&Poured {
            solids: added / before,
            water: pour.water.kg() / before,
            colder: self.boil.water.get() - pour.temp.get(),
            plain: pour.plain,
        });
        let mass = 100.0 * before / self.boil.juice.get().max(2.0) + added + pour.water.kg();
        self.boil.solids += pour.solids;
        if let Ok(pooled) = BrixAt20C::new(100.0 * self.boil.solids.kg() / mass) {
            self.boil.juice = pooled;
        }
        // The target is far again: what was foreseen of it, and what stood alone before, is over.
        self.conditions.checked_at = None;
        self.foreseen_at = None;
        self.last_figure = None;
        self.aside = None;
        self.begins_anew();
    }

    fn begins_anew(&mut self) {
        self.held.ends();
        self.drop_open = false;
        self.anew = self.belief.at;
        self.warm = None;
        if self.belief.boil_seen() {
            let [warm] = self.belief.quantiles(|c| c.boils_again, [0.9]);
            self.warms_until = warm + ALL_OVER_MIN;
        }
    }

    /// Whether the fire was drawn, and is likelier out than burning by what was read since.
    pub(super) fn is_drawn(&self) -> bool {
        self.conditions.drawn_at.is_some() && self.belief.share(|c| c.burns_on) < EVEN
    }

    /// Whether a temperature only shows that the fire was drawn, or that the pan is not back at the boil.
    pub(super) fn cools(&self, at: f64, temp: f64) -> bool {
        let dead = self
            .conditions
            .drawn_at
            .is_some_and(|drawn| at > drawn + DIES_MIN);
        (dead || at < self.warms_until) && {
            let shown =
                |c: &Course| sensors::temp_of(c, &self.conditions, self.boil.water.get(), at).0;
            let [expected] = self.belief.quantiles(shown, [0.5]);
            let burns = self.conditions.drawn_at.is_some() && !self.is_drawn();
            temp < expected + if burns { COLD_C } else { COOLS_C }
        }
    }

    /// Takes in a temperature that only shows a pan off the boil, and says whether it is one.
    pub(super) fn takes_as_cool(&mut self, at: f64, figure: Figure, share: f64) -> bool {
        let (Figure::Temp(temp) | Figure::Probe(temp)) = figure else {
            return false;
        };
        if !self.cools(at, temp) {
            return false;
        }
        if self.conditions.drawn_at.is_some() {
            self.belief.advance(&self.conditions, at);
            let water = self.boil.water.get();
            self.belief.cooled(&self.conditions, water, figure, share);
            self.ahead = self.belief.clone();
            self.ends = None;
        }
        true
    }
}
