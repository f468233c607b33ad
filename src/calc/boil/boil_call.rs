//! What the cook is told while a boil is on the fire: one call at a time, what to do about it, and
//! how fast the last degrees go. Temperature guides, the refractometer decides. Never estimates
//! anything itself; see `boil_watch`.

use super::boil_plan::{Pan, water_between};
use super::boil_watch::{Stage, Watched};
use crate::calc::physics::elevation::Finish;
use crate::units::{BrixAt20C, Celsius, Grams, Units, UtcSecond};

/// The call of the moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Call {
    /// No reading yet, or not at the boil.
    Heating,
    /// At the boil, and too early to tell.
    TooEarly,
    /// On its way.
    Going,
    /// Near the end: the refractometer is to be taken up.
    Check,
    /// As likely as not there: the fire is to be drawn, then the refractometer.
    There,
    /// Past its target.
    Past,
    /// So far past that it sets hard and burns.
    Candy,
}

/// Brix above the target, °Bx, from which a boil is past it.
const PAST: f64 = 1.0;
/// From here on, °Bx, syrup sets hard as it cools: soft ball is 85 % sugar (old confectioners'
/// tables, from memory).
const CANDY: f64 = 85.0;

/// So many minutes before a boil may be done, one time in ten, the refractometer is called for.
const CHECK_MIN: i64 = 10;

/// The last reading of a boil, and the instant it is looked at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Last {
    /// Temperature, if read.
    pub temp: Option<Celsius>,
    /// Brix, if read.
    pub brix: Option<BrixAt20C>,
    /// When the cook looks: time goes on after a reading.
    pub at: UtcSecond,
}

/// The call: from the last Brix read in the pan when it is the last reading, else from the watch
/// and from whether the last temperature lies beyond the finish and its allowance.
pub fn call(watched: &Watched, last: &Last, target: BrixAt20C, finish: &Finish) -> Call {
    let hotter = last.temp.map(|t| t.above(finish.temp).get());
    let out = finish.plus_minus.get();
    let by_watch = match &watched.stage {
        Stage::Heating => Call::Heating,
        Stage::TooEarly(_) => Call::TooEarly,
        Stage::Going(_, forecast) if forecast.finish <= last.at => Call::There,
        Stage::Going(_, forecast) if forecast.earliest.minutes_since(last.at) < CHECK_MIN => {
            Call::Check
        }
        Stage::Going(..) => Call::Going,
        Stage::There(estimate, _) if estimate.brix.get() >= CANDY => Call::Candy,
        Stage::There(..) => Call::There,
    };
    match (last.brix.map(BrixAt20C::get), hotter) {
        (Some(b), _) if b >= CANDY => Call::Candy,
        (Some(b), _) if b >= target.get() + PAST => Call::Past,
        (Some(b), _) if b >= target.get() => Call::There,
        // A refractometer that says "not yet" is believed, but near the mark it stays in the hand.
        (Some(b), _) if b >= target.get() - 6.0 => Call::Check,
        (Some(_), _) => by_watch.min(Call::Check),
        // The thermometer alone never says more than "past": candy by its reading may be a bent scale.
        (None, Some(h)) if h > out => by_watch.max(Call::Past),
        (None, Some(h)) if h > -out => by_watch.max(Call::Check),
        (None, _) => by_watch,
    }
}

impl Call {
    /// The call in a few words, set large.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Heating => "No reading at the boil yet",
            Self::TooEarly => "Too early to tell",
            Self::Going => "On its way",
            Self::Check => "Check with the refractometer",
            Self::There => "Draw the fire, then check with the refractometer",
            Self::Past => "Past the target",
            Self::Candy => "Far past: it is turning to candy",
        }
    }

    /// What to do, in sentences (common practice, unless a figure says otherwise).
    pub const fn advice(self) -> &'static str {
        match self {
            Self::Heating => {
                "Skim from the first warmth until the juice is clear: scum that is not taken off \
                 cooks in. Read the thermometer every quarter of an hour."
            }
            Self::TooEarly => {
                "The readings do not say yet when it will be done. Go on skimming and note a \
                 reading every quarter of an hour; a Brix from time to time makes it surer."
            }
            Self::Going => "Note a reading every quarter of an hour. Never leave the pan.",
            Self::Check => {
                "Let the fire go down. Cool a drop, read it, note it, and read again every two \
                 minutes. Temperature guides; the refractometer decides."
            }
            Self::There => {
                "By the readings it is as likely as not at its target. Draw the fire or shut the \
                 gas first: the pan goes on boiling on its own heat. Then cool a drop and read it. \
                 Draw off when the refractometer says so."
            }
            Self::Past => {
                "Draw the fire at once and draw the syrup off, or thin it as said below. Stir from \
                 the edges, where it scorches first. If it smells burnt, do not scrape the bottom \
                 into the rest: draw off what is clear, taste it, and note it as a remark."
            }
            Self::Candy => {
                "Draw the fire at once. A drop in cold water that sets hard is candy, and it will \
                 set in the pan as it cools. Thin it while it is hot, as said below; what is dark \
                 and bitter is burnt and no longer syrup. Note it as a remark."
            }
        }
    }

    /// How the call is set off: nothing, a note, an alarm.
    pub const fn weight(self) -> Weight {
        match self {
            Self::Heating | Self::TooEarly | Self::Going => Weight::Plain,
            Self::Check => Weight::Note,
            Self::There | Self::Past | Self::Candy => Weight::Alarm,
        }
    }
}

/// How loud a call is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weight {
    /// As text.
    Plain,
    /// Set off.
    Note,
    /// An alarm.
    Alarm,
}

/// How much water brings a syrup that is past back to its target; nothing when it is not past, or
/// has no solids. Kept to what the solids say, so it is a start: stir, cool a drop and read again.
pub fn water_to_thin(solids: Grams, at: BrixAt20C, target: BrixAt20C) -> Option<Grams> {
    if solids <= Grams::ZERO || at.get() <= target.get() || target.get() <= 0.0 {
        return None;
    }
    Some(Grams::nearest(1000.0 * water_between(solids, target, at)))
}

/// How to thin a syrup that is past, with the amount.
pub fn thinning(water: Grams, at: BrixAt20C, target: BrixAt20C, units: Units) -> String {
    format!(
        "To bring it from {:.0} back to {:.0} °Bx takes about {} of clean hot water. With the fire \
         drawn, pour it in slowly at the edge and stand back: it spits and steams. Stir, cool a drop \
         and read again.",
        at.get(),
        target.get(),
        water.show(units)
    )
}

/// Seconds in which the last two °Bx before the target go by on this pan, the whole batch in it.
pub fn last_two_s(solids: Grams, target: BrixAt20C, pan: Pan) -> Option<u32> {
    let before = BrixAt20C::new(target.get() - 2.0).ok()?;
    let seconds = 60.0 * pan.minutes_for(water_between(solids, before, target));
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "checked just before: finite, not negative and below a day"
    )]
    (0.0..86_400.0)
        .contains(&seconds)
        .then_some(seconds.round() as u32)
}

#[cfg(test)]
#[path = "boil_call_tests.rs"]
mod tests;
