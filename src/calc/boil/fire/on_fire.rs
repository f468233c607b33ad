//! A boil on the fire as it is watched: what is known when it is lit, what is read, and a figure with the
//! range it lies in. Reckons nothing.

use crate::calc::boil::boil_plan::Pan;
use crate::units::{BrixAt20C, Celsius, Grams, UtcSecond};

/// A figure taught by finished boils.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Taught {
    /// The middle of what they showed.
    pub value: f64,
    /// How many boils taught it.
    pub boils: u32,
}

/// A boil, as it is known when its fire is lit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Boil {
    /// When the fire was lit under it.
    pub lit: UtcSecond,
    /// Dissolved solids in it then.
    pub solids: Grams,
    /// Brix of the juice pooled then.
    pub juice: BrixAt20C,
    /// Brix it is to be finished at.
    pub target: BrixAt20C,
    /// Boiling point of water this day, as this thermometer shows it.
    pub water: Celsius,
    /// The mill's factor K, as its finished boils showed it, outside 1.00–1.30 as well; none while
    /// nobody has learned it.
    pub k: Option<Taught>,
    /// The pan, with its learned or starting rate.
    pub pan: Pan,
    /// How many finished boils the rate was learned from; nought: it is a starting figure.
    pub rate_boils: u32,
}

/// Who or what read a figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum By {
    /// Somebody at the pan.
    Hand,
    /// A thermometer in the pan that sends by itself.
    Probe,
}

/// What the cook says of the fire.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FireSaid {
    /// The fire was let down.
    LetDown,
    /// The fire stays as it is.
    Stays,
    /// It was drawn: nothing burns under the pan.
    Drawn,
    /// It was lit again after it was drawn.
    Relit,
}

/// Juice that was poured into a boil after its fire was lit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pour {
    /// Dissolved solids in it.
    pub solids: Grams,
    /// Water in it.
    pub water: Grams,
    /// How warm it was.
    pub temp: Celsius,
    /// Whether it was written down as poured, and not as a correction of what was in the pan already.
    pub plain: bool,
}

/// What was done to a boil at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Done {
    /// To its fire.
    Fire(FireSaid),
    /// Juice was poured in.
    Poured(Pour),
}

/// What was read, said or done at one moment; at least one of the three.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// When it was noted.
    pub at: UtcSecond,
    /// Thermometer in the pan.
    pub temp: Option<Celsius>,
    /// Refractometer, a cooled drop, at 20 °C.
    pub brix: Option<BrixAt20C>,
    /// What was done, or said of the fire.
    pub done: Option<Done>,
    /// Who read it.
    pub by: By,
    /// Whether it was read back as a figure that nobody expected, and confirmed.
    pub sure: bool,
}

/// A figure with the range it lies in four times in five.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// Nine times in ten not below this.
    pub low: f64,
    /// The middle: as likely below as above it.
    pub middle: f64,
    /// Nine times in ten not above this.
    pub high: f64,
}

/// One figure read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Figure {
    /// Thermometer in the pan, °C.
    Temp(f64),
    /// A stretch of a probe's sendings, °C.
    Probe(f64),
    /// Refractometer, °Bx at 20 °C.
    Brix(f64),
}

/// The remark that says the fire was drawn.
pub const FIRE_DRAWN: &str = "Fire drawn";
/// The remark that says the fire was let down, though not drawn.
pub const FIRE_LET_DOWN: &str = "Fire let down";
/// The remark that says the fire stays as it is.
pub const FIRE_STAYS: &str = "Fire stays";
/// The remark that says it was lit again.
pub const FIRE_RELIT: &str = "Fire lit again";
/// The remark of whoever quieted the alarm.
pub const QUIETED: &str = "Alarm quieted";

/// The remark of a figure that nobody expected, which was read back and confirmed.
pub const CONFIRMED: &str = "Read back and confirmed";

/// A remark that also says that the figure beside it was confirmed.
pub fn with_confirmed(remark: &str) -> String {
    // A remark of the fire is kept word for word, since it is known by its words.
    if [FIRE_DRAWN, FIRE_LET_DOWN, FIRE_STAYS, FIRE_RELIT, QUIETED].contains(&remark) {
        remark.to_owned()
    } else if remark.is_empty() {
        CONFIRMED.to_owned()
    } else {
        format!("{CONFIRMED}. {remark}")
    }
}

/// Whether a remark says that the figure beside it was confirmed.
pub fn is_confirmed(remark: &str) -> bool {
    remark.starts_with(CONFIRMED)
}

/// What a remark says of the fire, if it is one of those.
pub fn fire_said(remark: &str) -> Option<FireSaid> {
    match remark {
        FIRE_LET_DOWN => Some(FireSaid::LetDown),
        FIRE_STAYS => Some(FireSaid::Stays),
        FIRE_DRAWN => Some(FireSaid::Drawn),
        FIRE_RELIT => Some(FireSaid::Relit),
        _ => None,
    }
}
