//! How far the last figure of a boil stands alone: one that fits nothing and says that the end is near, or a
//! thermometer's that alone says past. Another reading is wanted then before anything grave is believed, and before
//! anything is believed to be quiet.

use super::belief::Belief;
use super::call::{Call, EVEN, SOON, SOON_MIN};
use super::course::BoilConditions;
use super::on_fire::Figure;
use super::surprise::{READ_BACK, below};

/// In what way a figure stands alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Alone {
    /// It fits no other reading, and by itself it would put the target near or behind.
    Doubted,
    /// Nobody would have expected it, it is believed, and by it the target is near or passed.
    Unlike,
    /// One reading of a thermometer, and without it the boil is not past its target.
    Past,
}

/// The last figure that was taken in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct LastFigure {
    /// When it was noted, in minutes since the fire was lit.
    pub at: f64,
    /// Its place among the readings.
    pub place: usize,
    /// What it was read with.
    by: Instrument,
    /// What was so before it counted.
    before: Before,
    /// A thermometer read by hand, confirmed or not, while the boil was likelier not past.
    first_past: bool,
}

/// A figure less likely than this is odd: what was read back was looked at a moment before, and by other courses.
const ODD: f64 = 5.0 * READ_BACK;
/// What is doubted stands so long against what is less sure by itself, minutes.
const STANDS_MIN: f64 = 10.0;
/// And another is wanted so soon after it, minutes.
pub(super) const AGAIN_MIN: f64 = 1.0;

/// What a figure is read with, the surest last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Instrument {
    /// Hangs where nobody looks.
    Probe,
    Thermometer,
    Refractometer,
}

impl Instrument {
    pub(super) const fn of(figure: Figure) -> Self {
        match figure {
            Figure::Probe(_) => Self::Probe,
            Figure::Temp(_) => Self::Thermometer,
            Figure::Brix(_) => Self::Refractometer,
        }
    }
}

/// What was so before a figure was taken in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is so or not of one figure by itself"
)]
pub(super) struct Before {
    /// Whether the target is near or passed, going by the figure itself.
    near: bool,
    /// Whether nobody would expect the figure, be it doubted or not.
    pub unlikely: bool,
    /// Whether few would expect it: enough, where it was read back and confirmed, that it was asked about.
    pub odd: bool,
    /// Whether it says that the boil is less far on than was believed.
    pub less: bool,
    /// Whether the boil was as likely as not past its target.
    past: bool,
}

impl Before {
    /// Notes what is believed before a figure counts; `past`: the water per solids at which the boil is past.
    pub(super) fn of(
        belief: &Belief,
        conditions: &BoilConditions,
        figure: Figure,
        (water_c, past): (f64, f64),
    ) -> Self {
        let near = belief.share(|c| {
            let told = figure.explained_by(c, conditions, water_c);
            told.is_some_and(|u| u - conditions.goal <= SOON_MIN * c.speed(conditions))
        });
        let below = below(belief, conditions, water_c, figure);
        Self {
            near: near >= SOON,
            unlikely: 2.0 * below.min(1.0 - below) < READ_BACK,
            odd: 2.0 * below.min(1.0 - below) < ODD,
            less: below < 0.5,
            past: belief.share(|c| c.u <= past) >= EVEN,
        }
    }
}

impl LastFigure {
    /// The last figure once `figure` is taken in, after another; `doubted`: whether that one still is.
    pub(super) fn after(
        last: Option<(Self, bool)>,
        before: Before,
        figure: Figure,
        (at, place): (f64, usize),
    ) -> Self {
        let by = Instrument::of(figure);
        if let Some((last, true)) = last
            && last.by > by
            && at - last.at < STANDS_MIN
        {
            return last;
        }
        Self {
            at,
            place,
            by,
            before,
            first_past: matches!(figure, Figure::Temp(_)) && !before.past,
        }
    }

    /// How far it stands alone beside what is `told`; `silent`: the next reading is overdue, so that time counts as well.
    pub(super) fn alone(&self, doubted: bool, silent: bool, told: Call) -> Option<Alone> {
        if self.first_past && !silent && told > Call::There {
            Some(Alone::Past)
        } else {
            let how = if doubted {
                Alone::Doubted
            } else {
                Alone::Unlike
            };
            self.fits_nothing(doubted).then_some(how)
        }
    }

    const fn fits_nothing(&self, doubted: bool) -> bool {
        (doubted || self.before.unlikely) && self.before.near
    }

    /// When another reading is due after it, if it fits nothing, minutes since the fire was lit.
    pub(super) fn again(&self, doubted: bool) -> Option<f64> {
        self.fits_nothing(doubted).then_some(self.at + AGAIN_MIN)
    }
}

impl Alone {
    /// The call while a figure stands alone: quiet is not believed, nor is past.
    pub(super) fn bounds(self, call: Call) -> Call {
        match self {
            Self::Doubted | Self::Unlike => call.max(Call::Check),
            Self::Past => call.min(Call::There),
        }
    }
}

#[cfg(test)]
#[path = "alone_tests.rs"]
mod tests;
