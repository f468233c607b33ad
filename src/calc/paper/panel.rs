//! How high the letters of a jar's net contents must be, by the size of the side that a buyer sees.
//! General terms of United States labelling, not legal advice.

use crate::calc::RuleRefusal;
use std::f64::consts::PI;

/// One square inch in mm².
const SQ_IN_MM2: f64 = 25.4 * 25.4;
/// Height of the small letter o over the size of the face it is set in: sans-serif faces have 0.52
/// or more (common practice); half leaves a margin.
const SMALL_O: f64 = 0.5;

/// The part of a jar that a buyer sees first: its label may be smaller, but the height of its
/// letters goes by this (21 CFR 101.1). Lengths in millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Panel {
    /// A round jar: its straight body, without shoulder and neck.
    Round {
        /// Height of the straight body.
        height_mm: f64,
        /// Diameter of the straight body.
        diameter_mm: f64,
    },
    /// A jar with a flat face.
    Flat {
        /// Height of the face.
        height_mm: f64,
        /// Width of the face.
        width_mm: f64,
    },
}

impl Panel {
    /// Area in square inches: height × width, or 40 % of height × circumference (21 CFR 101.1).
    pub fn area_sq_in(self) -> f64 {
        match self {
            Self::Round {
                height_mm,
                diameter_mm,
            } => 0.4 * PI * height_mm * diameter_mm / SQ_IN_MM2,
            Self::Flat {
                height_mm,
                width_mm,
            } => height_mm * width_mm / SQ_IN_MM2,
        }
    }

    /// How high the letters of the net contents must be.
    ///
    /// # Errors
    /// A side that is not above 0 and at most 2 m.
    pub fn type_height(self) -> Result<TypeHeight, RuleRefusal> {
        let (Self::Round {
            height_mm: a,
            diameter_mm: b,
        }
        | Self::Flat {
            height_mm: a,
            width_mm: b,
        }) = self;
        if [a, b].iter().any(|side| !(*side > 0.0 && *side <= 2000.0)) {
            return Err(RuleRefusal::new(
                "panel-amiss",
                "Please measure the straight part of the jar: its height and width, each above 0 \
                 and up to 2 m.",
            ));
        }
        // Sides typed in inches are kept in millimetres; a panel of exactly 5 in² stays one.
        let at_most = |sq_in: f64| self.area_sq_in() <= sq_in * (1.0 + 1e-9);
        Ok(match () {
            () if at_most(5.0) => TypeHeight::Sixteenth,
            () if at_most(25.0) => TypeHeight::Eighth,
            () if at_most(100.0) => TypeHeight::ThreeSixteenths,
            () if at_most(400.0) => TypeHeight::Quarter,
            () => TypeHeight::Half,
        })
    }
}

/// The least height of the letters of the net contents, in inches: 21 CFR 101.7(i). Measured on
/// capitals, or on the small letter o where small letters are used (101.7(h)).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum TypeHeight {
    /// Up to 5 in².
    Sixteenth,
    /// Over 5, up to 25 in².
    Eighth,
    /// Over 25, up to 100 in².
    ThreeSixteenths,
    /// Over 100, up to 400 in².
    Quarter,
    /// Over 400 in².
    Half,
}

impl TypeHeight {
    /// The height in inches, as printed: "1/8 in".
    pub const fn inches(self) -> &'static str {
        match self {
            Self::Sixteenth => "1/16 in",
            Self::Eighth => "1/8 in",
            Self::ThreeSixteenths => "3/16 in",
            Self::Quarter => "1/4 in",
            Self::Half => "1/2 in",
        }
    }

    /// In millimetres, the larger of the two published figures (the inch fraction; NIST Handbook
    /// 130, from memory).
    pub const fn mm(self) -> f64 {
        match self {
            Self::Sixteenth => 1.6,
            Self::Eighth => 3.2,
            Self::ThreeSixteenths => 4.8,
            Self::Quarter => 6.4,
            Self::Half => 12.7,
        }
    }

    /// The size, in millimetres, to set a sans-serif face in so that its small letter o is high
    /// enough.
    pub fn font_size_mm(self) -> f64 {
        self.mm() / SMALL_O
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panel_without_size_is_refused() {
        for side in [0.0, -1.0, f64::NAN, 2001.0] {
            let panel = Panel::Flat {
                height_mm: 50.0,
                width_mm: side,
            };
            assert_eq!(panel.type_height().unwrap_err().code, "panel-amiss");
        }
    }
}
