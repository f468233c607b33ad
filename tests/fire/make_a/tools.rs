//! Thermometer, probe and refractometer with the errors that such tools have.

use crate::fire::make_a::dice::Dice;

/// Marks on a thermometer's scale.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scale {
    /// Read to 1 °F.
    WholeF,
    /// Read to 0.5 °F.
    HalfF,
    /// Read to 0.5 °C.
    HalfC,
}

impl Scale {
    /// Deviation that reading to the nearest mark adds, K: a mark over √12.
    #[must_use]
    pub fn coarseness(self) -> f64 {
        match self {
            Self::WholeF => 0.160,
            Self::HalfF => 0.080,
            Self::HalfC => 0.144,
        }
    }

    /// The nearest mark, °C.
    #[must_use]
    pub fn round(self, celsius: f64) -> f64 {
        let f = celsius * 1.8 + 32.0;
        match self {
            Self::WholeF => (f.round() - 32.0) / 1.8,
            Self::HalfF => ((f * 2.0).round() / 2.0 - 32.0) / 1.8,
            Self::HalfC => (celsius * 2.0).round() / 2.0,
        }
    }
}

/// What the bulb of a thermometer is in.
#[derive(Debug, Clone, Copy)]
pub struct Around {
    /// Liquid, °C.
    pub liquid: f64,
    /// Wall, °C.
    pub wall: f64,
}

/// A thermometer standing in the pan.
#[derive(Debug, Clone)]
pub struct Thermometer {
    /// First-order lag, s.
    pub lag_s: f64,
    /// Reads so much too high, K; the morning's boiling water shows it too.
    pub offset: f64,
    /// Part of the wall's excess that the bulb near the bottom feels.
    pub bottom: f64,
    /// Stem error, K for a degree above boiling water.
    pub stem: f64,
    /// Deviation of one reading, K.
    pub noise: f64,
    /// Chance that the bulb stands in foam or steam when read, and reads low.
    pub foam: f64,
    bulb: f64,
}

impl Thermometer {
    /// A hand thermometer as such mills have them.
    #[must_use]
    pub fn by_hand(dice: &mut Dice) -> Self {
        Self {
            lag_s: dice.even_log(4.0, 45.0),
            offset: dice.normal(0.8).clamp(-2.0, 2.0),
            bottom: if dice.chance(0.5) {
                dice.even(0.0, 0.004)
            } else {
                0.0
            },
            stem: dice.normal(0.012),
            noise: dice.even(0.08, 0.28),
            foam: dice.even(0.0, 0.03),
            bulb: 20.0,
        }
    }

    /// A probe that sends by itself, set in the morning against `hand` to 0.15 K.
    #[must_use]
    pub fn probe(hand: &Self, dice: &mut Dice) -> Self {
        Self {
            lag_s: dice.even_log(3.0, 20.0),
            offset: hand.offset + dice.normal(0.15),
            bottom: if dice.chance(0.5) {
                dice.even(0.0, 0.003)
            } else {
                0.0
            },
            stem: dice.normal(0.005),
            noise: dice.even(0.04, 0.15),
            foam: 0.002,
            bulb: 20.0,
        }
    }

    fn felt(&self, around: Around) -> f64 {
        around.liquid + self.bottom * (around.wall - around.liquid)
    }

    /// What it shows above its own boiling water of `water` °C when it has had time to settle, K.
    #[must_use]
    pub fn settled_rise(&self, around: Around, water: f64) -> f64 {
        (self.felt(around) - water) * (1.0 + self.stem)
    }

    /// Lets the bulb follow for `dt` s.
    pub fn follow(&mut self, dt: f64, around: Around) {
        self.bulb += (self.felt(around) - self.bulb) * (1.0 - (-dt / self.lag_s).exp());
    }

    /// What it would show without noise and rounding, °C.
    #[must_use]
    pub fn shows(&self, water: f64) -> f64 {
        self.bulb + self.offset + self.stem * (self.bulb - water)
    }

    /// One reading before rounding, °C.
    pub fn read(&self, water: f64, dice: &mut Dice) -> f64 {
        let low = if dice.chance(self.foam) {
            dice.even(0.5, 3.0)
        } else {
            0.0
        };
        self.shows(water) + dice.normal(self.noise) - low
    }
}

/// A refractometer.
#[derive(Debug, Clone, Copy)]
pub struct Refractometer {
    /// Reads so much too high all day, °Bx: zero and a temperature compensation that does not work.
    pub bias: f64,
    /// Deviation of one reading, °Bx, at 78 °Bx; a third of it in thin juice.
    pub noise: f64,
    /// Smallest mark, °Bx.
    pub mark: f64,
}

impl Refractometer {
    /// A refractometer as such mills have them.
    #[must_use]
    pub fn new(dice: &mut Dice) -> Self {
        let wrong = if dice.chance(0.12) {
            dice.even(0.5, 1.5) * if dice.chance(0.5) { 1.0 } else { -1.0 }
        } else {
            0.0
        };
        Self {
            bias: dice.normal(0.25) + wrong,
            noise: dice.even(0.2, 0.5),
            mark: if dice.chance(0.5) { 0.5 } else { 0.2 },
        }
    }

    /// What a drop of `brix` says on the whole, and the deviation of one, °Bx.
    #[must_use]
    pub fn shown(&self, brix: f64) -> (f64, f64) {
        let part = 1.0 / 3.0 + 2.0 / 3.0 * (brix / 78.0).min(1.2);
        (
            brix + self.bias * part,
            (self.noise * part).hypot(self.mark / 3.46),
        )
    }

    /// Reads a drop of `brix`, °Bx.
    pub fn read(&self, brix: f64, dice: &mut Dice) -> f64 {
        // A drop still hot reads low, one left to dry on the prism reads high.
        let drop = if dice.chance(0.07) {
            -dice.even(0.4, 2.0)
        } else if dice.chance(0.08) {
            dice.even(0.2, 0.8)
        } else {
            0.0
        };
        let part = 1.0 / 3.0 + 2.0 / 3.0 * (brix / 78.0).min(1.2);
        let seen = brix + (self.bias + drop) * part + dice.normal(self.noise * part);
        ((seen / self.mark).round() * self.mark).max(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_those_of_the_scale() {
        assert!((Scale::WholeF.round(108.4) - 108.333_333).abs() < 1e-6);
        assert!((Scale::HalfF.round(108.4) - 108.333_333).abs() < 1e-6);
        assert!((Scale::HalfC.round(108.4) - 108.5).abs() < 1e-9);
    }

    #[test]
    fn a_bulb_follows_with_its_lag() {
        let mut dice = Dice::new(1, 1);
        let mut tool = Thermometer {
            lag_s: 30.0,
            bottom: 0.0,
            ..Thermometer::by_hand(&mut dice)
        };
        let around = Around {
            liquid: 100.0,
            wall: 140.0,
        };
        for _ in 0..30 {
            tool.follow(1.0, around);
        }
        // After one lag 63.2 % of the way from 20 to 100 °C.
        assert!((tool.shows(100.0) - tool.offset - 70.57).abs() < 0.6 + tool.stem.abs() * 30.0);
    }

    #[test]
    fn most_drops_are_read_near_the_truth() {
        let mut dice = Dice::new(5, 2);
        let tool = Refractometer {
            bias: 0.0,
            noise: 0.3,
            mark: 0.5,
        };
        let near = (0..1000)
            .filter(|_| (tool.read(78.0, &mut dice) - 78.0).abs() < 1.0)
            .count();
        assert!((850..995).contains(&near), "{near}");
    }
}
