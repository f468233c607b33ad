//! The temperature to draw off at, as text ready to print: the mill's, until what was read of this boil says another.

use crate::calc::boil::fire::belief_at::BeliefAt;
use crate::facts::boil::boils::Boil;
use crate::units::{Celsius, Units};

/// A range wider than this is shown, °C: four degrees of a thermometer in °F.
const WIDE_C: f64 = 2.2;

/// The temperature to draw off at.
pub(super) struct DrawOff {
    pub temp: Celsius,
    /// How far the true one may lie from it, °C.
    pub plus_minus: f64,
    /// The range it lies in, where that is wide; else empty.
    pub range: String,
    /// That it is not what the mill learned, and what that is; else empty.
    pub why: String,
}

/// The temperature to draw off at, by what is believed at the moment of looking.
pub(super) fn draw_off(boil: &Boil, looked: Option<&BeliefAt>, units: Units) -> DrawOff {
    let mill = &boil.day.target;
    let own = looked.and_then(|looked| looked.draw_off);
    let range = own.filter(|own| own.high - own.low > WIDE_C);
    let range = range.map_or_else(String::new, |own| {
        let [low, high] = [own.low, own.high].map(|c| format!("{:.1}", degrees(c, units)));
        format!("{low} to {high}, four times in five")
    });
    let elsewhere = looked.and_then(|looked| looked.draws_off_elsewhere(mill.temp.get()));
    let Some((own, temp)) = elsewhere.and_then(|own| Some((own, Celsius::new(own.middle).ok()?)))
    else {
        return DrawOff {
            temp: mill.temp,
            plus_minus: mill.plus_minus.get(),
            range,
            why: String::new(),
        };
    };
    let by = match boil.habit.factor_learned {
        Some(_) => "by the K that the mill learned",
        None => "by the default K",
    };
    DrawOff {
        temp,
        plus_minus: 0.5 * (own.high - own.low),
        range,
        why: format!(
            "By this boil’s own readings; {by} it would be {}.",
            mill.temp.show(units)
        ),
    }
}

/// A temperature in the degrees that are read.
pub(super) fn degrees(celsius: f64, units: Units) -> f64 {
    match units {
        Units::Us => 1.8 * celsius + 32.0,
        Units::Metric => celsius,
    }
}
