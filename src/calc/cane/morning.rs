//! The morning's opening checks: what is on the list, how far a figure may be out, and whether the
//! day's first ticket may be opened. Knows no finish temperature; see `elevation`.

use super::scale::Graduation;
use crate::calc::RuleRefusal;
use crate::calc::physics::elevation::WaterBoil;
use crate::units::{Altitude, Celsius, Grams, Refused, ScaleId, Units, decimal, fixed};

/// What a refractometer may show in clean water, °Bx either way: hand instruments read to ±0.2
/// (common practice).
const ZERO_WITHIN: f64 = 0.2;
/// How far boiling water may be from what the height says before it is asked about, °C: weather of
/// an inch of mercury (0.94) and an unchecked thermometer (0.6) together.
const BOIL_WITHIN: f64 = 1.5;
/// Least check weight, in steps of the scale: Class III least load, from memory (NIST Handbook 44,
/// section 2.20, table 8).
const LEAST_STEPS: f64 = 20.0;
/// How far apart two weights kept in whole grams may be by rounding alone.
const ROUNDED_G: f64 = 1.0;

/// One item of the morning's list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Item {
    /// A known weight on the scale.
    Weight,
    /// The refractometer in clean water.
    Refractometer,
    /// The thermometer in boiling water.
    WaterBoil,
    /// Guards and stop bar.
    Guards,
    /// The fire extinguisher and the hose.
    Extinguisher,
    /// The engine standing out of doors.
    Engine,
    /// The pan, clean.
    Pan,
    /// Drinking water and first aid.
    FirstAid,
}

impl Item {
    /// The whole list, in the order it is walked.
    pub const ALL: [Self; 8] = [
        Self::Weight,
        Self::Refractometer,
        Self::WaterBoil,
        Self::Guards,
        Self::Extinguisher,
        Self::Engine,
        Self::Pan,
        Self::FirstAid,
    ];

    /// The word a form and the store use.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Weight => "weight",
            Self::Refractometer => "refractometer",
            Self::WaterBoil => "water_boil",
            Self::Guards => "guards",
            Self::Extinguisher => "extinguisher",
            Self::Engine => "engine",
            Self::Pan => "pan",
            Self::FirstAid => "first_aid",
        }
    }

    /// Reads the word back; nothing for any other word.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|item| item.word() == word)
    }

    /// The words a page and a sentence use.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Weight => "Check weight on the scale",
            Self::Refractometer => "Refractometer in clean water",
            Self::WaterBoil => "Thermometer in boiling water",
            Self::Guards => "Guards and stop bar",
            Self::Extinguisher => "Extinguisher at hand",
            Self::Engine => "Engine outdoors",
            Self::Pan => "Pan clean",
            Self::FirstAid => "Drinking water and first aid",
        }
    }

    /// Whether a figure is read for it; else it is only seen to.
    pub const fn measured(self) -> bool {
        matches!(self, Self::Weight | Self::Refractometer | Self::WaterBoil)
    }
}

/// What a refractometer shows in clean water, °Bx, from −5 to 5; may be below nought, unlike any
/// reading of juice.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct WaterBrix(f64);

impl WaterBrix {
    /// A reading of this many °Bx.
    ///
    /// # Errors
    /// Outside −5 to 5, or not a number.
    pub fn new(value: f64) -> Result<Self, Refused> {
        if (-5.0..=5.0).contains(&value) {
            Ok(Self(value))
        } else {
            Err(Refused::new(
                "Please write what the refractometer shows in clean water: about 0, from −5 to 5.",
            ))
        }
    }

    /// Reads "0.1" or "-0,2".
    ///
    /// # Errors
    /// Not a number, or outside −5 to 5.
    pub fn parse(text: &str) -> Result<Self, Refused> {
        Self::new(decimal(text)?)
    }

    /// The value in °Bx.
    pub const fn get(self) -> f64 {
        self.0
    }
}

/// A known weight as the scale showed it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CheckWeight {
    /// The scale that was checked.
    pub scale: ScaleId,
    /// Graduation of the scale.
    pub graduation: Graduation,
    /// The most it may carry.
    pub capacity: Grams,
    /// What the check weight weighs.
    pub known: Grams,
    /// What the scale showed.
    pub reading: Grams,
}

/// What was found when one item was checked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Found {
    /// The scale with a known weight on it.
    Weight(CheckWeight),
    /// The refractometer in clean water.
    Zero(WaterBrix),
    /// The thermometer in boiling water.
    WaterBoil(Celsius),
    /// The item was seen to; no figure is read.
    Seen(Item),
    /// Left out this day, for a reason that is written down.
    Waived(Item),
}

/// What a figure says about its instrument.
#[derive(Debug, Clone, PartialEq)]
pub struct Verdict {
    /// The verdict in a sentence.
    pub sentence: String,
    /// What to ask before it is kept, beside the item's `sure_…` box; none when all is well. The
    /// person who read may answer that it is so.
    pub doubt: Option<RuleRefusal>,
}

impl Found {
    /// The item it is about.
    pub const fn item(&self) -> Item {
        match self {
            Self::Weight(_) => Item::Weight,
            Self::Zero(_) => Item::Refractometer,
            Self::WaterBoil(_) => Item::WaterBoil,
            Self::Seen(item) | Self::Waived(item) => *item,
        }
    }

    /// What the figure says, at a mill of that height; nothing where none is read.
    ///
    /// # Errors
    /// Every reason why it cannot be: no check weight, more than the scale carries, boiling water
    /// that no air allows, or a figure missing where one is read.
    pub fn verdict(
        &self,
        height: Altitude,
        units: Units,
    ) -> Result<Option<Verdict>, Vec<RuleRefusal>> {
        match self {
            Self::Weight(weighed) => weighed.verdict(units).map(Some),
            Self::Zero(read) => Ok(Some(zero(*read))),
            Self::WaterBoil(read) => water_boil(*read, height, units)
                .map(Some)
                .map_err(|amiss| vec![amiss]),
            Self::Seen(item) if item.measured() => Err(vec![RuleRefusal::new(
                "figure-missing",
                format!("{}: please write what was read.", item.name()),
            )]),
            Self::Seen(_) | Self::Waived(_) => Ok(None),
        }
    }
}

impl CheckWeight {
    fn verdict(&self, units: Units) -> Result<Verdict, Vec<RuleRefusal>> {
        let mut refusal = Vec::new();
        if self.known <= Grams::ZERO {
            refusal.push(RuleRefusal::beside(
                "known",
                "no-check-weight",
                "Please write what the check weight weighs.",
            ));
        }
        for (at, weight) in [("known", self.known), ("reading", self.reading)] {
            if weight > self.capacity {
                refusal.push(RuleRefusal::beside(
                    at,
                    "over-capacity",
                    format!("This scale carries {} at most.", self.capacity.show(units)),
                ));
            }
        }
        if !refusal.is_empty() {
            return Err(refusal);
        }
        let d = self.graduation;
        let off = self.reading.as_f64() - self.known.as_f64();
        let may = d.tolerance_g(self.known);
        let sentence = format!(
            "Shows {} for {}; it may be out by {} there.",
            d.show(self.reading.as_f64(), units),
            d.show(self.known.as_f64(), units),
            d.show(may, units)
        );
        Ok(Verdict {
            sentence,
            doubt: self.doubt(off, may, units),
        })
    }

    fn doubt(&self, off: f64, may: f64, units: Units) -> Option<RuleRefusal> {
        let d = self.graduation;
        let ask = |code, sentence| Some(RuleRefusal::beside("sure_weight", code, sentence));
        if off.abs() > may + ROUNDED_G {
            let way = if off > 0.0 { "more" } else { "less" };
            return ask(
                "scale-out",
                format!(
                    "The scale shows {} {way} than the check weight, and it may be out by {} \
                     there. Please level it, clear under it, zero it and read again; weigh nobody’s \
                     cane on it until it is within.",
                    d.show(off.abs(), units),
                    d.show(may, units)
                ),
            );
        }
        if !d.can_show(self.reading) {
            let (below, above) = d.beside(self.reading);
            return ask(
                "off-graduation",
                format!(
                    "This scale shows {} or {}, nothing between. Please read it again.",
                    d.show(below.as_f64(), units),
                    d.show(above.as_f64(), units)
                ),
            );
        }
        if self.known.as_f64() + ROUNDED_G < LEAST_STEPS * d.get() {
            return ask(
                "light-check-weight",
                format!(
                    "A check weight below {} (20 steps) says little about this scale. Please take \
                     one near the weight of a load.",
                    d.show(LEAST_STEPS * d.get(), units)
                ),
            );
        }
        None
    }
}

fn zero(read: WaterBrix) -> Verdict {
    let off = read.get().abs() > ZERO_WITHIN + 1e-9;
    let shown = fixed(read.get(), 1, Units::Us);
    Verdict {
        sentence: format!("Shows {shown} °Bx in clean water; ±{ZERO_WITHIN} is within."),
        doubt: off.then(|| {
            RuleRefusal::beside(
                "sure_refractometer",
                "refractometer-out",
                format!(
                    "It shows {shown} °Bx in clean water instead of 0. Please wipe the prism, wait \
                     until instrument and water are equally warm, set it to zero and read again."
                ),
            )
        }),
    }
}

/// Where water should boil at a height in usual weather, or the fault of a height no mill has.
fn expected(height: Altitude) -> Result<Celsius, RuleRefusal> {
    WaterBoil::Altitude(height).known().map(|(water, _)| water)
}

fn water_boil(read: Celsius, height: Altitude, units: Units) -> Result<Verdict, RuleRefusal> {
    WaterBoil::Measured(read).known()?;
    let usual = expected(height)?;
    let off = read.above(usual);
    let sentence = format!(
        "Water boils at {}; at {} and in usual weather {} is expected.",
        read.show(units),
        height.show(units),
        usual.show(units)
    );
    let doubt = (off.get().abs() > BOIL_WITHIN).then(|| {
        RuleRefusal::beside(
            "sure_water_boil",
            "water-boil-far",
            format!(
                "{} is far from the {} expected at {}. Weather alone does not do that. Please boil \
                 water hard, hold the thermometer clear of the bottom and read again; look also at \
                 the height on the co-op’s card.",
                read.show(units),
                usual.show(units),
                height.show(units)
            ),
        )
    });
    Ok(Verdict { sentence, doubt })
}

/// Whether a day's first ticket may be opened: every item done or waived. `settled` holds the items
/// that are.
///
/// # Errors
/// Names what is missing.
pub fn may_open_ticket(settled: &[Item]) -> Result<(), RuleRefusal> {
    let missing: Vec<String> = Item::ALL
        .into_iter()
        .filter(|item| !settled.contains(item))
        .map(|item| item.name().to_lowercase())
        .collect();
    if missing.is_empty() {
        return Ok(());
    }
    Err(RuleRefusal::new(
        "morning-checks",
        format!(
            "Before the first ticket of the day, do or waive these opening checks on the morning \
             page: {}.",
            missing.join(", ")
        ),
    ))
}

#[cfg(test)]
#[path = "morning_tests.rs"]
mod tests;
