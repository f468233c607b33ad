//! The program's own watch, as the judge sees it.

use canewright::calc::boil::boil_plan::Pan;
use canewright::calc::boil::fire::call::Call;
use canewright::calc::boil::fire::on_fire::{Boil, By, Done, FireSaid, Reading, Taught};
use canewright::calc::boil::fire::watch::Watch;
use canewright::units::{BrixAt20C, Celsius, Grams, UtcSecond};

/// The program's watch.
#[derive(Debug, Clone)]
pub struct OwnWatch(Watch);

const LIT: UtcSecond = UtcSecond::new(1_800_000_000);

#[expect(clippy::cast_possible_truncation, reason = "minutes of a boil")]
fn second(minute: f64) -> UtcSecond {
    LIT.plus((minute * 60.0).round() as i64)
}

#[expect(clippy::cast_precision_loss, reason = "minutes of a boil")]
fn minute(at: UtcSecond) -> f64 {
    (at.get() - LIT.get()) as f64 / 60.0
}

/// A boil as the mill knows it.
///
/// # Panics
/// On a setup that the project would refuse.
pub fn boil(setup: &crate::fire::face::Setup) -> Boil {
    Boil {
        lit: LIT,
        solids: Grams::nearest(setup.solids_g),
        juice: BrixAt20C::new(setup.juice_brix).expect("a juice"),
        target: BrixAt20C::new(setup.target_brix).expect("a target"),
        water: Celsius::new(setup.water_c).expect("a boiling point"),
        k: setup.k.map(|(value, boils)| Taught { value, boils }),
        pan: Pan::new(setup.area_m2, setup.rate_l_m2_h).expect("a pan"),
        rate_boils: setup.rate_boils,
    }
}

impl crate::fire::face::Watch for OwnWatch {
    fn start(setup: &crate::fire::face::Setup) -> Self {
        Self(Watch::start(boil(setup)))
    }

    fn take(&mut self, reading: crate::fire::face::Reading) {
        self.0.take(&Reading {
            at: second(reading.at),
            temp: reading.temp_c.and_then(|t| Celsius::new(t).ok()),
            brix: reading.brix.and_then(|b| BrixAt20C::new(b).ok()),
            done: None,
            by: if reading.probe { By::Probe } else { By::Hand },
            sure: false,
        });
    }

    fn fire(&mut self, at: f64, let_down: bool) {
        self.0.take(&Reading {
            at: second(at),
            temp: None,
            brix: None,
            done: Some(Done::Fire(if let_down {
                FireSaid::LetDown
            } else {
                FireSaid::Stays
            })),
            by: By::Hand,
            sure: false,
        });
    }

    fn look(&mut self, at: f64) -> crate::fire::face::Look {
        let seen = self.0.look(second(at));
        crate::fire::face::Look {
            call: match seen.call {
                // Nobody draws the fire here before the boil is judged.
                Call::Drawn | Call::Heating => crate::fire::face::Call::Heating,
                Call::TooEarly => crate::fire::face::Call::TooEarly,
                Call::Going => crate::fire::face::Call::Going,
                Call::Check => crate::fire::face::Call::Check,
                Call::There => crate::fire::face::Call::Draw,
                Call::Past | Call::Candy => crate::fire::face::Call::Past,
            },
            finish: seen
                .finish
                .map(|f| [minute(f.earliest), minute(f.finish), minute(f.latest)]),
            next_reading: minute(seen.next_reading),
            wants_brix: seen.wants_brix,
        }
    }
}
