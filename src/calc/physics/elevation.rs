//! How much hotter than water a sugar solution boils, both ways, and the finish temperature of a
//! boil with its honest uncertainty. Temperature guides; the refractometer decides.
//!
//! Source: Starzak and Peacock, Zuckerindustrie 122 (1997), water activity of sucrose solutions
//! over 56 studies; the coefficients were read, the form of the bracket is from memory and was
//! confirmed by its numbers (maple's 7 °F at 66 °Bx, candy stages, Zobrist 2011 at 25 °C). Pure
//! sucrose: ±0.2 °C to 67 °Bx. Sorghum has more invert and ash and boils higher, by the factor K.

use std::ops::RangeInclusive;

use super::steam::{ZERO_C_K, boiling_c, boiling_hpa, standard_hpa};
use crate::calc::RuleRefusal;
use crate::units::{Altitude, BrixAt20C, Celsius, CelsiusDifference};

/// Gas constant, J/(mol K).
const R: f64 = 8.314_462_618;
/// Molar masses of sucrose and water, g/mol.
const SUCROSE: f64 = 342.2965;
const WATER: f64 = 18.015_28;
/// Starzak and Peacock: Q in J/mol, a and b.
const Q: f64 = -17_638.0;
const A: f64 = -1.0038;
const B: f64 = -0.246_53;
/// Highest Brix the inverse answers for.
const MOST_BRIX: f64 = 92.0;

/// A mill's factor K: by how much its syrup's boiling-point rise exceeds pure sucrose's.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Factor(f64);

impl Factor {
    /// Default for sorghum, 1.10: invert and ash raise the rise (Norrish's ratios for 10–40 %
    /// invert are 1.04–1.16).
    pub const DEFAULT: Self = Self(1.10);
    /// The factor of pure sucrose.
    pub const PURE: Self = Self(1.0);

    /// What a mill's instruments may show: beyond what syrup has (1.00 to 1.30), since a thermometer or a
    /// refractometer that is out is part of what K stands for.
    pub const RANGE: RangeInclusive<f64> = 0.80..=1.65;

    /// A factor of so much.
    ///
    /// # Errors
    /// Outside [`Factor::RANGE`].
    pub fn new(value: f64) -> Result<Self, RuleRefusal> {
        if Self::RANGE.contains(&value) {
            Ok(Self(value))
        } else {
            Err(RuleRefusal::beside(
                "factor_k",
                "factor-range",
                "Please write a factor K from 0.80 to 1.65. Pure sugar has 1.00, most sorghum 1.10; beyond 1.30 look at the instruments first.",
            ))
        }
    }

    /// The factor as a plain number; 1 is pure sucrose.
    pub const fn get(self) -> f64 {
        self.0
    }
}

/// Water activity of a pure sucrose solution of `brix` percent at `celsius`.
pub fn water_activity(brix: f64, celsius: f64) -> f64 {
    let moles = brix / SUCROSE;
    let x = moles / (moles + (100.0 - brix) / WATER);
    let ln_gamma = Q / (R * (celsius + ZERO_C_K)) * x * x * (1.0 + x * (A + x * B));
    (1.0 - x) * ln_gamma.exp()
}

/// Boiling temperature of pure sucrose solution, °C, under a pressure in hPa.
fn pure_boiling_c(brix: f64, hpa: f64) -> f64 {
    // Water activity barely depends on temperature, so each round gains two or three digits.
    (0..12).fold(boiling_c(hpa), |t, _| {
        boiling_c(hpa / water_activity(brix, t))
    })
}

/// Boiling-point rise, °C, of a solution of `brix` percent where water boils at `water` °C.
pub(in crate::calc) fn rise_c(brix: f64, water: f64, factor: Factor) -> f64 {
    factor.get() * (pure_boiling_c(brix, boiling_hpa(water)) - water)
}

/// How far above boiling water, which boils at `water`, a solution boils.
pub fn rise(brix: BrixAt20C, water: Celsius, factor: Factor) -> CelsiusDifference {
    CelsiusDifference::new(rise_c(brix.get(), water.get(), factor))
}

/// The Brix, 0 to 92, of what boils at `temp` where water boils at `water`; nothing when it is
/// below boiling water or hotter than any syrup.
pub fn brix_boiling_at(temp: Celsius, water: Celsius, factor: Factor) -> Option<BrixAt20C> {
    let wanted = temp.get() - water.get();
    let pure = water.get() + wanted / factor.get();
    // It boils where the steam over it, its activity times that over water, is as the air presses.
    let activity = boiling_hpa(water.get()) / boiling_hpa(pure);
    if wanted < 0.0 || water_activity(MOST_BRIX, pure) > activity {
        return None;
    }
    let (mut low, mut high) = (0.0_f64, MOST_BRIX);
    for _ in 0..50 {
        let middle = f64::midpoint(low, high);
        if water_activity(middle, pure) > activity {
            low = middle;
        } else {
            high = middle;
        }
    }
    BrixAt20C::new(f64::midpoint(low, high)).ok()
}

/// How the day's boiling point of water is known, best first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WaterBoil {
    /// Read this day in boiling water, with the thermometer the finish is read with.
    Measured(Celsius),
    /// Worked out from the mill's height alone.
    Altitude(Altitude),
}

impl WaterBoil {
    /// Where water boils this day, and how far out that may be (two thirds of the time).
    ///
    /// The allowances: a degree Fahrenheit divided by two to read in boiling water; an unchecked
    /// thermometer ±0.6 °C (both common practice); weather ±1 inHg at a fixed height, of which two
    /// thirds is taken (0.94 °C per inHg).
    ///
    /// # Errors
    /// A measured boiling point that no air allows: outside 80–103 °C, beside `water_boil`.
    pub fn known(self) -> Result<(Celsius, CelsiusDifference), RuleRefusal> {
        let (water, out_by) = match self {
            Self::Measured(read) if (80.0..=103.0).contains(&read.get()) => (read.get(), 0.3),
            Self::Measured(_) => {
                return Err(RuleRefusal::beside(
                    "water_boil",
                    "water-boil-range",
                    "Water boils between 80 and 103 °C (176–217 °F) at any mill. Please boil water \
                     hard, hold the thermometer clear of the bottom and read it again.",
                ));
            }
            Self::Altitude(height) => (boiling_c(standard_hpa(height)), 0.9),
        };
        let water = Celsius::new(water).map_err(|r| RuleRefusal::refused("water_boil", &r))?;
        Ok((water, CelsiusDifference::new(out_by)))
    }
}

/// How the factor K came about, which says how far the finish temperature may be out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FactorFrom {
    /// The default or somebody's guess: models of impure syrup differ by ±1.2 °C at 78 °Bx.
    Guess,
    /// Learned from this many finished boils, refractometer against thermometer.
    Learned(u32),
}

/// What the thermometer should show when a boil is done.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Finish {
    /// Where water boils this day.
    pub water: Celsius,
    /// How far the finish lies above boiling water.
    pub rise: CelsiusDifference,
    /// Temperature of the finish.
    pub temp: Celsius,
    /// How far the true finish may lie from it, either way (about two thirds of the time).
    pub plus_minus: CelsiusDifference,
    /// That uncertainty in °Bx of syrup.
    pub brix_plus_minus: f64,
}

/// Half the spread of published models for impure syrup, °C, by Brix (S&P to Norrish with a quarter
/// invert to the old confectioners' table).
const SPREAD: [(f64, f64); 6] = [
    (0.0, 0.0),
    (40.0, 0.2),
    (60.0, 0.3),
    (74.0, 1.0),
    (78.0, 1.2),
    (80.0, 1.4),
];
/// Uncertainty that stays after learning K from one boil, and that never goes, °Bx.
const LEARNED_BRIX: f64 = 0.5;

fn spread_c(brix: f64) -> f64 {
    let after = SPREAD
        .partition_point(|(b, _)| *b < brix)
        .clamp(1, SPREAD.len() - 1);
    let ((b0, s0), (b1, s1)) = (SPREAD[after - 1], SPREAD[after]);
    // Beyond 80 °Bx the last slope goes on: it gets no surer.
    s0 + (s1 - s0) * (brix - b0) / (b1 - b0)
}

/// The finish temperature for a target, where water boils as `water_boil` says.
///
/// The uncertainty joins (root of squares) that of the water boil with the model's: the spread of
/// published models while K is a guess; ±0.5 °Bx once it is learned from three boils, and between
/// the two for one or two boils.
///
/// # Errors
/// As [`WaterBoil::known`]; a target outside 60–90 °Bx, beside `target_brix`.
pub fn finish(
    target: BrixAt20C,
    water_boil: WaterBoil,
    factor: Factor,
    from: FactorFrom,
) -> Result<Finish, RuleRefusal> {
    let brix = target.get();
    if !(60.0..=90.0).contains(&brix) {
        return Err(RuleRefusal::beside(
            "target_brix",
            "target-range",
            "Please set a finish from 60 to 90 °Bx; sorghum syrup is finished at 74 to 80.",
        ));
    }
    let (water, water_out) = water_boil.known()?;
    let rise = rise(target, water, factor);
    let slope = rise_c(brix + 0.5, water.get(), factor) - rise_c(brix - 0.5, water.get(), factor);
    let guessed = spread_c(brix);
    let model_c = match from {
        FactorFrom::Guess | FactorFrom::Learned(0) => guessed,
        FactorFrom::Learned(boils) => {
            let learned = LEARNED_BRIX * slope;
            let weight = f64::from(boils.min(3)) / 3.0;
            learned + (guessed - learned).max(0.0) * (1.0 - weight)
        }
    };
    let out_by = water_out.get().hypot(model_c);
    let temp = Celsius::new(water.get() + rise.get())
        .map_err(|refused| RuleRefusal::refused("target_brix", &refused))?;
    Ok(Finish {
        water,
        rise,
        temp,
        plus_minus: CelsiusDifference::new(out_by),
        brix_plus_minus: out_by / slope,
    })
}

#[cfg(test)]
mod tests {
    use super::super::steam::boils_at;
    use super::*;
    use crate::units::Hectopascals;
    use proptest::prelude::*;

    fn bx(value: f64) -> BrixAt20C {
        BrixAt20C::new(value).unwrap()
    }
    fn c(value: f64) -> Celsius {
        Celsius::new(value).unwrap()
    }
    const SEA: f64 = 99.974;

    #[test]
    fn water_boils_at_its_own_temperature() {
        for k in [Factor::PURE, Factor::DEFAULT] {
            assert!(rise(bx(0.0), c(SEA), k).get().abs() < 1e-9);
        }
    }

    #[test]
    fn the_rise_comes_out_as_the_reference_table_says() {
        // Worked from the same formula apart from this code.
        for (brix, pure) in [
            (10.0, 0.17),
            (40.0, 1.15),
            (60.0, 2.94),
            (70.0, 4.99),
            (74.0, 6.33),
            (78.0, 8.22),
            (80.0, 9.46),
        ] {
            let found = rise(bx(brix), c(SEA), Factor::PURE).get();
            assert!((found - pure).abs() < 0.006, "{brix}: {found}");
        }
        let high = rise(
            bx(78.0),
            boils_at(Hectopascals::new(800.0).unwrap()).unwrap(),
            Factor::PURE,
        );
        assert!((high.get() - 7.95).abs() < 0.01);
    }

    #[test]
    fn thin_to_thick_syrup_spans_about_224_to_230_f_near_the_sea() {
        // Common practice among sorghum cooks; published 226–230 °F (extension advice).
        let at = |brix| {
            finish(
                bx(brix),
                WaterBoil::Measured(c(SEA)),
                Factor::DEFAULT,
                FactorFrom::Guess,
            )
            .unwrap()
            .temp
            .fahrenheit()
        };
        assert!((at(74.0) - 224.0).abs() < 1.0, "{}", at(74.0));
        assert!((at(80.0) - 230.0).abs() < 1.5, "{}", at(80.0));
    }

    #[test]
    fn the_finish_falls_about_1_8_f_for_each_thousand_feet() {
        let at = |ft: f64| {
            let height = Altitude::new(ft * 0.3048).unwrap();
            finish(
                bx(78.0),
                WaterBoil::Altitude(height),
                Factor::DEFAULT,
                FactorFrom::Guess,
            )
            .unwrap()
            .temp
            .fahrenheit()
        };
        // 1.83 °F from the water and 0.08 from the rise, which shrinks with the pressure.
        let fall = at(0.0) - at(1000.0);
        assert!((fall - 1.91).abs() < 0.02, "{fall}");
    }

    #[test]
    fn a_guessed_factor_is_worth_two_brix_and_a_learned_one_half() {
        let out = |from| {
            finish(
                bx(78.0),
                WaterBoil::Measured(c(99.5)),
                Factor::DEFAULT,
                from,
            )
            .unwrap()
            .brix_plus_minus
        };
        assert!((1.8..2.3).contains(&out(FactorFrom::Guess)));
        assert!((0.5..0.9).contains(&out(FactorFrom::Learned(5))));
        assert!(out(FactorFrom::Learned(1)) < out(FactorFrom::Guess));
        assert!(out(FactorFrom::Learned(1)) > out(FactorFrom::Learned(3)));
    }

    #[test]
    fn a_boiling_point_that_no_air_allows_is_refused() {
        for t in [60.0, 104.0, 20.0] {
            let said = WaterBoil::Measured(c(t)).known().unwrap_err();
            assert_eq!(said.at, Some("water_boil"));
        }
        assert!(Factor::new(1.66).is_err() && Factor::new(0.79).is_err());
        assert!(brix_boiling_at(c(90.0), c(99.0), Factor::PURE).is_none());
        assert!(brix_boiling_at(c(190.0), c(99.0), Factor::PURE).is_none());
    }

    proptest! {
        #[test]
        fn prop_brix_and_boiling_temperature_undo_each_other(
            brix in 0.5..90.0_f64, water in 90.0..101.0_f64, k in 1.0..1.3_f64,
        ) {
            let k = Factor::new(k).unwrap();
            let temp = c(water + rise(bx(brix), c(water), k).get());
            let back = brix_boiling_at(temp, c(water), k).unwrap().get();
            prop_assert!((back - brix).abs() < 1e-6, "{} {}", brix, back);
        }

        #[test]
        fn prop_the_rise_grows_with_brix_and_with_k(
            brix in 0.0..90.0_f64, water in 90.0..101.0_f64,
        ) {
            let at = |b: f64, k: f64| rise(bx(b), c(water), Factor::new(k).unwrap()).get();
            prop_assert!(at(brix + 0.5, 1.1) > at(brix, 1.1));
            prop_assert!(at(brix + 0.5, 1.2) > at(brix + 0.5, 1.1));
        }
    }
}
