//! What is done to a boil on the fire between its readings, as a belief takes it: the fire is let down, drawn or lit
//! again, and juice is poured in. What is said may be said late, or by mistake, so a few courses go on as if it had not
//! been: the readings decide. All shares and spreads here are our own allowances.

use super::belief::{Belief, THIN, raised};
use super::course::{BoilConditions, Course, EASE_TO, OUT, between, normal};
use super::on_fire::{Figure, FireSaid};
use super::thickness::LEAST_U;
use rand::{Rng, RngExt};

/// Chance that a fire which is said to stay as it is was eased all the same.
const EASED_UNSAID: f64 = 0.05;
/// One of so many fires that are said to be drawn burns on: the wrong key was touched.
const DRAWN_WRONGLY: usize = 32;
/// Chance a minute that a drawn fire is lit again and nobody says so, and for how many minutes after it was drawn.
const LIT_UNSAID: f64 = 0.0015;
const LIT_UNSAID_MIN: f64 = 20.0;
/// Who says once more that it is drawn, so many minutes later, says that it burnt on: so many times as likely.
const SAID_AGAIN_MIN: f64 = 3.0;
const SAID_AGAIN: f64 = 10.0;
/// A pan whose fire is lit again boils after so many minutes, and up to this share of the time it stood besides, of an
/// hour at most: its own heat was taken from it by the steam.
const AGAIN_MIN: (f64, f64) = (0.5, 1.5);
const AGAIN_SHARE: f64 = 0.1;
/// How far the new fire is off the old one (natural logarithm).
const NEW_FIRE_SD: f64 = 0.2;
/// Chance that it is smaller, and that it is one that hardly burns, and what that is of the full one.
const SMALLER: f64 = 0.5;
const HARDLY_BURNS: f64 = 0.15;
const HARDLY: (f64, f64) = (0.03, 0.35);
/// Of so many pours one was in the pan before the readings that were taken since, and is only written down late; of
/// those that put an amount right, every second.
const POURED_BEFORE: f64 = 0.06;
const CORRECTED_BEFORE: f64 = 0.5;
/// How long poured juice takes to warm against the pan's rate of boiling (natural logarithm, one standard deviation).
const WARMS_SD: f64 = 0.3;
/// Heat to warm a kg of juice by 1 °C over that to boil a kg of water off: 4.0 / 2257 (juice of 10 to 20 °Bx, and water at
/// 100 °C; steam tables).
const WARM_OVER_BOIL_C: f64 = 4.0 / 2257.0;

/// Juice poured into a pan, for each kg of solids that were in it before.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Poured {
    /// Solids and water, kg.
    pub solids: f64,
    pub water: f64,
    /// By how many °C it is colder than boiling water.
    pub colder: f64,
    /// Whether it was written down as poured just now.
    pub plain: bool,
}

impl Course {
    /// Its fire is lit again at a minute, after it was out for some.
    fn relight(&mut self, at: f64, pause: f64, chance: &mut impl Rng) {
        let longest = AGAIN_MIN.1 + AGAIN_SHARE * pause.clamp(0.0, 60.0);
        let wait = between(chance, (AGAIN_MIN.0, longest));
        self.stray += NEW_FIRE_SD * normal(chance);
        if self.boils_at > at {
            self.boils_at += wait;
            return;
        }
        self.boils_again = at + wait;
        self.ease = OUT;
        // Who lights it again for what is short may make a small one, or one that hardly burns yet.
        self.ease_to = match chance.random::<f64>() {
            lot if lot < HARDLY_BURNS => between(chance, (HARDLY.0.ln(), HARDLY.1.ln())),
            lot if lot < SMALLER => between(chance, EASE_TO).ln(),
            _ => 0.0,
        };
    }

    /// Juice is poured in at a minute: what was in it is thinner by it, the same fire has more to drive off, and it does
    /// not boil until the juice is warm.
    pub(super) fn pour(&mut self, of: &Poured, at: f64, chance: &mut impl Rng) {
        let kg_min = (self.ln_rate + self.stray).exp();
        let spread = (WARMS_SD * normal(chance)).exp();
        let warms =
            spread * WARM_OVER_BOIL_C * of.colder.max(0.0) * (of.solids + of.water) / kg_min;
        let share = 1.0 / (1.0 + of.solids);
        let mixed = |u: f64| ((u + of.water) * share).max(LEAST_U);
        (self.u, self.u_lit) = (mixed(self.u), mixed(self.u_lit));
        self.ln_rate += share.ln();
        self.behind = 0.0;
        if self.boils_at > at {
            self.boils_at += warms;
        } else {
            self.boils_again = self.boils_again.max(at + warms);
            self.ease = OUT;
        }
    }
}

impl Belief {
    /// Takes in what the cook says of the fire at this moment. Let down: in every course that had not eased it yet, it is eased
    /// now. Stays: courses that had eased it are hardly to be believed.
    pub(super) fn fire_said(&mut self, said: FireSaid) {
        match said {
            FireSaid::LetDown => {
                for course in &mut self.courses {
                    course.let_down(&mut self.chance);
                }
            }
            FireSaid::Stays => {
                self.weigh_those(|course| if course.eased() { EASED_UNSAID } else { 1.0 });
            }
            FireSaid::Drawn | FireSaid::Relit => {}
        }
    }

    /// The fire is said to be drawn now.
    pub(super) fn drawn(&mut self) {
        for (n, course) in self.courses.iter_mut().enumerate() {
            course.burns_on = n % DRAWN_WRONGLY == DRAWN_WRONGLY / 2;
        }
    }

    /// It is said once more, so many minutes later: where it burnt on, it is drawn now.
    pub(super) fn drawn_again(&mut self, later: f64) {
        if later >= SAID_AGAIN_MIN {
            self.weigh_those(|course| if course.burns_on { SAID_AGAIN } else { 1.0 });
        }
        for course in &mut self.courses {
            course.burns_on = false;
        }
    }

    /// The fire is lit again now, after it was out for some minutes; where it burnt on, it goes on burning.
    pub(super) fn relit(&mut self, pause: f64) {
        for course in &mut self.courses {
            if !std::mem::take(&mut course.burns_on) {
                course.relight(self.at, pause, &mut self.chance);
            }
        }
    }

    /// In a few courses a drawn fire is lit again in these minutes, and nobody says so.
    pub(super) fn lit_unsaid(&mut self, conditions: &BoilConditions, minutes: f64) {
        let Some(drawn) = conditions
            .drawn_at
            .filter(|drawn| self.at < drawn + LIT_UNSAID_MIN)
        else {
            return;
        };
        for course in &mut self.courses {
            if !course.burns_on && self.chance.random::<f64>() < LIT_UNSAID * minutes {
                course.relight(self.at, self.at - drawn, &mut self.chance);
                course.burns_on = true;
            }
        }
    }

    /// A thermometer shows no more than a pan that cools: where the fire burns on it is as likely as it is, and of the
    /// others nothing more is learned.
    pub(super) fn cooled(
        &mut self,
        conditions: &BoilConditions,
        water_c: f64,
        figure: Figure,
        share: f64,
    ) {
        let (at, wrong) = (self.at, figure.mistyped());
        let likely = |course: &Course| figure.sound(course, conditions, water_c, at) + wrong;
        let (mut out, mut weight) = (0.0, 1e-12);
        for (course, w) in self.courses.iter().zip(&self.weights) {
            if !course.burns_on {
                out += w * likely(course);
                weight += w;
            }
        }
        let out = out / weight + 1e-12;
        self.weigh_those(|course| {
            if course.burns_on {
                raised(likely(course) / out, share)
            } else {
                1.0
            }
        });
    }

    /// Juice is poured in now.
    pub(super) fn poured(&mut self, of: &Poured) {
        let before = if of.plain {
            POURED_BEFORE
        } else {
            CORRECTED_BEFORE
        };
        for course in &mut self.courses {
            if self.chance.random::<f64>() >= before {
                course.pour(of, self.at, &mut self.chance);
            }
        }
    }

    /// The belief without the courses in which a drawn fire burns on.
    pub(super) fn without_burning(mut self) -> Self {
        for (course, weight) in self.courses.iter().zip(&mut self.weights) {
            if course.burns_on {
                *weight = 0.0;
            }
        }
        self.even_out();
        self
    }

    fn weigh_those(&mut self, by: impl Fn(&Course) -> f64) {
        for (course, weight) in self.courses.iter().zip(&mut self.weights) {
            *weight *= by(course);
        }
        self.even_out();
        if self.counting_share() < THIN {
            self.draw_again();
        }
    }
}

#[cfg(test)]
#[path = "done_tests.rs"]
mod tests;
