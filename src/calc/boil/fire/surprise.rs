//! Whether a figure just typed is one that nobody would expect of this boil, and what may have been
//! meant: two digits changed places, one digit is wrong, the point is missing, or it is in the other
//! unit. So that the page can read it back before it counts.

use super::belief::Belief;
use super::course::BoilConditions;
use super::on_fire::Figure;
use crate::units::Units;

/// What the page asks about a figure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surprise {
    /// How likely a reading is as far off as this one, 0 to 1.
    pub chance: f64,
    /// What may have been meant, as it would be typed; none when nothing near it fits.
    pub meant: Option<f64>,
    /// It may be expected, but alone it would have the boil past its target.
    pub past: bool,
}

/// The figure that was typed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Typed {
    /// A temperature, in °F or °C as the person types.
    Temp(f64, Units),
    /// A Brix by the refractometer.
    Brix(f64),
}

/// A figure less likely than this is read back.
pub(super) const READ_BACK: f64 = 0.01;
/// Something else may have been meant when it is at least so likely.
const FITS: f64 = 0.1;
/// How often each slip is made compared with the others (common practice: digits change places most).
const SWAPPED: f64 = 3.0;
const ONE_WRONG: f64 = 0.15;
const POINT_LOST: f64 = 2.0;
const OTHER_UNIT: f64 = 1.0;

pub(super) fn figure(of: Typed) -> Figure {
    match of {
        Typed::Temp(read, Units::Us) => Figure::Temp((read - 32.0) / 1.8),
        Typed::Temp(read, Units::Metric) => Figure::Temp(read),
        Typed::Brix(read) => Figure::Brix(read),
    }
}

const fn with(of: Typed, read: f64) -> Typed {
    match of {
        Typed::Temp(_, units) => Typed::Temp(read, units),
        Typed::Brix(_) => Typed::Brix(read),
    }
}

/// Looks at a figure typed at the moment of the belief; nothing when it is no surprise.
pub(super) fn surprise(
    belief: &Belief,
    conditions: &BoilConditions,
    water_c: f64,
    typed: Typed,
) -> Option<Surprise> {
    let found = asked_back(belief, conditions, water_c, typed);
    (found.chance < READ_BACK).then_some(found)
}

/// Chance that a sound reading lies as far off as this one, 0 to 1.
pub(super) fn chance_of(
    belief: &Belief,
    conditions: &BoilConditions,
    water_c: f64,
    figure: Figure,
) -> f64 {
    let below = below(belief, conditions, water_c, figure);
    2.0 * below.min(1.0 - below)
}

/// How likely a sound reading shows less than this, 0 to 1.
pub(super) fn below(
    belief: &Belief,
    conditions: &BoilConditions,
    water_c: f64,
    figure: Figure,
) -> f64 {
    belief.mean(|c| figure.shown_below(c, conditions, water_c, belief.at))
}

/// What is asked about a figure, be it expected or not.
pub(super) fn asked_back(
    belief: &Belief,
    conditions: &BoilConditions,
    water_c: f64,
    typed: Typed,
) -> Surprise {
    let chance_of = |of: Typed| chance_of(belief, conditions, water_c, figure(of));
    let chance = chance_of(typed);
    let likely = |of: Typed| belief.mean(|c| figure(of).sound(c, conditions, water_c, belief.at));
    let meant = slips(typed)
        .into_iter()
        .filter(|(slip, _)| chance_of(with(typed, *slip)) >= FITS)
        .map(|(slip, often)| (slip, often * likely(with(typed, slip))))
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(slip, _)| slip);
    Surprise {
        chance,
        meant,
        past: false,
    }
}

/// Figures that may have been meant instead, each with how often such a slip is made.
fn slips(typed: Typed) -> Vec<(f64, f64)> {
    let (Typed::Temp(read, _) | Typed::Brix(read)) = typed;
    #[expect(
        clippy::cast_possible_truncation,
        reason = "no thermometer shows more than some hundred degrees"
    )]
    let tenths = (read.clamp(0.0, 10_000.0) * 10.0).round() as i32;
    let digits: Vec<i32> = tenths
        .to_string()
        .bytes()
        .map(|b| i32::from(b - b'0'))
        .collect();
    let number = |of: &[i32]| f64::from(of.iter().fold(0, |sum, d| 10 * sum + d)) / 10.0;
    let mut all = vec![(read / 10.0, POINT_LOST)];
    for place in 0..digits.len() {
        if place + 1 < digits.len() {
            let mut other = digits.clone();
            other.swap(place, place + 1);
            all.push((number(&other), SWAPPED));
        }
        for digit in 0..10 {
            let mut other = digits.clone();
            other[place] = digit;
            all.push((number(&other), ONE_WRONG));
        }
    }
    match typed {
        Typed::Temp(_, Units::Us) => all.push((1.8 * read + 32.0, OTHER_UNIT)),
        Typed::Temp(_, Units::Metric) => all.push(((read - 32.0) / 1.8, OTHER_UNIT)),
        Typed::Brix(_) => {}
    }
    all.retain(|(slip, _)| (slip - read).abs() > 0.05);
    all
}

#[cfg(test)]
#[path = "surprise_tests.rs"]
mod tests;
