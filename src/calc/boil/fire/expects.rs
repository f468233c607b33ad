//! What the thermometer is expected to show as time goes on without a reading, for the keys of a phone beside the pan.

use super::course::Course;
use super::sensors;
use super::watch::{Watch, minutes_between};
use crate::units::UtcSecond;
use rand::SeedableRng;
use rand_pcg::Pcg64Mcg;

/// So few courses tell the middle of a temperature to less than the half degree from one key to the next.
const FEW: usize = 60;
/// From one temperature to the next, minutes, and how many are foretold, so that the last is for three quarters of an hour
/// on; `kept-pan.js` counts by the same.
const EVERY_MIN: u8 = 5;
const MANY: u8 = 10;

impl Watch {
    /// The middle of what the thermometer should show, °C: at a moment and every few minutes from then on.
    pub fn expects(&mut self, at: UtcSecond) -> Vec<f64> {
        let minute = minutes_between(self.boil().lit, at).max(0.0);
        let mut few = self.belief_at(minute);
        let (_, seed) = self.followed_by();
        let places = few.spread(FEW, &mut Pcg64Mcg::seed_from_u64(seed));
        few.courses = places.iter().map(|place| few.courses[*place]).collect();
        few.weights = few.courses.iter().map(|_| 1.0).collect();
        few.even_out();
        let (conditions, water) = (&self.conditions, self.boil().water.get());
        (0..MANY)
            .map(|n| {
                let then = minute.max(self.belief.at) + f64::from(EVERY_MIN * n);
                few.advance(conditions, then);
                let shown = |c: &Course| sensors::temp_of(c, conditions, water, few.at).0;
                few.quantiles(shown, [0.5])[0]
            })
            .collect()
    }
}
