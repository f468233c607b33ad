//! What is believed of a boil: some hundred courses with weights, carried on in time and weighed
//! again by every reading. The same readings give the same belief, bit for bit: its chance comes
//! from a seed.
//!
//! Method: a particle filter (Gordon, Salmond and Smith 1993) with stratified resampling (Kitagawa
//! 1996), courses shaken about their common shape when drawn again (Liu and West 2001), and strong
//! readings taken in parts. A reading that no course explains makes courses of its own with a small
//! weight; the next reading decides between them and the others.

use super::course::{BoilConditions, Course, between, normal};
use super::on_fire::{Boil, Figure};
use super::prior;
use super::sensors::COLD_JUICE_C;
use super::shake::shake;
use super::thickness::LEAST_U;
use super::weighted::{quantiles_of, stratified};
use rand::{Rng, RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

/// How many courses a belief holds.
pub(super) const COURSES: usize = 500;
/// Weight of one of them while all weigh the same.
#[expect(clippy::cast_precision_loss, reason = "some hundred")]
const EACH: f64 = 1.0 / COURSES as f64;
/// Longest step, minutes.
const STEP_MIN: f64 = 1.0;
/// With fewer courses than this share that still count, they are drawn again.
pub(super) const THIN: f64 = 0.5;
/// A reading is taken in parts that leave at least this share counting.
const PART: f64 = 0.25;
/// The most parts that one reading is taken in.
const PARTS: usize = 5;
/// Chance with each reading that the boil is not where it was believed to be.
const ELSEWHERE: f64 = 0.004;
/// How wide the range is in which it may then be, in °C and in °Bx.
const ELSEWHERE_OVER: (f64, f64) = (20.0, 40.0);
/// One course in this many is made to explain an unexpected reading.
const EXPLAINERS: usize = 5;
#[expect(clippy::cast_precision_loss, reason = "small")]
const EXPLAINERS_EACH: f64 = EXPLAINERS as f64;
/// Share of the courses that get another K, and another rate, whenever they are drawn again, and by
/// how much (natural logarithm).
const STRANGE: f64 = 0.015;
const STRANGE_LN_K: f64 = 0.22;
const STRANGE_LN_RATE: f64 = 0.3;
/// Below boiling water by more than this, °C, a pan is not at the boil.
const OFF_THE_BOIL: f64 = 2.0;

/// The belief at a moment.
#[derive(Debug, Clone)]
pub(super) struct Belief {
    /// Minutes since the fire was lit.
    pub at: f64,
    pub courses: Vec<Course>,
    /// Weight of each course; together one.
    pub weights: Vec<f64>,
    pub(super) chance: Pcg64Mcg,
    /// When it was last read cold, and whether it was read at the boil since.
    last_cold: f64,
    boil_seen: bool,
    /// When the last figure was taken.
    taken_at: f64,
}

/// A figure while the courses are weighed by it.
struct Seen {
    figure: Figure,
    place: usize,
    share: f64,
    /// How likely a mistyped figure would be just this one, per °C or °Bx.
    wrong: f64,
    water: f64,
    at: f64,
    /// Likelihood given to a course that was made to explain this very figure.
    elsewhere: Option<f64>,
}

impl Seen {
    fn by(&self, course: &Course, conditions: &BoilConditions) -> f64 {
        match self.elsewhere {
            Some(each) if course.made_by == Some(self.place) => each,
            _ => {
                let sound = self.figure.sound(course, conditions, self.water, self.at);
                let likely = sound + self.wrong;
                if self.share > 1.0 {
                    likely.powf(self.share)
                } else {
                    raised(likely, self.share)
                }
            }
        }
    }
}

/// A figure to a power; most are to the first.
pub(super) fn raised(figure: f64, power: f64) -> f64 {
    if power >= 1.0 {
        figure
    } else {
        figure.powf(power)
    }
}

/// What taking in one figure showed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Taken {
    /// How likely it is that it was mistyped, 0 to 1, by what was believed before it.
    pub mistyped: f64,
}

impl Belief {
    pub(super) fn start(boil: &Boil, conditions: &BoilConditions, seed: u64) -> Self {
        let mut chance = Pcg64Mcg::seed_from_u64(seed);
        let courses = (0..COURSES)
            .map(|_| prior::course(boil, conditions, &mut chance))
            .collect();
        Self {
            at: 0.0,
            courses,
            weights: vec![EACH; COURSES],
            chance,
            last_cold: 0.0,
            boil_seen: false,
            taken_at: 0.0,
        }
    }

    /// Goes on to a minute, in steps of one.
    pub(super) fn advance(&mut self, conditions: &BoilConditions, to: f64) {
        while self.at < to {
            let by = STEP_MIN.min(to - self.at);
            for course in &mut self.courses {
                course.step(conditions, self.at, by, &mut self.chance);
            }
            self.lit_unsaid(conditions, by);
            self.at += by;
        }
    }

    /// Takes in one figure read at this moment. `share` below one: it tells less than a reading by itself, since
    /// readings close by share its errors.
    pub(super) fn take(
        &mut self,
        conditions: &BoilConditions,
        boil: &Boil,
        figure: Figure,
        place: usize,
        share: f64,
    ) -> Taken {
        self.weighed(conditions, boil, figure, (place, share, figure.mistyped()))
    }

    /// As [`Self::take`], with how likely a mistyped figure would be just this one, per °C or °Bx.
    pub(super) fn weighed(
        &mut self,
        conditions: &BoilConditions,
        boil: &Boil,
        figure: Figure,
        (place, share, wrong): (usize, f64, f64),
    ) -> Taken {
        let water = boil.water.get();
        if let Figure::Temp(read) | Figure::Probe(read) = figure {
            if !self.boil_seen && read < water - OFF_THE_BOIL {
                self.still_cold(boil, conditions, read);
                return Taken { mistyped: 0.0 };
            }
            if !self.boil_seen {
                self.came_to_the_boil(conditions);
            }
        }
        let wandered = self.at - self.taken_at.max(self.last_cold);
        self.taken_at = self.at;
        if wandered > 0.0 {
            for course in &mut self.courses {
                course.wander(wandered, &mut self.chance);
            }
        }
        let expected: f64 = self
            .courses
            .iter()
            .zip(&self.weights)
            .map(|(c, w)| w * figure.sound(c, conditions, water, self.at))
            .sum();
        // Confirmed or not, an unexpected figure gets courses that explain it; what it weighs is another matter.
        let mistyped = figure.mistyped() / (figure.mistyped() + expected);
        let sure = wrong < figure.mistyped();
        let seen = Seen {
            figure,
            place,
            share,
            wrong,
            water,
            at: self.at,
            elsewhere: ((mistyped > 0.5 && share > 0.3) || sure)
                .then(|| self.explain(conditions, water, figure, place)),
        };
        self.weigh(conditions, &seen);
        Taken { mistyped }
    }

    /// A reading from before the boil: says when it will come to it.
    fn still_cold(&mut self, boil: &Boil, conditions: &BoilConditions, read: f64) {
        let warmed = (read - COLD_JUICE_C).max(1.0) / (boil.water.get() - COLD_JUICE_C);
        let straight = self.at / warmed.max(0.03);
        self.last_cold = self.at;
        let soonest = self.at + 0.3;
        for course in &mut self.courses {
            boils_later(
                course,
                conditions,
                (straight, warmed),
                soonest,
                &mut self.chance,
            );
        }
    }

    /// The first reading at the boil: it came to it since the last cold one.
    fn came_to_the_boil(&mut self, conditions: &BoilConditions) {
        self.boil_seen = true;
        for course in &mut self.courses {
            if course.boils_at > self.at {
                let least = self.last_cold.max(0.3 * self.at);
                course.boils_at = between(&mut self.chance, (least, self.at));
                let boiled = self.at - course.boils_at;
                course.u = (course.u_lit - course.speed(conditions) * boiled).max(LEAST_U);
            }
        }
    }

    /// Whether a reading at the boil was ever taken.
    pub(super) const fn boil_seen(&self) -> bool {
        self.boil_seen
    }

    /// Makes some courses explain a figure that nobody expected. Gives what each of them weighs, per
    /// °C or °Bx, so that together they are worth that the boil is elsewhere.
    fn explain(
        &mut self,
        conditions: &BoilConditions,
        water: f64,
        figure: Figure,
        place: usize,
    ) -> f64 {
        self.draw_again();
        for course in self.courses.iter_mut().step_by(EXPLAINERS) {
            if course.explain(conditions, water, figure, &mut self.chance, self.at) {
                course.made_by = Some(place);
            }
        }
        let over = match figure {
            Figure::Temp(_) | Figure::Probe(_) => ELSEWHERE_OVER.0,
            Figure::Brix(_) => ELSEWHERE_OVER.1,
        };
        ELSEWHERE / over * EXPLAINERS_EACH
    }

    /// Multiplies the weights by how likely each course makes a reading; in parts when it says
    /// much, drawing again and shaking in between.
    fn weigh(&mut self, conditions: &BoilConditions, seen: &Seen) {
        let mut left = 1.0;
        for part in 0..PARTS {
            let likely: Vec<f64> = self
                .courses
                .iter()
                .map(|c| seen.by(c, conditions).ln())
                .collect();
            let power = if part + 1 == PARTS || self.counting(&likely, left) >= PART {
                left
            } else {
                self.power_that_leaves(PART, &likely, left)
            };
            for (w, l) in self.weights.iter_mut().zip(&likely) {
                *w *= (l * power).exp();
            }
            self.even_out();
            left -= power;
            if left <= 1e-9 {
                break;
            }
            self.draw_again();
        }
        if self.counting_share() < THIN {
            self.draw_again();
        }
    }

    /// The power, at most `most`, that leaves a share of the courses counting.
    fn power_that_leaves(&self, share: f64, likely: &[f64], most: f64) -> f64 {
        let (mut low, mut high) = (0.0, most);
        for _ in 0..7 {
            let middle = f64::midpoint(low, high);
            if self.counting(likely, middle) < share {
                high = middle;
            } else {
                low = middle;
            }
        }
        low.max(0.05 * most)
    }

    /// Share of the courses that count.
    pub(super) fn counting_share(&self) -> f64 {
        let squares: f64 = self.weights.iter().map(|w| w * w).sum();
        1.0 / squares * EACH
    }

    /// Share of the courses that would count after multiplying by the exponential of `likely` times a
    /// power.
    fn counting(&self, likely: &[f64], power: f64) -> f64 {
        let (mut sum, mut squares) = (0.0, 0.0);
        for (w, l) in self.weights.iter().zip(likely) {
            let weight = w * (l * power).exp();
            sum += weight;
            squares += weight * weight;
        }
        if squares > 0.0 {
            sum * sum / squares * EACH
        } else {
            0.0
        }
    }

    pub(super) fn even_out(&mut self) {
        let sum: f64 = self.weights.iter().sum();
        if sum > 0.0 && sum.is_finite() {
            self.weights.iter_mut().for_each(|w| *w /= sum);
        } else {
            self.weights.fill(EACH);
        }
    }

    /// Places of courses drawn by their weights.
    fn places(&mut self) -> Vec<usize> {
        stratified(&self.weights, COURSES, &mut self.chance)
    }

    fn place(&mut self, drawn: &[usize]) {
        self.courses = drawn.iter().map(|p| self.courses[*p]).collect();
        self.weights.fill(EACH);
    }

    /// Draws the courses again by their weights and shakes them.
    pub(super) fn draw_again(&mut self) {
        let drawn = self.places();
        self.place(&drawn);
        shake(&mut self.courses, self.at, &mut self.chance);
        // A few courses get another K or another rate, so that what seemed settled can be unsettled.
        for course in &mut self.courses {
            unsettle(course, &mut self.chance);
        }
    }

    /// Share of the weight of the courses of which something is so.
    pub(super) fn share(&self, so: impl Fn(&Course) -> bool) -> f64 {
        self.courses
            .iter()
            .zip(&self.weights)
            .filter(|(c, _)| so(c))
            .map(|(_, w)| w)
            .sum()
    }

    /// The mean of a figure over the courses.
    pub(super) fn mean(&self, figure: impl Fn(&Course) -> f64) -> f64 {
        self.courses
            .iter()
            .zip(&self.weights)
            .map(|(c, w)| w * figure(c))
            .sum()
    }

    /// Places of `many` courses drawn by their weights with a chance of the caller's.
    pub(super) fn spread(&self, many: usize, chance: &mut Pcg64Mcg) -> Vec<usize> {
        stratified(&self.weights, many, chance)
    }

    /// Figures of the courses below which the given shares of the weight lie.
    pub(super) fn quantiles<const N: usize>(
        &self,
        figure: impl Fn(&Course) -> f64,
        shares: [f64; N],
    ) -> [f64; N] {
        let mut all: Vec<(f64, f64)> = self
            .courses
            .iter()
            .zip(&self.weights)
            .map(|(c, w)| (figure(c), *w))
            .collect();
        quantiles_of(&mut all, shares)
    }
}

/// A reading of a pan that is warming. `straight`: the minute at which it boils if it warms evenly; `warm`: the part
/// that is warm already: the nearer the boil, the more the reading says against the pan's own rate.
fn boils_later(
    course: &mut Course,
    conditions: &BoilConditions,
    (straight, warm): (f64, f64),
    soonest: f64,
    chance: &mut impl Rng,
) {
    // A few courses keep what they believed: the reading may be mistyped.
    if chance.random::<f64>() < 0.06 {
        return;
    }
    let spread = (0.18 * normal(chance)).exp();
    let told = (straight * spread).max(soonest);
    let own = course.boils_at.max(soonest);
    course.boils_at = own.powf(1.0 - warm) * told.powf(warm);
    course.u = course.u_lit.max(1.02 * conditions.goal);
    course.behind = 0.0;
}

/// Gives a few courses another K or another rate.
fn unsettle(course: &mut Course, chance: &mut impl Rng) {
    let lot: f64 = chance.random();
    if lot < STRANGE {
        course.k *= (STRANGE_LN_K * normal(chance)).exp();
    } else if lot < 2.0 * STRANGE {
        course.ln_rate += STRANGE_LN_RATE * normal(chance);
    }
}

#[cfg(test)]
#[path = "belief_tests.rs"]
mod tests;
