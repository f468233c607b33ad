//! Thermometer and refractometer, with the hand that reads them.

use crate::fire::make_b::chance::Chance;

/// A thermometer and who reads it.
#[derive(Debug, Clone)]
pub struct Thermometer {
    /// Reads so much high at boiling water, °C: found out by the morning's reading.
    offset_c: f64,
    /// A degree above boiling water reads so much.
    gain: f64,
    lag_min: f64,
    /// Where it has got to, °C.
    felt_c: f64,
    scale: Scale,
    /// Share of readings drawn to the scale's fives and tens.
    likes_fives: f64,
}

/// Marks of a scale.
#[derive(Debug, Clone, Copy)]
pub struct Scale {
    fahrenheit: bool,
    mark: f64,
}

impl Scale {
    fn read(self, celsius: f64, to_fives: bool) -> f64 {
        let shown = if self.fahrenheit {
            celsius * 1.8 + 32.0
        } else {
            celsius
        };
        let five = (shown / (5.0 * self.mark)).round() * 5.0 * self.mark;
        let read = if to_fives && (five - shown).abs() < 1.2 * self.mark {
            five
        } else {
            (shown / self.mark).round() * self.mark
        };
        if self.fahrenheit {
            (read - 32.0) / 1.8
        } else {
            read
        }
    }
}

impl Thermometer {
    /// Read by hand.
    pub fn by_hand(starts_c: f64, chance: &mut Chance) -> Self {
        let scale = chance.weighed([
            (3.0, (false, 0.1)),
            (2.0, (true, 0.1)),
            (1.0, (true, 0.2)),
            (2.0, (false, 0.5)),
            (3.0, (true, 1.0)),
            (1.0, (false, 1.0)),
        ]);
        Self {
            offset_c: chance.normal_within(0.6, 1.8),
            gain: 1.0 + chance.normal_within(0.009, 0.02),
            lag_min: chance.log_between(0.1, 2.5),
            felt_c: starts_c,
            scale: Scale {
                fahrenheit: scale.0,
                mark: scale.1,
            },
            likes_fives: chance.between(0.0, 0.35),
        }
    }

    /// A probe that sends: held against the same boiling water, so it shares the offset but for a trifle.
    pub fn probe_beside(other: &Self, starts_c: f64, chance: &mut Chance) -> Self {
        Self {
            offset_c: other.offset_c + chance.normal_within(0.06, 0.15),
            gain: 1.0 + chance.normal_within(0.004, 0.01),
            lag_min: chance.log_between(0.1, 0.8),
            felt_c: starts_c,
            scale: Scale {
                fahrenheit: false,
                mark: 0.0625,
            },
            likes_fives: 0.0,
        }
    }

    /// Feels this temperature for `step` minutes.
    pub fn feel(&mut self, celsius: f64, step: f64) {
        self.felt_c += (celsius - self.felt_c) * (1.0 - (-step / self.lag_min).exp());
    }

    /// What it shows on the whole, and the deviation of one reading, °C.
    pub fn shown(&self, pivot_c: f64) -> (f64, f64) {
        let shows = pivot_c + self.gain * (self.felt_c - pivot_c) + self.offset_c;
        let mark_c = self.scale.mark / if self.scale.fahrenheit { 1.8 } else { 1.0 };
        (shows, (0.04 + 0.2 * self.scale.mark).hypot(mark_c / 3.46))
    }

    /// What is read off, °C; the scale is true but for its offset where water boiled this morning, `pivot_c`.
    pub fn read(&self, pivot_c: f64, chance: &mut Chance) -> f64 {
        let shows = pivot_c + self.gain * (self.felt_c - pivot_c) + self.offset_c;
        let unsteady = chance.normal() * (0.04 + 0.2 * self.scale.mark);
        let to_fives = chance.happens(self.likes_fives);
        self.scale.read(shows + unsteady, to_fives)
    }

    /// What it read in boiling water this morning, °C; taken with care, so without a liking for fives.
    pub fn read_water(&self, boils_c: f64, chance: &mut Chance) -> f64 {
        let shows = boils_c + self.offset_c + chance.normal() * 0.06;
        self.scale.read(shows, false)
    }
}

/// A refractometer and who takes the drop.
#[derive(Debug, Clone)]
pub struct Refractometer {
    /// Zeroed so much too high, °Bx.
    zero: f64,
    mark: f64,
    likes_fives: f64,
    /// Noise on thin juice, and what is added at 78 °Bx, °Bx.
    noise: f64,
    noise_thick: f64,
    /// Share of drops read before they were cool.
    hot: f64,
    /// Where the scale ends, °Bx.
    ends: f64,
    /// Median of the time from drop to note, min.
    noted_after: f64,
}

impl Refractometer {
    /// Draws instrument and reader by chance.
    pub fn new(chance: &mut Chance) -> Self {
        Self {
            zero: chance.normal_within(0.22, 0.5),
            mark: chance.weighed([(3.0, 0.1), (3.0, 0.2), (2.0, 0.5), (1.0, 1.0)]),
            likes_fives: chance.between(0.0, 0.25),
            noise: chance.between(0.05, 0.2),
            noise_thick: chance.between(0.1, 0.7),
            hot: chance.weighed([(0.6, 0.02), (0.3, 0.10), (0.1, 0.35)]),
            ends: chance.weighed([(0.8, 90.0), (0.2, 82.0)]),
            noted_after: chance.between(0.4, 1.6),
        }
    }

    /// What a drop of this Brix reads on the whole, and the deviation of one reading, °Bx.
    pub fn shown(&self, brix: f64) -> (f64, f64) {
        let spread = self.noise + self.noise_thick * (brix / 78.0).powi(4);
        (
            (brix + self.zero).min(self.ends),
            spread.hypot(self.mark / 3.46),
        )
    }

    /// What a drop of this Brix reads.
    pub fn read(&self, brix: f64, chance: &mut Chance) -> f64 {
        let thick = (brix / 78.0).powi(4);
        let mut shows =
            brix + self.zero + chance.normal() * (self.noise + self.noise_thick * thick);
        if chance.happens(self.hot) {
            // About 0.08 °Bx low for each degree the drop is above the prism's own temperature.
            shows -= 0.08 * chance.between(4.0, 30.0);
        }
        let scale = Scale {
            fahrenheit: false,
            mark: self.mark,
        };
        let to_fives = chance.happens(self.likes_fives);
        scale.read(shows, to_fives).clamp(0.0, self.ends)
    }

    /// Minutes from drop to note: mostly one or two, now and then somebody was called away.
    pub fn delay(&self, chance: &mut Chance) -> f64 {
        (0.3 + self.noted_after * chance.factor(0.8)).min(5.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scale_is_read_to_its_marks_and_fives_draw_what_is_near() {
        let whole_f = Scale {
            fahrenheit: true,
            mark: 1.0,
        };
        let f = |celsius: f64| celsius * 1.8 + 32.0;
        let c = |fahrenheit: f64| (fahrenheit - 32.0) / 1.8;
        assert!((f(whole_f.read(c(226.4), false)) - 226.0).abs() < 1e-9);
        assert!((f(whole_f.read(c(226.1), true)) - 225.0).abs() < 1e-9);
        assert!((f(whole_f.read(c(227.4), true)) - 227.0).abs() < 1e-9);
    }

    #[test]
    fn a_thermometer_comes_near_within_its_lag() {
        let mut chance = Chance::new(5, 1);
        let mut one = Thermometer::by_hand(20.0, &mut chance);
        one.lag_min = 2.0;
        one.feel(100.0, 2.0);
        assert!((one.felt_c - (100.0 - 80.0 * (-1.0_f64).exp())).abs() < 1e-9);
    }

    /// Wide as they are told of: median of many readers' drops near the truth, thick syrup wider than juice, hot drops low.
    #[test]
    fn drops_scatter_more_in_thick_syrup_and_hot_ones_read_low() {
        let spread = |brix: f64| {
            let mut off: Vec<f64> = (0..2000)
                .map(|seed| {
                    let mut chance = Chance::new(seed, 3);
                    Refractometer::new(&mut chance).read(brix, &mut chance) - brix
                })
                .collect();
            off.sort_by(f64::total_cmp);
            (off[200], off[1000], off[1800])
        };
        let (thin_low, thin, thin_high) = spread(15.0);
        let (thick_low, thick, thick_high) = spread(76.3);
        assert!(thin.abs() < 0.1 && thick.abs() < 0.2, "{thin}, {thick}");
        assert!(thick_high - thick_low > 1.3 * (thin_high - thin_low));
        assert!(thick - thick_low > thick_high - thick);
    }

    #[test]
    fn drops_are_noted_within_five_minutes_and_some_late() {
        let mut chance = Chance::new(9, 3);
        let delays: Vec<f64> = (0..2000)
            .map(|_| Refractometer::new(&mut chance).delay(&mut chance))
            .collect();
        assert!(delays.iter().all(|d| (0.3..=5.0).contains(d)));
        let late = delays.iter().filter(|d| **d > 3.0).count();
        assert!(
            (60..400).contains(&late),
            "{late} of 2000 over three minutes"
        );
    }
}
