//! Density of juice and syrup as a sugar solution, and what follows from it: specific gravity,
//! degrees Baumé, weight per gallon, and volumes brought to 20 °C. Never reads an instrument.
//!
//! Source: ICUMSA polynomial as printed in Bubnik, Kadlec, Urban, Bruhns, *Sugar Technologists
//! Manual*, 8th ed., Bartens 1995, p. 164 (the coefficients of before the 1998 revision, read in
//! two independent public re-implementations); water after Kell. Stated for 0–100 °C. Against the
//! CRC Handbook's table at 20 °C: within 0.1 kg/m³ to 36 °Bx, 0.36 at 78, 0.50 at 80. Between 60
//! and 100 °C within ±0.15 % of a printed table. Sorghum's own invert and ash are not in it.

use crate::units::{BrixAt20C, Celsius, Grams, Millilitres};

/// Polynomial rows by power of (t − 20)/100; columns by power of the mass fraction, from one.
const ROWS: [&[f64]; 5] = [
    &[385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890],
    &[-46.2720, -7.1720, 1.1597, 5.1126, 17.5254],
    &[59.7712, 7.2491, 12.3630, -35.4791],
    &[-47.2207, -21.6977, 27.6301],
    &[18.3184, 12.3081],
];

/// Density of air taken for weights in air, kg/m³ (common practice in density tables).
const AIR_KG_M3: f64 = 1.2;
/// Modulus of the US Baumé scale for liquids heavier than water.
const BAUME_MODULUS: f64 = 145.0;
/// Kilograms per cubic metre in one pound per US gallon, exactly: 0.45359237 kg / 3.785411784 L.
const LB_PER_GAL: f64 = 453.592_37 / 3.785_411_784;
/// The temperature volumes are brought to: 20 °C (68 °F).
const REFERENCE: f64 = 20.0;

/// How far the density polynomial may be trusted at a Brix and temperature.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Trust {
    /// Inside its stated range: 0–80 °Bx and 0–100 °C.
    Stated,
    /// A little beyond, to 85 °Bx and 110 °C: good to about 0.3 °Bx.
    Extrapolated,
    /// Farther out: a number, not a promise.
    Outside,
}

/// How far [`kg_m3`] may be trusted at this Brix and temperature.
pub fn trust(brix: BrixAt20C, at: Celsius) -> Trust {
    let (brix, t) = (brix.get(), at.get());
    if brix <= 80.0 && (0.0..=100.0).contains(&t) {
        Trust::Stated
    } else if brix <= 85.0 && (0.0..=110.0).contains(&t) {
        Trust::Extrapolated
    } else {
        Trust::Outside
    }
}

/// Density of water, kg/m³, at 0–100 °C and ordinary pressure (Kell); within 0.006 kg/m³ of
/// IAPWS-95 from 1 to 99 °C.
pub fn water_kg_m3(at: Celsius) -> f64 {
    water(at.get())
}

fn water(t: f64) -> f64 {
    let rising = [
        999.839_52,
        16.952_577,
        -7.990_512_7e-3,
        -46.241_757e-6,
        105.846_01e-9,
        -281.030_06e-12,
    ];
    rising.iter().rev().fold(0.0, |sum, c| sum * t + c) / (1.0 + 16.887_236e-3 * t)
}

/// Density of a solution, kg/m³ (mass, not weight in air). Believe it as [`trust`] says.
pub fn kg_m3(brix: BrixAt20C, at: Celsius) -> f64 {
    solution(brix.get(), at.get())
}

pub(in crate::calc) fn solution(brix: f64, t: f64) -> f64 {
    let (fraction, x) = (brix / 100.0, (t - REFERENCE) / 100.0);
    let row = |cs: &&[f64]| fraction * cs.iter().rev().fold(0.0, |sum, c| sum * fraction + c);
    water(t) + ROWS.iter().map(row).rev().fold(0.0, |sum, r| sum * x + r)
}

/// True specific gravity 20/20 °C.
pub fn specific_gravity(brix: BrixAt20C) -> f64 {
    solution(brix.get(), REFERENCE) / water(REFERENCE)
}

/// Apparent specific gravity 20/20 °C: as weighed in air of 1.2 kg/m³.
pub fn apparent_specific_gravity(brix: BrixAt20C) -> f64 {
    (solution(brix.get(), REFERENCE) - AIR_KG_M3) / (water(REFERENCE) - AIR_KG_M3)
}

/// Degrees Baumé at 20 °C, modulus 145, from the true specific gravity (which fits printed tables
/// best: within 0.04 °Bé).
pub fn baume(brix: BrixAt20C) -> f64 {
    BAUME_MODULUS - BAUME_MODULUS / specific_gravity(brix)
}

/// Pounds per US gallon as weighed in air.
pub fn lb_per_gal_in_air(brix: BrixAt20C, at: Celsius) -> f64 {
    (kg_m3(brix, at) - AIR_KG_M3) / LB_PER_GAL
}

/// The mass of a volume read at a temperature, to the nearest gram.
pub fn mass_of(volume: Millilitres, brix: BrixAt20C, at: Celsius) -> Grams {
    Grams::nearest(volume.litres() * kg_m3(brix, at))
}

/// The volume that a mass fills at a temperature, to the nearest millilitre.
pub fn volume_of(mass: Grams, brix: BrixAt20C, at: Celsius) -> Millilitres {
    Millilitres::nearest(1000.0 * mass.as_f64() / kg_m3(brix, at))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn bx(value: f64) -> BrixAt20C {
        BrixAt20C::new(value).unwrap()
    }
    fn c(value: f64) -> Celsius {
        Celsius::new(value).unwrap()
    }

    /// By how much a volume at `at` must be multiplied to be its volume at 20 °C. The vessel's own
    /// widening (steel about 0.3 % at 85 °C, from memory) is left out.
    fn volume_factor(brix: BrixAt20C, at: Celsius) -> f64 {
        kg_m3(brix, at) / solution(brix.get(), REFERENCE)
    }

    #[test]
    fn a_volume_read_at_20_c_is_left_as_it_is() {
        for brix in [0.0, 15.0, 78.0] {
            assert!((volume_factor(bx(brix), c(20.0)) - 1.0).abs() < 1e-15);
        }
    }

    #[test]
    fn hot_syrup_shrinks_as_the_reference_sums_say() {
        // Worked from the same polynomial apart from this code.
        for (brix, t, factor) in [
            (18.0, 5.0, 1.003_10),
            (18.0, 40.0, 0.993_17),
            (74.0, 90.0, 0.969_4),
            (78.0, 85.0, 0.972_3),
            (80.0, 90.0, 0.970_3),
        ] {
            assert!(
                (volume_factor(bx(brix), c(t)) - factor).abs() < 6e-5,
                "{brix} {t}"
            );
        }
    }

    #[test]
    fn the_stated_range_is_0_to_80_brix_and_0_to_100_c() {
        assert_eq!(trust(bx(80.0), c(100.0)), Trust::Stated);
        assert_eq!(trust(bx(80.1), c(20.0)), Trust::Extrapolated);
        assert_eq!(trust(bx(78.0), c(105.0)), Trust::Extrapolated);
        assert_eq!(trust(bx(90.0), c(20.0)), Trust::Outside);
        assert_eq!(trust(bx(10.0), c(-1.0)), Trust::Outside);
    }

    proptest! {
        #[test]
        fn prop_density_rises_with_brix_and_falls_with_temperature(
            brix in 0.0..79.0_f64, more in 0.01..1.0_f64, t in 5.0..99.0_f64,
        ) {
            prop_assert!(kg_m3(bx(brix + more), c(t)) > kg_m3(bx(brix), c(t)));
            prop_assert!(kg_m3(bx(brix), c(t + more)) < kg_m3(bx(brix), c(t)));
        }

        #[test]
        fn prop_mass_and_volume_lead_back_to_each_other(
            ml in 1_000_i64..2_000_000, brix in 0.0..80.0_f64, t in 0.0..100.0_f64,
        ) {
            let volume = Millilitres::new(ml);
            let back = volume_of(mass_of(volume, bx(brix), c(t)), bx(brix), c(t));
            prop_assert!((back.get() - ml).abs() <= 1);
        }
    }
}
