//! Simulated boils of a third make: a balance of heat. Wood burns down in a bed and is stoked in lots, the brickwork
//! stores its heat, hot gas gives to the pan what soot and tough syrup let through, and what is over and above loss
//! makes steam. The boiling point comes from the hydration of sugars. Only a judge: nothing was ever chosen by it.
//!
//! What it leaves out: foam and boiling over, juice added while it boils, syrup drawn in parts.

pub mod syrup;

use crate::fire::face::{Boil, Cell, KKnown, Known, Make, Setup};
use crate::fire::make_a::dice::Dice;
use syrup::{Syrup, heat_capacity, latent, toughness, water_boils_c};

/// Seconds of one step.
const STEP_S: f64 = 2.0;
const STEP_MIN: f64 = STEP_S / 60.0;

/// Wood, brickwork and draught.
#[derive(Debug, Clone)]
struct Hearth {
    /// Heat that the bed still holds, J, and seconds in which it burns to a third.
    bed_j: f64,
    burns_s: f64,
    /// A lot laid on, J; seconds between lots, and until the next.
    lot_j: f64,
    every_s: f64,
    due_s: f64,
    /// What the brickwork passes on, W, and how slowly it follows, s.
    passes_w: f64,
    slow_s: f64,
    /// The draught's stray: logarithm, its deviation and memory in seconds.
    draught: f64,
    wide: f64,
    memory_s: f64,
    /// Share of a lot that is laid on since the cook eases; 0 once the fire is drawn.
    feeds: f64,
}

impl Hearth {
    fn new(mean_w: f64, dice: &mut Dice) -> Self {
        let every_s = 60.0 * dice.even_log(5.0, 22.0);
        Self {
            bed_j: 0.0,
            burns_s: 60.0 * dice.even_log(6.0, 20.0),
            lot_j: mean_w * every_s,
            every_s,
            due_s: 0.0,
            passes_w: 0.0,
            slow_s: 60.0 * dice.even_log(2.0, 9.0),
            draught: 0.0,
            wide: dice.even(0.03, 0.14),
            memory_s: 60.0 * dice.even_log(4.0, 40.0),
            feeds: 1.0,
        }
    }

    fn step(&mut self, dice: &mut Dice) {
        self.due_s -= STEP_S;
        if self.due_s <= 0.0 {
            let uneven = dice.normal(0.2).exp();
            self.bed_j += self.lot_j * self.feeds * uneven;
            self.due_s += self.every_s * dice.even(0.7, 1.3);
        }
        let part = STEP_S / self.memory_s;
        self.draught += -self.draught * part + dice.normal(self.wide * (2.0 * part).sqrt());
        let burns_w = self.bed_j / self.burns_s * self.draught.exp();
        self.bed_j = (self.bed_j - burns_w * STEP_S).max(0.0);
        self.passes_w += (burns_w - self.passes_w) * STEP_S / self.slow_s;
    }

    /// The same hearth at its mean, without stokings.
    fn calm(&self) -> Self {
        let mean_w = self.lot_j / self.every_s;
        // Small lots, but many steps apart, so that none is late by the length of a step.
        let every_s = 20.0 * STEP_S;
        Self {
            every_s,
            lot_j: mean_w * every_s,
            bed_j: mean_w * self.burns_s,
            wide: 0.0,
            ..self.clone()
        }
    }
}

/// A thermometer in a sheath: the sheath follows the pan, the bulb the sheath.
#[derive(Debug, Clone)]
struct Glass {
    offset_c: f64,
    sheath_min: f64,
    bulb_min: f64,
    sheath_c: f64,
    bulb_c: f64,
    fahrenheit: bool,
    mark: f64,
    unsteady: f64,
}

impl Glass {
    fn by_hand(starts_c: f64, dice: &mut Dice) -> Self {
        let (fahrenheit, mark) = [
            (false, 0.1),
            (false, 0.5),
            (false, 1.0),
            (true, 1.0),
            (true, 0.2),
            (true, 2.0),
        ][dice.one_of(6)];
        Self {
            offset_c: dice.normal(0.7),
            sheath_min: dice.even_log(0.05, 1.5),
            bulb_min: dice.even_log(0.05, 0.6),
            sheath_c: starts_c,
            bulb_c: starts_c,
            fahrenheit,
            mark,
            unsteady: dice.even(0.03, 0.2),
        }
    }

    fn probe(hand: &Self, dice: &mut Dice) -> Self {
        Self {
            offset_c: hand.offset_c + dice.normal(0.08),
            sheath_min: dice.even_log(0.1, 0.8),
            bulb_min: 0.05,
            fahrenheit: false,
            mark: 0.1,
            unsteady: 0.05,
            ..hand.clone()
        }
    }

    fn feel(&mut self, celsius: f64) {
        self.sheath_c += (celsius - self.sheath_c) * (1.0 - (-STEP_MIN / self.sheath_min).exp());
        self.bulb_c += (self.sheath_c - self.bulb_c) * (1.0 - (-STEP_MIN / self.bulb_min).exp());
    }

    fn read(&self, celsius: f64, dice: &mut Dice) -> f64 {
        let shows = celsius + self.offset_c + dice.normal(self.unsteady);
        if self.fahrenheit {
            ((((shows * 1.8 + 32.0) / self.mark).round() * self.mark) - 32.0) / 1.8
        } else {
            (shows / self.mark).round() * self.mark
        }
    }

    /// Deviation of one reading, °C.
    fn deviation(&self) -> f64 {
        let mark_c = self.mark / if self.fahrenheit { 1.8 } else { 1.0 };
        self.unsteady.hypot(mark_c / 12.0_f64.sqrt())
    }
}

/// A refractometer and the way of a drop to it.
#[derive(Debug, Clone)]
struct Prism {
    zero: f64,
    /// A drop dries so much on the spoon, °Bx at 80.
    dries: f64,
    mark: f64,
    unsteady: f64,
    delay_min: f64,
}

/// One simulated boil.
#[derive(Debug, Clone)]
pub struct Sim {
    setup: Setup,
    true_k: f64,
    syrup: Syrup,
    hearth: Hearth,
    by_hand: Glass,
    probe: Glass,
    prism: Prism,
    eases_to: Option<f64>,
    steps: u32,
    solids_kg: f64,
    water_kg: f64,
    pan_c: f64,
    metal_j_k: f64,
    /// Share of the hearth's heat that clean metal and thin juice let through, and how much toughness takes of it.
    lets: f64,
    tough: f64,
    loses_w_k: f64,
    /// The bottom, where the thermometer hangs, is hotter than the top by so much at 30 kW/m2, °C.
    bottom_c: f64,
    steam_kg_s: f64,
    skims_until: f64,
    skims: f64,
    hpa: f64,
    hpa_a_min: f64,
    goes_on: Dice,
    hand: Dice,
}

impl Make for Sim {
    fn new(seed: u64, cell: Cell) -> Self {
        let mut dice = Dice::new(seed, 0xc0);
        let target = dice.even(76.0, 80.0).round();
        let true_k = dice.even(cell.k_range.0, cell.k_range.1);
        let moles = 0.95 + 0.6 * (true_k - 0.9) + dice.even(0.0, 0.12);
        let area = dice.even_log(0.5, 3.5);
        let (brix, depth_mm) = (dice.even(11.0, 21.0), dice.even_log(35.0, 150.0));
        let juice_kg = area * depth_mm * 1.05;
        let solids_kg = juice_kg * brix / 100.0;
        let starts_c = dice.even(12.0, 32.0);
        // 12 to 35 kW through a square metre are about 19 to 55 L an hour.
        let heat = dice.even_log(1.4e4, 3.6e4) * area;
        let lets = dice.even(0.25, 0.6);
        let by_hand = Glass::by_hand(starts_c, &mut dice);
        let morning_hpa = dice.even(900.0, 1030.0);
        let learns = [(); 4].map(|()| dice.normal(1.0));
        let mut sim = Self {
            setup: Setup {
                solids_g: 1000.0 * solids_kg * (1.0 + 0.015 * learns[0]),
                juice_brix: (brix * (1.0 + 0.01 * learns[1]) * 5.0).round() / 5.0,
                target_brix: target,
                water_c: by_hand.read(water_boils_c(morning_hpa), &mut dice),
                k: None,
                area_m2: area,
                rate_l_m2_h: 0.0,
                rate_boils: 0,
            },
            true_k,
            syrup: Syrup::new(moles, true_k, target),
            hearth: Hearth::new(heat / lets, &mut dice),
            probe: Glass::probe(&by_hand, &mut dice),
            by_hand,
            prism: Prism {
                zero: dice.normal(0.3),
                dries: dice.even(0.0, 0.5),
                mark: [0.1, 0.2, 0.5, 1.0][dice.one_of(4)],
                unsteady: dice.even(0.1, 0.4),
                delay_min: dice.even(1.5, 4.5),
            },
            eases_to: cell.eased.then_some(dice.even(0.35, 0.9)),
            steps: 0,
            solids_kg,
            water_kg: juice_kg - solids_kg,
            pan_c: starts_c,
            metal_j_k: dice.even(6e3, 2e4) * area,
            lets,
            tough: dice.even(0.0, 0.25),
            loses_w_k: dice.even(8.0, 25.0) * area,
            bottom_c: dice.even(0.0, 0.5),
            steam_kg_s: 0.0,
            skims_until: dice.even(25.0, 45.0),
            skims: dice.even(0.0, 0.05),
            hpa: morning_hpa + dice.normal(0.8),
            hpa_a_min: dice.normal(0.006),
            goes_on: Dice::new(seed, 0xc1),
            hand: Dice::new(seed, 0xc2),
        };
        sim.learn(cell, &learns, &mut dice);
        // This boil's wood is not the wood of the mean boil.
        sim.hearth.lot_j *= dice.normal(0.08).exp();
        sim
    }

    fn true_k(&self) -> f64 {
        self.true_k
    }
}

impl Sim {
    /// What the mill has learned of the pan and of K.
    fn learn(&mut self, cell: Cell, learns: &[f64; 4], dice: &mut Dice) {
        let mean = self.calm_rate();
        let makers = dice.chance(0.5);
        match cell.k_known {
            KKnown::Learned { boils } => {
                let spread = 0.04 + 0.1 / f64::from(boils.max(1)).sqrt();
                self.setup.k = Some((self.true_k + 0.03 * learns[2], boils));
                self.setup.rate_l_m2_h = mean * (spread * learns[3]).exp();
                self.setup.rate_boils = boils;
            }
            KKnown::Unknown if makers => self.setup.rate_l_m2_h = 40.7,
            KKnown::Unknown => self.setup.rate_l_m2_h = mean * (0.25 * learns[3]).exp(),
        }
    }

    /// L a square metre an hour of the boil by a mean and steady fire.
    fn calm_rate(&self) -> f64 {
        let mut calm = self.clone();
        calm.hearth = self.hearth.calm();
        let (mut water, mut minutes) = (0.0, 0.0);
        while calm.brix() < self.setup.target_brix && calm.min() < 1500.0 {
            let before = calm.water_kg;
            calm.step();
            if calm.boiling() {
                water += before - calm.water_kg;
                minutes += STEP_MIN;
            }
        }
        60.0 * water / minutes / self.setup.area_m2
    }

    fn min(&self) -> f64 {
        f64::from(self.steps) * STEP_MIN
    }

    fn boils_c(&self) -> f64 {
        water_boils_c(self.hpa) + self.syrup.rise_c(self.brix(), self.hpa)
    }

    fn step(&mut self) {
        self.steps += 1;
        self.hearth.step(&mut self.goes_on);
        self.hpa += self.hpa_a_min * STEP_MIN;
        let brix = self.brix();
        // Tough syrup takes the heat less readily; the rest goes up the chimney.
        let takes = self.lets * toughness(brix).powf(-self.tough);
        let heat_w = self.hearth.passes_w * takes - self.loses_w_k * (self.pan_c - 20.0);
        let holds = (self.solids_kg + self.water_kg) * heat_capacity(brix) + self.metal_j_k;
        self.pan_c += heat_w * STEP_S / holds;
        let over = self.pan_c - self.boils_c();
        let steam_kg = if over > 0.0 {
            // All heat over the boil goes into steam; syrup sits a trifle above its boil while it lasts.
            (over * holds / latent(self.pan_c)).min(0.2 * self.water_kg)
        } else {
            1e-7 * self.setup.area_m2 * STEP_S * (0.05 * self.pan_c).exp().min(150.0)
        };
        self.water_kg = (self.water_kg - steam_kg).max(0.12 * self.solids_kg);
        if over > 0.0 {
            self.pan_c -= over;
            self.skim(brix);
        }
        self.steam_kg_s += (steam_kg / STEP_S - self.steam_kg_s) * 0.1;
        let kw_m2 = self.steam_kg_s * 2257.0 / self.setup.area_m2;
        let feels = self.pan_c + self.bottom_c * kw_m2 / 30.0;
        self.by_hand.feel(feels);
        self.probe.feel(feels);
    }

    /// Scum is taken off while it comes, and syrup with it.
    fn skim(&mut self, brix: f64) {
        if brix < self.skims_until {
            let share = self.skims / 3600.0 * STEP_S;
            self.solids_kg *= 1.0 - share;
            self.water_kg *= 1.0 - share;
        }
    }
}

impl Known for Sim {
    fn astray(&mut self, seed: u64) {
        self.goes_on = Dice::new(seed, 0xc3);
        self.hand = Dice::new(seed, 0xc4);
    }

    fn shown(&self) -> (f64, f64) {
        (
            self.by_hand.bulb_c + self.by_hand.offset_c,
            self.by_hand.deviation(),
        )
    }

    fn drop_shown(&self) -> (f64, f64) {
        let brix = self.brix() + self.prism.zero + self.prism.dries * (self.brix() / 80.0).powi(3);
        (
            brix,
            self.prism.unsteady.hypot(self.prism.mark / 12.0_f64.sqrt()),
        )
    }
}

impl Boil for Sim {
    fn setup(&self) -> Setup {
        self.setup
    }

    fn advance(&mut self, to_min: f64) {
        while self.min() + STEP_MIN <= to_min + 1e-9 {
            self.step();
        }
    }

    fn ease(&mut self) {
        if let Some(share) = self.eases_to.take() {
            self.hearth.feeds = share;
            // He rakes out what burns too high as well.
            self.hearth.bed_j *= share.sqrt();
        }
    }

    fn draw(&mut self) {
        self.hearth.feeds = 0.0;
        self.hearth.bed_j *= 0.05;
        self.hearth.passes_w *= 0.4;
    }

    fn thermometer(&mut self) -> f64 {
        self.by_hand.read(self.by_hand.bulb_c, &mut self.hand)
    }

    fn drop_brix(&mut self) -> f64 {
        let (shown, _) = self.drop_shown();
        let read = (shown + self.hand.normal(self.prism.unsteady)).max(0.0);
        (read / self.prism.mark).round() * self.prism.mark
    }

    fn probe(&mut self) -> f64 {
        self.probe.read(self.probe.bulb_c, &mut self.hand)
    }

    fn drop_delay(&mut self) -> f64 {
        self.prism.delay_min * self.hand.normal(0.3).exp()
    }

    fn brix(&self) -> f64 {
        100.0 * self.solids_kg / (self.solids_kg + self.water_kg)
    }

    fn boiling(&self) -> bool {
        self.pan_c > self.boils_c() - 0.3
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cell() -> Cell {
        Cell {
            k_range: (0.9, 1.5),
            eased: false,
            k_known: KKnown::Unknown,
        }
    }

    #[test]
    fn every_boil_gets_to_its_target_in_a_day_and_never_thins() {
        for seed in 0..25 {
            let mut sim = Sim::new(seed, cell());
            let target = sim.setup().target_brix;
            let (mut before, mut minute) = (0.0, 0.0);
            while sim.brix() < target {
                minute += 1.0;
                assert!(minute < 1200.0, "seed {seed} stands at {}", sim.brix());
                sim.advance(minute);
                assert!(sim.brix() >= before, "seed {seed} at {minute} min");
                before = sim.brix();
            }
            assert!(minute > 15.0, "seed {seed}: {minute} min");
        }
    }

    #[test]
    fn the_learned_rate_is_that_of_the_boils_themselves() {
        let known = Cell {
            k_known: KKnown::Learned { boils: 9 },
            ..cell()
        };
        let mut over: Vec<f64> = (0..25)
            .map(|seed| {
                let mut sim = Sim::new(seed, known);
                let (mut minute, mut lit) = (0.0, None);
                while sim.brix() < sim.setup().target_brix {
                    minute += 0.5;
                    sim.advance(minute);
                    if lit.is_none() && sim.boiling() {
                        lit = Some((minute, sim.water_kg));
                    }
                }
                let (from, water) = lit.expect("it came to the boil");
                let setup = sim.setup();
                let rate = 60.0 * (water - sim.water_kg) / (minute - from) / setup.area_m2;
                (setup.rate_l_m2_h / rate).ln()
            })
            .collect();
        over.sort_by(f64::total_cmp);
        // Skimming takes up to 5 % and the wood of one boil differs by 8.
        assert!(over[12].abs() < 0.1, "{}", over[12]);
    }

    #[test]
    fn heat_in_is_warmth_and_steam() {
        let mut sim = Sim::new(3, cell());
        let (mut heat_j, mut steam_j) = (0.0, 0.0);
        while sim.brix() < 60.0 {
            let (water, warm) = (sim.water_kg, sim.pan_c);
            let solids = sim.solids_kg;
            let takes = sim.lets * toughness(sim.brix()).powf(-sim.tough);
            sim.step();
            if sim.boiling() {
                heat_j += (sim.hearth.passes_w * takes - sim.loses_w_k * (warm - 20.0)) * STEP_S;
                // What is skimmed off takes water along without boiling it.
                let skimmed = water * (1.0 - sim.solids_kg / solids);
                steam_j += (water - sim.water_kg - skimmed) * latent(sim.pan_c);
            }
        }
        assert!(
            (steam_j / heat_j - 1.0).abs() < 0.03,
            "{}",
            steam_j / heat_j
        );
    }

    #[test]
    fn a_drawn_fire_soon_stops_and_an_eased_one_slows() {
        let mut sim = Sim::new(
            5,
            Cell {
                eased: true,
                ..cell()
            },
        );
        let mut minute = 0.0;
        while sim.brix() < 60.0 {
            minute += 0.5;
            sim.advance(minute);
        }
        let rate = |mut sim: Sim| {
            let before = sim.water_kg;
            sim.advance(minute + 20.0);
            before - sim.water_kg
        };
        let (mut eased, mut drawn) = (sim.clone(), sim.clone());
        eased.ease();
        drawn.draw();
        assert!(rate(drawn) < rate(eased.clone()) && rate(eased) < rate(sim));
    }
}
