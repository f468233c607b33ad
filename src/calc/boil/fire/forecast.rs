//! When each course of a belief passes a Brix: the finish, and how soon a boil may be past it.

use super::belief::Belief;
use super::course::{BoilConditions, Course};
use rand::{Rng, SeedableRng};
use rand_pcg::Pcg64Mcg;

/// Courses that are followed to their end for a look.
pub(super) const FOLLOWED: usize = 300;
/// Courses that are followed to foresee when the cook is told to check.
pub(super) const FOLLOWED_AHEAD: usize = 80;
/// Farthest the forecast looks, minutes: where a course has not ended by then, it ends there.
pub(super) const HORIZON: f64 = 1440.0;
/// A step is this share of the time to go, between these minutes.
const STEP_SHARE: f64 = 0.15;
const STEP_MIN: (f64, f64) = (0.25, 6.0);
/// And no longer than this while a pan comes back to the boil.
const RECOVERS_STEP_MIN: f64 = 0.5;

/// A point that a course passes on its way to the target and beyond.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Mark {
    /// Where the fire is drawn: the target less a little.
    Draw,
    /// The target.
    Goal,
    /// The Brix from which the boil is past its target.
    Past,
    /// The Brix from which the syrup sets hard.
    Candy,
}

/// Marks on the way, in their order.
const MARKS: usize = 4;

/// Minutes since the fire was lit at which the followed courses come to the boil and pass each
/// mark, the soonest first.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Ends {
    boils: Vec<f64>,
    passed: [Vec<f64>; MARKS],
}

impl Ends {
    /// Follows `many` courses of a belief to where they pass the marks, given as falling water per solids.
    pub(super) fn of(
        belief: &Belief,
        conditions: &BoilConditions,
        marks: [f64; MARKS],
        many: usize,
        seed: u64,
    ) -> Self {
        let mut chance = Pcg64Mcg::seed_from_u64(seed);
        let mut passed: [Vec<f64>; MARKS] = Default::default();
        let mut boils = Vec::with_capacity(many);
        for place in belief.spread(many, &mut chance) {
            let course = belief.courses[place];
            boils.push(course.boils_at);
            let found = follow(course, conditions, belief.at, marks, &mut chance);
            for (all, minute) in passed.iter_mut().zip(found) {
                all.push(minute);
            }
        }
        Self::sorted(boils, passed)
    }

    fn sorted(mut boils: Vec<f64>, mut passed: [Vec<f64>; MARKS]) -> Self {
        for all in passed.iter_mut().chain([&mut boils]) {
            all.sort_unstable_by(f64::total_cmp);
        }
        Self { boils, passed }
    }

    /// Ends written down by hand: when each course comes to the boil, and passes each mark.
    #[cfg(test)]
    pub(crate) fn written(boils: Vec<f64>, passed: [Vec<f64>; MARKS]) -> Self {
        Self::sorted(boils, passed)
    }

    /// Share of the courses at the boil at a minute.
    pub(super) fn boiling(&self, minute: f64) -> f64 {
        share_by(&self.boils, minute)
    }

    /// Share of the courses that pass a mark by a minute.
    pub(super) fn share_by(&self, mark: Mark, minute: f64) -> f64 {
        share_by(&self.passed[mark as usize], minute)
    }

    /// Minutes by which the given shares have passed a mark.
    pub(super) fn at<const N: usize>(&self, mark: Mark, shares: [f64; N]) -> [f64; N] {
        let all = &self.passed[mark as usize];
        shares.map(|share| all.get(place_of(share, all.len())).map_or(f64::NAN, |m| *m))
    }
}

/// The place, of so many in their order, by which a share of them is reached.
#[expect(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "some hundred"
)]
fn place_of(share: f64, many: usize) -> usize {
    ((share * many as f64).ceil() as usize).saturating_sub(1)
}

#[expect(clippy::cast_precision_loss, reason = "some hundred")]
fn share_by(minutes: &[f64], minute: f64) -> f64 {
    minutes.partition_point(|m| *m <= minute) as f64 / minutes.len() as f64
}

/// When one course passes each mark.
fn follow(
    mut course: Course,
    conditions: &BoilConditions,
    from: f64,
    marks: [f64; MARKS],
    chance: &mut impl Rng,
) -> [f64; MARKS] {
    let never = from + HORIZON;
    let mut at = from;
    // Marks it has passed already are placed back in time by its present speed.
    let mut passed = marks.map(|mark| {
        (course.u <= mark).then(|| at - (mark - course.u) / course.speed(conditions).max(1e-4))
    });
    if at < course.boils_at {
        course.stray_on(course.boils_at - at, chance);
        at = course.boils_at;
    }
    at = at.max(course.boils_again);
    while let Some(next) = passed.iter().position(Option::is_none)
        && at < never
    {
        let before = course.u;
        let to_go = (before - marks[next]) / course.speed(conditions);
        let longest = if course.recovers() {
            RECOVERS_STEP_MIN
        } else {
            STEP_MIN.1
        };
        let by = (STEP_SHARE * to_go).clamp(STEP_MIN.0, longest);
        course.step(conditions, at, by, chance);
        for (passed, mark) in passed.iter_mut().zip(marks) {
            if passed.is_none() && course.u <= mark {
                *passed = Some(at + by * (before - mark) / (before - course.u));
            }
        }
        at += by;
    }
    passed.map(|minute| minute.unwrap_or(never))
}

#[cfg(test)]
#[path = "forecast_tests.rs"]
mod tests;
