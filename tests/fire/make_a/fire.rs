//! The fire under the pan: wood in charges that burn down and are stoked, or gas at a flow set by hand.

use crate::fire::make_a::dice::Dice;

/// How a fire is made and tended; drawn once for a mill.
#[derive(Debug, Clone, Copy)]
pub struct Habit {
    /// Gas, not wood.
    pub gas: bool,
    /// Heat to the pan at a full fire while the wall is near 100 °C, W.
    pub full_w: f64,
    /// Level kept while the juice heats up, of a full fire.
    pub heating_level: f64,
    /// From the first boil to a full fire, s.
    pub rise_s: f64,
    /// One charge of wood, s of a full fire.
    pub charge_s: f64,
    /// Output at which the stoker looks for wood, of the level wanted.
    pub stoke_at: f64,
    /// Draught and wind: deviation of the heat, of itself.
    pub stray: f64,
    /// Level the fire is let down to when eased.
    pub eased_to: f64,
}

/// A burning fire.
#[derive(Debug, Clone)]
pub struct Fire {
    habit: Habit,
    dice: Dice,
    /// Wood not yet alight, wood in flames, coals; s of a full fire.
    fresh: f64,
    flames: f64,
    coals: f64,
    flame_s: f64,
    coal_s: f64,
    level: f64,
    full: bool,
    since_charge: f64,
    wait: f64,
    door_open: f64,
    wind: f64,
    /// Damper or tap: where it stands and where it is being set.
    tap: f64,
    tap_aim: f64,
    tap_s: f64,
    /// Set to this after so many seconds.
    order: Option<(f64, f64)>,
    drawn: bool,
    /// Quality of today's fuel, of the mill's usual.
    fuel: f64,
    lit_s: f64,
}

impl Fire {
    /// A fire just lit.
    #[must_use]
    pub fn new(habit: Habit, mut dice: Dice) -> Self {
        let fuel = 1.0 + dice.normal(0.07).clamp(-0.2, 0.2);
        Self {
            fresh: habit.charge_s * habit.heating_level,
            flames: 0.0,
            coals: 0.0,
            flame_s: dice.even(200.0, 480.0),
            coal_s: dice.even(700.0, 1800.0),
            level: habit.heating_level,
            full: false,
            since_charge: 0.0,
            wait: dice.even(30.0, 300.0),
            door_open: 0.0,
            wind: 0.0,
            tap: 1.0,
            tap_aim: 1.0,
            tap_s: if habit.gas {
                8.0
            } else {
                dice.even(50.0, 130.0)
            },
            order: None,
            drawn: false,
            fuel,
            lit_s: 0.0,
            habit,
            dice,
        }
    }

    /// From here on chance goes another way.
    pub fn astray(&mut self, dice: Dice) {
        self.dice = dice;
    }

    /// The pan has begun to boil: the fire is built up to full.
    pub fn build_up(&mut self) {
        self.full = true;
    }

    /// Let the fire down; it takes the cook half a minute to three.
    pub fn ease(&mut self) {
        if self.order.is_none() && !self.drawn && self.tap_aim > self.habit.eased_to {
            self.order = Some((self.dice.even(30.0, 180.0), self.habit.eased_to));
        }
    }

    /// Draw the fire: rake it out or shut the tap. It takes some seconds; brickwork goes on giving some heat.
    pub fn draw(&mut self) {
        let left = if self.habit.gas {
            0.02
        } else {
            self.dice.even(0.03, 0.12)
        };
        self.drawn = true;
        self.order = Some((self.dice.even(5.0, 30.0), left));
        self.tap_s = self.tap_s.min(20.0);
    }

    fn obey(&mut self, dt: f64) {
        if let Some((wait, aim)) = self.order {
            if wait <= dt {
                self.tap_aim = aim;
                self.order = None;
            } else {
                self.order = Some((wait - dt, aim));
            }
        }
        self.tap += (self.tap_aim - self.tap) * (dt / self.tap_s).min(1.0);
        // Nobody waits an hour on a low fire for the first bubble.
        self.lit_s += dt;
        if self.full || self.lit_s > 50.0 * 60.0 {
            self.level += (1.0 - self.level) * (dt / self.habit.rise_s).min(1.0);
        }
    }

    /// Heat of the burning wood, of a full fire.
    fn burn(&mut self, dt: f64) -> f64 {
        const CATCH_S: f64 = 90.0;
        let caught = self.fresh * (dt / CATCH_S).min(1.0);
        self.fresh -= caught;
        // About two thirds of the heat of wood are in its gases, the rest in the coals (common practice).
        self.flames += 0.65 * caught;
        self.coals += 0.35 * caught;
        // A shut damper slows the burning itself, so the wood lasts.
        let draught = self.tap.max(0.05);
        let (flame, coal) = (
            self.flames / self.flame_s * draught,
            self.coals / self.coal_s * draught,
        );
        self.flames -= flame * dt;
        self.coals -= coal * dt;
        self.since_charge += dt;
        self.door_open = (self.door_open - dt).max(0.0);
        let wanted = self.level * self.tap_aim;
        if !self.drawn
            && flame + coal < self.habit.stoke_at * wanted
            && self.since_charge > self.wait
        {
            let size = self.habit.charge_s * wanted.max(0.15) * self.dice.normal(0.25).exp();
            self.fresh += size * self.fuel;
            self.since_charge = 0.0;
            self.door_open = self.dice.even(10.0, 45.0);
            // Mostly the stoker is at hand; now and then he is elsewhere.
            self.wait = self.dice.even(60.0, 180.0)
                + if self.dice.chance(0.15) {
                    self.dice.even(120.0, 420.0)
                } else {
                    0.0
                };
        }
        (flame + coal) * if self.door_open > 0.0 { 0.85 } else { 1.0 }
    }

    /// Gas: even, but for a hand at the tap now and then and the bottle growing cold.
    fn flow(&mut self, dt: f64) -> f64 {
        self.since_charge += dt;
        if self.since_charge > self.wait {
            self.since_charge = 0.0;
            self.wait = self.dice.even(900.0, 3600.0);
            self.fuel = (self.fuel * self.dice.even(0.9, 1.08)).clamp(0.75, 1.2);
        }
        self.level * self.fuel * self.tap
    }

    /// Goes on by `dt` s and gives the heat sent to the pan, W.
    pub fn step(&mut self, dt: f64) -> f64 {
        const GUST_S: f64 = 240.0;
        self.obey(dt);
        let burning = if self.habit.gas {
            self.flow(dt)
        } else {
            self.burn(dt)
        };
        self.wind += -self.wind * dt / GUST_S
            + self
                .dice
                .normal(self.habit.stray * (2.0 * dt / GUST_S).sqrt());
        self.habit.full_w * burning * (1.0 + self.wind).clamp(0.4, 1.6)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn habit(gas: bool) -> Habit {
        Habit {
            gas,
            full_w: 100e3,
            heating_level: 0.6,
            rise_s: 300.0,
            charge_s: 420.0,
            stoke_at: 0.9,
            stray: 0.05,
            eased_to: 0.5,
        }
    }

    fn mean(fire: &mut Fire, seconds: u32) -> f64 {
        (0..seconds).map(|_| fire.step(1.0)).sum::<f64>() / f64::from(seconds)
    }

    #[test]
    fn a_tended_fire_holds_its_level_and_obeys() {
        for gas in [true, false] {
            for seed in 0..20 {
                let mut fire = Fire::new(habit(gas), Dice::new(seed, 1));
                mean(&mut fire, 1200);
                fire.build_up();
                mean(&mut fire, 1500);
                let full = mean(&mut fire, 3600);
                assert!(
                    (70e3..150e3).contains(&full),
                    "gas {gas}, seed {seed}: {full} W"
                );
                fire.ease();
                mean(&mut fire, 900);
                let eased = mean(&mut fire, 1800);
                assert!(
                    eased < 0.8 * full,
                    "gas {gas}, seed {seed}: {eased} of {full} W"
                );
                fire.draw();
                mean(&mut fire, 600);
                let drawn = mean(&mut fire, 300);
                assert!(
                    drawn < 0.25 * full,
                    "gas {gas}, seed {seed}: {drawn} of {full} W"
                );
            }
        }
    }

    #[test]
    fn a_wood_fire_nobody_stokes_burns_down() {
        let mut fire = Fire::new(
            Habit {
                stoke_at: 0.0,
                ..habit(false)
            },
            Dice::new(1, 1),
        );
        let first = mean(&mut fire, 600);
        let later = (0..7200).map(|_| fire.step(1.0)).last().unwrap_or(f64::MAX);
        assert!(later < 0.1 * first, "{later} of {first} W");
    }
}
