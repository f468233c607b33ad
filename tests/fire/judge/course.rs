//! What is to be judged of one boil.

use crate::fire::face::Setup;
use crate::fire::make_a::liquor::{boiling_water, sucrose_rise, vapour_pressure};

/// Boils are followed until this far past the target, °Bx.
pub const FAR_PAST: f64 = 4.0;
/// Factor K of the plain rule where none is learned.
const RULE_K: f64 = 1.10;

/// What was told at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Told {
    /// Minute.
    pub at: f64,
    /// Earliest, middle, latest.
    pub finish: Option<[f64; 3]>,
}

/// What came of one boil.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Course {
    /// Seed of the boil.
    pub seed: u64,
    /// Target, °Bx.
    pub target: f64,
    /// When the true Brix passed the target, min.
    pub finish: Option<f64>,
    /// What was told right after each reading by hand up to the finish.
    pub readings: Vec<Told>,
    /// What was told at each look up to the finish.
    pub looks: Vec<Told>,
    /// The call was neither check nor draw nor past as the true Brix passed the target + 1.
    pub not_yet: Option<bool>,
    /// Minute of the first check or more.
    pub check: Option<f64>,
    /// True Brix at the first draw or more, and the minute.
    pub draw: Option<(f64, f64)>,
    /// True Brix at which the plain rule draws.
    pub rule: Option<f64>,
    /// True Brix when no longer followed.
    pub end: f64,
    /// True Brix in the jar if the fire is drawn at the first draw; only if asked for.
    pub jar: Option<f64>,
}

impl Course {
    /// True Brix at the first draw; where there was none, that at the end.
    #[must_use]
    pub fn drawn_at(&self) -> f64 {
        self.draw.map_or(self.end, |(brix, _)| brix)
    }

    /// Minutes from the first check until the true Brix reached the target; below 0 if it came after; −60 if never.
    #[must_use]
    pub fn check_lead(&self) -> f64 {
        match (self.check, self.finish) {
            (Some(check), Some(finish)) => finish - check,
            _ => -60.0,
        }
    }
}

/// The temperature of the plain rule "so many degrees above the morning's boiling water", °C.
#[must_use]
pub fn rule_temperature(setup: &Setup) -> f64 {
    let k = setup.k.map_or(RULE_K, |(k, _)| k);
    // The pressure hardly moves the rise: that of the thermometer's own boiling water will do.
    let pascal = vapour_pressure(setup.water_c).clamp(75e3, 105e3);
    debug_assert!((boiling_water(pascal) - setup.water_c).abs() < 20.0);
    setup.water_c + k * sucrose_rise(setup.target_brix, pascal)
}
