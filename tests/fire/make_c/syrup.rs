//! Syrup from the hydration of its sugars and the heat balance of a pan: boiling point, latent heat, toughness.

/// Molar masses of water and sucrose, g/mol.
const WATER: f64 = 18.015;
const SUGAR: f64 = 342.3;
/// Heat of steam at 100 °C, J/kg, and the gas constant, J/(mol K).
const STEAM: f64 = 2.257e6;
const GAS: f64 = 8.314_46;

/// Where water boils, °C, at `hpa` (700 to 1060): Clausius and Clapeyron from 100 °C at 1013.25 hPa. The latent heat
/// at 100 °C is taken as constant, which is good to 0.1 °C there and the same for morning and boil.
pub fn water_boils_c(hpa: f64) -> f64 {
    boils_c(hpa / 1013.25)
}

fn boils_c(times_of_the_air: f64) -> f64 {
    let per_kelvin = 1.0 / 373.15 - GAS / (STEAM * WATER / 1000.0) * times_of_the_air.ln();
    1.0 / per_kelvin - 273.15
}

/// A syrup whose sugars hold some water fast (hydration after Robinson and Stokes, *Electrolyte Solutions*, from
/// memory): only the free water counts in Raoult's law.
#[derive(Debug, Clone, Copy)]
pub struct Syrup {
    /// Moles of dissolved matter over those of as much sucrose.
    moles: f64,
    /// Water held by each of these, mol.
    held: f64,
}

impl Syrup {
    /// The syrup of so many `moles` a mole of sucrose that rises `k` times as high as pure sucrose at `target` °Bx.
    pub fn new(moles: f64, k: f64, target: f64) -> Self {
        let wanted = k * sucrose_rise_c(target, 1013.25);
        let (mut low, mut high) = (-2.0, 6.0);
        for _ in 0..60 {
            let held = f64::midpoint(low, high);
            if (Self { moles, held }).rise_c(target, 1013.25) < wanted {
                low = held;
            } else {
                high = held;
            }
        }
        Self {
            moles,
            held: f64::midpoint(low, high),
        }
    }

    /// °C above boiling water at `brix` (0 to 88) and `hpa`.
    pub fn rise_c(&self, brix: f64, hpa: f64) -> f64 {
        let sugar = self.moles * brix / SUGAR;
        let all = (100.0 - brix) / WATER;
        // Near dryness the sugars share what there is.
        let free = (all - self.held * sugar).max(0.08 * all);
        boils_c(hpa / 1013.25 * (free + sugar) / free) - water_boils_c(hpa)
    }
}

/// Rise of pure sucrose by Starzak and Peacock (Zuckerindustrie 122 (1997)): only what K is measured in.
pub fn sucrose_rise_c(brix: f64, hpa: f64) -> f64 {
    let (sugar, water) = (brix / SUGAR, (100.0 - brix) / WATER);
    let x = sugar / (sugar + water);
    let mut t = water_boils_c(hpa);
    for _ in 0..10 {
        let log_gamma =
            -17638.0 / (GAS * (t + 273.15)) * x * x * (1.0 - 1.0038 * x - 0.246_53 * x * x);
        t = boils_c(hpa / 1013.25 / ((1.0 - x) * log_gamma.exp()));
    }
    t - water_boils_c(hpa)
}

/// J to drive off a kilogram of water at `celsius`; falls by 2.6 kJ a degree near 100 °C (steam tables, from memory).
pub fn latent(celsius: f64) -> f64 {
    STEAM - 2600.0 * (celsius - 100.0)
}

/// J/(kg K) of juice at `brix`: water's less 60 % of the solids' share.
pub fn heat_capacity(brix: f64) -> f64 {
    4186.0 * (1.0 - 0.006 * brix)
}

/// How much tougher than water boiling syrup is, from the thumb rule that ln of viscosity goes with B / (100 - B):
/// about 2 at 40 °Bx, 60 at 78 (hot).
pub fn toughness(brix: f64) -> f64 {
    (1.15 * brix / (100.0 - brix)).exp()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// IAPWS-95 has 98.18 °C at 950 hPa and 95.13 at 850.
    #[test]
    fn water_boils_where_the_steam_tables_have_it() {
        for (hpa, wanted) in [(850.0, 95.13), (950.0, 98.18), (1013.25, 99.97)] {
            let boils = water_boils_c(hpa);
            assert!((boils - wanted).abs() < 0.15, "{hpa} hPa: {boils}");
        }
    }

    /// The maple rule: 66 to 66.9 °Bx boil 7.1 to 7.5 °F above water.
    #[test]
    fn k_is_met_at_the_target_and_sucrose_boils_where_maple_makers_have_it() {
        let fahrenheit = sucrose_rise_c(66.4, 1013.25) * 1.8;
        assert!((7.0..7.8).contains(&fahrenheit), "{fahrenheit}");
        for (moles, k) in [(1.0, 0.9), (1.1, 1.1), (1.4, 1.5)] {
            let syrup = Syrup::new(moles, k, 78.0);
            let met = syrup.rise_c(78.0, 1013.25) / sucrose_rise_c(78.0, 1013.25);
            assert!((met - k).abs() < 1e-6, "{met}");
        }
    }

    #[test]
    fn the_rise_always_rises() {
        let syrup = Syrup::new(1.2, 1.3, 78.0);
        for tenth in 1..860_u32 {
            let brix = f64::from(tenth) / 10.0;
            assert!(syrup.rise_c(brix + 0.1, 1000.0) > syrup.rise_c(brix, 1000.0));
        }
    }
}
