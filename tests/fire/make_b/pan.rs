//! Pan and charge: what is poured in, how deep it stands, how fast water leaves it.

use crate::fire::make_b::chance::Chance;

/// Density of syrup at its boil, kg/L, roughly: 1.02 for juice, 1.36 for syrup of 78 °Bx.
pub fn kg_per_l(brix: f64) -> f64 {
    0.965 + 0.0036 * brix + 1.9e-5 * brix * brix
}

/// A pan with its charge, as they truly are.
#[derive(Debug, Clone)]
pub struct Pan {
    /// Surface, m2.
    pub area_m2: f64,
    /// Juice poured in, kg.
    pub juice_kg: f64,
    /// Its true Brix.
    pub juice_brix: f64,
    /// Aimed at.
    pub target_brix: f64,
    /// Water leaving juice of 30 °Bx under a mean fire, L a square metre an hour.
    flux_at_30: f64,
    /// Powers of the law the flux follows, of depth and of solids per water.
    of_depth: f64,
    of_thickness: f64,
    /// What is lost of the flux between 30 and 78 °Bx, all told.
    pub lost: f64,
    /// Fire lit to first boil, min.
    pub heat_up_min: f64,
    /// Juice when poured in, °C.
    pub starts_c: f64,
}

/// At most so fast at the target under a mean fire, °Bx a minute: thinner or hotter pans are not finished in one charge
/// (a 10 gal finish on 24 sq ft at 1 gal/sq ft/h goes 2.1 °Bx/min, worked out from the mass balance).
const FASTEST: f64 = 2.5;
/// Juice in the deepest kettle, mm.
const DEEPEST_MM: f64 = 400.0;
/// The longest boil of one charge, h.
const LONGEST_H: f64 = 7.0;

impl Pan {
    /// Draws pan and charge by chance, from shallow and fast to deep and slow.
    pub fn new(chance: &mut Chance) -> Self {
        let juice_kg = chance.log_between(40.0, 500.0);
        let juice_brix = (15.5 + chance.normal() * 2.6).clamp(10.0, 21.0);
        let other = chance.weighed([(1.0, 76.0), (1.0, 77.0), (1.0, 79.0), (1.0, 80.0)]);
        let target_brix = if chance.happens(0.88) { 78.0 } else { other };
        // 0: a pan as shallow as one can be finished; 1: a kettle.
        let deep = chance.unit();
        // As much as a kettle holds when the juice is poured in.
        let thickens = target_brix / juice_brix * kg_per_l(target_brix) / kg_per_l(juice_brix);
        let finished_mm = (16.0_f64.ln() + deep * (70.0_f64 / 16.0).ln())
            .exp()
            .min(DEEPEST_MM / thickens);
        let finished_kg_m2 = finished_mm * kg_per_l(target_brix);
        let area_m2 = juice_kg * juice_brix / target_brix / finished_kg_m2;
        let lost = chance.between(0.10, 0.45);
        let of_depth = chance.between(-0.06, 0.06);
        let fallen = 30.0 / 78.0 * kg_per_l(30.0) / kg_per_l(78.0);
        let thicker = (78.0 / 22.0) / (30.0 / 70.0_f64);
        let of_thickness = (of_depth * fallen.ln() - (1.0 - lost).ln()) / thicker.ln();
        let water_kg_m2 = finished_kg_m2 * (target_brix / juice_brix - 1.0);
        let slowest = (water_kg_m2 / LONGEST_H).max(25.0);
        let fastest = FASTEST * 60.0 * finished_kg_m2 / target_brix / (1.0 - lost);
        let usual = (105.0 - 60.0 * deep) * chance.factor(0.28);
        let flux_at_30 = usual.max(slowest).min(fastest).min(125.0);
        let heat_up_min = heat_up(juice_kg / area_m2, flux_at_30, chance);
        Self {
            area_m2,
            juice_kg,
            juice_brix,
            target_brix,
            flux_at_30,
            of_depth,
            of_thickness,
            lost,
            heat_up_min,
            starts_c: chance.between(12.0, 30.0),
        }
    }

    /// Water leaving, L a square metre an hour, under a mean fire at a full boil.
    ///
    /// A law as one fits it to a pan's own log: flux = a (depth)^b (solids per water)^-c. Thin juice, below 30 °Bx, boils
    /// like water.
    pub fn flux(&self, solids_kg: f64, water_kg: f64) -> f64 {
        let thickness = (solids_kg / water_kg / (30.0 / 70.0)).max(1.0);
        let brix = 100.0 * solids_kg / (solids_kg + water_kg);
        let volume_l = (solids_kg + water_kg) / kg_per_l(brix);
        let full_l = self.juice_kg * self.juice_brix / 30.0 / kg_per_l(30.0);
        let depth = (volume_l / full_l).min(1.0);
        self.flux_at_30 * depth.powf(self.of_depth) * thickness.powf(-self.of_thickness)
    }

    /// This boil's fire gives so much of what the pan's fires give on the mean.
    pub fn scale_flux(&mut self, factor: f64) {
        self.flux_at_30 *= factor;
    }

    /// Pan and hearth go on boiling by their own heat so long after the fire is drawn, min: kettles longer than pans.
    pub fn own_heat_min(&self, chance: &mut Chance) -> f64 {
        let finished_kg_m2 = self.juice_kg * self.juice_brix / self.target_brix / self.area_m2;
        (finished_kg_m2 / 50.0 * chance.log_between(0.4, 1.6)).clamp(0.2, 2.0)
    }

    /// Mean of the flux from juice to target, L a square metre an hour: what a mill finds from its finished boils.
    pub fn mean_flux(&self) -> f64 {
        let solids = self.juice_kg * self.juice_brix / 100.0;
        let first = solids * (100.0 / self.juice_brix - 1.0);
        let last = solids * (100.0 / self.target_brix - 1.0);
        let step = (first - last) / 400.0;
        let hours: f64 = (0..400_u32)
            .map(|i| {
                let water = first - (f64::from(i) + 0.5) * step;
                step / self.flux(solids, water)
            })
            .sum();
        (first - last) / hours
    }
}

/// Minutes to the boil: some 80 °C at 4 kJ/kg/K against a flux at 2,250 kJ/kg, slower while the hearth is cold.
fn heat_up(kg_m2: f64, flux: f64, chance: &mut Chance) -> f64 {
    let warms = kg_m2 * 80.0 * 4.0 / (flux * 2250.0 / 60.0);
    let kindles = chance.between(2.0, 14.0);
    (warms * chance.between(0.5, 1.2) + kindles).clamp(8.0, 70.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pans() -> Vec<Pan> {
        (0..400)
            .map(|seed| Pan::new(&mut Chance::new(seed, 1)))
            .collect()
    }

    /// 0.8 to 3 gal a square foot an hour (flat pans 1, with draught 1.5, sorghum cooks with a hard fire 2 to 3, growers'
    /// accounts) is 33 to 122 L/m2/h; deep kettles are slower.
    #[test]
    fn pans_evaporate_as_the_trade_has_it() {
        let mut means: Vec<f64> = pans().iter().map(Pan::mean_flux).collect();
        means.sort_by(f64::total_cmp);
        assert!(means[0] > 18.0, "slowest {}", means[0]);
        assert!(means[399] < 122.0, "fastest {}", means[399]);
        assert!((35.0..75.0).contains(&means[200]), "median {}", means[200]);
        let of_trade = means.iter().filter(|m| (33.0..122.0).contains(*m)).count();
        assert!(of_trade > 320, "{of_trade} of 400 within the trade's range");
    }

    #[test]
    fn flux_falls_by_what_was_drawn_between_30_and_78() {
        for pan in pans() {
            let solids = pan.juice_kg * pan.juice_brix / 100.0;
            let at = |brix: f64| pan.flux(solids, solids * (100.0 / brix - 1.0));
            let lost = 1.0 - at(78.0) / at(30.0);
            assert!((lost - pan.lost).abs() < 1e-6, "{lost}, not {}", pan.lost);
            assert!((0.0999..0.4501).contains(&lost));
        }
    }

    /// Juice stands 3 in deep in batch pans (Cyclopedia of Farm Crops, about 1907), pans are up to 1 ft
    /// deep, kettles deeper (400 mm here); syrup is not worked under 3/8 in, 9.5 mm (pan makers' rule).
    #[test]
    fn depths_are_those_of_pans_and_kettles() {
        for pan in pans() {
            let poured_mm = pan.juice_kg / kg_per_l(pan.juice_brix) / pan.area_m2;
            let finished_mm = pan.juice_kg * pan.juice_brix
                / pan.target_brix
                / kg_per_l(pan.target_brix)
                / pan.area_m2;
            assert!(
                (55.0..401.0).contains(&poured_mm),
                "{poured_mm} mm of juice"
            );
            assert!(
                (9.5..75.0).contains(&finished_mm),
                "{finished_mm} mm of syrup"
            );
            assert!((8.0..=70.0).contains(&pan.heat_up_min));
        }
    }

    /// Sucrose by the CRC Handbook at 20 °C, 1061 kg/m3 at 15.2 and 1399 at 78 °Bx, less 4 to 5 % for the heat.
    #[test]
    fn hot_syrup_weighs_a_little_less_than_cold() {
        assert!((kg_per_l(15.2) / 1.061 - 0.957).abs() < 0.015);
        assert!((kg_per_l(78.0) / 1.399 - 0.96).abs() < 0.02);
    }
}
