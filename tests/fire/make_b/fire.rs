//! The fire under the pan: what it gives, against its own mean.

use crate::fire::make_b::chance::{Chance, Stray};

/// What burns.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fuel {
    /// Stoked by hand every 15 to 40 minutes; what was laid on burns away in between.
    Wood,
    /// A burner whose bottle or main loses and gains pressure.
    Gas,
}

/// A fire; 1 is what it gives on the whole.
#[derive(Debug, Clone)]
pub struct Fire {
    fuel: Fuel,
    /// What the bed of embers gives at all times.
    embers: f64,
    logs: f64,
    burns_down_min: f64,
    next_stoke_min: f64,
    usual_log: f64,
    /// A fresh log smothers the flame until then, min.
    smothered_until_min: f64,
    gust: Stray,
    drift: Stray,
    /// Hearth and pan pass it on so late, min.
    lag_min: f64,
    reaches_pan: f64,
    /// Share that the cook has let it go down to; 1 until then.
    eased_to: f64,
    eased: f64,
    /// A cook who eases by laying on no more wood.
    fed: bool,
    damped_to: f64,
    damped_until_min: f64,
    damper: f64,
    /// The pan's and hearth's own heat lasts so long once the fire is drawn, min.
    own_heat_min: f64,
    drawn: bool,
}

impl Fire {
    /// Draws a fire by chance; drawn from under the pan, it goes on for about `own_heat_min`.
    pub fn new(own_heat_min: f64, chance: &mut Chance) -> Self {
        let fuel = chance.weighed([(0.7, Fuel::Wood), (0.3, Fuel::Gas)]);
        let burns_down_min = chance.between(14.0, 45.0);
        let (gust, drift) = match fuel {
            Fuel::Wood => (chance.between(0.03, 0.12), chance.between(0.03, 0.10)),
            Fuel::Gas => (chance.between(0.0, 0.03), chance.between(0.02, 0.10)),
        };
        let embers = chance.between(0.35, 0.65);
        Self {
            fuel,
            embers,
            logs: 1.0 - embers,
            burns_down_min,
            next_stoke_min: chance.between(5.0, 30.0),
            // 27.5 min between stokings on the mean: so large a log keeps the mean at 1.
            usual_log: (1.0 - embers) * 27.5 / burns_down_min,
            smothered_until_min: 0.0,
            gust: Stray::new(gust, chance.between(1.5, 5.0), chance),
            drift: Stray::new(drift, chance.between(30.0, 80.0), chance),
            lag_min: chance.between(0.6, 3.0),
            reaches_pan: 1.0,
            eased_to: 1.0,
            eased: 1.0,
            fed: true,
            damped_to: 1.0,
            damped_until_min: 0.0,
            damper: 1.0,
            own_heat_min,
            drawn: false,
        }
    }

    /// What burns.
    pub fn fuel(&self) -> Fuel {
        self.fuel
    }

    /// What reaches the pan; 1 is the mean, 0 a cold hearth.
    pub fn reaches_pan(&self) -> f64 {
        self.reaches_pan
    }

    /// The cook lets it down to this share, or further if it was let down before; a cook with wood may do so by
    /// laying on no more.
    pub fn ease(&mut self, share: f64, feed_on: bool) {
        self.eased_to = self.eased_to.min(share);
        self.fed = self.fed && feed_on;
    }

    /// Damped down to this share until that minute, because the pan boils over.
    pub fn damp(&mut self, share: f64, until_min: f64) {
        self.damped_to = share;
        self.damped_until_min = until_min;
    }

    /// The fire is drawn; own heat goes on for a little.
    pub fn draw(&mut self) {
        self.drawn = true;
    }

    fn burns(&mut self, now_min: f64, step: f64, chance: &mut Chance) -> f64 {
        if self.fuel == Fuel::Gas {
            return 1.0;
        }
        self.logs -= self.logs * step / self.burns_down_min;
        if now_min >= self.next_stoke_min && self.fed {
            let log = self.usual_log * chance.factor(0.35) * 0.94;
            self.logs += log;
            self.next_stoke_min = now_min + chance.between(15.0, 40.0);
            self.smothered_until_min = now_min + chance.between(0.5, 3.0);
        }
        let flame = if now_min < self.smothered_until_min {
            0.75
        } else {
            1.0
        };
        self.embers + self.logs * flame
    }

    /// Goes on by `step` minutes to `now_min`.
    pub fn step(&mut self, now_min: f64, step: f64, chance: &mut Chance) {
        let burns = self.burns(now_min, step, chance);
        self.gust.step(step, chance);
        self.drift.step(step, chance);
        // A damper is shut in half a minute; a fire let down by hand takes longer.
        let damped_to = if now_min < self.damped_until_min {
            self.damped_to
        } else {
            1.0
        };
        self.damper += (damped_to - self.damper) * step / 0.5;
        self.eased += (self.eased_to - self.eased) * step / 1.2;
        let strays = (1.0 + self.gust.value + self.drift.value).max(0.2);
        let (wanted, lag) = if self.drawn {
            (0.0, self.own_heat_min)
        } else {
            (burns * strays * self.damper * self.eased, self.lag_min)
        };
        self.reaches_pan += (wanted - self.reaches_pan) * step / lag;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mean_and_spread(fire: &mut Fire, chance: &mut Chance) -> (f64, f64) {
        let (mut sum, mut least, mut most) = (0.0, f64::MAX, 0.0_f64);
        for tick in 1..=24_000_u32 {
            fire.step(f64::from(tick) / 40.0, 0.025, chance);
            sum += fire.reaches_pan();
            least = least.min(fire.reaches_pan());
            most = most.max(fire.reaches_pan());
        }
        (sum / 24_000.0, most - least)
    }

    /// Ten hours each: wood swings with its logs, gas hardly; both give 1 on the whole.
    #[test]
    fn a_fire_gives_its_mean_and_wood_swings_more_than_gas() {
        let mut swings = [Vec::new(), Vec::new()];
        let mut means = 0.0;
        for seed in 0..80 {
            let mut chance = Chance::new(seed, 1);
            let mut fire = Fire::new(1.0, &mut chance);
            let (mean, swing) = mean_and_spread(&mut fire, &mut chance);
            means += mean / 80.0;
            swings[usize::from(fire.fuel() == Fuel::Gas)].push(swing);
        }
        assert!((0.95..1.05).contains(&means), "mean {means}");
        let [wood, gas] = swings.map(|mut all| {
            all.sort_by(f64::total_cmp);
            all[all.len() / 2]
        });
        assert!(wood > 1.5 * gas, "wood {wood}, gas {gas}");
    }

    #[test]
    fn a_fire_eased_gives_its_share_and_one_drawn_dies() {
        for seed in 0..20 {
            let mut chance = Chance::new(seed, 1);
            let mut fire = Fire::new(1.0, &mut chance);
            fire.ease(0.5, true);
            let (mean, _) = mean_and_spread(&mut fire, &mut chance);
            assert!((0.35..0.65).contains(&mean), "eased: {mean}");
            fire.draw();
            for tick in 1..=400_u32 {
                fire.step(600.0 + f64::from(tick) / 40.0, 0.025, &mut chance);
            }
            assert!(fire.reaches_pan() < 0.02, "drawn: {}", fire.reaches_pan());
        }
    }
}
