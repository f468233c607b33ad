//! What the cook is told while a boil is on the fire: one call at a time, by how likely it is at
//! the moment of looking, and what to do about it.

use super::forecast::{Ends, Mark};
use super::on_fire::{Boil, Spread};
use super::thickness::u_of;

/// The call of the moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Call {
    /// The fire is drawn: nothing boils on that could run past.
    Drawn,
    /// As likely as not the juice is not yet at the boil.
    Heating,
    /// The juice is at the boil, and it is too early to tell when it will be done.
    TooEarly,
    /// It boils, and when it will be done can be told.
    Going,
    /// The target may be reached soon: the refractometer is to be taken up.
    Check,
    /// As likely as not at its target: the fire is to be drawn, then the refractometer read.
    There,
    /// As likely as not past its target.
    Past,
    /// As likely as not so far past that the syrup sets hard and burns.
    Candy,
}

/// How likely a boil is at each stage, 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chances {
    /// Chance that it is at the boil.
    pub boiling: f64,
    /// Chance that it is at its target within half an hour.
    pub in_half_an_hour: f64,
    /// Chance that it is at its target within the minutes in which the refractometer is called for.
    pub soon: f64,
    /// Chance that it is at its target by the time a fire drawn now has died.
    pub there: f64,
    /// Chance that it is past the target.
    pub past: f64,
    /// Chance that it is so far past that the syrup sets hard as it cools.
    pub candy: f64,
}

/// How far ahead it is asked whether the target may be reached, minutes.
pub(super) const SOON_MIN: f64 = 7.5;
/// The refractometer is called for when the target may be reached so soon with this chance.
pub(super) const SOON: f64 = 0.2;
/// How long it takes until drawing the fire tells in a pan, minutes for each kg of finished syrup on a square
/// metre, between the second two (common practice: a shallow pan on a pulled fire is quiet in a
/// quarter of a minute, a kettle in its hearth boils on for one).
const DRAWING_MIN_M2_KG: f64 = 0.013;
const DRAWING_MIN: (f64, f64) = (0.2, 1.0);
/// How far below the target the fire is drawn already, °Bx: what is short can be boiled off, what
/// is over cannot be taken back.
const LESS_BRIX: f64 = 0.1;
/// Brix above the target, °Bx, from which a boil is past it.
pub(super) const PAST_BRIX: f64 = 1.0;
/// Brix from which syrup sets hard as it cools, °Bx: soft ball is 85 % sugar (old confectioners'
/// tables, from memory).
const CANDY: f64 = 85.0;
/// Candy begins at least this far above the target, °Bx.
const CANDY_OVER: f64 = 2.0;
/// Chance of being past the target already at which the fire is drawn before it is as likely as not there: on a
/// fast pan nobody knows the minute.
const PAST_ALREADY: f64 = 0.42;
/// While a reading is overdue the refractometer is called for when it may be there with this chance, one in
/// twelve: nobody sees how the pan goes on. At one in twenty, cooks were called 15 to 26 minutes early where
/// nobody has learned K.
const THERE_UNSEEN: f64 = 0.08;
/// A chance of one half: as likely as not.
pub(super) const EVEN: f64 = 0.5;
/// A finish is told when its interval is no wider than this, minutes, or than [`FinishBasis::share`] of the time to go.
const TOLD_MIN: f64 = 8.0;
/// Once it was told, it goes on being told up to so many times that width: a probe that wavers does not take it back.
const TOLD_HOLDS: f64 = 1.5;
/// Earliest and latest that the next reading is asked for, minutes.
const NEXT_MIN: (f64, f64) = (1.0, 15.0);
/// Minutes after it was due at which a reading is overdue.
const OVERDUE_MIN: f64 = 1.0;
/// Half-way to the earliest finish is never nearer than this, minutes.
const HALF_WAY_MIN: f64 = 2.0;
/// Chance of being past the target that may be run by waiting for the next reading.
const NEXT_PAST: f64 = 0.05;
/// K is not known well enough while its four-in-five interval is wider than this factor.
const K_OPEN: f64 = 1.15;

/// The marks a boil passes on its way to `target`, as water per solids: see [`Mark`].
pub(super) fn marks(target: f64) -> [f64; 4] {
    [
        target - LESS_BRIX,
        target,
        target + PAST_BRIX,
        CANDY.max(target + CANDY_OVER),
    ]
    .map(u_of)
}

/// Minutes until drawing the fire takes effect in this pan.
pub(super) fn drawing_min(boil: &Boil) -> f64 {
    let finished = boil.solids.kg() * 100.0 / boil.target.get() / boil.pan.area_m2;
    (DRAWING_MIN_M2_KG * finished).clamp(DRAWING_MIN.0, DRAWING_MIN.1)
}

/// How likely each stage is at a minute, by where the courses end, where drawing the fire takes `drawing_min`.
pub(super) fn chances(ends: &Ends, at: f64, drawing_min: f64) -> Chances {
    Chances {
        boiling: ends.boiling(at),
        in_half_an_hour: ends.share_by(Mark::Goal, at + 30.0),
        soon: ends.share_by(Mark::Goal, at + SOON_MIN),
        there: ends.share_by(Mark::Draw, at + drawing_min),
        past: ends.share_by(Mark::Past, at),
        candy: ends.share_by(Mark::Candy, at),
    }
}

/// The minute from which the cook is told to check.
pub(super) fn checked_at(ends: &Ends) -> f64 {
    let [soonest] = ends.at(Mark::Goal, [SOON]);
    soonest - SOON_MIN
}

/// The call by the chances, by whether a finish can be told, and whether a reading is overdue.
pub(super) fn call(of: &Chances, told: bool, silent: bool) -> Call {
    if of.candy >= EVEN {
        Call::Candy
    } else if of.past >= EVEN {
        Call::Past
    } else if of.there >= EVEN || of.past >= PAST_ALREADY {
        Call::There
    } else if of.soon >= SOON || (silent && of.there >= THERE_UNSEEN) {
        Call::Check
    } else if of.boiling < EVEN {
        Call::Heating
    } else if told {
        Call::Going
    } else {
        Call::TooEarly
    }
}

/// Chances below which a call that was made falls back: clearly not so, and not what a thermometer that wavers brings.
const CLEARLY_NOT: f64 = 0.2;
const CLEARLY_NOT_SOON: f64 = 0.05;

/// The call by the chances where `before` was made: once the refractometer is called for, or the fire to be drawn, a call
/// falls back only where that is clearly not so any more.
pub(super) fn held(of: &Chances, made: Call, before: Call) -> Call {
    let stays = |call: &Call| match call {
        Call::Candy => of.candy >= CLEARLY_NOT,
        Call::Past => of.past >= CLEARLY_NOT,
        Call::There => of.there >= CLEARLY_NOT,
        Call::Check => of.soon >= CLEARLY_NOT_SOON,
        Call::Drawn | Call::Heating | Call::TooEarly | Call::Going => false,
    };
    let graver = [Call::Candy, Call::Past, Call::There, Call::Check];
    let held = graver
        .into_iter()
        .find(|call| *call <= before && stays(call));
    held.map_or(made, |held| made.max(held))
}

/// The readings that a foretold finish rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum FinishBasis {
    /// Drops were read with the refractometer.
    Refractometer,
    /// The thermometer alone, and the mill has learned its K.
    Learned,
    /// The thermometer alone, and nobody has learned K.
    Guessed,
}

impl FinishBasis {
    /// The widest interval of a finish that is told, by the time to go.
    const fn share(self) -> f64 {
        match self {
            Self::Refractometer => 1.5,
            Self::Learned => 1.3,
            // With K unknown even a wide interval is worth telling.
            Self::Guessed => 1.9,
        }
    }
}

/// Whether a finish can be told at a minute: its earliest, middle and latest; `before`: it was told.
pub(super) fn finish_is_told(
    [early, middle, late]: [f64; 3],
    at: f64,
    (by, before): (FinishBasis, bool),
) -> bool {
    let widest = (by.share() * (middle - at)).max(TOLD_MIN);
    late - early <= if before { TOLD_HOLDS * widest } else { widest }
}

/// When the next reading is due, minutes since the fire was lit, after one at `from`: when it may be past, and no
/// later than half-way to the earliest finish, since a doubt about the pan's rate is settled by
/// a reading and not by waiting. As of the last reading, so that it stands still while it is counted down.
pub(super) fn next_reading(ends: &Ends, from: f64) -> f64 {
    let [past] = ends.at(Mark::Past, [NEXT_PAST]);
    let [earliest] = ends.at(Mark::Goal, [0.1]);
    let half_way = (0.5 * (earliest - from)).max(HALF_WAY_MIN);
    past.min(from + half_way)
        .clamp(from + NEXT_MIN.0, from + NEXT_MIN.1)
}

/// Whether a reading that was due at `next` is overdue at a minute.
pub(super) fn overdue(next: f64, minute: f64) -> bool {
    minute > next + OVERDUE_MIN
}

/// The loudest call there can be: what silence makes likely is no more than past, and before anything was
/// read, no more than a fire to draw. Candy is told by readings alone.
pub(super) fn loudest(silent: bool, anything_read: bool) -> Call {
    match (silent, anything_read) {
        (_, false) => Call::There,
        (true, true) => Call::Past,
        (false, true) => Call::Candy,
    }
}

/// Whether one refractometer reading is asked for: nobody has learned K, no drop was noted that
/// settles it, and the end is not far.
pub(super) fn wants_brix(k: &Spread, chances: &Chances, k_learned: bool) -> bool {
    !k_learned && k_is_open(k) && chances.in_half_an_hour >= SOON
}

/// Whether K is not known well enough.
pub(super) fn k_is_open(k: &Spread) -> bool {
    k.high / k.low > K_OPEN
}

impl Call {
    /// The call in a few words, set large.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Drawn => "The fire is drawn",
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
            Self::Drawn => {
                "Cool a drop and read it. Draw the syrup off when the refractometer says so; if it is \
                 short, light the fire again and note that below."
            }
            Self::Heating => {
                "Skim from the first warmth until the juice is clear: scum that is not taken off \
                 cooks in. Note a reading when the next one is due."
            }
            Self::TooEarly => {
                "The readings do not say yet when it will be done. Go on skimming and note the next \
                 reading when it is due; a Brix from time to time makes it surer."
            }
            Self::Going => "Note the next reading when it is due. Never leave the pan.",
            Self::Check => {
                "Let the fire go down. Cool a drop, read it, note it, and read again every two \
                 minutes. Temperature guides; the refractometer decides."
            }
            Self::There => {
                "By the readings it may be at its target. Draw the fire or shut the gas first: the \
                 pan goes on boiling on its own heat. Then cool a drop and read it. Draw off when \
                 the refractometer says so."
            }
            Self::Past => {
                "Draw the fire at once, cool a drop and read it, and draw the syrup off when the \
                 refractometer says so. Stir from the edges, where it scorches first. If it smells \
                 burnt, do not scrape the bottom into the rest: draw off what is clear, taste it, \
                 and note it as a remark."
            }
            Self::Candy => {
                "Draw the fire at once. A drop in cold water that sets hard is candy, and it will \
                 set in the pan as it cools. What is dark and bitter is burnt and no longer syrup. \
                 Note it as a remark."
            }
        }
    }
}

/// What to do once the fire is drawn, by where the boil is believed to be.
pub fn once_drawn(of: &Chances) -> &'static str {
    if of.past >= EVEN {
        "By the readings it is past its target. Cool a drop and read it, stir from the edges, and draw the \
         syrup off when the refractometer says so; water goes in only after two drops."
    } else if of.there >= EVEN {
        "By the readings it is at its target. Cool a drop, read it, and draw the syrup off when the \
         refractometer says so."
    } else {
        "By the readings it is short of its target still. Cool a drop and read it; if it is short, light the \
         fire again and note that below."
    }
}

/// What is said when a reading is overdue: since when nothing was read (as a clock shows it), and
/// what that means by now.
pub fn silence(since: &str, call: Call) -> String {
    let means = match call {
        Call::Drawn | Call::Heating | Call::TooEarly | Call::Going => "please note one",
        Call::Check => "it may be near its target, please read it",
        Call::There => "it may be at its target, draw the fire and read it",
        Call::Past | Call::Candy => "it may be past, draw the fire and read it",
    };
    format!("No reading since {since}: {means}.")
}

/// Why one refractometer reading is asked for, and what it would settle.
pub fn why_a_drop(brix: &Spread, k: &Spread) -> String {
    format!(
        "Nobody has learned this mill’s factor K yet: by the thermometer alone the pan may be at \
         {:.0} to {:.0} °Bx (K {:.2} to {:.2}). One drop on the refractometer tells which.",
        brix.low, brix.high, k.low, k.high
    )
}

#[cfg(test)]
#[path = "call_tests.rs"]
mod tests;
