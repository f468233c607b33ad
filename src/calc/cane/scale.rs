//! Weighing: readings against the scale's graduation, net of gross and tare, what a scale of class
//! III may be out by, and which weights to question. Refusals and doubts are two lists: a doubt may
//! be confirmed by the person who weighed.

use super::expected::Expected;
use crate::calc::RuleRefusal;
use crate::units::{Grams, Pounds, Units, fixed};
use std::fmt::Write as _;

/// What a weight typed in pounds may have been rounded by when it was kept in whole grams.
const ROUNDED_G: f64 = 0.5;
/// Least load in divisions: Class III, from memory (NIST Handbook 44, section 2.20, table 8).
const LEAST_LOAD_D: f64 = 20.0;
/// Without tare, a net weight more than this many times what is expected is asked about.
const FORGOTTEN: f64 = 1.3;
/// A tare more than this many times every tare before, or less than that part of each, is asked about.
const TARE_FAR: f64 = 4.0;

/// A scale's graduation `d`, in grams: the step between two readings. 0.1 g to 100 kg.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Graduation(f64);

impl Graduation {
    /// A graduation of this many grams; 0.5 lb is 226.796185 g.
    ///
    /// # Errors
    /// Not a number from 0.1 g to 100 kg.
    pub fn new(grams: f64) -> Result<Self, RuleRefusal> {
        if (0.1..=100_000.0).contains(&grams) {
            Ok(Self(grams))
        } else {
            Err(RuleRefusal::beside(
                "graduation",
                "graduation-amiss",
                "Please write the step between two readings of the scale, from 0.1 g to 100 kg. It \
                 stands on the scale's plate as d.",
            ))
        }
    }

    /// The graduation in grams.
    pub const fn get(self) -> f64 {
        self.0
    }

    /// The step of a scale that is marked in pounds: a whole number of four-hundredths of a pound, which hundredths and ounces
    /// are. No step in grams or kilograms is.
    fn pounds_step(self) -> Option<Pounds> {
        let steps = self.0 / unit_g(Units::Us) * 400.0;
        let marked = steps > 0.5 && (steps - steps.round()).abs() < 1e-6;
        #[expect(clippy::cast_possible_truncation, reason = "at most 100 kg")]
        marked.then(|| Pounds::new(25 * steps.round() as i64))
    }

    /// The pounds that the scale showed, where it shows pounds: a whole number of its steps, or of tenths of a pound where somebody
    /// read between two steps. `None`: another scale, or grams that were typed.
    pub fn pounds(self, reading: Grams) -> Option<Pounds> {
        let step = self.pounds_step()?;
        Pounds::read(reading, step).or_else(|| Pounds::read(reading, Pounds::new(1000)))
    }

    /// Net cane: pounds less pounds, where the scale showed pounds, then turned into grams once; else grams less grams.
    pub fn net(self, gross: Grams, tare: Grams) -> Net {
        match self.pounds(gross).zip(self.pounds(tare)) {
            Some((gross, tare)) => Net {
                grams: (gross - tare).grams(),
                lb: Some(gross - tare),
            },
            None => Net {
                grams: gross - tare,
                lb: None,
            },
        }
    }

    /// The reading in whole divisions, to the nearest.
    pub fn divisions(self, reading: Grams) -> f64 {
        (reading.as_f64() / self.0).round()
    }

    /// Whether the scale can show this reading: a whole multiple of `d`, but for the rounding to
    /// whole grams when it was kept.
    pub fn can_show(self, reading: Grams) -> bool {
        let off = reading.as_f64() - self.divisions(reading) * self.0;
        off.abs() <= ROUNDED_G + 1e-6
    }

    /// The two readings on either side of one that the scale cannot show.
    pub fn beside(self, reading: Grams) -> (Grams, Grams) {
        let below = (reading.as_f64() / self.0).floor();
        (
            Grams::nearest(below * self.0),
            Grams::nearest((below + 1.0) * self.0),
        )
    }

    /// What the scale may be out by at this load while it is in use, in grams: Class III
    /// maintenance tolerance, 1 d up to 500 d, 2 d up to 2,000 d, 3 d up to 4,000 d, 5 d above.
    /// When new or just adjusted, half of it.
    ///
    /// Source: NIST Handbook 44, section 2.20, table 6.
    pub fn tolerance_g(self, load: Grams) -> f64 {
        self.0 * f64::from(tolerance_d(self.divisions(load)))
    }

    /// Decimals that write every multiple of `d` in the unit of a system, at most three.
    fn decimals(self, units: Units) -> usize {
        let step = self.0 / unit_g(units);
        let power = |k: usize| [1.0, 10.0, 100.0][k];
        (0..3)
            .find(|k| {
                let scaled = step * power(*k);
                (scaled - scaled.round()).abs() < 1e-6
            })
            .unwrap_or(3)
    }

    /// A weight (g) in the unit of a system, with the decimals this scale's readings need.
    pub fn show(self, grams: f64, units: Units) -> String {
        let name = match units {
            Units::Us => "lb",
            Units::Metric => "kg",
        };
        let value = grams / unit_g(units);
        format!("{} {name}", fixed(value, self.decimals(units), units))
    }
}

fn unit_g(units: Units) -> f64 {
    match units {
        Units::Us => 453.592_37,
        Units::Metric => 1000.0,
    }
}

/// Class III maintenance tolerance in divisions, for a load in divisions.
fn tolerance_d(load_d: f64) -> u8 {
    match load_d.abs() {
        n if n <= 500.0 => 1,
        n if n <= 2000.0 => 2,
        n if n <= 4000.0 => 3,
        _ => 5,
    }
}

/// Net cane of one weighing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Net {
    /// Net cane in grams: the figure that a division uses.
    pub grams: Grams,
    /// Net cane in pounds, when the scale showed pounds.
    pub lb: Option<Pounds>,
}

/// What one weighing was taken with and what was expected of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weighing {
    /// The scale's graduation.
    pub graduation: Graduation,
    /// The most that the scale may carry.
    pub capacity: Grams,
    /// Cane with its trailer, cart or basket.
    pub gross: Grams,
    /// Empty trailer, cart or basket.
    pub tare: Grams,
    /// Net cane that is expected, if it is known.
    pub expected: Option<Expected>,
}

impl Weighing {
    /// Net cane: gross less tare.
    ///
    /// # Errors
    /// Every reason why this cannot be a weighing: nothing on the scale, more than it carries, a
    /// tare below zero or not below the gross.
    pub fn net(&self, units: Units) -> Result<Grams, Vec<RuleRefusal>> {
        let mut refusal = Vec::new();
        if self.gross <= Grams::ZERO {
            refusal.push(RuleRefusal::beside(
                "gross",
                "gross-of-nothing",
                "Please write what the scale showed with the cane on it.",
            ));
        } else if self.gross > self.capacity {
            refusal.push(RuleRefusal::beside(
                "gross",
                "over-capacity",
                format!(
                    "This scale carries {} at most. Please weigh in smaller loads, or correct the \
                     reading.",
                    self.capacity.show(units)
                ),
            ));
        }
        if self.tare < Grams::ZERO {
            refusal.push(RuleRefusal::beside(
                "tare",
                "tare-below-zero",
                "Please write the weight of the empty trailer or basket, 0 or more.",
            ));
        } else if self.gross > Grams::ZERO && self.tare >= self.gross {
            refusal.push(RuleRefusal::beside(
                "tare",
                "tare-above-gross",
                format!(
                    "The tare must be less than the gross of {}: the empty trailer or basket weighs \
                     less than with cane on it. Please see whether the two were exchanged.",
                    self.graduation.show(self.gross.as_f64(), units)
                ),
            ));
        }
        if refusal.is_empty() {
            Ok(self.graduation.net(self.gross, self.tare).grams)
        } else {
            Err(refusal)
        }
    }

    /// What to ask before this weighing is kept; the person who weighed may answer that it is so.
    pub fn doubts(&self, units: Units) -> Vec<RuleRefusal> {
        let d = self.graduation;
        let mut doubts = Vec::new();
        for (at, reading) in [("gross", self.gross), ("tare", self.tare)] {
            if !d.can_show(reading) {
                let (below, above) = d.beside(reading);
                doubts.push(RuleRefusal::beside(
                    at,
                    "off-graduation",
                    format!(
                        "This scale reads in steps of {}: {} or {}, nothing between. Please read it \
                         again.",
                        d.show(d.get(), units),
                        d.show(below.as_f64(), units),
                        d.show(above.as_f64(), units)
                    ),
                ));
            }
        }
        let net = self.gross - self.tare;
        if net > Grams::ZERO && net.as_f64() + ROUNDED_G < LEAST_LOAD_D * d.get() {
            doubts.push(RuleRefusal::beside(
                "gross",
                "light-load",
                format!(
                    "Below {} (20 steps) this scale is too coarse to weigh fairly. Please weigh \
                     several bundles together, or use a finer scale.",
                    d.show(LEAST_LOAD_D * d.get(), units)
                ),
            ));
        }
        let far = self.expected.and_then(|e| e.doubt(net, units));
        doubts.extend(far.map(|asked| self.with_figures(asked, units)));
        doubts
    }

    /// A question about the net, with the two figures that it comes from and the likely slip: that one whose point is one place
    /// off, when the net would be as expected with it put right.
    fn with_figures(&self, mut asked: RuleRefusal, units: Units) -> RuleRefusal {
        let show = |g: Grams| self.graduation.show(g.as_f64(), units);
        if self.tare > Grams::ZERO {
            let (gross, tare) = (show(self.gross), show(self.tare));
            asked.sentence = format!("{gross} less {tare}: {}", asked.sentence);
        }
        let fits = |gross: Grams, tare: Grams| {
            gross > tare && self.expected.is_some_and(|e| e.fits(gross - tare))
        };
        let put_right = |weight: Grams, right: &dyn Fn(Grams) -> bool| {
            [10.0, 0.1]
                .map(|times| Grams::nearest(weight.as_f64() * times))
                .into_iter()
                .find(|g| *g > Grams::ZERO && right(*g))
        };
        let gross = put_right(self.gross, &|gross| fits(gross, self.tare));
        let tare = put_right(self.tare, &|tare| fits(self.gross, tare));
        let besides = self
            .expected
            .map_or("", |e| e.besides(self.gross - self.tare));
        let (at, read, right, net) = match (gross, tare) {
            (Some(right), None) => ("gross", self.gross, right, right - self.tare),
            (None, Some(right)) => ("tare", self.tare, right, self.gross - right),
            _ => {
                let or = if besides.is_empty() { "" } else { ", or " };
                let _ = write!(
                    asked.sentence,
                    " Please see whether a digit or the point is out of place{or}{besides}."
                );
                return asked;
            }
        };
        asked.at = Some(at);
        let _ = write!(
            asked.sentence,
            " Is the {at} of {} right? With {} it would be {} net.",
            show(read),
            show(right),
            show(net)
        );
        if !besides.is_empty() {
            let _ = write!(asked.sentence, " Please see also {besides}.");
        }
        asked
    }

    /// A tare that was forgotten, or is some digit off, by the tares that this member's cane had before.
    ///
    /// Forgotten: none, though each load before had one, or though net is above [`FORGOTTEN`] × what is
    /// expected. Off: more than [`TARE_FAR`] times every tare before, or less than that part of each.
    pub fn tare_doubt(&self, before: &[Grams], units: Units) -> Option<RuleRefusal> {
        let show = |g: Grams| self.graduation.show(g.as_f64(), units);
        if self.tare == Grams::ZERO {
            let last = before
                .first()
                .filter(|_| before.iter().all(|t| *t > Grams::ZERO));
            if let Some(last) = last {
                return Some(RuleRefusal::beside(
                    "tare",
                    "tare-forgotten",
                    format!(
                        "No tare, though this member’s cane always had one, {} last. Was the trailer or \
                         basket forgotten?",
                        show(*last)
                    ),
                ));
            }
            // With no turn to compare with, nothing is asked: loads before were bare too, each as heavy as it came.
            let of = self
                .expected
                .filter(|e| matches!(e, Expected::Turn { .. }))?;
            let (expected, all) = of.held_against(self.gross - self.tare);
            return (all.as_f64() > FORGOTTEN * expected.as_f64()).then(|| {
                RuleRefusal::beside(
                    "tare",
                    "no-tare",
                    format!(
                        "No tare, and much more than {}. Was the trailer or basket forgotten?",
                        of.words(units)
                    ),
                )
            });
        }
        let far = |t: &Grams| {
            let ratio = self.tare.as_f64() / t.as_f64();
            !(1.0 / TARE_FAR..=TARE_FAR).contains(&ratio)
        };
        let mut weighed = before.iter().filter(|t| **t > Grams::ZERO).peekable();
        let last = **weighed.peek()?;
        weighed.all(far).then(|| {
            RuleRefusal::beside(
                "tare",
                "tare-far-off",
                format!(
                    "A tare of {}: it was {} last. Is a digit or the point out of place?",
                    show(self.tare),
                    show(last)
                ),
            )
        })
    }
}

#[cfg(test)]
#[path = "scale_tests.rs"]
mod tests;
