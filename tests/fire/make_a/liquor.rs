//! Juice and syrup by composition: boiling point, heat, viscosity.
//!
//! The boiling point comes from the water activity of a mixture of sucrose, invert sugar, salts and gums by Norrish
//! (J. Fd Technol. 1 (1966) 25; form read in Baeza et al., Food Bioprocess Technol. 3 (2010) 87; the constants 6.47
//! and 2.25 and the mixing rule from memory) and the vapour pressure of Wagner and Pruss (IAPWS SR1-86; coefficients
//! from memory, checked below against a table computed by others). Pure sucrose by Starzak and Peacock
//! (Zuckerindustrie 122 (1997)) serves only to say what factor K the composition amounts to.

const ZERO_C: f64 = 273.15;
const M_WATER: f64 = 18.015_28;
const M_SUCROSE: f64 = 342.296_5;
const M_HEXOSE: f64 = 180.156;
/// Mean mass of a dissolved ion, g/mol: potassium chloride in two; the true salts (aconitates and more) vary.
const M_ION: f64 = 37.3;
const NORRISH_SUCROSE: f64 = 6.47;
const NORRISH_HEXOSE: f64 = 2.25;

/// Vapour pressure of water, Pa, at `celsius` (0 to 370).
#[must_use]
pub fn vapour_pressure(celsius: f64) -> f64 {
    const TERMS: [(f64, f64); 6] = [
        (-7.859_517_83, 1.0),
        (1.844_082_59, 1.5),
        (-11.786_649_7, 3.0),
        (22.680_741_1, 3.5),
        (-15.961_871_9, 4.0),
        (1.801_225_02, 7.5),
    ];
    let kelvin = celsius + ZERO_C;
    let tau = 1.0 - kelvin / 647.096;
    let sum: f64 = TERMS.iter().map(|&(a, power)| a * tau.powf(power)).sum();
    22.064e6 * (sum * 647.096 / kelvin).exp()
}

/// Temperature, °C, at which water's vapour pressure is `pascal` (1 000 to 2 000 000).
#[must_use]
pub fn boiling_water(pascal: f64) -> f64 {
    let mut t = 100.0;
    for _ in 0..12 {
        // d ln p / dT is close to 5200 K / T² (Clausius and Clapeyron), so this goes in fast.
        let kelvin = t + ZERO_C;
        t -= (vapour_pressure(t) / pascal).ln() * kelvin * kelvin / 5000.0;
    }
    t
}

/// Heat to turn a kilogram of water to steam, J/kg, at `celsius` (Watson's rule from 2256.4 kJ/kg at 100 °C).
#[must_use]
pub fn latent_heat(celsius: f64) -> f64 {
    2.2564e6 * ((374.0 - celsius) / 274.0).powf(0.38)
}

/// Specific heat, J/(kg K), of juice at `brix` and `celsius` (linear form of the sugar manuals, purity 75).
#[must_use]
pub fn specific_heat(brix: f64, celsius: f64) -> f64 {
    1000.0 * (4.1868 - 0.0297 * brix + 4.6e-5 * brix * 75.0 + 7.5e-5 * brix * celsius)
}

/// Viscosity, mPa s, at `brix` (0 to 85) and `celsius` (Génotelle's formula as given by Mathlouthi and Reiser 1995;
/// coefficients from memory, checked below against the known table at 20 °C).
#[must_use]
pub fn viscosity(brix: f64, celsius: f64) -> f64 {
    let x = brix / (1900.0 - 18.0 * brix);
    let log = 22.46 * x - 0.114 + (30.0 - celsius) / (91.0 + celsius) * (1.1 + 43.1 * x.powf(1.25));
    10.0_f64.powf(log)
}

/// Rise over boiling water, °C, of pure sucrose at `brix` (0 to 88) and `pascal` by Starzak and Peacock.
#[must_use]
pub fn sucrose_rise(brix: f64, pascal: f64) -> f64 {
    let sugar = brix / M_SUCROSE;
    let x = sugar / (sugar + (100.0 - brix) / M_WATER);
    let water = boiling_water(pascal);
    let mut t = water;
    for _ in 0..10 {
        let log_gamma = -17638.0 / (8.314_462_618 * (t + ZERO_C))
            * x
            * x
            * (1.0 - 1.0038 * x - 0.246_53 * x * x);
        t = boiling_water(pascal / ((1.0 - x) * log_gamma.exp()));
    }
    t - water
}

/// What the dissolved solids are made of; shares by mass, the rest is sucrose.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Solids {
    /// Glucose and fructose.
    pub invert: f64,
    /// Salts.
    pub ash: f64,
    /// Starch, gums, protein: they count as Brix but hardly raise the boiling point.
    pub gums: f64,
}

impl Solids {
    /// Water activity with `water` g of water per g of solids (above 0).
    #[must_use]
    pub fn water_activity(&self, water: f64) -> f64 {
        let sucrose = (1.0 - self.invert - self.ash - self.gums) / M_SUCROSE;
        let hexose = self.invert / M_HEXOSE;
        let ions = self.ash / M_ION;
        let water = water / M_WATER;
        let all = sucrose + hexose + ions + water;
        let pull = (NORRISH_SUCROSE.sqrt() * sucrose + NORRISH_HEXOSE.sqrt() * hexose) / all;
        water / all * (-pull * pull).exp()
    }

    /// Boiling point, °C, at `pascal` with `water` g of water per g of solids.
    #[must_use]
    pub fn boiling_point(&self, water: f64, pascal: f64) -> f64 {
        boiling_water(pascal / self.water_activity(water))
    }

    /// The factor K of this composition at `brix` and `pascal`: its rise over that of pure sucrose.
    #[must_use]
    pub fn factor_k(&self, brix: f64, pascal: f64) -> f64 {
        let rise = self.boiling_point((100.0 - brix) / brix, pascal) - boiling_water(pascal);
        rise / sucrose_rise(brix, pascal)
    }

    /// The composition nearest in kind to `self` whose factor K is `k` (0.85 to 1.6) at `brix`: more gums for a
    /// smaller K, fewer gums, more invert and more salts for a greater one.
    #[must_use]
    pub fn with_factor(&self, k: f64, brix: f64, pascal: f64) -> Self {
        let shifted = |s: f64| {
            if s < 0.0 {
                Self {
                    invert: self.invert * (1.0 + s),
                    ash: self.ash * (1.0 + 0.9 * s),
                    gums: self.gums - 0.32 * s,
                }
            } else {
                Self {
                    invert: self.invert + (0.65 - self.invert) * s,
                    ash: self.ash + (0.09 - self.ash) * s,
                    gums: self.gums * (1.0 - s),
                }
            }
        };
        let (mut low, mut high) = (-1.0, 1.0);
        for _ in 0..50 {
            let mid = f64::midpoint(low, high);
            if shifted(mid).factor_k(brix, pascal) < k {
                low = mid;
            } else {
                high = mid;
            }
        }
        shifted(f64::midpoint(low, high))
    }
}

/// Boiling points of one composition at one pressure, kept in a table since the boil asks every second.
#[derive(Debug, Clone)]
pub struct BoilingTable {
    points: Vec<f64>,
    pascal: f64,
}

impl BoilingTable {
    const STEPS: u32 = 360;

    /// The table for `solids` at `pascal`.
    #[must_use]
    pub fn new(solids: &Solids, pascal: f64) -> Self {
        // By Brix in quarter steps from 0.25 to 90: the curve is smooth in it.
        let points = (1..=Self::STEPS).map(|i| {
            let brix = f64::from(i) / 4.0;
            solids.boiling_point((100.0 - brix) / brix, pascal)
        });
        Self {
            points: std::iter::once(boiling_water(pascal))
                .chain(points)
                .collect(),
            pascal,
        }
    }

    /// Boiling point, °C, at `brix` (held at 0 and 90) when the air presses with `pascal` (near the table's own).
    #[must_use]
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to the table"
    )]
    pub fn at(&self, brix: f64, pascal: f64) -> f64 {
        let place = (brix * 4.0).clamp(0.0, f64::from(Self::STEPS) - 1e-6);
        let below = place as usize;
        let part = place - place.floor();
        let t = self.points[below] * (1.0 - part) + self.points[below + 1] * part;
        // 0.94 °C an inch of mercury.
        t + (pascal - self.pascal) * 0.94 / 3386.389
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SEA: f64 = 101_325.0;
    const PURE: Solids = Solids {
        invert: 0.0,
        ash: 0.0,
        gums: 0.0,
    };

    /// Source: IAPWS-95 as implemented in `CoolProp` 8.0.0.
    #[test]
    fn water_boils_as_in_the_table() {
        let rows = [
            (60e3, 85.926),
            (80e3, 93.4855),
            (85e3, 95.1255),
            (95e3, 98.1784),
            (100e3, 99.6059),
            (104e3, 100.706),
        ];
        for (pascal, expected) in rows {
            let t = boiling_water(pascal);
            assert!(
                (t - expected).abs() < 0.01,
                "{pascal} Pa: {t}, not {expected}"
            );
        }
    }

    /// Source: IAPWS-95 as implemented in `CoolProp` 8.0.0; Watson's rule promises half a percent.
    #[test]
    fn latent_heat_is_that_of_steam() {
        for (t, kilojoule) in [
            (80.0, 2308.0),
            (90.0, 2282.49),
            (100.0, 2256.4),
            (105.0, 2243.12),
        ] {
            let got = latent_heat(t) / 1000.0;
            assert!(
                (got / kilojoule - 1.0).abs() < 0.005,
                "{t} °C: {got}, not {kilojoule}"
            );
        }
    }

    /// Sources: Geankoplis (5 to 20 %), a food-technology university's correlation (60 and 78 %).
    #[test]
    fn specific_heat_is_near_printed_ones() {
        let rows = [
            (5.0, 40.0, 4.073),
            (15.0, 40.0, 3.838),
            (20.0, 40.0, 3.72),
            (60.0, 100.0, 3.162),
            (78.0, 100.0, 2.846),
        ];
        for (brix, t, expected) in rows {
            let got = specific_heat(brix, t) / 1000.0;
            assert!(
                (got - expected).abs() < 0.15,
                "{brix} °Bx {t} °C: {got}, not {expected}"
            );
        }
    }

    /// Table of sucrose at 20 °C: 1.945, 6.17, 58.5 mPa s (from memory).
    #[test]
    fn viscosity_is_that_of_the_table() {
        for (brix, expected) in [(20.0, 1.945), (40.0, 6.17), (60.0, 58.5)] {
            let got = viscosity(brix, 20.0);
            assert!(
                (got / expected - 1.0).abs() < 0.05,
                "{brix} °Bx: {got}, not {expected}"
            );
        }
    }

    /// Source: Zobrist et al., Phys. Chem. Chem. Phys. 13 (2011) 3514, at 25 °C.
    #[test]
    fn water_activity_is_that_of_sucrose() {
        for (brix, expected) in [
            (40.0, 0.9633),
            (60.0, 0.8876),
            (65.0, 0.8552),
            (75.0, 0.7608),
            (80.0, 0.6914),
        ] {
            let got = PURE.water_activity((100.0 - brix) / brix);
            assert!(
                (got - expected).abs() < 0.013,
                "{brix} °Bx: {got}, not {expected}"
            );
        }
    }

    /// Sources: candy-stage tables on public pages (80 %: 110 to 112 °C) for pure sucrose; an old confectioners' table
    /// for the sugar of its day, taken here with 10 % invert. Norrish runs high beyond 83 %, where no boil here goes.
    #[test]
    fn candy_boils_at_its_stage() {
        let pure = PURE.boiling_point(20.0 / 80.0, SEA);
        assert!((pure - 111.0).abs() < 1.2, "{pure}");
        let old = Solids {
            invert: 0.1,
            ..PURE
        };
        for (brix, expected) in [
            (50.0, 102.0),
            (60.0, 103.0),
            (70.0, 106.5),
            (76.0, 109.4),
            (78.0, 110.6),
            (80.0, 112.0),
        ] {
            let got = old.boiling_point((100.0 - brix) / brix, SEA);
            assert!(
                (got - expected).abs() < 1.0,
                "{brix} °Bx: {got}, not {expected}"
            );
        }
    }

    /// Source: the maple rule, 7.1 to 7.5 °F above water at 66 to 66.9 % sugar; Starzak and Peacock keep it.
    #[test]
    fn pure_sucrose_keeps_the_maple_rule() {
        for (brix, fahrenheit, width) in [(66.0, 7.2, 0.4), (66.9, 7.4, 0.5)] {
            let got = sucrose_rise(brix, SEA) * 1.8;
            assert!(
                (got - fahrenheit).abs() < width,
                "{brix} °Bx: {got}, not {fahrenheit}"
            );
        }
        assert!((sucrose_rise(78.0, SEA) - 8.22).abs() < 0.03);
    }

    #[test]
    fn any_factor_in_use_has_a_composition() {
        let usual = Solids {
            invert: 0.25,
            ash: 0.02,
            gums: 0.05,
        };
        for k in [0.9, 1.0, 1.1, 1.25, 1.4, 1.5] {
            let made = usual.with_factor(k, 78.0, SEA);
            assert!(
                (made.factor_k(78.0, SEA) - k).abs() < 1e-6,
                "K {k}: {made:?}"
            );
            assert!(made.invert >= 0.0 && made.ash >= 0.0 && made.gums >= 0.0);
            assert!(made.invert + made.ash + made.gums < 0.8, "K {k}: {made:?}");
        }
    }

    #[test]
    fn the_table_says_what_the_law_says() {
        let solids = Solids {
            invert: 0.3,
            ash: 0.03,
            gums: 0.04,
        };
        let table = BoilingTable::new(&solids, 96e3);
        for brix in [12.1, 40.6, 70.3, 78.9, 83.2] {
            let law = solids.boiling_point((100.0 - brix) / brix, 96e3);
            assert!((table.at(brix, 96e3) - law).abs() < 0.01, "{brix} °Bx");
        }
        let law = solids.boiling_point(22.0 / 78.0, 96.4e3);
        assert!((table.at(78.0, 96.4e3) - law).abs() < 0.02);
    }
}
