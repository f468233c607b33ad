//! Where a boil is and when it will be done, from its readings. Water per solids, u = 100/Brix − 1,
//! falls at the rate the fire drives water off; temperature, Brix and depth each tell of u with
//! their own error. Never says more than the readings do: early on it says so.
//!
//! Method: a Kalman filter (`boil_belief`) over four figures: u; the boil's mean rate; how far the
//! fire is off that mean at the moment; and this boil's factor K. The finish is when u passes the
//! target's; its 80 % interval runs from where one tenth of the forecast has passed it to where
//! nine tenths have. Over 1,000 boils simulated by other laws, from half-way on, it held 80 % of
//! the time; in the last 20 minutes the finish was out by 0.9 minutes (median).

use super::boil_belief::{Belief, FIRE_SD, brix_of, figures, u_of};
use super::boil_plan::Pan;
use crate::calc::Unmet;
use crate::calc::physics::elevation::{Factor, FactorFrom, rise_c};
use crate::units::{BrixAt20C, Celsius, Grams, UtcSecond};

/// Below boiling water by more than this, °C, a pan is not at the boil.
const OFF_THE_BOIL: f64 = 1.5;
/// Nine tenths of a normal distribution lie below so many standard deviations.
const TENTH: f64 = 1.281_552;
/// From so many minutes before it may be done, the refractometer is called for.
const CHECK_MIN: f64 = 10.0;
/// Farthest the forecast looks, minutes.
const HORIZON: f64 = 1440.0;

/// A boil being watched.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Boil {
    /// When the fire was lit under it.
    pub lit: UtcSecond,
    /// Dissolved solids poured in.
    pub solids: Grams,
    /// Brix of the pooled juice.
    pub juice: BrixAt20C,
    /// Brix it is to be finished at.
    pub target: BrixAt20C,
    /// Where water boils this day.
    pub water: Celsius,
    /// The mill's factor K and what it is from.
    pub factor: (Factor, FactorFrom),
    /// The pan, with its learned or starting rate.
    pub pan: Pan,
    /// From how many finished boils the rate was learned.
    pub rate_boils: u32,
}

/// What was read at one moment; at least one of the three.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// When.
    pub at: UtcSecond,
    /// Thermometer in the pan.
    pub temp: Option<Celsius>,
    /// Refractometer, a cooled drop, at 20 °C.
    pub brix: Option<BrixAt20C>,
    /// Depth in the stilled pan, mm.
    pub depth_mm: Option<f64>,
}

/// What the readings say.
#[derive(Debug, Clone, PartialEq)]
pub struct Watched {
    /// How far the boil is.
    pub stage: Stage,
    /// Readings (by place in the list) that do not fit the others and were left out.
    pub doubtful: Vec<usize>,
}

/// How far a boil is.
#[derive(Debug, Clone, PartialEq)]
pub enum Stage {
    /// Not at the boil yet.
    Heating,
    /// Boiling, but too early to tell when it will be done.
    TooEarly(Estimate),
    /// On its way.
    Going(Estimate, Forecast),
    /// By the last reading it is as likely as not at its target or past it: draw the fire and check
    /// with the refractometer. The forecast says by when it is there at the latest.
    There(Estimate, Forecast),
}

/// Where the boil was at its last reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// When that was.
    pub at: UtcSecond,
    /// Brix then.
    pub brix: BrixAt20C,
    /// It lies within so many °Bx of that four times in five.
    pub brix_plus_minus: f64,
    /// Water driven off so far, to the nearest gram.
    pub evaporated: Grams,
    /// Water still to drive off; nought when there.
    pub water_left: Grams,
    /// What the pan drives off at present, L a square metre an hour.
    pub rate_l_m2_h: f64,
}

/// When it will be done.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Forecast {
    /// As likely before as after.
    pub finish: UtcSecond,
    /// Nine times in ten not before this.
    pub earliest: UtcSecond,
    /// Nine times in ten not after this.
    pub latest: UtcSecond,
    /// Whether to take up the refractometer: one time in ten it is done within ten minutes.
    pub check: bool,
}

fn minutes_between(from: UtcSecond, to: UtcSecond) -> f64 {
    #[expect(
        clippy::cast_precision_loss,
        reason = "a boil lasts hours, not millennia"
    )]
    let seconds = (to.get() - from.get()) as f64;
    seconds / 60.0
}

fn later(from: UtcSecond, minutes: f64) -> UtcSecond {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "bounded by the horizon of a day"
    )]
    from.plus((minutes * 60.0).round() as i64)
}

/// Reads the boil from its readings, which must be in order of time (see [`check_reading`]).
pub fn watch(boil: &Boil, readings: &[Reading]) -> Watched {
    let fire_sd = FIRE_SD * boil.pan.kg_min() / boil.solids.kg();
    let mut belief = Belief::start(boil);
    let (mut last_cold, mut boiling_at) = (boil.lit, None);
    let (mut doubtful, mut doubts_in_a_row, mut taken) = (Vec::new(), 0, 0);
    for (place, reading) in readings.iter().enumerate() {
        let cold = reading
            .temp
            .is_some_and(|t| t.get() < boil.water.get() - OFF_THE_BOIL);
        let Some(since) = boiling_at else {
            if cold {
                last_cold = reading.at;
            } else {
                // It came to the boil somewhere since the last cold reading.
                let gap = minutes_between(last_cold, reading.at).max(0.0);
                belief.advance(gap / 2.0, fire_sd);
                belief.p[0][0] += (belief.x[1] * gap).powi(2) / 12.0;
                boiling_at = Some(reading.at);
                taken += usize::from(figures(boil, reading).iter().all(|s| belief.take(s)));
            }
            continue;
        };
        belief.advance(minutes_between(since, reading.at).max(0.0), fire_sd);
        boiling_at = Some(reading.at);
        let mut fits = true;
        for seen in figures(boil, reading) {
            let mut took = belief.take(&seen);
            if !took && doubts_in_a_row > 0 {
                // Two in a row: it is the boil that is elsewhere, not the reading.
                belief.p[0][0] += (0.5 * belief.x[0]).powi(2);
                took = belief.take(&seen);
            }
            fits &= took;
        }
        doubts_in_a_row = if fits { 0 } else { doubts_in_a_row + 1 };
        if fits {
            taken += 1;
        } else {
            doubtful.push(place);
        }
    }
    let stage = boiling_at.map_or(Stage::Heating, |at| stage(boil, belief, at, taken, fire_sd));
    Watched { stage, doubtful }
}

fn stage(boil: &Boil, belief: Belief, at: UtcSecond, taken: usize, fire_sd: f64) -> Stage {
    let estimate = estimate(boil, &belief, at);
    let goal = u_of(boil.target.get());
    let Some([early, middle, late]) = forecast(belief, goal, fire_sd) else {
        return Stage::TooEarly(estimate);
    };
    let forecast = Forecast {
        finish: later(at, middle),
        earliest: later(at, early),
        latest: later(at, late),
        check: early <= CHECK_MIN,
    };
    if belief.x[0] <= goal {
        Stage::There(estimate, forecast)
    } else if taken >= 2 && late - early <= middle.max(5.0) {
        Stage::Going(estimate, forecast)
    } else {
        // An interval wider than the time to go says nothing; nor do fewer than two readings.
        Stage::TooEarly(estimate)
    }
}

fn estimate(boil: &Boil, belief: &Belief, at: UtcSecond) -> Estimate {
    let u = belief.x[0];
    let brix = brix_of(u).min(95.0);
    let solids = boil.solids.as_f64();
    let rate_kg_min = (belief.x[1] + belief.x[2]) * boil.solids.kg();
    Estimate {
        at,
        // Inside 0 to 95 by the line above; the juice's own Brix stands in if it ever is not.
        brix: BrixAt20C::new(brix).unwrap_or(boil.juice),
        brix_plus_minus: TENTH * belief.u_sd() * brix * brix / 100.0,
        evaporated: Grams::nearest(solids * (u_of(boil.juice.get()) - u).max(0.0)),
        water_left: Grams::nearest(solids * (u - u_of(boil.target.get())).max(0.0)),
        rate_l_m2_h: 60.0 * rate_kg_min / boil.pan.area_m2,
    }
}

/// Minutes until one tenth, half and nine tenths of the forecast have passed the goal.
fn forecast(mut belief: Belief, goal: f64, fire_sd: f64) -> Option<[f64; 3]> {
    let mut found = [None; 3];
    let mut before = [-TENTH, 0.0, TENTH].map(|z| belief.x[0] + z * belief.u_sd() - goal);
    let mut minutes = 0.0;
    let by = 0.5;
    while minutes < HORIZON && found.iter().any(Option::is_none) {
        belief.step(by, fire_sd);
        let edges = [-TENTH, 0.0, TENTH].map(|z| belief.x[0] + z * belief.u_sd() - goal);
        for i in 0..3 {
            if found[i].is_none() && before[i] <= 0.0 {
                found[i] = Some(minutes);
            } else if found[i].is_none() && edges[i] <= 0.0 {
                found[i] = Some(minutes + by * before[i] / (before[i] - edges[i]));
            }
        }
        before = edges;
        minutes += by;
    }
    match found {
        [Some(early), Some(middle), Some(late)] => Some([early, middle, late]),
        _ => None,
    }
}

/// Whether a reading can be taken after `last`, the time of the one before it.
///
/// # Errors
/// Beside `at`, `temp`, `depth` or `brix`: before the fire or the last reading, nothing read, a
/// temperature no open pan can have, a depth beyond 1 m.
pub fn check_reading(boil: &Boil, last: Option<UtcSecond>, reading: &Reading) -> Result<(), Unmet> {
    let refuse = |at, code, sentence: &str| Err(Unmet::beside(at, code, sentence));
    if reading.at < boil.lit {
        return refuse(
            "at",
            "before_the_fire",
            "This reading is from before the fire was lit. Please check its time.",
        );
    }
    if last.is_some_and(|last| reading.at <= last) {
        return refuse(
            "at",
            "before_the_last",
            "This reading is not later than the last one. Please check its time.",
        );
    }
    if reading.temp.is_none() && reading.brix.is_none() && reading.depth_mm.is_none() {
        return refuse(
            "temp",
            "nothing_read",
            "Please write the temperature, the Brix or the depth.",
        );
    }
    let hottest = boil.water.get() + rise_c(92.0, boil.water.get(), boil.factor.0);
    if reading.temp.is_some_and(|t| t.get() > hottest) {
        return refuse(
            "temp",
            "hotter_than_syrup",
            "No open pan of syrup gets that hot. Please check the figure and its unit (°F or °C).",
        );
    }
    if reading.temp.is_some_and(|t| t.get() < 0.0) {
        return refuse(
            "temp",
            "colder_than_ice",
            "That is colder than ice. Please check the figure and its unit (°F or °C).",
        );
    }
    if reading
        .depth_mm
        .is_some_and(|d| !(1.0..=1000.0).contains(&d))
    {
        return refuse(
            "depth",
            "depth_range",
            "Please write a depth from 1 to 1000 mm (up to 39 in).",
        );
    }
    Ok(())
}

#[cfg(test)]
#[path = "boil_watch_tests.rs"]
mod tests;
