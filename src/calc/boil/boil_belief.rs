//! The filter under `boil_watch`: what is believed of a boil, carried on in time and corrected by
//! each reading. Extended Kalman, each reading taken three times about its own answer. Its
//! allowances are our own, held against simulated boils in the tests of `boil_watch`. Never knows
//! of clocks or pages.

use super::boil_watch::{Boil, Reading};
use crate::calc::physics::density;
use crate::calc::physics::elevation::{Factor, FactorFrom, rise_c};

/// A thermometer held in boiling syrup, °C (one standard deviation).
const TEMP_SD: f64 = 0.5;
/// A refractometer with a hastily cooled drop, °Bx.
const BRIX_SD: f64 = 0.6;
/// A dip stick in a stilled pan, share of the depth.
const DEPTH_SD: f64 = 0.08;
/// What the juice was measured to, share of its water per solids.
const JUICE_SD: f64 = 0.02;
/// The pan's rate before the boil shows it, share: learned over three boils, or not yet.
const RATE_SD: (f64, f64) = (0.15, 0.40);
/// How far a fire strays from its own mean, share, and for how long, minutes.
pub(in crate::calc) const FIRE_SD: f64 = 0.11;
const FIRE_MIN: f64 = 30.0;
/// This boil's K about the mill's: learned, or guessed.
const K_SD: (f64, f64) = (0.05, 0.12);
/// A reading this many standard deviations off is doubted.
const DOUBT: f64 = 4.0;
/// Mean and covariance of the four figures: u, rate and stray (a minute), K.
#[derive(Debug, Clone, Copy)]
pub(in crate::calc) struct Belief {
    pub(in crate::calc) x: [f64; 4],
    pub(in crate::calc) p: [[f64; 4]; 4],
}

pub(in crate::calc) fn u_of(brix: f64) -> f64 {
    100.0 / brix - 1.0
}
pub(in crate::calc) fn brix_of(u: f64) -> f64 {
    100.0 / (1.0 + u.max(0.05))
}

impl Belief {
    pub(in crate::calc) fn start(boil: &Boil) -> Self {
        let u = u_of(boil.juice.get());
        let rate = boil.pan.kg_min() / boil.solids.kg();
        let rate_sd = if boil.rate_boils >= 3 {
            RATE_SD.0
        } else {
            RATE_SD.1
        };
        let k_sd = match boil.factor.1 {
            FactorFrom::Learned(boils) if boils >= 3 => K_SD.0,
            FactorFrom::Learned(_) | FactorFrom::Guess => K_SD.1,
        };
        let mut p = [[0.0; 4]; 4];
        for (i, sd) in [JUICE_SD * (u + 1.0), rate_sd * rate, FIRE_SD * rate, k_sd]
            .into_iter()
            .enumerate()
        {
            p[i][i] = sd * sd;
        }
        Self {
            x: [u, rate, 0.0, boil.factor.0.get()],
            p,
        }
    }

    /// A step of at most a few minutes of boiling.
    pub(in crate::calc) fn step(&mut self, minutes: f64, fire_sd: f64) {
        let keep = (-minutes / FIRE_MIN).exp();
        let [u, rate, stray, k] = self.x;
        self.x = [u - (rate + stray) * minutes, rate, stray * keep, k];
        // Transition: u loses rate and stray, stray fades; applied to rows, then to columns.
        let [of_u, of_rate, of_stray, _] = &mut self.p;
        for ((u, rate), stray) in of_u.iter_mut().zip(of_rate).zip(of_stray) {
            *u -= (*rate + *stray) * minutes;
            *stray *= keep;
        }
        for row in &mut self.p {
            row[0] -= (row[1] + row[2]) * minutes;
            row[2] *= keep;
        }
        self.p[2][2] += fire_sd * fire_sd * (1.0 - keep * keep);
    }

    pub(in crate::calc) fn advance(&mut self, minutes: f64, fire_sd: f64) {
        let steps = minutes.ceil().max(1.0);
        let mut done = 0.0;
        while done < steps {
            self.step(minutes / steps, fire_sd);
            done += 1.0;
        }
    }

    pub(in crate::calc) fn u_sd(&self) -> f64 {
        self.p[0][0].max(0.0).sqrt()
    }

    /// Takes in one reading; false (and nothing taken) when it is too far off to believe.
    pub(in crate::calc) fn take(&mut self, seen: &Seen<'_>) -> bool {
        let before = *self;
        let mut about = before.x;
        for round in 0..3 {
            let (value, slope) = (seen.expected(&about), seen.slope(&about));
            let ph: [f64; 4] = std::array::from_fn(|i| dot(&before.p[i], &slope));
            let spread = dot(&slope, &ph) + seen.sd * seen.sd;
            let moved: [f64; 4] = std::array::from_fn(|i| before.x[i] - about[i]);
            let off = seen.value - value - dot(&slope, &moved);
            if round == 0 && off.abs() > DOUBT * spread.sqrt() {
                return false;
            }
            about = std::array::from_fn(|i| before.x[i] + ph[i] / spread * off);
            // Keeps the linearised step inside what can be: no syrup past 95 °Bx.
            about[0] = about[0].clamp(0.06, before.x[0] + 4.0 * before.u_sd());
            self.p = std::array::from_fn(|i| {
                std::array::from_fn(|j| before.p[i][j] - ph[i] * ph[j] / spread)
            });
        }
        self.x = about;
        true
    }
}

fn dot(a: &[f64; 4], b: &[f64; 4]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

/// One figure read, and what a belief expects it to be.
pub(in crate::calc) struct Seen<'a> {
    boil: &'a Boil,
    kind: Kind,
    value: f64,
    sd: f64,
}

#[derive(Clone, Copy)]
enum Kind {
    Temp,
    Brix,
    Depth,
}

impl Seen<'_> {
    fn expected(&self, x: &[f64; 4]) -> f64 {
        let brix = brix_of(x[0]);
        match self.kind {
            Kind::Temp => {
                let water = self.boil.water.get();
                water + x[3] * rise_c(brix, water, Factor::PURE)
            }
            Kind::Brix => brix,
            Kind::Depth => {
                let kg_m3 = density::solution(brix, self.boil.water.get());
                1000.0 * self.boil.solids.kg() * (1.0 + x[0]) / (kg_m3 * self.boil.pan.area_m2)
            }
        }
    }

    fn slope(&self, x: &[f64; 4]) -> [f64; 4] {
        let mut slope = [0.0; 4];
        for i in [0, 3] {
            let by = 1e-4 * x[i].abs().max(0.1);
            let (mut up, mut down) = (*x, *x);
            up[i] += by;
            down[i] -= by;
            slope[i] = (self.expected(&up) - self.expected(&down)) / (2.0 * by);
        }
        slope
    }
}

pub(in crate::calc) fn figures<'a>(boil: &'a Boil, reading: &Reading) -> Vec<Seen<'a>> {
    let mut all = Vec::with_capacity(3);
    let mut add = |kind, value, sd| {
        all.push(Seen {
            boil,
            kind,
            value,
            sd,
        });
    };
    if let Some(brix) = reading.brix {
        add(Kind::Brix, brix.get(), BRIX_SD);
    }
    if let Some(depth) = reading.depth_mm {
        add(Kind::Depth, depth, DEPTH_SD * depth);
    }
    if let Some(temp) = reading.temp {
        add(Kind::Temp, temp.get(), TEMP_SD);
    }
    all
}
