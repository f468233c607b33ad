//! What a boil will come to before the fire is lit: syrup, jars, water to drive off, heat, fuel and
//! hours. Never watches it; see `watch`.

use crate::calc::RuleRefusal;
use crate::calc::physics::density::volume_of;
use crate::calc::physics::elevation::Finish;
use crate::calc::physics::energy::{Fuel, Heat, heat};
use crate::units::{BrixAt20C, Celsius, Grams, Millilitres, Minutes};

/// Litres a square metre in one US gallon a square foot, exactly: 3.785411784 / 0.09290304.
pub const GAL_FT2_L_M2: f64 = 3.785_411_784 / 0.092_903_04;
/// Evaporation to start from, L of water a square metre an hour: 1.0 gal a square foot an hour
/// (maple flat pans; sorghum cooks with a hard fire plan 2–3). Then learn the mill's own.
pub const RATE_START_L_M2_H: f64 = GAL_FT2_L_M2;
/// Minutes from lighting the fire to the boil (common practice, about half an hour).
pub const HEAT_UP: Minutes = Minutes::new(30);

/// The pan that the boil is made in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pan {
    /// Boiling surface, m².
    pub area_m2: f64,
    /// Water it drives off, L (taken as kg) a square metre an hour.
    pub rate_l_m2_h: f64,
}

impl Pan {
    /// A pan of so much surface and rate.
    ///
    /// # Errors
    /// Beside `pan_area`: outside 0.05–50 m²; beside `pan_rate`: outside 5–400 L a m² an hour.
    pub fn new(area_m2: f64, rate_l_m2_h: f64) -> Result<Self, RuleRefusal> {
        if !(0.05..=50.0).contains(&area_m2) {
            return Err(RuleRefusal::beside(
                "pan_area",
                "pan-area-range",
                "Please write the pan's boiling surface: 0.05 to 50 m² (0.5 to 538 sq ft).",
            ));
        }
        if !(5.0..=400.0).contains(&rate_l_m2_h) {
            return Err(RuleRefusal::beside(
                "pan_rate",
                "pan-rate-range",
                "Please write what the pan drives off: 5 to 400 L a m² an hour (0.12 to 9.8 gal a \
                 sq ft); 1 to 3 gal is usual.",
            ));
        }
        Ok(Self {
            area_m2,
            rate_l_m2_h,
        })
    }

    /// Water it drives off, kg a minute.
    pub fn kg_min(self) -> f64 {
        self.area_m2 * self.rate_l_m2_h / 60.0
    }

    /// Minutes to drive off so much water at the boil, not rounded.
    pub fn minutes_for(self, water_kg: f64) -> f64 {
        water_kg / self.kg_min()
    }

    /// Minutes from lighting the fire to the finish, heating up included, to the nearest minute.
    pub fn minutes_from_lighting(self, water: Grams) -> Minutes {
        minutes(self.minutes_for(water.kg())) + HEAT_UP
    }

    /// How deep this volume stands in the pan, mm.
    pub fn depth_mm(self, volume: Millilitres) -> f64 {
        volume.litres() / self.area_m2
    }
}

/// A boil about to be made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Charge {
    /// Mass of all the juice in it.
    pub juice: Grams,
    /// Dissolved solids in the juice.
    pub solids: Grams,
    /// Temperature of the juice.
    pub temp: Celsius,
    /// Brix it is to be finished at.
    pub target: BrixAt20C,
    /// The finish as worked for this day.
    pub finish: Finish,
    /// Share of the solids that is expected in the jars.
    pub recovery: f64,
    /// The pan.
    pub pan: Pan,
    /// The fuel, and the share of its heat that reaches the juice, 0 to 1.
    pub fuel: (Fuel, f64),
}

/// What the boil of a charge is planned to come to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plan {
    /// Brix of the pooled juice, by mass.
    pub brix: BrixAt20C,
    /// Syrup, were nothing lost: solids over target Brix, to the nearest gram.
    pub syrup_most: Grams,
    /// Syrup to expect after skimming, film and spills.
    pub syrup: Grams,
    /// Volume of the syrup at 20 °C.
    pub syrup_volume: Millilitres,
    /// Water to drive off.
    pub water: Grams,
    /// Heat that the boil takes.
    pub heat: Heat,
    /// Fuel, in the fuel's own unit.
    pub fuel: f64,
    /// Minutes at the boil, from the pan's rate, to the nearest minute.
    pub boiling: Minutes,
    /// Minutes from lighting the fire to the finish.
    pub all: Minutes,
}

/// Works a boil before the fire is lit.
///
/// # Errors
/// No juice or no solids; a juice already at its target; a recovery outside 0.3–1.0 (beside
/// `recovery`); an efficiency out of range (beside `efficiency`).
pub fn plan(of: &Charge) -> Result<Plan, RuleRefusal> {
    let pooled = 100.0 * of.solids.as_f64() / of.juice.as_f64();
    if of.juice <= Grams::ZERO || of.solids <= Grams::ZERO || pooled > 95.0 {
        return Err(RuleRefusal::new(
            "boil-empty",
            "This boil has no measured juice in it yet, so there is nothing to work out.",
        ));
    }
    if !(0.3..=1.0).contains(&of.recovery) {
        return Err(RuleRefusal::beside(
            "recovery",
            "recovery-range",
            "Please write a recovery from 30 to 100 %; 80 % is usual.",
        ));
    }
    let brix = BrixAt20C::new(pooled).map_err(|r| RuleRefusal::refused("target_brix", &r))?;
    if pooled >= of.target.get() {
        return Err(RuleRefusal::beside(
            "target_brix",
            "already-there",
            format!(
                "This juice is {} already; the finish must be above that.",
                brix.show()
            ),
        ));
    }
    let most = of.solids.as_f64() * 100.0 / of.target.get();
    let syrup = Grams::nearest(most * of.recovery);
    let twenty = Celsius::new(20.0).map_err(|r| RuleRefusal::refused("temp", &r))?;
    let needs = heat(
        of.juice.kg(),
        (brix, of.temp),
        (of.target, of.finish.temp),
        of.finish.water,
    );
    let water = of.juice - Grams::nearest(most);
    let boiling = minutes(of.pan.minutes_for(water.kg()));
    Ok(Plan {
        brix,
        syrup_most: Grams::nearest(most),
        syrup,
        syrup_volume: volume_of(syrup, of.target, twenty),
        water,
        heat: needs,
        fuel: of.fuel.0.needed(needs.total_kj(), of.fuel.1)?,
        boiling,
        all: of.pan.minutes_from_lighting(water),
    })
}

/// Rounds to the nearest whole minute.
pub(in crate::calc) fn minutes(exact: f64) -> Minutes {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "`as` saturates; times here are hours"
    )]
    Minutes::new(exact.round() as i64)
}

#[cfg(test)]
#[path = "boil_plan_tests.rs"]
mod tests;
