//! One way a boil may be going: how fast its pan drives water off, what its fire does, how its
//! syrup and its thermometer differ from the book. A belief holds some hundred of these.
//!
//! The law: water per solids, u = 100/Brix − 1, falls by rate × fire × slowing. The rate is the
//! boil's own; the fire strays from its mean for a quarter of an hour or so, and is sometimes
//! stoked or left to die; the cook may ease it near the end; thick syrup boils off slower (its
//! surface lets less steam go, common practice). All spreads here are our own allowances.

use super::on_fire::{Figure, FireSaid};
use super::rise_table::RiseTable;
use super::thickness::LEAST_U;
use rand::{Rng, RngExt};
use rand_distr::{Distribution, StandardNormal};

/// How long the fire stays off its mean before it comes back to it, minutes.
const STRAY_MIN: f64 = 18.0;
/// Mean time between two jolts, when a fire is stoked or falls in, minutes, and their size (natural logarithm).
const JOLT_EVERY_MIN: f64 = 40.0;
const JOLT_SD: f64 = 0.26;
const JOLT_MEAN: f64 = 0.01;
/// A cook who is told to check lets the fire go down within this many minutes, with this chance in each of them:
/// about one in two does. The page's advice says so.
const EASE_WITHIN_MIN: f64 = 5.0;
const EASE_WHEN_TOLD: f64 = 0.16;
/// Chance a minute of easing it later, or unasked in the last minutes.
const EASE_UNASKED: f64 = 0.012;
const EASE_LAST_MIN: f64 = 12.0;
/// How long a fire that is said to stay does stay, minutes.
const STAYS_MIN: f64 = 15.0;
/// No cook eases the fire while the water per solids is more than this above the target.
const FAR_U: f64 = 2.0;
/// Minutes before the target, from and to, between which the cook is taken to be told, while that moment is not known.
const TOLD_ABOUT_MIN: (f64, f64) = (11.0, 6.0);
/// What the eased fire is of the full one.
pub(super) const EASE_TO: (f64, f64) = (0.35, 0.95);
/// What drives water off of a pan that does not boil (natural logarithm of the share of the full fire).
pub(super) const OUT: f64 = -6.0;
/// A pan that cools needs so many times as long to be as warm again as it cooled (our own allowance).
const COOLS: f64 = 1.3;
/// How long it takes until the pan feels an eased or a drawn fire, minutes.
const EASE_TAKES_MIN: f64 = 1.5;

/// How far a thermometer's offset and K (as a share) wander in a minute's square root: it hangs
/// a little deeper, the air changes, acids invert sugar.
const OFF_WANDERS: f64 = 0.035;
const K_WANDERS: f64 = 0.003;

/// A draw from the normal distribution.
pub(super) fn normal(chance: &mut impl Rng) -> f64 {
    StandardNormal.sample(chance)
}

/// A draw from between two figures, all as likely.
pub(super) fn between(chance: &mut impl Rng, (low, high): (f64, f64)) -> f64 {
    low + (high - low) * chance.random::<f64>()
}

/// One way a boil may be going. Times in minutes since the fire was lit, temperatures in °C, rates
/// in kg of water a kg of solids a minute.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Course {
    /// Water per solids at the moment: 100/Brix − 1.
    pub u: f64,
    /// Water per solids it was lit with.
    pub u_lit: f64,
    /// When it comes to the boil, in minutes since the fire was lit.
    pub boils_at: f64,
    /// Natural logarithm of its mean rate.
    pub ln_rate: f64,
    /// How far the fire is off its mean (natural logarithm), and how far it usually is.
    pub stray: f64,
    pub stray_sd: f64,
    /// How much its thickness slows the boiling: at the target it goes at 1/(1 + slowing).
    pub slowing: f64,
    /// Where the cook has eased the fire to (natural logarithm; nought: not eased), and how far
    /// the pan has followed.
    pub ease_to: f64,
    pub ease: f64,
    /// K at the target, and how much lower K is in thin syrup.
    pub k: f64,
    pub bend: f64,
    /// It does not boil before this minute: it was lit again, or cold juice was poured in; nought: neither.
    pub boils_again: f64,
    /// The fire was said to be drawn, and burns on all the same.
    pub burns_on: bool,
    /// What the thermometer shows too much in the pan against the morning's boiling water.
    pub off: f64,
    /// By how many minutes the thermometer lags, and by how many °C that puts it behind at the moment.
    pub lag: f64,
    pub behind: f64,
    /// Place of the reading that it was made to explain; none for a course from the beginning.
    pub made_by: Option<usize>,
}

/// What all courses of one boil have in common.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct BoilConditions {
    pub rise: RiseTable,
    /// Water per solids at the target.
    pub goal: f64,
    /// When the cook is told to check, in minutes since the fire was lit, once it is known.
    pub checked_at: Option<f64>,
    /// When the fire was drawn, in minutes since it was lit, if it was.
    pub drawn_at: Option<f64>,
    /// When the cook last said something of the fire, and what.
    pub fire_said: Option<(f64, FireSaid)>,
}

impl Course {
    /// How fast the water per solids falls at the moment, a minute, at the boil.
    pub(super) fn speed(&self, conditions: &BoilConditions) -> f64 {
        (self.ln_rate + self.stray + self.ease).exp() * self.slowed(self.u, conditions)
    }

    /// Minutes in which it goes from one water per solids to a lower one, at the fire of the moment; of a pan that comes
    /// back to the boil, at the fire it will have.
    pub(super) fn minutes_between(&self, from: f64, to: f64, conditions: &BoilConditions) -> f64 {
        let middle = Self {
            u: f64::midpoint(from, to),
            ease: if self.recovers() {
                self.ease_to
            } else {
                self.ease
            },
            ..*self
        };
        (from - to) / middle.speed(conditions)
    }

    fn slowed(&self, u: f64, conditions: &BoilConditions) -> f64 {
        let thick = (1.0 + conditions.goal) / (1.0 + u);
        let square = thick * thick;
        1.0 / (1.0 + self.slowing * square * square * square)
    }

    /// How far above water the syrup boils at this water per solids, °C.
    pub(super) fn rise_at(&self, u: f64, conditions: &BoilConditions) -> f64 {
        let thin = 1.0 - (1.0 + conditions.goal) / (1.0 + u.max(LEAST_U));
        self.k * (1.0 - self.bend * thin) * conditions.rise.at(u)
    }

    /// Goes on from `from` by `minutes` (at most a few).
    pub(super) fn step(
        &mut self,
        conditions: &BoilConditions,
        from: f64,
        minutes: f64,
        chance: &mut impl Rng,
    ) {
        let boiled = (from + minutes - self.boils_at).min(minutes);
        self.stray_on(minutes, chance);
        if boiled <= 0.0 {
            if self.is_drawn(conditions, from + minutes) {
                // What is not at the boil yet is no nearer to it, and cools.
                self.boils_at += COOLS * minutes;
            }
            return;
        }
        self.ease_on(conditions, from, boiled, chance);
        let before = self.rise_at(self.u, conditions);
        let full = (self.ln_rate + self.stray + self.ease).exp() * boiled;
        let half = self.u - 0.5 * full * self.slowed(self.u, conditions);
        self.u = (self.u - full * self.slowed(half.max(LEAST_U), conditions)).max(LEAST_U);
        // A thermometer with one time constant, following a straight rise.
        let climb = (self.rise_at(self.u, conditions) - before) / boiled;
        let steady = climb * self.lag;
        self.behind = steady + (self.behind - steady) * (-boiled / self.lag).exp();
    }

    /// Lets the thermometer's offset and the syrup's K wander for some minutes.
    pub(super) fn wander(&mut self, minutes: f64, chance: &mut impl Rng) {
        let root = minutes.sqrt();
        self.off += OFF_WANDERS * root * normal(chance);
        self.k *= 1.0 + K_WANDERS * root * normal(chance);
    }

    /// Lets the fire stray from its mean for some minutes.
    pub(super) fn stray_on(&mut self, minutes: f64, chance: &mut impl Rng) {
        let keep = 1.0 / (1.0 + minutes / STRAY_MIN);
        let fresh = self.stray_sd * (1.0 - keep * keep).sqrt();
        self.stray = self.stray * keep + fresh * normal(chance);
        if chance.random::<f64>() * JOLT_EVERY_MIN < minutes {
            self.stray += JOLT_MEAN + JOLT_SD * normal(chance);
        }
        self.stray = self.stray.clamp(-2.5, 1.0);
    }

    /// Chance that the cook eases the fire within the next minute.
    fn eases_a_minute(&self, conditions: &BoilConditions, at: f64) -> f64 {
        if self.u > conditions.goal + FAR_U {
            return 0.0;
        }
        let to_go = (self.u - conditions.goal) / self.speed(conditions);
        // A cook who says that the fire stays does not ease it for a while.
        if let Some((said, FireSaid::Stays)) = conditions.fire_said
            && at < said + STAYS_MIN
        {
            return 0.0;
        }
        let told = match conditions.checked_at {
            Some(told) => at >= told && at < told + EASE_WITHIN_MIN,
            None => to_go < TOLD_ABOUT_MIN.0 && to_go > TOLD_ABOUT_MIN.1,
        };
        if told {
            EASE_WHEN_TOLD
        } else if to_go < EASE_LAST_MIN {
            EASE_UNASKED
        } else {
            0.0
        }
    }

    /// Whether the cook has eased the fire.
    pub(super) fn eased(&self) -> bool {
        self.ease_to < -0.001
    }

    /// The cook lets the fire down, where it was not eased yet.
    pub(super) fn let_down(&mut self, chance: &mut impl Rng) {
        if !self.eased() {
            self.ease_to = between(chance, EASE_TO).ln();
        }
    }

    /// Whether nothing burns under it by a minute.
    pub(super) fn is_drawn(&self, conditions: &BoilConditions, by: f64) -> bool {
        !self.burns_on && conditions.drawn_at.is_some_and(|at| at < by)
    }

    /// Whether it comes back to the boil, after its fire was lit again or juice was poured in.
    pub(super) fn recovers(&self) -> bool {
        self.ease < self.ease_to - 0.05
    }

    /// What the cook may do to the fire near the end, and how the pan follows it.
    fn ease_on(
        &mut self,
        conditions: &BoilConditions,
        from: f64,
        minutes: f64,
        chance: &mut impl Rng,
    ) {
        if self.is_drawn(conditions, from + minutes) {
            // No fire: the pan boils on by its own heat and stops.
            self.ease_to = OUT;
        } else if from < self.boils_again {
            return;
        } else if !self.eased() {
            let a_minute = self.eases_a_minute(conditions, from);
            if a_minute > 0.0 && chance.random::<f64>() < a_minute * minutes {
                self.ease_to = between(chance, EASE_TO).ln();
            }
        }
        if self.eased() || self.ease < 0.0 {
            let left = 1.0 / (1.0 + minutes / EASE_TAKES_MIN);
            self.ease = self.ease_to + (self.ease - self.ease_to) * left;
        }
    }
}

/// A drop of a drawn pan that nobody expected is put down to a fire that burns on above this lot, 0 to 1; else the pan was
/// elsewhere when it was drawn.
const BURNS_ON: f64 = 0.7;

impl Course {
    /// Changes so that it explains a figure: the pan was faster or slower than believed all along,
    /// or it is just elsewhere, or its K is another. False, and nothing changed, when it cannot.
    pub(super) fn explain(
        &mut self,
        conditions: &BoilConditions,
        water_c: f64,
        figure: Figure,
        chance: &mut impl Rng,
        at: f64,
    ) -> bool {
        let way: f64 = chance.random();
        if let Figure::Temp(read) | Figure::Probe(read) = figure {
            let rise = read - water_c - self.off + self.behind;
            let k = rise / (self.rise_at(self.u, conditions) / self.k).max(0.05);
            if way > 0.7 && (0.75..1.8).contains(&k) {
                self.k = k;
                return true;
            }
        }
        let Some(u) = figure.explained_by(self, conditions, water_c) else {
            return false;
        };
        // The courses made to explain one figure are set a little apart from each other.
        let u = u * (0.02 * normal(chance)).exp();
        if u > 1.1 * self.u_lit {
            return false;
        }
        self.boils_at = self.boils_at.min(at);
        let (gone, should) = (self.u_lit - self.u, self.u_lit - u);
        let faster = should / gone.max(0.02);
        if way < 0.45 && (0.4..2.5).contains(&faster) {
            self.ln_rate += faster.ln();
        }
        self.u = u.max(LEAST_U);
        if (way > BURNS_ON || !matches!(figure, Figure::Brix(_))) && self.is_drawn(conditions, at) {
            // What was drawn only cools: as hot as this it is where something burns, and thicker it may be for that.
            self.burns_on = true;
            (self.ease_to, self.ease) = (0.0, 0.0);
        }
        true
    }
}

#[cfg(test)]
#[path = "course_tests.rs"]
mod tests;
