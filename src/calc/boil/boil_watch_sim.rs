//! Boils simulated by laws the program does not use: Antoine's vapour pressure and Norrish's water
//! activity with invert sugar, a fire that is stoked and strays, skimming, a cook who eases off,
//! rounded and noisy readings, and sometimes a mistyped one.

use super::{bx, c};
use crate::calc::boil::boil_plan::{GAL_FT2_L_M2, Pan};
use crate::calc::boil::boil_watch::{Boil, Reading, later};
use crate::calc::cane::learned::{factor, factor_seen};
use crate::calc::physics::elevation::{Factor, FactorFrom};
use crate::units::{Grams, UtcSecond};

/// A small fixed generator of chance (splitmix64), so that every run sees the same boils.
struct Chance(u64);

impl Chance {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^= z >> 31;
        #[expect(clippy::cast_precision_loss, reason = "53 bits fit exactly")]
        let unit = (z >> 11) as f64 / (1_u64 << 53) as f64;
        unit
    }
    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }
    /// Normal by Box and Muller.
    fn normal(&mut self, sd: f64) -> f64 {
        let radius = (-2.0 * (1.0 - self.unit()).ln()).sqrt();
        sd * radius * (std::f64::consts::TAU * self.unit()).cos()
    }
}

/// Boiling temperature by Norrish's water activity (K 6.47 sucrose, 2.25 glucose and fructose) and
/// Antoine's vapour pressure of water; nothing of it is used by the program.
fn boils(brix: f64, invert: f64, mm_hg: f64) -> f64 {
    let water = (100.0 - brix) / 18.015;
    let sucrose = brix * (1.0 - invert) / 342.3;
    let simple = brix * invert / 180.16;
    let all = water + sucrose + simple;
    let pull = (6.47_f64.sqrt() * sucrose + 2.25_f64.sqrt() * simple) / all;
    let activity = water / all * (-pull * pull).exp();
    1_730.63 / (8.071_31 - (mm_hg / activity).log10()) - 233.426
}

/// What really happened in one simulated boil, and what the crew wrote down.
pub(super) struct Simulated {
    pub(super) boil: Boil,
    pub(super) readings: Vec<Reading>,
    /// Place of the mistyped reading and what should have been written.
    pub(super) mistyped: Option<(usize, Reading)>,
    pub(super) boiling: UtcSecond,
    pub(super) done: UtcSecond,
}

const INVERT: f64 = 0.12;
pub(super) const LIT: UtcSecond = UtcSecond::new(1_800_000_000);

/// The mill's K as three clean boils of its usual juice would teach it.
pub(super) fn mills_factor() -> (Factor, FactorFrom) {
    let mm_hg = 745.0;
    let water = c(boils(0.0, 0.0, mm_hg));
    let seen: Vec<f64> = [77.0, 78.0, 79.0]
        .iter()
        .filter_map(|b| factor_seen(c(boils(*b, INVERT, mm_hg)), water, bx(*b)))
        .collect();
    let (k, from, _) = factor(&seen);
    (k, from)
}

/// The fire: a mean of this boil's own, stoking every 20–35 minutes, straying, eased at the end.
struct Fire {
    kg_min: f64,
    stray: f64,
    stray_sd: f64,
    stray_min: f64,
    stoke_min: f64,
    stoke_by: f64,
    phase: f64,
    eased: f64,
}

impl Fire {
    fn lit(chance: &mut Chance, nominal_kg_min: f64) -> Self {
        Self {
            kg_min: nominal_kg_min * chance.normal(0.15).exp(),
            stray: chance.normal(0.10),
            stray_sd: 0.10,
            stray_min: chance.between(10.0, 40.0),
            stoke_min: chance.between(20.0, 35.0),
            stoke_by: chance.between(0.0, 0.15),
            phase: chance.unit(),
            eased: chance.between(0.75, 1.0),
        }
    }

    fn drives_off(&mut self, chance: &mut Chance, minute: f64, by: f64, brix: f64) -> f64 {
        let keep = (-by / self.stray_min).exp();
        self.stray = self.stray * keep + chance.normal(self.stray_sd * (1.0 - keep * keep).sqrt());
        let saw = 1.0 - 2.0 * (minute / self.stoke_min + self.phase).fract();
        let eased = if brix > 68.0 { self.eased } else { 1.0 };
        self.kg_min * eased * (1.0 + self.stray + self.stoke_by * saw).max(0.2) * by
    }
}

pub(super) fn simulate(number: u64, k: (Factor, FactorFrom)) -> Simulated {
    let mut chance = Chance(number.wrapping_mul(0x5851_f42d_4c95_7f2d));
    let pan = Pan::new(2.23, chance.between(1.0, 2.0) * GAL_FT2_L_M2).unwrap();
    let (brix, mass) = (chance.between(12.0, 19.0), chance.between(180.0, 480.0));
    let mm_hg = chance.between(730.0, 765.0);
    let invert = (INVERT + chance.normal(0.05)).clamp(0.0, 0.4);
    let water_true = boils(0.0, 0.0, mm_hg);
    let mut solids = mass * brix / 100.0;
    let boil = Boil {
        lit: LIT,
        solids: Grams::nearest(1000.0 * solids * (1.0 + chance.normal(0.02))),
        juice: bx(brix + chance.normal(0.2)),
        target: bx(78.0),
        water: c(((water_true + chance.normal(0.2)) * 2.0).round() / 2.0),
        factor: k,
        pan,
        rate_boils: 5,
    };
    let mut fire = Fire::lit(&mut chance, pan.kg_min());
    let skimmed = chance.between(0.0, 0.03);
    let heat_up = chance.between(18.0, 45.0);
    let by = 0.1;
    let (mut water, mut minute, mut next) = (mass - solids, 0.0, 10.0);
    let mut readings = Vec::new();
    let mut done = None;
    while done.is_none() {
        let brix = 100.0 * solids / (solids + water);
        let temp = if minute < heat_up {
            22.0 + (water_true - 22.0) * minute / heat_up
        } else {
            boils(brix, invert, mm_hg)
        };
        if minute >= next {
            let shown = ((temp + chance.normal(0.35)) * 2.0).round() / 2.0;
            let dipped = minute > heat_up && chance.unit() < 0.3;
            readings.push(Reading {
                at: later(LIT, minute),
                temp: Some(c(shown)),
                brix: dipped.then(|| bx((brix + chance.normal(0.5)).clamp(1.0, 94.0))),
                depth_mm: None,
            });
            next = minute
                + if temp > water_true + 4.0 { 4.0 } else { 15.0 } * chance.between(0.7, 1.4);
        }
        if minute >= heat_up {
            water -= fire.drives_off(&mut chance, minute, by, brix);
            let skim = skimmed * by / 60.0;
            solids *= 1.0 - skim;
            water *= 1.0 - skim;
        }
        if brix >= 78.0 {
            done = Some(later(LIT, minute));
        }
        minute += by;
    }
    let mistyped = (chance.unit() < 0.3).then(|| mistype(&mut chance, &mut readings));
    Simulated {
        boil,
        readings,
        mistyped,
        boiling: later(LIT, heat_up),
        done: done.unwrap(),
    }
}

/// Makes one temperature 9 °C wrong; gives its place and what should have been written.
fn mistype(chance: &mut Chance, readings: &mut [Reading]) -> (usize, Reading) {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "a place in a short list"
    )]
    let place = (chance.unit() * readings.len() as f64) as usize;
    let wrong = if chance.unit() < 0.5 { 9.0 } else { -9.0 };
    let meant = readings[place];
    readings[place].temp = meant.temp.map(|t| c(t.get() + wrong));
    (place, meant)
}
