//! For the tests of the watch: a course without quirks, the law it follows, and dice that show what they are told.

use super::course::{BoilConditions, Course};
use super::on_fire::Boil;
use super::rise_table::RiseTable;
use crate::calc::boil::boil_plan::{GAL_FT2_L_M2, Pan};
use crate::units::{BrixAt20C, Celsius, Grams, UtcSecond};
use std::collections::VecDeque;
use std::convert::Infallible;

/// Boiling point of water in these tests, °C.
pub(super) const WATER: f64 = 100.0;

/// 40 kg of solids at 15 °Bx on 2 m² that drive off 1.5 gallons a square foot an hour; nobody has learned K.
pub(super) fn boil() -> Boil {
    Boil {
        lit: UtcSecond::new(1_800_000_000),
        solids: Grams::new(40_000),
        juice: BrixAt20C::new(15.0).unwrap(),
        target: BrixAt20C::new(78.0).unwrap(),
        water: Celsius::new(WATER).unwrap(),
        k: None,
        pan: Pan::new(2.0, 1.5 * GAL_FT2_L_M2).unwrap(),
        rate_boils: 4,
    }
}

/// The random draws to come, in their order; panics when more are drawn.
#[derive(Debug, Default)]
pub(super) struct Dice(VecDeque<u64>);

/// Outermost layer but one of the ziggurat (Marsaglia and Tsang 2000, 256 layers): there a draw is the
/// uniform figure times this, as long as it is below 3.44.
const LAYER: f64 = 3.654_152_885_361_009;

impl Dice {
    /// Adds a uniform draw of `share`, 0 to 1.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "53 bits"
    )]
    pub(super) fn even(mut self, share: f64) -> Self {
        self.0.push_back(((share * 2_f64.powi(53)) as u64) << 11);
        self
    }

    /// Adds a normal draw of `z`, −3.4 to 3.4.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "52 bits"
    )]
    pub(super) fn bell(mut self, z: f64) -> Self {
        let share = f64::midpoint(z / LAYER, 1.0);
        self.0
            .push_back(((share * 2_f64.powi(52)) as u64) << 12 | 1);
        self
    }

    /// Whether all of them were drawn.
    pub(super) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl rand::rand_core::TryRng for Dice {
    type Error = Infallible;
    fn try_next_u32(&mut self) -> Result<u32, Infallible> {
        unreachable!("the watch draws 64 bits")
    }
    fn try_next_u64(&mut self) -> Result<u64, Infallible> {
        Ok(self.0.pop_front().expect("a draw that was told"))
    }
    fn try_fill_bytes(&mut self, _: &mut [u8]) -> Result<(), Infallible> {
        unreachable!("the watch draws 64 bits")
    }
}

/// Chance that brings no surprise: normal draws are nought, uniform ones a half.
#[derive(Debug)]
pub(super) struct Still;

impl rand::rand_core::TryRng for Still {
    type Error = Infallible;
    fn try_next_u32(&mut self) -> Result<u32, Infallible> {
        Ok(1 << 31)
    }
    fn try_next_u64(&mut self) -> Result<u64, Infallible> {
        Ok(1 << 63 | 1)
    }
    fn try_fill_bytes(&mut self, _: &mut [u8]) -> Result<(), Infallible> {
        unreachable!("the watch draws 64 bits")
    }
}

/// Juice of 15 °Bx that came to the boil at minute 20, is at 50 °Bx now and loses 0.05 kg of water a minute for each kg
/// of solids.
pub(super) fn plain() -> Course {
    Course {
        u: 1.0,
        u_lit: 100.0 / 15.0 - 1.0,
        boils_at: 20.0,
        ln_rate: 0.05_f64.ln(),
        stray: 0.0,
        stray_sd: 0.1,
        slowing: 0.0,
        ease_to: 0.0,
        ease: 0.0,
        boils_again: 0.0,
        burns_on: false,
        k: 1.1,
        bend: 0.0,
        off: 0.0,
        lag: 1.0,
        behind: 0.0,
        made_by: None,
    }
}

/// A target of 78 °Bx; nobody has said anything.
pub(super) fn conditions() -> BoilConditions {
    BoilConditions {
        rise: RiseTable::new(WATER),
        goal: 100.0 / 78.0 - 1.0,
        checked_at: None,
        drawn_at: None,
        fire_said: None,
    }
}

/// Fails unless two figures agree to a share of a millionth.
#[track_caller]
pub(super) fn close(found: f64, wanted: f64) {
    let off = (found - wanted).abs();
    assert!(
        off <= 1e-6 * wanted.abs().max(1e-3),
        "{found}, not {wanted}"
    );
}
