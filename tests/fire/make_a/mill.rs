//! A mill and its juice: pan, fire, composition, and what the mill knows of itself.

use crate::fire::face::{Cell, KKnown, Setup};
use crate::fire::make_a::dice::Dice;
use crate::fire::make_a::fire::{Fire, Habit};
use crate::fire::make_a::liquor::{BoilingTable, Solids, boiling_water, latent_heat, sucrose_rise};
use crate::fire::make_a::pan::{Build, Pan};
use crate::fire::make_a::tools::{Around, Scale, Thermometer};

/// A mill and its juice of one day, before any chance of the boil itself.
#[derive(Debug, Clone)]
pub struct Mill {
    /// How the fire is tended.
    pub habit: Habit,
    /// The pan.
    pub build: Build,
    /// Boiling points of this juice.
    pub table: BoilingTable,
    /// Pressure when the morning's water boiled, Pa.
    pub morning: f64,
    /// Juice, kg, °Bx and °C.
    pub juice: (f64, f64, f64),
    /// Brix aimed at.
    pub target: f64,
    /// Rounds of skimming.
    pub skims: u32,
    /// Part of the content skimmed off in all.
    pub skimmed: f64,
    /// Factor K of this juice at 78 °Bx.
    pub factor_k: f64,
}

/// Litres a square metre an hour in one US gallon a square foot an hour.
const GALLON: f64 = 40.745_8;

/// Depth of the syrup when done, m, and rate, L/(m² h), of a pan of one of four kinds.
///
/// 3/8 in is the shallowest a flat pan can be worked, 1 to 1.5 gal/(ft² h) what a flat pan drives off and 2 to 3 what
/// sorghum cooks plan with a hard fire (growers' accounts); a 10 gal finish on 24 ft² stands 17 mm deep.
fn kind_of_pan(dice: &mut Dice) -> (f64, f64) {
    match dice.unit() {
        // Thinner than can be worked: the pan of somebody in a hurry.
        x if x < 0.04 => (dice.even(0.003, 0.008), dice.even_log(1.5, 3.0) * GALLON),
        // Shallow and fast.
        x if x < 0.28 => (dice.even(0.008, 0.016), dice.even_log(2.0, 4.0) * GALLON),
        // Flat pan.
        x if x < 0.70 => (dice.even(0.010, 0.025), dice.even_log(1.0, 2.5) * GALLON),
        // Deep pan or kettle.
        _ => (
            dice.even_log(0.020, 0.055),
            dice.even_log(0.8, 2.0) * GALLON,
        ),
    }
}

/// Minutes of a full fire that drives off `rate` to bring juice `depth` m deep to the boil.
fn minutes_to_boil(depth: f64, rate: f64) -> f64 {
    depth * 1060.0 * 3.9e3 * 78.0 / (rate / 60.0 * latent_heat(102.0))
}

fn draw_habit(dice: &mut Dice, area: f64, depth: f64, rate: f64) -> Habit {
    let gas = dice.chance(0.35);
    let heat = rate / 3600.0 * latent_heat(102.0);
    let at_full = minutes_to_boil(depth, rate);
    let heat_up = dice.even_log(9.0, 45.0).max(at_full);
    Habit {
        gas,
        full_w: heat * area * 1.08,
        heating_level: (1.15 * at_full / heat_up).clamp(0.04, 1.0),
        rise_s: dice.even(60.0, 600.0),
        charge_s: dice.even(240.0, 720.0),
        stoke_at: dice.even(0.75, 0.97),
        stray: if gas {
            dice.even(0.01, 0.05)
        } else {
            dice.even(0.03, 0.13)
        },
        eased_to: dice.even(0.35, 0.75),
    }
}

impl Mill {
    /// A mill and its juice of one day.
    pub fn new(dice: &mut Dice, cell: &Cell) -> Self {
        let target = if dice.chance(0.85) {
            78.0
        } else {
            [76.0, 77.0, 79.0][dice.one_of(3)]
        };
        let brix = dice.even(11.0, 20.0);
        let mass = dice.even_log(60.0, 500.0);
        let (depth, rate) = loop {
            let (done, rate) = kind_of_pan(dice);
            // Syrup at 78 °Bx weighs 1400 kg/m³, juice about 1060.
            let depth = done * 1400.0 * 78.0 / brix / 1060.0;
            // Nobody boils longer than a working day, or heats up a full hour.
            let boil_h = depth * 1060.0 * (1.0 - brix / target) / rate;
            if boil_h < 5.5 && minutes_to_boil(depth, rate) < 45.0 {
                break (depth, rate);
            }
        };
        let area = mass / (1060.0 * depth);
        // From sea level to 1500 m, with the weather.
        let morning = dice.even(84.5e3, 101.5e3) + dice.normal(700.0);
        let usual = Solids {
            invert: dice.even(0.12, 0.45),
            ash: dice.even(0.005, 0.04),
            gums: dice.even(0.0, 0.12),
        };
        let factor_k = dice.even(cell.k_range.0, cell.k_range.1);
        let solids = usual.with_factor(factor_k, 78.0, morning);
        let build = Build {
            area,
            wall_heat: if depth > 0.12 {
                dice.even(6e3, 20e3)
            } else {
                dice.even(3.5e3, 7e3)
            },
            transfer: dice.even_log(1500.0, 4500.0),
            thickening: dice.even(0.22, 0.5),
            flame: dice.even(700.0, 1200.0),
            loss: dice.even(8.0, 25.0),
            superheat: dice.even(0.02, 0.18),
        };
        Self {
            habit: draw_habit(dice, area, depth, rate),
            build,
            table: BoilingTable::new(&solids, morning),
            morning,
            juice: (mass, brix, dice.even(12.0, 30.0)),
            target,
            skims: 3 + u32::from(dice.chance(0.5)) * 4,
            skimmed: dice.even(0.005, 0.05),
            factor_k,
        }
    }

    /// Less than 4 cm of juice: everything goes fast.
    #[must_use]
    pub fn thin(&self) -> bool {
        self.juice.0 / self.build.area < 42.0
    }

    /// The pan as it is filled.
    #[must_use]
    pub fn filled(&self) -> Pan {
        let (mass, brix, celsius) = self.juice;
        let solids = mass * brix / 100.0;
        Pan::new(
            self.build,
            self.table.clone(),
            mass - solids,
            solids,
            celsius,
        )
    }

    /// One earlier boil of this mill: litres driven off a square metre an hour from the boil to the target, and how
    /// many K above the boiling water `thermometer` stood at the target (finished boils are read at leisure: settled).
    fn earlier_boil(&self, thermometer: &Thermometer, dice: Dice) -> (f64, f64) {
        const STEP_S: f64 = 2.0;
        let (mut pan, mut fire) = (self.filled(), Fire::new(self.habit, dice));
        let (mut seconds, mut boil) = (0.0, None);
        while pan.brix() < self.target && seconds < 16.0 * 3600.0 {
            pan.step(STEP_S, fire.step(STEP_S), self.morning, 0.0);
            if pan.boiling && boil.is_none() {
                boil = Some((seconds, pan.driven_off));
                fire.build_up();
            }
            seconds += STEP_S;
        }
        let (from, before) = boil.unwrap_or((0.0, 0.0));
        let rate =
            (pan.driven_off - before) * 3600.0 / (seconds - from).max(60.0) / self.build.area;
        let around = Around {
            liquid: pan.liquid,
            wall: pan.wall,
        };
        (
            rate,
            thermometer.settled_rise(around, boiling_water(self.morning)),
        )
    }
}

/// What the mill knows when the fire is lit.
pub fn know(
    mill: &Mill,
    cell: &Cell,
    scale: Scale,
    hand: &Thermometer,
    seed: u64,
    dice: &mut Dice,
) -> Setup {
    let boils: Vec<_> = (0..2)
        .map(|n| mill.earlier_boil(hand, Dice::new(seed, 100 + n)))
        .collect();
    let rate = boils.iter().map(|b| b.0).sum::<f64>() / 2.0;
    let rise = boils.iter().map(|b| b.1).sum::<f64>() / 2.0;
    let (mass, brix, _) = mill.juice;
    let (k, rate_boils, error) = match cell.k_known {
        // The learned factor has in it what this thermometer always does wrong in this pan, as a mill's own has.
        KKnown::Learned { boils } => {
            let learned = rise / sucrose_rise(mill.target, mill.morning) + dice.normal(0.03);
            (Some((learned, boils)), boils, dice.normal(0.06))
        }
        KKnown::Unknown if dice.chance(0.3) => {
            (None, 1 + u32::from(dice.chance(0.5)), dice.normal(0.12))
        }
        KKnown::Unknown => (None, 0, dice.normal(0.3).clamp(-0.7, 0.7)),
    };
    let water = boiling_water(mill.morning) + hand.offset;
    Setup {
        solids_g: mass * 10.0 * brix * (1.0 + dice.normal(0.015).clamp(-0.04, 0.04)),
        juice_brix: ((brix + dice.normal(0.15)) * 10.0).round() / 10.0,
        target_brix: mill.target,
        water_c: scale.round(water + dice.normal(hand.noise)),
        k,
        area_m2: mill.build.area * (1.0 + dice.normal(0.01)),
        rate_l_m2_h: rate * error.exp(),
        rate_boils,
    }
}
