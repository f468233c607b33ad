//! A boil whose course is written down beforehand, and a watcher that has read it: to judge the judge.

use crate::fire::face::{Boil, Call, Cell, Look, Make, Reading, Setup, Watch};
use crate::fire::make_a::liquor::{Solids, boiling_water};

const SEA: f64 = 101_325.0;
const SOLIDS: Solids = Solids {
    invert: 0.1,
    ash: 0.0,
    gums: 0.1,
};

/// Brix rises from 20 by half a degree a minute: 78 at minute 116.
pub struct Script {
    minute: f64,
    drawn: Option<f64>,
}

impl Script {
    /// Minute of 78 °Bx.
    pub const FINISH: f64 = 116.0;
    /// °Bx that are added once the fire is drawn.
    pub const AFTER: f64 = 0.3;
}

impl Make for Script {
    fn new(_: u64, _: Cell) -> Self {
        Self {
            minute: 0.0,
            drawn: None,
        }
    }

    fn true_k(&self) -> f64 {
        SOLIDS.factor_k(78.0, SEA)
    }
}

impl Boil for Script {
    fn setup(&self) -> Setup {
        Setup {
            solids_g: 20_000.0,
            juice_brix: 20.0,
            target_brix: 78.0,
            water_c: boiling_water(SEA),
            k: Some((self.true_k(), 5)),
            area_m2: 1.0,
            rate_l_m2_h: 40.0,
            rate_boils: 5,
        }
    }

    fn advance(&mut self, to_min: f64) {
        assert!(to_min >= self.minute, "time goes on");
        self.minute = to_min;
    }

    fn ease(&mut self) {}

    fn draw(&mut self) {
        self.drawn = Some(self.brix() + Self::AFTER);
    }

    fn thermometer(&mut self) -> f64 {
        let brix = self.brix();
        SOLIDS.boiling_point((100.0 - brix) / brix, SEA)
    }

    fn drop_brix(&mut self) -> f64 {
        self.brix()
    }

    fn probe(&mut self) -> f64 {
        self.thermometer()
    }

    fn drop_delay(&mut self) -> f64 {
        3.0
    }

    fn brix(&self) -> f64 {
        self.drawn.unwrap_or(20.0 + 0.5 * self.minute)
    }

    fn boiling(&self) -> bool {
        true
    }
}

/// Knows the script; asks for a reading 4 min after the last.
pub struct Knowing {
    last: f64,
}

impl Watch for Knowing {
    fn start(_: &Setup) -> Self {
        Self { last: 0.0 }
    }

    fn take(&mut self, reading: Reading) {
        self.last = reading.at;
    }

    fn look(&mut self, at: f64) -> Look {
        let left = Script::FINISH - at;
        let call = match left {
            x if x <= 0.0 => Call::Draw,
            x if x <= 10.0 => Call::Check,
            _ => Call::Going,
        };
        let finish = Some([Script::FINISH - 0.1, Script::FINISH, Script::FINISH + 0.1]);
        Look {
            call,
            finish,
            next_reading: at.max(self.last + 4.0),
            wants_brix: false,
        }
    }
}
