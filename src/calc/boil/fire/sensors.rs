//! What each instrument is expected to show of a course, and how far off a reading may be: heavy
//! tails, since people read at a slant, and a share of readings that say nothing at all because
//! they were mistyped. The allowances are our own.

use super::course::{BoilConditions, Course};
use super::on_fire::Figure;
use super::thickness::{brix_of, u_of};

/// A thermometer read in boiling syrup to half a degree, °C (one standard deviation).
const TEMP_SD: f64 = 0.35;
/// A stretch of a probe's sendings, merged, °C: what is out for longer is the thermometer's offset.
const PROBE_SD: f64 = 0.28;
/// A refractometer with a hastily cooled drop, °Bx.
const BRIX_SD: f64 = 0.55;
/// Minutes between taking a drop and noting what it said, with how often (common practice: it
/// takes a minute or two to cool).
const DROP_MIN: [(f64, f64); 4] = [(0.6, 0.22), (1.5, 0.28), (2.5, 0.28), (3.6, 0.22)];
/// Share of all readings that are mistyped or misread.
pub(super) const MISTYPED: f64 = 0.045;
/// Range over which a mistyped figure may lie anywhere, °C or °Bx.
pub(super) const MISTYPED_TEMP_C: f64 = 40.0;
pub(super) const MISTYPED_BRIX: f64 = 50.0;
/// Temperature at which juice is taken to be poured in, before the fire warms it, °C.
pub(super) const COLD_JUICE_C: f64 = 20.0;
/// How unevenly a warming pan is warm, as a share of the warmth that is still missing.
const WARMING_SD: f64 = 0.12;

/// Student's distribution with four degrees of freedom, by its density.
fn student(off: f64, sd: f64) -> f64 {
    // Γ(5/2) / (√(4π) Γ(2)) = 0.375.
    let z = off / sd;
    let tail = 1.0 + 0.25 * z * z;
    0.375 / (sd * tail * tail * tail.sqrt())
}

/// Share of Student's distribution with four degrees of freedom that lies below `z`.
fn below(z: f64) -> f64 {
    let share = 0.25 * z * z / (1.0 + 0.25 * z * z);
    0.5 + (0.5 * share.sqrt() * (1.5 - 0.5 * share)).copysign(z)
}

/// So long after the fire was drawn a pan boils on, minutes: from then on it cools.
pub(super) const DIES_MIN: f64 = 2.0;
/// It then may be colder than at the boil by up to so many °C, and so many more each minute: a deep kettle cools the
/// slowest.
const COOLED_C: f64 = 2.0;
const COOLS_C_MIN: f64 = 2.0;

/// For how many minutes a course has cooled by a moment, if its fire is out.
fn cools_for(course: &Course, conditions: &BoilConditions, at: f64) -> Option<f64> {
    let since = conditions.drawn_at.map(|drawn| at - drawn - DIES_MIN);
    since.filter(|minutes| *minutes > 0.0 && course.is_drawn(conditions, at))
}

/// How likely a thermometer shows this of a course: one that cools may be anywhere below the boil, and not above it.
fn temp_likely(
    read: f64,
    sd_less: f64,
    course: &Course,
    conditions: &BoilConditions,
    (water_c, at): (f64, f64),
) -> f64 {
    let (shown, sd) = temp_of(course, conditions, water_c, at);
    let sd = sd - sd_less;
    match cools_for(course, conditions, at) {
        Some(minutes) => (1.0 - below((read - shown) / sd)) / (COOLED_C + COOLS_C_MIN * minutes),
        None => student(read - shown, sd),
    }
}

/// What a thermometer is expected to show of a course at a moment, °C, and how far it may be off.
pub(super) fn temp_of(
    course: &Course,
    conditions: &BoilConditions,
    water_c: f64,
    at: f64,
) -> (f64, f64) {
    if at < course.boils_at {
        let warm = at / course.boils_at;
        let missing = (water_c - COLD_JUICE_C) * (1.0 - warm);
        return (
            water_c - missing + course.off,
            TEMP_SD + WARMING_SD * missing,
        );
    }
    let shown = course.rise_at(course.u, conditions) - course.behind;
    (water_c + shown + course.off, TEMP_SD)
}

/// Brix of a drop that was taken `ago` minutes before a moment, or at the first bubble.
fn drop_of(course: &Course, conditions: &BoilConditions, at: f64, ago: f64) -> f64 {
    let boiled = (at - course.boils_at).max(0.0);
    brix_of(course.u + course.speed(conditions) * ago.min(boiled))
}

impl Figure {
    /// How likely a sound instrument shows this figure in this course, per °C or °Bx.
    pub(super) fn sound(
        self,
        course: &Course,
        conditions: &BoilConditions,
        water_c: f64,
        at: f64,
    ) -> f64 {
        match self {
            Self::Temp(read) => temp_likely(read, 0.0, course, conditions, (water_c, at)),
            Self::Probe(read) => {
                temp_likely(read, TEMP_SD - PROBE_SD, course, conditions, (water_c, at))
            }
            Self::Brix(read) => DROP_MIN
                .iter()
                .map(|(ago, share)| {
                    share * student(read - drop_of(course, conditions, at, *ago), BRIX_SD)
                })
                .sum(),
        }
    }

    /// How likely a sound instrument shows less than this of a course, 0 to 1.
    pub(super) fn shown_below(
        self,
        course: &Course,
        conditions: &BoilConditions,
        water_c: f64,
        at: f64,
    ) -> f64 {
        match self {
            Self::Temp(read) | Self::Probe(read) => {
                let (shown, sd) = temp_of(course, conditions, water_c, at);
                below((read - shown) / sd)
            }
            Self::Brix(read) => {
                below((read - drop_of(course, conditions, at, DROP_MIN[1].0)) / BRIX_SD)
            }
        }
    }

    /// How likely a mistyped figure would be just this one, per °C or °Bx.
    pub(super) const fn mistyped(self) -> f64 {
        match self {
            Self::Temp(_) | Self::Probe(_) => MISTYPED / MISTYPED_TEMP_C,
            Self::Brix(_) => MISTYPED / MISTYPED_BRIX,
        }
    }

    /// The water per solids that would make a course show this; none when no syrup does.
    pub(super) fn explained_by(
        self,
        course: &Course,
        conditions: &BoilConditions,
        water_c: f64,
    ) -> Option<f64> {
        match self {
            Self::Temp(read) | Self::Probe(read) => {
                let rise = read - water_c - course.off + course.behind;
                let first = conditions.rise.u_at(rise / course.k)?;
                // K is lower in thin syrup: the sum is done once more with K as it is there.
                let there = course.rise_at(first, conditions) / conditions.rise.at(first).max(0.01);
                conditions.rise.u_at(rise / there)
            }
            Self::Brix(read) => (5.0..94.0).contains(&read).then(|| u_of(read)),
        }
    }
}

#[cfg(test)]
#[path = "sensors_tests.rs"]
mod tests;
