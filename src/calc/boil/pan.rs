//! A pan's settings as the mill keeps them: surface, charge, rate, fuel. Plans no boil itself; see
//! `boil_plan`.

use super::boil_plan::{self, GAL_FT2_L_M2};
use crate::calc::RuleRefusal;
use crate::calc::physics::energy::Fuel;
use crate::units::{Millilitres, Refused, SquareMetres, Units, decimal, fixed};

/// Deepest a charge may stand, mm: a misplaced point is ten times over (common practice: 25 to
/// 75 mm in flat pans, an old community pan was a foot deep).
const DEEPEST_MM: f64 = 1000.0;

/// What a pan is planned with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settings {
    /// Boiling surface.
    pub area: SquareMetres,
    /// Least juice it may be lit under: below, it scorches.
    pub least: Millilitres,
    /// Most juice it takes: above, it boils over.
    pub most: Millilitres,
    /// Water it drives off, L a square metre an hour, until its own is learned.
    pub rate_l_m2_h: f64,
    /// What burns under it.
    pub fuel: Fuel,
    /// Share of the fuel's heat that reaches the juice, %, until its own is learned.
    pub efficiency_pct: f64,
}

impl Settings {
    /// Looks the settings over.
    ///
    /// # Errors
    /// Everything amiss, beside `pan_area`, `pan_rate`, `least`, `most` and `efficiency`.
    pub fn sound(&self, units: Units) -> Result<(), Vec<RuleRefusal>> {
        let mut refusal = Vec::new();
        if let Err(amiss) = boil_plan::Pan::new(self.area.get(), self.rate_l_m2_h) {
            refusal.push(amiss);
        }
        if self.least <= Millilitres::ZERO {
            refusal.push(RuleRefusal::beside(
                "least",
                "pan-least",
                "Please write the least juice this pan is lit under.",
            ));
        }
        if self.most < self.least {
            refusal.push(RuleRefusal::beside(
                "most",
                "pan-most",
                "The greatest charge must not be below the least.",
            ));
        } else if refusal.is_empty() && self.depth_mm(self.most) > DEEPEST_MM {
            refusal.push(RuleRefusal::beside(
                "most",
                "pan-too-deep",
                format!(
                    "That much would stand {} deep in this pan. Please look at the charge and the \
                     surface again: a point may be out of place.",
                    self.depth(self.most, units)
                ),
            ));
        }
        if let Err(amiss) = self.fuel.needed(1.0, self.efficiency_pct / 100.0) {
            refusal.push(amiss);
        }
        if refusal.is_empty() {
            Ok(())
        } else {
            Err(refusal)
        }
    }

    /// These settings in the form that planning a boil takes.
    pub fn for_plan(&self) -> boil_plan::Pan {
        boil_plan::Pan {
            area_m2: self.area.get(),
            rate_l_m2_h: self.rate_l_m2_h,
        }
    }

    /// What burns, and the share of its heat that reaches the juice (0 to 1).
    pub fn fuel_for_plan(&self) -> (Fuel, f64) {
        (self.fuel, self.efficiency_pct / 100.0)
    }

    /// Water it drives off in an hour.
    pub fn water_an_hour(&self) -> Millilitres {
        Millilitres::nearest(self.area.get() * self.rate_l_m2_h * 1000.0)
    }

    fn depth_mm(&self, volume: Millilitres) -> f64 {
        self.for_plan().depth_mm(volume)
    }

    /// Questions a charge below its least or above its most, until it is ticked as known.
    ///
    /// # Errors
    /// Beside `charge_known`.
    pub fn check_charge(
        &self,
        name: &str,
        charge: Millilitres,
        known: bool,
        units: Units,
    ) -> Result<(), RuleRefusal> {
        let said = |code, sentence| Err(RuleRefusal::beside("charge_known", code, sentence));
        if known {
            Ok(())
        } else if charge < self.least {
            said(
                "charge_short",
                format!(
                    "{} of juice is less than the {} that {name} is lit under: it stands {} deep, \
                     and so thin it scorches. Please choose a smaller pan or wait for more juice; if \
                     it is boiled so all the same, tick the box.",
                    charge.show(units),
                    self.least.show(units),
                    self.depth(charge, units)
                ),
            )
        } else if charge > self.most {
            said(
                "charge_over",
                format!(
                    "{} of juice is more than the {} that {name} takes: it boils over. Please take \
                     less or a larger pan; if the rest goes in as it boils down, tick the box.",
                    charge.show(units),
                    self.most.show(units)
                ),
            )
        } else {
            Ok(())
        }
    }

    /// How deep a volume stands in it, in inches with one decimal or whole millimetres.
    pub fn depth(&self, volume: Millilitres, units: Units) -> String {
        let mm = self.depth_mm(volume);
        match units {
            Units::Us => format!("{} in", fixed(mm / 25.4, 1, units)),
            Units::Metric => format!("{} mm", fixed(mm, 0, units)),
        }
    }
}

/// The pan (by place) that a charge is made in, when nobody says: the smallest that takes it, else
/// the largest; nothing when there is none.
pub fn suits(pans: &[Settings], charge: Millilitres) -> Option<usize> {
    let by_size = |n: &usize| pans[*n].most;
    let takes = (0..pans.len()).filter(|n| pans[*n].most >= charge);
    takes
        .min_by_key(by_size)
        .or_else(|| (0..pans.len()).max_by_key(by_size))
}

/// Reads a rate typed in gallons a square foot an hour or L a square metre an hour, into the
/// latter. Its range is looked at by [`Settings::sound`].
///
/// # Errors
/// Not a number.
pub fn parse_rate(text: &str, units: Units) -> Result<f64, Refused> {
    let value = decimal(text)?;
    Ok(match units {
        Units::Us => value * GAL_FT2_L_M2,
        Units::Metric => value,
    })
}

/// The unit a rate is typed and shown in.
pub const fn rate_unit(units: Units) -> &'static str {
    match units {
        Units::Us => "gal/sq ft/h",
        Units::Metric => "L/m²/h",
    }
}

/// A rate's number, as a box is prefilled: two decimals of gallons, one of litres.
pub fn rate_typed(l_m2_h: f64, units: Units) -> String {
    match units {
        Units::Us => format!("{:.2}", l_m2_h / GAL_FT2_L_M2),
        Units::Metric => format!("{l_m2_h:.1}"),
    }
}

/// A rate with its unit.
pub fn rate(l_m2_h: f64, units: Units) -> String {
    format!("{} {}", rate_typed(l_m2_h, units), rate_unit(units))
}

/// Reads an efficiency, "40" or "40 %"; nothing typed takes the fuel's guess.
///
/// # Errors
/// Not a number.
pub fn parse_efficiency(text: &str, fuel: Fuel) -> Result<f64, Refused> {
    let bare = text.trim().trim_end_matches('%');
    if bare.trim().is_empty() {
        Ok(fuel.efficiency_guess() * 100.0)
    } else {
        decimal(bare)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pan() -> Settings {
        Settings {
            area: SquareMetres::parse("24", Units::Us).unwrap(),
            least: Millilitres::parse("40", Units::Us).unwrap(),
            most: Millilitres::parse("130", Units::Us).unwrap(),
            rate_l_m2_h: parse_rate("1", Units::Us).unwrap(),
            fuel: Fuel::Wood,
            efficiency_pct: 40.0,
        }
    }

    fn codes(pan: Settings) -> Vec<&'static str> {
        match pan.sound(Units::Us) {
            Ok(()) => Vec::new(),
            Err(refusal) => refusal.iter().map(|u| u.code).collect(),
        }
    }

    #[test]
    fn a_gallon_a_square_foot_is_40_7_litres_a_square_metre() {
        assert!((pan().rate_l_m2_h - 40.745_833).abs() < 1e-5);
        assert_eq!(rate(pan().rate_l_m2_h, Units::Us), "1.00 gal/sq ft/h");
        assert_eq!(rate(pan().rate_l_m2_h, Units::Metric), "40.7 L/m²/h");
        // 24 sq ft at one gallon each: 24 gal an hour.
        assert_eq!(pan().water_an_hour().show(Units::Us), "24.0 gal");
    }

    #[test]
    fn an_inch_on_a_square_foot_is_0_623_gallons() {
        // Trade notes, section 4: 24 sq ft an inch deep need 15 gal (24 × 0.623 = 14.96).
        let gallons = Millilitres::parse("14.96", Units::Us).unwrap();
        assert_eq!(pan().depth(gallons, Units::Us), "1.0 in");
        assert_eq!(pan().depth(gallons, Units::Metric), "25 mm");
    }

    #[test]
    fn every_setting_amiss_is_said_beside_its_box() {
        assert!(codes(pan()).is_empty());
        let swapped = Settings {
            least: pan().most,
            most: pan().least,
            ..pan()
        };
        assert_eq!(codes(swapped), ["pan-most"]);
        let tenfold = Settings {
            most: Millilitres::parse("1300", Units::Us).unwrap(),
            ..pan()
        };
        assert_eq!(codes(tenfold), ["pan-too-deep"]);
        let odd = Settings {
            rate_l_m2_h: 1.0,
            efficiency_pct: 400.0,
            ..pan()
        };
        assert_eq!(codes(odd), ["pan-rate-range", "efficiency-range"]);
    }

    #[test]
    fn a_charge_goes_into_the_smallest_pan_that_takes_it() {
        let of = |gal: &str| Settings {
            most: Millilitres::parse(gal, Units::Us).unwrap(),
            ..pan()
        };
        let pans = [of("130"), of("60"), of("200")];
        let suits = |gal: &str| suits(&pans, Millilitres::parse(gal, Units::Us).unwrap());
        assert_eq!(suits("50"), Some(1));
        assert_eq!(suits("61"), Some(0));
        assert_eq!(suits("300"), Some(2));
        assert_eq!(super::suits(&[], Millilitres::ZERO), None);
    }

    #[test]
    fn a_charge_too_small_or_too_large_is_questioned_until_it_is_known() {
        let takes = |gal: &str, known| {
            let charge = Millilitres::parse(gal, Units::Us).unwrap();
            pan()
                .check_charge("Long pan", charge, known, Units::Us)
                .map_err(|refusal| refusal.code)
        };
        assert_eq!(takes("40", false), Ok(()));
        assert_eq!(takes("130", false), Ok(()));
        assert_eq!(takes("39.9", false), Err("charge_short"));
        assert_eq!(takes("130.1", false), Err("charge_over"));
        assert_eq!(takes("12", true), Ok(()));
    }

    #[test]
    fn an_efficiency_left_open_is_the_fuels_guess() {
        let read = |text| parse_efficiency(text, Fuel::RedOak).unwrap();
        assert!((read(" ") - 40.0).abs() < 1e-12);
        assert!((read("35 %") - 35.0).abs() < 1e-12);
        let gas = parse_efficiency("", Fuel::Propane).unwrap();
        assert!((gas - 50.0).abs() < 1e-12);
        assert!(parse_efficiency("half", Fuel::Wood).is_err());
    }
}
