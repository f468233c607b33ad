//! One boil of one mill, all drawn from a seed.

use crate::fire::face::{Boil, Cell, Known, Make, Setup};
use crate::fire::make_a::dice::Dice;
use crate::fire::make_a::fire::Fire;
use crate::fire::make_a::liquor::boiling_water;
use crate::fire::make_a::mill::{Mill, know};
use crate::fire::make_a::pan::Pan;
use crate::fire::make_a::tools::{Around, Refractometer, Scale, Thermometer};

/// A boil: the mill, and what chance makes of this day.
#[derive(Debug, Clone)]
pub struct Sim {
    mill: Mill,
    setup: Setup,
    eased: bool,
    pan: Pan,
    fire: Fire,
    scale: Scale,
    hand: Thermometer,
    probe: Thermometer,
    drops: Refractometer,
    dice: Dice,
    seconds: f64,
    /// Pressure now, and its drift, Pa an hour.
    pascal: f64,
    drift: f64,
    wind: f64,
    skims_left: u32,
    next_skim: f64,
    /// The probe is out of the liquid until then, s (stirring, skimming).
    probe_out: f64,
    step_s: f64,
}

impl Make for Sim {
    fn new(seed: u64, cell: Cell) -> Self {
        let mut dice = Dice::new(seed, 1);
        let mill = Mill::new(&mut dice, &cell);
        let scale = [Scale::WholeF, Scale::HalfF, Scale::HalfC][dice.one_of(3)];
        let mut hand = Thermometer::by_hand(&mut dice);
        // A thick bulb is of no use in a pan that is done within minutes; nobody keeps one there.
        if mill.thin() {
            hand.lag_s = hand.lag_s.min(15.0);
        }
        let probe = Thermometer::probe(&hand, &mut dice);
        let setup = know(&mill, &cell, scale, &hand, seed, &mut dice);
        Self {
            pan: mill.filled(),
            fire: Fire::new(mill.habit, Dice::new(seed, 2)),
            drops: Refractometer::new(&mut dice),
            pascal: mill.morning + dice.normal(60.0),
            drift: dice.normal(60.0),
            wind: if dice.chance(0.3) {
                dice.even(0.3, 1.0)
            } else {
                dice.even(0.0, 0.2)
            },
            skims_left: mill.skims,
            next_skim: 0.0,
            probe_out: 0.0,
            step_s: if mill.thin() { 0.5 } else { 1.0 },
            eased: cell.eased,
            seconds: 0.0,
            mill,
            setup,
            scale,
            hand,
            probe,
            dice,
        }
    }

    fn true_k(&self) -> f64 {
        self.mill.factor_k
    }
}

impl Sim {
    fn water_now(&self) -> f64 {
        boiling_water(self.pascal)
    }

    /// Scum comes with the first heat and is taken off in a few rounds.
    fn skim(&mut self) {
        if self.skims_left == 0
            || self.pan.liquid < 85.0
            || self.seconds < self.next_skim
            || self.pan.brix() > 60.0
        {
            return;
        }
        self.pan
            .skim(self.mill.skimmed / f64::from(self.mill.skims));
        self.skims_left -= 1;
        self.next_skim = self.seconds + self.dice.even(120.0, 420.0);
    }

    fn step(&mut self) {
        let dt = self.step_s;
        let fire = self.fire.step(dt);
        self.pascal += self.drift * dt / 3600.0;
        let was_boiling = self.pan.boiling;
        self.pan.step(dt, fire, self.pascal, self.wind);
        if self.pan.boiling && !was_boiling {
            self.fire.build_up();
        }
        self.skim();
        let around = Around {
            liquid: self.pan.liquid,
            wall: self.pan.wall,
        };
        self.hand.follow(dt, around);
        if self.probe_out > self.seconds {
            self.probe.follow(
                dt,
                Around {
                    liquid: 60.0,
                    wall: 60.0,
                },
            );
        } else {
            self.probe.follow(dt, around);
            if self.dice.chance(dt / 5400.0) {
                self.probe_out = self.seconds + self.dice.even(15.0, 60.0);
            }
        }
        self.seconds += dt;
    }
}

impl Known for Sim {
    fn astray(&mut self, seed: u64) {
        self.dice = Dice::new(seed, 3);
        self.fire.astray(Dice::new(seed, 4));
    }

    fn shown(&self) -> (f64, f64) {
        let spread = self.hand.noise.hypot(self.scale.coarseness());
        (self.hand.shows(self.water_now()), spread)
    }

    fn drop_shown(&self) -> (f64, f64) {
        self.drops.shown(self.pan.brix())
    }
}

impl Boil for Sim {
    fn setup(&self) -> Setup {
        self.setup
    }

    fn advance(&mut self, to_min: f64) {
        while self.seconds + self.step_s <= to_min * 60.0 {
            self.step();
        }
    }

    fn ease(&mut self) {
        if self.eased {
            self.fire.ease();
        }
    }

    fn draw(&mut self) {
        self.fire.draw();
    }

    fn thermometer(&mut self) -> f64 {
        let water = self.water_now();
        self.scale.round(self.hand.read(water, &mut self.dice))
    }

    fn drop_brix(&mut self) -> f64 {
        self.drops.read(self.pan.brix(), &mut self.dice)
    }

    fn probe(&mut self) -> f64 {
        let water = self.water_now();
        (self.probe.read(water, &mut self.dice) * 10.0).round() / 10.0
    }

    fn drop_delay(&mut self) -> f64 {
        if self.dice.chance(0.1) {
            self.dice.even(3.0, 8.0)
        } else {
            self.dice.even(0.7, 3.5)
        }
    }

    fn brix(&self) -> f64 {
        self.pan.brix()
    }

    fn boiling(&self) -> bool {
        self.pan.boiling
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fire::face::KKnown;
    use crate::fire::make_a::liquor::sucrose_rise;

    const CELL: Cell = Cell {
        k_range: (1.0, 1.3),
        eased: true,
        k_known: KKnown::Learned { boils: 5 },
    };

    fn until(sim: &mut Sim, brix: f64) -> f64 {
        let mut at = 0.0;
        while sim.brix() < brix && at < 900.0 {
            at += 0.02;
            sim.advance(at);
        }
        at
    }

    #[test]
    fn the_same_seed_boils_the_same() {
        let (mut a, mut b) = (Sim::new(11, CELL), Sim::new(11, CELL));
        a.advance(30.0);
        for minute in 1..=30 {
            b.advance(f64::from(minute));
        }
        assert_eq!(a.brix().to_bits(), b.brix().to_bits());
        assert_eq!(a.thermometer().to_bits(), b.thermometer().to_bits());
    }

    #[test]
    fn every_boil_reaches_its_target_and_beyond() {
        for seed in 0..60 {
            let mut sim = Sim::new(seed, CELL);
            let at = {
                let far = sim.setup().target_brix + 4.0;
                until(&mut sim, far)
            };
            assert!((8.0..700.0).contains(&at), "seed {seed}: {at} min");
        }
    }

    #[test]
    fn the_learned_factor_finds_the_target_by_this_thermometer() {
        for seed in 0..40 {
            let mut sim = Sim::new(
                seed,
                Cell {
                    k_range: (0.9, 1.5),
                    ..CELL
                },
            );
            sim.hand.lag_s = 0.5;
            let setup = sim.setup();
            until(&mut sim, setup.target_brix);
            let read = (0..20).map(|_| sim.thermometer()).sum::<f64>() / 20.0;
            let (k, _) = setup.k.expect("learned");
            let said = setup.water_c + k * sucrose_rise(setup.target_brix, sim.mill.morning);
            // 3 deviations of K (0.03 of some 8.5 °C each), marks of 1 °F twice, the noise of the morning's reading.
            assert!(
                (read - said).abs() < 1.6,
                "seed {seed}: {read} °C, {said} expected"
            );
            assert!(
                (k - sim.true_k()).abs() < 0.3,
                "seed {seed}: {k} for {}",
                sim.true_k()
            );
        }
    }

    #[test]
    fn easing_is_obeyed_only_where_the_cook_eases() {
        let mut longer = 0;
        for seed in 0..20 {
            let time = |eased: bool| {
                let mut sim = Sim::new(seed, Cell { eased, ..CELL });
                let from = until(&mut sim, 45.0);
                sim.ease();
                until(&mut sim, 78.0) - from
            };
            longer += u32::from(time(true) > 1.1 * time(false));
        }
        assert!(longer >= 14, "{longer} of 20");
    }
}
