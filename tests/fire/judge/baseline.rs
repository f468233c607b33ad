//! A watcher of a few lines: last reading, straight line. What any good watcher must beat.

use super::course::rule_temperature;
use crate::fire::face::{Call, Look, Reading, Setup, Watch};
use crate::fire::make_a::liquor::sucrose_rise;

/// Takes the last reading as the truth and goes on from it at the usual rate.
#[derive(Debug)]
pub struct Baseline {
    setup: Setup,
    draw_c: f64,
    /// Water still to drive off as of the last reading, kg, and its minute.
    left: Option<(f64, f64)>,
}

impl Baseline {
    fn water_left(&self, brix: f64) -> f64 {
        self.setup.solids_g / 1000.0 * (100.0 / brix.max(1.0) - 100.0 / self.setup.target_brix)
    }

    fn brix_at(&self, rise: f64) -> f64 {
        let full = self.draw_c - self.setup.water_c;
        let (mut low, mut high) = (5.0, 86.0);
        for _ in 0..25 {
            let mid = f64::midpoint(low, high);
            // Sea level is near enough for a baseline.
            let part =
                sucrose_rise(mid, 101_325.0) / sucrose_rise(self.setup.target_brix, 101_325.0);
            if part * full < rise {
                low = mid;
            } else {
                high = mid;
            }
        }
        low
    }
}

impl Watch for Baseline {
    fn start(setup: &Setup) -> Self {
        Self {
            setup: *setup,
            draw_c: rule_temperature(setup),
            left: None,
        }
    }

    fn take(&mut self, reading: Reading) {
        let brix = reading.brix.or_else(|| {
            let rise = reading.temp_c? - self.setup.water_c;
            (rise > 0.5).then(|| self.brix_at(rise))
        });
        if let Some(brix) = brix {
            self.left = Some((self.water_left(brix), reading.at));
        }
    }

    fn look(&mut self, at: f64) -> Look {
        let Some((left, since)) = self.left else {
            return Look {
                call: Call::Heating,
                finish: None,
                next_reading: at + 10.0,
                wants_brix: false,
            };
        };
        let a_minute = self.setup.rate_l_m2_h * self.setup.area_m2 / 60.0;
        let rest = left / a_minute;
        let finish = since + rest;
        let call = if at >= finish + 2.0 {
            Call::Past
        } else if at >= finish {
            Call::Draw
        } else if at >= finish - 10.0 {
            Call::Check
        } else {
            Call::Going
        };
        let width = 0.15 * rest.abs() + 1.0;
        Look {
            call,
            finish: Some([finish - width, finish, finish + width]),
            next_reading: since + (0.4 * rest).clamp(2.0, 15.0),
            wants_brix: rest < 15.0,
        }
    }
}
