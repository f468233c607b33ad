//! When plain water boils: saturation of steam and the standard atmosphere. Never knows of sugar.
//!
//! Sources: IAPWS R7-97(2012), region 4, equations 29–31 (within 0.0002 °C of IAPWS-95 from 60 to
//! 104 kPa). US Standard Atmosphere 1976 (within 0.003 psi of its table; geometric height is taken
//! for geopotential, 18 Pa at 3 km).

use crate::calc::RuleRefusal;
use crate::units::{Altitude, Celsius, Hectopascals};

/// Coefficients n1 to n10 of region 4.
const N: [f64; 10] = [
    1_167.052_145_276_7,
    -724_213.167_032_06,
    -17.073_846_940_092,
    12_020.824_702_47,
    -3_232_555.032_233_3,
    14.915_108_613_53,
    -4_823.265_736_159_1,
    405_113.405_420_57,
    -0.238_555_575_678_49,
    650.175_348_447_98,
];

/// Kelvin at 0 °C.
pub(in crate::calc) const ZERO_C_K: f64 = 273.15;
/// Standard pressure at the sea, hPa.
const SEA_HPA: f64 = 1013.25;
/// Lapse of the standard atmosphere over its sea-level temperature, 0.0065 K/m over 288.15 K.
const LAPSE: f64 = 0.0065 / 288.15;
/// Exponent of the standard atmosphere below 11 km.
const EXPONENT: f64 = 5.255_876;

/// Pressure of saturated steam, in megapascals, from 273.15 to 647.096 K.
pub fn saturation_mpa(kelvin: f64) -> f64 {
    let theta = kelvin + N[8] / (kelvin - N[9]);
    let a = theta * theta + N[0] * theta + N[1];
    let b = N[2] * theta * theta + N[3] * theta + N[4];
    let c = N[5] * theta * theta + N[6] * theta + N[7];
    (2.0 * c / (-b + (b * b - 4.0 * a * c).sqrt())).powi(4)
}

/// Temperature of saturated steam, K, from 611.213 Pa to 22.064 megapascals (given in these).
pub fn saturation_kelvin(mpa: f64) -> f64 {
    let beta = mpa.powf(0.25);
    let e = beta * beta + N[2] * beta + N[5];
    let f = N[0] * beta * beta + N[3] * beta + N[6];
    let g = N[1] * beta * beta + N[4] * beta + N[7];
    let d = 2.0 * g / (-f - (f * f - 4.0 * e * g).sqrt());
    let sum = N[9] + d;
    f64::midpoint(sum, -(sum * sum - 4.0 * (N[8] + N[9] * d)).sqrt())
}

/// Boiling temperature of water, °C, at a pressure in hPa. For formulas; pages use [`boils_at`].
pub(in crate::calc) fn boiling_c(hpa: f64) -> f64 {
    saturation_kelvin(hpa / 10_000.0) - ZERO_C_K
}

/// Pressure, hPa, at which water boils at this many °C.
pub(in crate::calc) fn boiling_hpa(celsius: f64) -> f64 {
    saturation_mpa(celsius + ZERO_C_K) * 10_000.0
}

/// Boiling temperature of water under a station pressure; 99.974 °C at 1013.25 hPa.
///
/// # Errors
/// Never in the range of [`Hectopascals`]; the type is checked again all the same.
pub fn boils_at(station: Hectopascals) -> Result<Celsius, RuleRefusal> {
    Celsius::new(boiling_c(station.get())).map_err(|r| RuleRefusal::refused("station_pressure", &r))
}

/// Pressure of the US Standard Atmosphere 1976 at a height, hPa.
pub fn standard_hpa(height: Altitude) -> f64 {
    SEA_HPA * (1.0 - LAPSE * height.get()).powf(EXPONENT)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn hpa(value: f64) -> Hectopascals {
        Hectopascals::new(value).unwrap()
    }
    fn feet(value: f64) -> Altitude {
        Altitude::new(value * 0.3048).unwrap()
    }

    #[test]
    fn water_at_standard_pressure_boils_a_little_below_100_c() {
        assert!((boils_at(hpa(1013.25)).unwrap().get() - 99.974).abs() < 0.001);
    }

    #[test]
    fn water_boils_about_1_8_f_lower_for_each_thousand_feet() {
        // Common practice: "two degrees a thousand feet"; the figure computed is 1.83.
        let at = |ft| 1.8 * boiling_c(standard_hpa(feet(ft)));
        for ft in [0.0, 1000.0, 2000.0] {
            assert!((at(ft) - at(ft + 1000.0) - 1.83).abs() < 0.03, "{ft}");
        }
    }

    proptest! {
        #[test]
        fn prop_pressure_and_boiling_temperature_undo_each_other(p in 500.0..1100.0_f64) {
            prop_assert!((boiling_hpa(boiling_c(p)) - p).abs() < 1e-6);
            prop_assert!(boiling_c(p + 1.0) > boiling_c(p));
        }

        #[test]
        fn prop_pressure_falls_with_height(h in -400.0..4000.0_f64) {
            let at = |m| standard_hpa(Altitude::new(m).unwrap());
            prop_assert!(at(h + 1.0) < at(h));
        }
    }
}
