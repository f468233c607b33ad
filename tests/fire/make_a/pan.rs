//! Heat balance of a pan: fire to wall, wall to liquid, liquid to steam.

use crate::fire::make_a::liquor::{
    BoilingTable, latent_heat, specific_heat, vapour_pressure, viscosity,
};

/// What a pan is made of; drawn once for a mill.
#[derive(Debug, Clone, Copy)]
pub struct Build {
    /// Surface, m².
    pub area: f64,
    /// Heat the wall and hot brickwork hold, J/(m² K).
    pub wall_heat: f64,
    /// Wall to boiling water, W/(m² K).
    pub transfer: f64,
    /// Power by which that falls with viscosity (Nusselt and Rohsenow type laws: 0.25 to 0.5).
    pub thickening: f64,
    /// Effective temperature of the fire, °C: the hotter the wall, the less it takes.
    pub flame: f64,
    /// Loss to the air, W/(m² K).
    pub loss: f64,
    /// Superheat of thin boiling juice over its boiling point, K; thick syrup superheats more.
    pub superheat: f64,
}

/// A pan with juice in it.
#[derive(Debug, Clone)]
pub struct Pan {
    build: Build,
    table: BoilingTable,
    /// Water, kg.
    pub water: f64,
    /// Dissolved solids, kg.
    pub solids: f64,
    /// Liquid, °C.
    pub liquid: f64,
    /// Wall, °C.
    pub wall: f64,
    /// At the boil.
    pub boiling: bool,
    /// Water driven off since filled, kg.
    pub driven_off: f64,
    /// Heat given to the liquid so far, and of it lost to the air, J.
    pub heat: (f64, f64),
    air: f64,
}

/// Viscosity of boiling water, mPa s.
const WATER_VISCOSITY: f64 = 0.28;

impl Pan {
    /// A pan filled with `water` and `solids` (kg) at `celsius`, in air of the same warmth.
    #[must_use]
    pub fn new(build: Build, table: BoilingTable, water: f64, solids: f64, celsius: f64) -> Self {
        Self {
            build,
            table,
            water,
            solids,
            liquid: celsius,
            wall: celsius,
            boiling: false,
            driven_off: 0.0,
            heat: (0.0, 0.0),
            air: celsius,
        }
    }

    /// Dissolved solids, % by mass.
    #[must_use]
    pub fn brix(&self) -> f64 {
        100.0 * self.solids / (self.solids + self.water)
    }

    /// Takes this part of the content out (scum with the syrup that clings to it).
    pub fn skim(&mut self, part: f64) {
        self.water *= 1.0 - part;
        self.solids *= 1.0 - part;
    }

    /// Goes on by `dt` s (at most 5) with `fire` W sent to the wall, at an air pressure of `pascal`; `wind` 0 to 1
    /// adds to the losses.
    pub fn step(&mut self, dt: f64, fire: f64, pascal: f64, wind: f64) {
        let build = self.build;
        let brix = self.brix();
        let thick = viscosity(brix, self.liquid);
        // Not yet boiling, the liquid only turns over by itself.
        let stirred = if self.boiling { 1.0 } else { 0.4 };
        let thinning = (WATER_VISCOSITY / thick).min(1.0).powf(build.thickening);
        let passes = build.transfer * build.area * stirred * thinning;
        let takes = fire / (build.flame - 100.0);
        let holds = build.wall_heat * build.area / dt;
        // The wall answers within seconds: stepped backwards, so that it stays steady.
        self.wall = (holds * self.wall + takes * build.flame + passes * self.liquid)
            / (holds + takes + passes);
        let given = passes * (self.wall - self.liquid);
        let lost = build.loss * build.area * (1.0 + wind) * (self.liquid - self.air);
        let boils_at = self.table.at(brix, pascal);
        let latent = latent_heat(self.liquid);
        let capacity = (self.water + self.solids) * specific_heat(brix, self.liquid);
        let mut steam = self.open_drying(wind, boils_at, pascal, thick) * dt;
        self.liquid += ((given - lost) * dt - steam * latent) / capacity;
        let superheat = build.superheat * (1.0 + (thick / 5.0).sqrt());
        let excess = self.liquid - boils_at - superheat;
        if excess > 0.0 {
            steam += (capacity * excess / latent).min(0.5 * self.water);
            self.liquid = boils_at + superheat;
            self.boiling = true;
        } else if self.liquid < boils_at - 0.7 {
            self.boiling = false;
        }
        self.water -= steam;
        self.driven_off += steam;
        self.heat.0 += given * dt;
        self.heat.1 += lost * dt;
    }

    /// Water that dries off an open pan below the boil, kg/s: about 5 kg/(m² h) at 90 °C (common practice), by the
    /// vapour pressure over the liquid; less through the skin of a thick syrup.
    fn open_drying(&self, wind: f64, boils_at: f64, pascal: f64, thick: f64) -> f64 {
        if self.boiling {
            return 0.0;
        }
        let pressure = pascal * vapour_pressure(self.liquid) / vapour_pressure(boils_at);
        let skin = (1.0 / thick).min(1.0).powf(0.3);
        5.0 / 3600.0 * self.build.area * (1.0 + wind) * skin * pressure / 70.1e3
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fire::make_a::liquor::Solids;

    const SEA: f64 = 101_325.0;

    fn pan(loss: f64) -> Pan {
        let build = Build {
            area: 4.0,
            wall_heat: 4e3,
            transfer: 3000.0,
            thickening: 0.4,
            flame: 1000.0,
            loss,
            superheat: 0.1,
        };
        let table = BoilingTable::new(
            &Solids {
                invert: 0.1,
                ash: 0.0,
                gums: 0.1,
            },
            SEA,
        );
        Pan::new(build, table, 402.6 * 0.84, 402.6 * 0.16, 20.0)
    }

    fn to_78(pan: &mut Pan, fire: f64) -> f64 {
        let mut seconds = 0.0;
        while pan.brix() < 78.0 && seconds < 60_000.0 {
            pan.step(1.0, fire, SEA, 0.0);
            seconds += 1.0;
        }
        seconds
    }

    /// 100 US gal of 16 °Bx and 20 °C to 78 °Bx: 320.0 kg of water and 848 MJ (worked by hand from tabled heats).
    #[test]
    fn a_boil_costs_the_heat_of_the_hand_worked_sum() {
        let mut pan = pan(0.0);
        to_78(&mut pan, 250e3);
        assert!(
            (pan.driven_off - 320.0).abs() < 0.3,
            "{} kg",
            pan.driven_off
        );
        let megajoule = pan.heat.0 / 1e6;
        assert!((megajoule / 848.0 - 1.0).abs() < 0.015, "{megajoule} MJ");
    }

    #[test]
    fn losses_lengthen_the_boil_by_what_they_take() {
        let (mut tight, mut open) = (pan(0.0), pan(60.0));
        let (short, long) = (to_78(&mut tight, 250e3), to_78(&mut open, 250e3));
        assert!(long > short * 1.02, "{long} s against {short} s");
        let gained = open.heat.0 - open.heat.1;
        assert!((gained / tight.heat.0 - 1.0).abs() < 0.01, "{gained} J");
    }

    #[test]
    fn evaporation_slows_as_it_thickens() {
        let mut pan = pan(20.0);
        let mut rate_at = |brix: f64| {
            while pan.brix() < brix {
                pan.step(1.0, 250e3, SEA, 0.0);
            }
            let before = pan.driven_off;
            for _ in 0..20 {
                pan.step(1.0, 250e3, SEA, 0.0);
            }
            pan.driven_off - before
        };
        let (thin, thick) = (rate_at(30.0), rate_at(77.0));
        assert!(
            thick < 0.93 * thin && thick > 0.4 * thin,
            "{thick} against {thin} kg in 20 s"
        );
    }

    #[test]
    fn a_drawn_fire_stops_the_boil() {
        let mut pan = pan(20.0);
        to_78(&mut pan, 250e3);
        for _ in 0..300 {
            pan.step(1.0, 0.0, SEA, 0.0);
        }
        assert!(!pan.boiling && pan.brix() < 80.0, "{} °Bx", pan.brix());
    }
}
