//! What one ticket gave: from a weight or a volume, Brix as read and the sediment left behind to
//! dissolved solids in whole grams, so that a member can check the sum with a pencil. Also parts of
//! a juice, juice per 100 of cane, and the clocks of juice and cane. Never knows whose juice it is.

use crate::calc::RuleRefusal;
use crate::calc::physics::density;
use crate::calc::physics::density::{mass_of, trust, volume_of};
use crate::calc::physics::refractometer::{Instrument, agree, to_20c};
use crate::units::{BrixAt20C, BrixRead, Celsius, Grams, Millilitres, Minutes, UtcSecond};

/// How much there is, as it was taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// Weighed.
    Weight(Grams),
    /// Gauged or dipped, at a temperature.
    Volume(Millilitres, Celsius),
}

impl Amount {
    /// Its mass: as weighed, or its volume times the density at its temperature.
    pub fn mass(self, brix: BrixAt20C) -> Grams {
        match self {
            Self::Weight(grams) => grams,
            Self::Volume(ml, at) => mass_of(ml, brix, at),
        }
    }

    /// Its volume: as gauged, or worked out at 20 °C when it was weighed.
    pub fn volume(self, brix: BrixAt20C) -> Millilitres {
        match (self, Celsius::new(20.0)) {
            (Self::Volume(ml, _), _) => ml,
            (Self::Weight(grams), Ok(twenty)) => volume_of(grams, brix, twenty),
            (Self::Weight(grams), Err(_)) => Millilitres::new(grams.get()),
        }
    }
}

/// What was measured of one juice.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured<'a> {
    /// All of it, sediment and all.
    pub amount: Amount,
    /// What was left in the tank as sediment, if any. It is mostly juice held by starch: counted
    /// at the juice's own Brix and density.
    pub sediment: Option<Amount>,
    /// Two or three readings, in the order taken.
    pub readings: &'a [BrixRead],
    /// The instrument that they were read with.
    pub instrument: Instrument,
    /// The temperature of the drop on the prism.
    pub sample: Celsius,
    /// Greatest difference of two readings that agree, °Bx (season's setting).
    pub agree_within: f64,
}

/// A juice in the figures that everything after it uses.
#[derive(Debug, Clone, PartialEq)]
pub struct Juice {
    /// The Brix that the readings agree on, not corrected for temperature.
    pub brix_read: BrixRead,
    /// Greatest reading less the least, °Bx.
    pub spread: f64,
    /// °Bx added for temperature; nought for an instrument that compensates.
    pub correction: f64,
    /// Dissolved solids at 20 °C, rounded to 0.01 °Bx, so that what is printed is what was used.
    pub brix_20: BrixAt20C,
    /// Density at the temperature of the volume reading, or at 20 °C when it was weighed. kg/m³.
    pub density_kg_m3: f64,
    /// Mass less sediment, to the nearest gram. A weighing is taken as it stands: that a scale
    /// reads juice 0.1 % light for the air it displaces is left out.
    pub mass: Grams,
    /// Volume less sediment, at 20 °C, to the nearest millilitre.
    pub volume_20c: Millilitres,
    /// Mass times `brix_20` over 100 in whole numbers, to the nearest gram, halves up.
    pub solids: Grams,
    /// Cautions to print beside it.
    pub cautions: Vec<&'static str>,
}

/// Brings what was measured to mass, volume at 20 °C and dissolved solids.
///
/// # Errors
/// Beside `amount`, `temp`, `brix_1`, `brix_2`, `brix_3` or `sediment`: nothing there, a volume
/// outside 0–100 °C, readings that do not agree or cannot be corrected, more sediment than juice.
pub fn measure(taken: &Measured<'_>) -> Result<Juice, RuleRefusal> {
    let agreed = agree(taken.readings, taken.agree_within)?;
    let corrected = to_20c(agreed.read, taken.instrument, taken.sample)?;
    let hundredths = (corrected.brix.get() * 100.0).round();
    let brix_20 =
        BrixAt20C::new(hundredths / 100.0).map_err(|r| RuleRefusal::refused("brix_1", &r))?;
    let (whole, density_kg_m3) = mass_checked(taken.amount, brix_20, "amount")?;
    if whole <= Grams::ZERO {
        return Err(RuleRefusal::beside(
            "amount",
            "amount-missing",
            "Please write how much juice there is: its weight, or its volume and temperature.",
        ));
    }
    let sediment = match taken.sediment {
        Some(left) => mass_checked(left, brix_20, "sediment")?.0,
        None => Grams::ZERO,
    };
    if sediment < Grams::ZERO || sediment >= whole {
        return Err(RuleRefusal::beside(
            "sediment",
            "sediment-range",
            "The sediment left behind must be less than all the juice. Please check both figures.",
        ));
    }
    let mass = whole - sediment;
    let mut cautions: Vec<&'static str> = corrected.caution.into_iter().collect();
    if let Amount::Volume(_, at) = taken.amount
        && trust(brix_20, at) != density::Trust::Stated
    {
        cautions.push("This Brix is beyond the density table (80 °Bx); the mass is less sure.");
    }
    Ok(Juice {
        brix_read: agreed.read,
        spread: agreed.spread,
        correction: corrected.added,
        brix_20,
        density_kg_m3,
        mass,
        volume_20c: volume_of(mass, brix_20, twenty()?),
        solids: solids_of(mass, brix_20),
        cautions,
    })
}

fn twenty() -> Result<Celsius, RuleRefusal> {
    Celsius::new(20.0).map_err(|refused| RuleRefusal::refused("temp", &refused))
}

/// Mass of an amount that can be, and the density it was worked with, kg/m³.
fn mass_checked(
    amount: Amount,
    brix: BrixAt20C,
    at_box: &'static str,
) -> Result<(Grams, f64), RuleRefusal> {
    match amount {
        Amount::Weight(grams) => Ok((grams, density::kg_m3(brix, twenty()?))),
        Amount::Volume(ml, at) if (0.0..=100.0).contains(&at.get()) => {
            if ml < Millilitres::ZERO {
                return Err(RuleRefusal::beside(
                    at_box,
                    "amount-negative",
                    "Please write a volume of nought or more.",
                ));
            }
            Ok((amount.mass(brix), density::kg_m3(brix, at)))
        }
        Amount::Volume(..) => Err(RuleRefusal::beside(
            "temp",
            "volume-temperature",
            "Please write the temperature of the juice, from 0 to 100 °C (32–212 °F).",
        )),
    }
}

/// Dissolved solids in a mass: mass × Brix / 100 in whole numbers, Brix taken to 0.01, rounded to
/// the nearest gram, halves up.
pub fn solids_of(mass: Grams, brix: BrixAt20C) -> Grams {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a Brix is at most 95, so at most 9500 hundredths"
    )]
    let hundredths = (brix.get() * 100.0).round() as i128;
    let ten_thousandths = i128::from(mass.get()) * hundredths;
    Grams::new(narrow((ten_thousandths + 5_000).div_euclid(10_000)))
}

fn narrow(wide: i128) -> i64 {
    i64::try_from(wide).unwrap_or(i64::MAX)
}

impl Juice {
    /// Mass and dissolved solids that count when so much of it was measured `twice`: solids in proportion, to the
    /// nearest gram, halves up.
    pub fn counted_once(&self, twice: Grams) -> (Grams, Grams) {
        let counts = self.mass - twice;
        if self.mass <= Grams::ZERO || counts == self.mass {
            return (counts, self.solids);
        }
        let mass = i128::from(self.mass.get());
        let wide = i128::from(self.solids.get()) * i128::from(counts.get());
        let solids = (2 * wide + mass).div_euclid(2 * mass);
        (counts, Grams::new(narrow(solids)))
    }
}

/// A juice to draw from: its volume, mass and solids, all of one liquid.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stock {
    /// All of it. Draws must be measured at the same temperature as this.
    pub volume: Millilitres,
    /// Mass of all the juice.
    pub mass: Grams,
    /// Dissolved solids in all of it.
    pub solids: Grams,
}

/// A part drawn from a juice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Portion {
    /// Volume drawn.
    pub volume: Millilitres,
    /// Mass drawn.
    pub mass: Grams,
    /// Dissolved solids drawn.
    pub solids: Grams,
}

impl Stock {
    /// The part that `drawn` is, after `before` was drawn already.
    ///
    /// Worked on the running total: all drawn so far is rounded to the nearest gram (halves up)
    /// and what had been counted before is taken off. So the parts of a juice drawn to the last
    /// millilitre add up to its mass and solids exactly, however it was divided, and no part is
    /// out by a gram or more.
    ///
    /// # Errors
    /// Beside `drawn`: nothing drawn, or more than is left.
    pub fn draw(self, before: Millilitres, drawn: Millilitres) -> Result<Portion, RuleRefusal> {
        let left = self.volume - before;
        if drawn <= Millilitres::ZERO || before < Millilitres::ZERO {
            return Err(RuleRefusal::beside(
                "drawn",
                "draw-nothing",
                "Please write how much is drawn; it must be more than nothing.",
            ));
        }
        if drawn > left {
            return Err(RuleRefusal::beside(
                "drawn",
                "draw-too-much",
                "That is more than is left of this juice. Please draw less, or correct its volume.",
            ));
        }
        let so_far = before + drawn;
        Ok(Portion {
            volume: drawn,
            mass: self.share(self.mass, so_far) - self.share(self.mass, before),
            solids: self.share(self.solids, so_far) - self.share(self.solids, before),
        })
    }

    /// The volume of a part that was weighed instead of gauged, to the nearest millilitre.
    pub fn volume_of_mass(self, mass: Grams) -> Millilitres {
        let (volume, whole) = (i128::from(self.volume.get()), i128::from(self.mass.get()));
        let twice = 2 * i128::from(mass.get()) * volume + whole;
        Millilitres::new(narrow(twice.div_euclid((2 * whole).max(1))))
    }

    fn share(self, whole: Grams, part: Millilitres) -> Grams {
        let (part, volume) = (i128::from(part.get()), i128::from(self.volume.get()));
        let twice = 2 * i128::from(whole.get()) * part + volume;
        Grams::new(narrow(twice.div_euclid(2 * volume.max(1))))
    }
}

/// How a figure stands against two limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Band {
    /// As it should be.
    Green,
    /// Worth a look.
    Amber,
    /// Something is wrong.
    Red,
}

/// Limits of juice per 100 of cane, percent by mass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ExtractionBands {
    /// Below this is amber.
    pub amber_below: f64,
    /// Below this is red.
    pub red_below: f64,
}

impl ExtractionBands {
    /// Green from 45 (reprinted US extension text), red below 38 (common practice).
    pub const DEFAULT: Self = Self {
        amber_below: 45.0,
        red_below: 38.0,
    };
}

/// Juice per 100 of cane, percent by mass, and its band.
///
/// # Errors
/// Beside `amount`: no cane, or more juice than cane.
pub fn extraction(
    juice: Grams,
    cane: Grams,
    bands: ExtractionBands,
) -> Result<(f64, Band), RuleRefusal> {
    if cane <= Grams::ZERO {
        return Err(RuleRefusal::new(
            "cane-missing",
            "No load of this ticket counts, so its juice cannot be compared with its cane. Please weigh the cane first.",
        ));
    }
    let percent = 100.0 * juice.as_f64() / cane.as_f64();
    if percent > 100.0 {
        return Err(RuleRefusal::beside(
            "amount",
            "more-juice-than-cane",
            format!(
                "That is {percent:.0} of juice from 100 of cane. Please check the juice and the \
                 weighings: cane gives about half its weight."
            ),
        ));
    }
    let band = if percent < bands.red_below {
        Band::Red
    } else if percent < bands.amber_below {
        Band::Amber
    } else {
        Band::Green
    };
    Ok((percent, band))
}

/// The middle of many figures (the mean of the two middle ones when they are even in number);
/// nothing of nothing. Figures that are not numbers are left out.
pub fn median(figures: &[f64]) -> Option<f64> {
    let mut sorted: Vec<f64> = figures.iter().copied().filter(|f| f.is_finite()).collect();
    sorted.sort_by(f64::total_cmp);
    let upper = *sorted.get(sorted.len() / 2)?;
    Some(if sorted.len() % 2 == 1 {
        upper
    } else {
        f64::midpoint(sorted[sorted.len() / 2 - 1], upper)
    })
}

/// Where a thing that spoils stands against its limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Freshness {
    /// It may still wait before the amber limit.
    Fresh,
    /// Past the amber limit: boil it next.
    Soon,
    /// Past the red limit.
    Late,
}

/// How long raw juice may wait.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WaitLimits {
    /// Juice that has waited so long is amber.
    pub amber: Minutes,
    /// Juice that has waited so long is red.
    pub red: Minutes,
}

/// Where a juice pressed at `pressed` stands at `at`, and the minutes left to its red limit
/// (negative once past it).
pub fn juice_clock(pressed: UtcSecond, at: UtcSecond, limits: WaitLimits) -> (Freshness, Minutes) {
    let waited = at.minutes_since(pressed);
    let clock = if waited >= limits.red.get() {
        Freshness::Late
    } else if waited >= limits.amber.get() {
        Freshness::Soon
    } else {
        Freshness::Fresh
    };
    (clock, Minutes::new(limits.red.get() - waited))
}

/// Days after a killing frost (season's setting).
pub const CANE_DAYS_FROST: i64 = 2;

/// Where cane that was cut (or killed by frost) `days` days ago stands against a limit in days,
/// and the days left: fresh before the limit's day, soon on it, late after it.
pub fn cane_clock(days: i64, limit_days: i64) -> (Freshness, i64) {
    let clock = match days.cmp(&limit_days) {
        std::cmp::Ordering::Less => Freshness::Fresh,
        std::cmp::Ordering::Equal => Freshness::Soon,
        std::cmp::Ordering::Greater => Freshness::Late,
    };
    (clock, limit_days - days)
}

#[cfg(test)]
#[path = "juice_tests.rs"]
mod tests;
