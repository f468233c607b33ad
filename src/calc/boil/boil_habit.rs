//! What a season's finished boils have taught: the mill's factor K, what its pan drives off, how much
//! of the sugar reaches the syrup, and of a pan's fuel the juice; each with how many boils it is from. Never from the boil that
//! is looked at, unless it is finished.

use super::boil_plan::{Pan, RATE_START_L_M2_H};
use super::fuel_burnt::{Boiled, Efficiency, FuelBurnt};
use crate::calc::cane::learned::{self, Learned, learn};
use crate::calc::physics::elevation::{Factor, FactorFrom};
use crate::calc::physics::energy::Fuel;
use crate::units::{BrixAt20C, Celsius, Grams, PanId, UtcSecond};

/// A finished boil, as far as it teaches anything.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Finished {
    /// Where water boiled that day by the same thermometer, if it was read.
    pub water: Option<Celsius>,
    /// The pan's temperature when it was drawn off, if it was read.
    pub finish_temp: Option<Celsius>,
    /// The syrup by the refractometer, sample cooled.
    pub brix: BrixAt20C,
    /// Syrup drawn off.
    pub syrup: Grams,
    /// Syrup spilt or scorched.
    pub spilt: Grams,
    /// All juice poured in.
    pub juice: Grams,
    /// Dissolved solids in that juice.
    pub solids: Grams,
    /// Temperature of the juice, if there was any.
    pub juice_temp: Option<Celsius>,
    /// Minutes at the boil, if its readings tell (see [`minutes_at_boil`]).
    pub at_boil_min: Option<u32>,
    /// Boiling surface of the pan it was made in, m², if one is set up.
    pub area_m2: Option<f64>,
    /// The pan it boiled in and the fuel burnt under it, if that was measured.
    pub fuel: Option<(PanId, FuelBurnt)>,
}

/// What the finished boils of a season teach.
#[derive(Debug, Clone, PartialEq)]
pub struct BoilHabit {
    /// The factor K and what it is from.
    pub factor: (Factor, FactorFrom),
    /// How many boils K is from, and the spread; none: it is the default.
    pub factor_learned: Option<Learned>,
    /// Water driven off, L a square metre an hour.
    pub rate: Option<Learned>,
    /// Share of the solids that reaches the syrup, 0 to 1; what was spilt is counted with it, since
    /// nobody plans to spill.
    pub recovery: Option<Learned>,
    /// Share of its heat that reaches the juice, by pan and fuel; see [`Habit::efficiency`].
    efficiency: Vec<((PanId, Fuel), Learned)>,
}

/// Shares of the solids outside this teach nothing: they are mistakes, or a spilt pan.
const RECOVERY_SOUND: (f64, f64) = (0.3, 1.1);

impl BoilHabit {
    /// Works out what these boils teach.
    pub fn of(boils: &[Finished]) -> Self {
        let factors: Vec<f64> = boils
            .iter()
            .filter_map(|b| learned::factor_seen(b.finish_temp?, b.water?, b.brix))
            .collect();
        let rates: Vec<f64> = boils
            .iter()
            .filter_map(|b| {
                let juice = BrixAt20C::new(100.0 * b.solids.as_f64() / b.juice.as_f64()).ok()?;
                learned::pan_rate_seen((b.juice, juice), b.brix, b.at_boil_min?, b.area_m2?)
            })
            .collect();
        let recoveries: Vec<f64> = boils
            .iter()
            .filter(|b| b.solids > Grams::ZERO)
            .map(|b| (b.syrup + b.spilt).as_f64() * b.brix.get() / 100.0 / b.solids.as_f64())
            .filter(|r| (RECOVERY_SOUND.0..=RECOVERY_SOUND.1).contains(r))
            .collect();
        let (factor, from, factor_learned) = learned::factor(&factors);
        Self {
            factor: (factor, from),
            factor_learned,
            rate: learn(&rates),
            recovery: learn(&recoveries),
            efficiency: efficiencies(boils),
        }
    }

    /// The share of a fuel's heat that reaches the juice in a pan: learned, else as it was `set`
    /// up with (0 to 1).
    pub fn efficiency(&self, pan: PanId, (fuel, set): (Fuel, f64)) -> Efficiency {
        let own = self.efficiency.iter().find(|(of, _)| *of == (pan, fuel));
        let learned = own.map(|(_, l)| *l);
        Efficiency {
            share: learned.map_or(set, |l| l.middle),
            learned,
        }
    }

    /// A season without a finished boil.
    pub fn none() -> Self {
        Self::of(&[])
    }

    /// The pan of `area_m2` square metres at its learned rate, else at `set` (L a square metre an
    /// hour, as the mill set it up), else at the rate to start from; and from how many boils.
    pub fn pan(&self, area_m2: f64, set: Option<f64>) -> (Pan, u32) {
        let (rate_l_m2_h, boils) = match self.rate {
            Some(rate) => (rate.middle, rate.boils),
            None => (set.unwrap_or(RATE_START_L_M2_H), 0),
        };
        (
            Pan {
                area_m2,
                rate_l_m2_h,
            },
            boils,
        )
    }

    /// The recovery to plan with: learned from three boils or more, else `expected` (the season's
    /// rule, 0 to 1), kept to what a plan takes.
    pub fn recovery_or(&self, expected: f64) -> f64 {
        self.recovery
            .filter(|r| r.boils >= 3)
            .map_or(expected, |r| r.middle)
            .clamp(0.3, 1.0)
    }
}

/// The share of its heat that one boil's fuel brought into the juice; nothing when it was not
/// measured or cannot be true.
fn efficiency_seen(of: &Finished) -> Option<((PanId, Fuel), f64)> {
    let (pan, burnt) = of.fuel?;
    let boiled = Boiled {
        juice: of.juice,
        solids: of.solids,
        temp: of.juice_temp?,
        syrup: of.brix,
        water: of.water,
        finish: of.finish_temp,
    };
    let kj = boiled.heat()?.total_kj();
    let seen = burnt.fuel.efficiency_seen(kj, burnt.amount)?;
    Some(((pan, burnt.fuel), seen))
}

fn efficiencies(boils: &[Finished]) -> Vec<((PanId, Fuel), Learned)> {
    let mut seen: Vec<((PanId, Fuel), Vec<f64>)> = Vec::new();
    for (of, share) in boils.iter().filter_map(efficiency_seen) {
        match seen.iter_mut().find(|(known, _)| *known == of) {
            Some((_, shares)) => shares.push(share),
            None => seen.push((of, vec![share])),
        }
    }
    seen.into_iter()
        .filter_map(|(of, shares)| Some((of, learn(&shares)?)))
        .collect()
}

impl Default for BoilHabit {
    fn default() -> Self {
        Self::none()
    }
}

/// A thermometer this far below boiling water, °C, is in juice that does not boil yet.
const OFF_THE_BOIL: f64 = 1.5;
/// Between readings farther apart than this, minutes, nobody knows when it came to the boil.
const GAP_MOST: i64 = 45;

/// Whole minutes from coming to the boil until the finish, from the readings (when, temperature) in
/// order of time. It came to the boil half-way between the last cold reading (or the lighting) and
/// the first hot one. Nothing when no reading tells, or those two are over 45 minutes apart.
pub fn minutes_at_boil(
    lit: UtcSecond,
    readings: &[(UtcSecond, Celsius)],
    water: Celsius,
    finished: UtcSecond,
) -> Option<u32> {
    let hot = |t: Celsius| t.get() >= water.get() - OFF_THE_BOIL;
    let first = readings.iter().position(|(_, t)| hot(*t))?;
    let hot_at = readings[first].0;
    let cold_at = first.checked_sub(1).map_or(lit, |n| readings[n].0);
    if hot_at.minutes_since(cold_at) > GAP_MOST {
        return None;
    }
    let began = UtcSecond::new(i64::midpoint(cold_at.get(), hot_at.get()));
    u32::try_from(finished.minutes_since(began))
        .ok()
        .filter(|m| *m > 0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn bx(value: f64) -> BrixAt20C {
        BrixAt20C::new(value).unwrap()
    }
    fn c(value: f64) -> Celsius {
        Celsius::new(value).unwrap()
    }
    /// 400 kg of 15 °Bx, boiled to 78 °Bx in 214 minutes: Table C's water for a 24 sq ft pan.
    fn one(finish: Option<f64>, minutes: Option<u32>, syrup: i64) -> Finished {
        Finished {
            water: Some(c(99.9)),
            finish_temp: finish.map(c),
            brix: bx(78.0),
            syrup: Grams::new(syrup),
            spilt: Grams::ZERO,
            juice_temp: Some(c(20.0)),
            juice: Grams::new(400_000),
            solids: Grams::new(60_000),
            at_boil_min: minutes,
            area_m2: Some(2.23),
            fuel: None,
        }
    }

    #[test]
    fn a_season_without_boils_uses_the_defaults() {
        let habit = BoilHabit::none();
        assert_eq!(habit.factor, (Factor::DEFAULT, FactorFrom::Guess));
        assert_eq!(habit.pan(2.2, None).1, 0);
        assert!((habit.pan(2.2, None).0.rate_l_m2_h - RATE_START_L_M2_H).abs() < 1e-12);
        assert!((habit.pan(2.2, Some(60.0)).0.rate_l_m2_h - 60.0).abs() < 1e-12);
        assert!((habit.recovery_or(0.83) - 0.83).abs() < 1e-12);
    }

    #[test]
    fn three_boils_teach_k_the_rate_and_the_recovery() {
        let boils = [
            one(Some(109.3), Some(214), 65_000),
            one(Some(109.5), Some(200), 64_000),
            one(Some(109.1), None, 66_000),
        ];
        let habit = BoilHabit::of(&boils);
        assert_eq!(habit.factor.1, FactorFrom::Learned(3));
        assert!(
            (1.10..1.20).contains(&habit.factor.0.get()),
            "{:?}",
            habit.factor
        );
        let rate = habit.rate.unwrap();
        assert_eq!(rate.boils, 2);
        // 323.1 kg of water in 214 and in 200 minutes from 2.23 m², by hand: 40.6 and 43.5.
        assert!((rate.middle - 42.0).abs() < 0.1, "{rate:?}");
        // 65 kg × 78 % over 60 kg is 0.845.
        assert!((habit.recovery_or(0.8) - 0.845).abs() < 1e-9);
    }

    #[test]
    fn a_spilt_pan_teaches_no_recovery_and_a_pan_not_set_up_no_rate() {
        let spilt = Finished {
            area_m2: None,
            ..one(None, Some(214), 9_000)
        };
        let habit = BoilHabit::of(&[spilt]);
        assert_eq!(habit.recovery, None);
        assert_eq!(habit.rate, None);
        assert_eq!(habit.factor_learned, None);
    }

    fn pan_id(n: u8) -> PanId {
        PanId::parse(&format!("01920000-0000-7000-8000-0000000000{n:02}")).unwrap()
    }

    #[test]
    fn what_was_burnt_teaches_each_pan_its_own_efficiency() {
        // 400 kg at 15 °Bx and 20 °C to 78 °Bx, worked apart: 323.08 kg of steam × 2,257 kJ, 400 kg
        // × 3.84 kJ × 79.9 K and 76.9 kg × 2.9 kJ × 9.4 K are 854 MJ. An eighth of a cord is
        // 2,638 MJ: 32.4 %; a tenth 40.5 %; a sixth 24.3 %.
        let with = |pan, fuel, amount| Finished {
            fuel: Some((pan_id(pan), FuelBurnt { fuel, amount })),
            ..one(Some(109.3), None, 65_000)
        };
        let habit = BoilHabit::of(&[
            with(1, Fuel::Wood, 0.125),
            with(1, Fuel::Wood, 0.1),
            with(1, Fuel::Wood, 1.0 / 6.0),
            with(2, Fuel::Propane, 20.0),
            // A tenfold mistake and one without fuel teach nothing.
            with(1, Fuel::Wood, 1.25),
            one(Some(109.3), None, 65_000),
        ]);
        let wood = habit.efficiency(pan_id(1), (Fuel::Wood, 0.4));
        assert_eq!(wood.learned.unwrap().boils, 3);
        assert!((wood.share - 0.324).abs() < 0.004, "{wood:?}");
        // Median distance 8.1, × 1.4826 = 12.
        assert!(
            (wood.learned.unwrap().spread - 0.12).abs() < 0.003,
            "{wood:?}"
        );
        let gas = habit.efficiency(pan_id(2), (Fuel::Propane, 0.5));
        // 20 gal × 91,452 Btu are 1,930 MJ.
        assert!((gas.share - 0.443).abs() < 0.005, "{gas:?}");
        assert_eq!(gas.learned.unwrap().boils, 1);
        let other = habit.efficiency(pan_id(2), (Fuel::Wood, 0.4));
        assert_eq!((other.share, other.learned), (0.4, None));
    }

    #[test]
    fn what_was_spilt_does_not_lower_what_the_mill_plans_with() {
        let spilt = |spilt| Finished {
            spilt: Grams::new(spilt),
            ..one(None, None, 50_000)
        };
        let recovery = |g| BoilHabit::of(&[spilt(g)]).recovery.unwrap().middle;
        // 50 kg × 78 % of 60 kg is 0.65; with 10 kg more 0.78.
        assert!((recovery(0) - 0.65).abs() < 1e-9);
        assert!((recovery(10_000) - 0.78).abs() < 1e-9);
    }

    #[test]
    fn a_boil_begins_half_way_between_the_last_cold_reading_and_the_first_hot_one() {
        let lit = UtcSecond::new(0);
        let at = |m: i64, t: f64| (UtcSecond::new(60 * m), c(t));
        let done = UtcSecond::new(60 * 200);
        let told = |r: &[(UtcSecond, Celsius)]| minutes_at_boil(lit, r, c(99.4), done);
        assert_eq!(told(&[at(10, 60.0), at(20, 90.0), at(30, 99.5)]), Some(175));
        assert_eq!(told(&[at(30, 99.5), at(90, 97.0)]), Some(185));
        assert_eq!(told(&[at(20, 90.0), at(120, 101.0)]), None);
        assert_eq!(told(&[at(20, 90.0)]), None);
        assert_eq!(told(&[]), None);
    }

    proptest! {
        #[test]
        fn prop_whatever_boils_there_were_a_plan_can_use_what_they_teach(
            of in proptest::collection::vec(
                (80.0..130.0_f64, 1_u32..900, 1_i64..200_000, 0_i64..90_000), 0..20),
        ) {
            let boils: Vec<Finished> = of
                .iter()
                .map(|(t, m, syrup, solids)| Finished {
                    solids: Grams::new(*solids),
                    ..one(Some(*t), Some(*m), *syrup)
                })
                .collect();
            let habit = BoilHabit::of(&boils);
            prop_assert!((0.8..=1.65).contains(&habit.factor.0.get()));
            let (pan, _) = habit.pan(2.2, None);
            prop_assert!(Pan::new(pan.area_m2, pan.rate_l_m2_h).is_ok());
            prop_assert!((0.3..=1.0).contains(&habit.recovery_or(0.8)));
        }
    }
}
