//! Heat and fuel of a boil: latent heat, specific heat, what fuels hold and what a pan makes of
//! them. Never knows how fast; see `boil_plan` for hours.

use crate::calc::RuleRefusal;
use crate::units::{BrixAt20C, Celsius, Units, fixed};

/// Joules in one Btu (international table), exactly: NIST SP 811.
pub const BTU_J: f64 = 1_055.055_852_62;
/// Litres in one US gallon, exactly.
const GAL_L: f64 = 3.785_411_784;
/// Cubic metres in one cord: 128 × 0.3048³.
const CORD_M3: f64 = 3.624_556_363_776;

/// Latent heat of evaporation of water, kJ/kg, at the boiling surface's temperature. Our own cubic
/// fitted to IAPWS-95 from 0 to 125 °C, within 0.05 kJ/kg.
pub fn latent_heat_kj_kg(at: Celsius) -> f64 {
    let t = at.get();
    2_500.941 + t * (-2.379_184 + t * (6.382_95e-4 - 1.302_719e-5 * t))
}

/// Share of sucrose in the dissolved solids of sorghum juice, 0 to 1 (about 75 % of total sugars,
/// Kawahigashi et al. 2013).
pub const PURITY: f64 = 0.75;

/// Specific heat of a sugar solution, kJ/(kg K), 0–80 °Bx, 0–110 °C, purity 0–1. Linear form as in
/// Llano 2005; within 0.08 of two other published formulas.
pub fn specific_heat_kj_kg(brix: BrixAt20C, at: Celsius, purity: f64) -> f64 {
    let w = brix.get() / 100.0;
    4.184 + w * (-2.971 + 0.460 * purity + 0.0075 * at.get())
}

/// What burns under the pan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Fuel {
    /// Propane, by the US gallon.
    Propane,
    /// Natural gas, by the therm of 100,000 Btu.
    NaturalGas,
    /// Firewood of no particular kind, by the cord of 128 stacked cubic feet.
    Wood,
    /// Hickory, air-dry.
    Hickory,
    /// Black locust, air-dry.
    BlackLocust,
    /// White oak, air-dry.
    WhiteOak,
    /// Sugar maple, air-dry.
    SugarMaple,
    /// Red oak, air-dry.
    RedOak,
    /// White ash, air-dry.
    WhiteAsh,
    /// Yellow-poplar, air-dry.
    YellowPoplar,
}

impl Fuel {
    /// Every fuel, in the order a form offers them.
    pub const ALL: [Self; 10] = [
        Self::Propane,
        Self::NaturalGas,
        Self::Wood,
        Self::Hickory,
        Self::BlackLocust,
        Self::WhiteOak,
        Self::SugarMaple,
        Self::RedOak,
        Self::WhiteAsh,
        Self::YellowPoplar,
    ];

    /// The word a form and the store use.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Propane => "propane",
            Self::NaturalGas => "natural_gas",
            Self::Wood => "wood",
            Self::Hickory => "hickory",
            Self::BlackLocust => "black_locust",
            Self::WhiteOak => "white_oak",
            Self::SugarMaple => "sugar_maple",
            Self::RedOak => "red_oak",
            Self::WhiteAsh => "white_ash",
            Self::YellowPoplar => "yellow_poplar",
        }
    }

    /// The words a page prints.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Propane => "propane",
            Self::NaturalGas => "natural gas",
            Self::Wood => "firewood, mixed",
            Self::Hickory => "hickory",
            Self::BlackLocust => "black locust",
            Self::WhiteOak => "white oak",
            Self::SugarMaple => "sugar maple",
            Self::RedOak => "red oak",
            Self::WhiteAsh => "white ash",
            Self::YellowPoplar => "yellow-poplar",
        }
    }

    /// Reads the word back; nothing for any other word.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|fuel| fuel.word() == word)
    }

    /// Gross heat in Btu of one [`Fuel::unit`].
    ///
    /// Propane, natural gas and the average cord: US EIA, Energy Explained, Btu conversion factors
    /// (the cord is an estimate there). Woods: University of Kentucky Forestry, Comparison of
    /// Properties Affecting Firewood, at 20 % moisture.
    pub const fn btu(self) -> f64 {
        match self {
            Self::Propane => 91_452.0,
            Self::NaturalGas => 100_000.0,
            Self::Wood => 20_000_000.0,
            Self::Hickory => 29_300_000.0,
            Self::BlackLocust => 28_300_000.0,
            Self::WhiteOak => 27_900_000.0,
            Self::SugarMaple | Self::RedOak => 25_900_000.0,
            Self::WhiteAsh => 24_600_000.0,
            Self::YellowPoplar => 17_300_000.0,
        }
    }

    /// Share of the heat that reaches the juice, until the mill's own is learned: 0.50 for gas and
    /// 0.40 for wood. A guess inside published ranges of open pans (improved 25–50 %, tested 50–76
    /// %, old ones 15–29 %).
    pub const fn efficiency_guess(self) -> f64 {
        match self {
            Self::Propane | Self::NaturalGas => 0.50,
            Self::Wood
            | Self::Hickory
            | Self::BlackLocust
            | Self::WhiteOak
            | Self::SugarMaple
            | Self::RedOak
            | Self::WhiteAsh
            | Self::YellowPoplar => 0.40,
        }
    }

    /// An amount of it in words: gallons, therms or cords; or litres, kilowatt-hours or stacked
    /// cubic metres (a cord is 128 cubic feet, stacked: NIST Handbook 44, Appendix C).
    pub fn show(self, amount: f64, units: Units) -> String {
        let (each, decimals, unit) = self.read(units);
        format!("{} {unit}", fixed(amount * each, decimals, units))
    }

    /// How one [`Fuel::unit`] is read: how many of the reader's unit it is, with how many decimals,
    /// and what that unit is called.
    const fn read(self, units: Units) -> (f64, usize, &'static str) {
        match (self, units) {
            (Self::Propane, Units::Us) => (1.0, 1, "gal"),
            (Self::Propane, Units::Metric) => (GAL_L, 0, "L"),
            (Self::NaturalGas, Units::Us) => (1.0, 1, "therms"),
            (Self::NaturalGas, Units::Metric) => (self.btu() * BTU_J / 3.6e6, 0, "kWh"),
            (_, Units::Us) => (1.0, 2, "cord"),
            (_, Units::Metric) => (CORD_M3, 2, "m³ stacked"),
        }
    }

    /// The unit an amount of it is typed and shown in.
    pub const fn read_in(self, units: Units) -> &'static str {
        self.read(units).2
    }

    /// An amount in [`Fuel::unit`]s as the reader's number.
    pub fn to_read(self, amount: f64, units: Units) -> f64 {
        amount * self.read(units).0
    }

    /// The reader's number as an amount in [`Fuel::unit`]s.
    pub fn of_read(self, typed: f64, units: Units) -> f64 {
        typed / self.read(units).0
    }

    /// How many [`Fuel::unit`]s give `kj` to the juice at an efficiency.
    ///
    /// # Errors
    /// Beside `efficiency`: outside 0.05 to 0.95.
    pub fn needed(self, kj: f64, efficiency: f64) -> Result<f64, RuleRefusal> {
        if !(0.05..=0.95).contains(&efficiency) {
            return Err(RuleRefusal::beside(
                "efficiency",
                "efficiency-range",
                "Please write an efficiency from 5 to 95 %; open pans give 15 to 60 %.",
            ));
        }
        Ok(kj * 1000.0 / (efficiency * self.btu() * BTU_J))
    }

    /// The efficiency a finished boil shows: heat that went into the juice over heat burnt;
    /// nothing when the figures cannot be true (outside 0.05 to 0.95).
    pub fn efficiency_seen(self, kj: f64, units_burnt: f64) -> Option<f64> {
        let seen = kj * 1000.0 / (units_burnt * self.btu() * BTU_J);
        (0.05..=0.95).contains(&seen).then_some(seen)
    }
}

/// Heat to bring a juice to the boil and to its finish, kJ.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heat {
    /// Heat to bring the juice from its temperature to boiling water's.
    pub to_boil_kj: f64,
    /// Heat to drive the water off.
    pub evaporate_kj: f64,
    /// Heat to bring the syrup from boiling water's temperature to its own.
    pub finish_kj: f64,
}

impl Heat {
    /// All three together, kJ.
    pub fn total_kj(self) -> f64 {
        self.to_boil_kj + self.evaporate_kj + self.finish_kj
    }
}

/// Heat for `juice_kg` at `brix` and `start` to become syrup of `target` Brix finishing at
/// `finish`, where water boils at `water`. Heat of dilution is left out (under 1 %).
pub fn heat(
    juice_kg: f64,
    (brix, start): (BrixAt20C, Celsius),
    (target, finish): (BrixAt20C, Celsius),
    water: Celsius,
) -> Heat {
    let syrup_kg = juice_kg * brix.get() / target.get();
    let warm = specific_heat_kj_kg(brix, start, PURITY);
    let hot = specific_heat_kj_kg(target, finish, PURITY);
    Heat {
        to_boil_kj: juice_kg * warm * (water.get() - start.get()).max(0.0),
        evaporate_kj: (juice_kg - syrup_kg) * latent_heat_kj_kg(water),
        finish_kj: syrup_kg * hot * (finish.get() - water.get()),
    }
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

    #[test]
    fn the_worked_boil_takes_848_mj() {
        // Worked apart from this code: 402.6 kg at 16 °Bx and 20 °C
        // to 78 °Bx; 17.6 gal of propane at 50 %, 0.078 cord of red oak at 40 %.
        let found = heat(402.6, (bx(16.0), c(20.0)), (bx(78.0), c(108.2)), c(99.974));
        let kj = found.total_kj();
        assert!((kj / 848_000.0 - 1.0).abs() < 0.005, "{kj}");
        assert!((Fuel::Propane.needed(kj, 0.5).unwrap() - 17.6).abs() < 0.1);
        assert!((Fuel::RedOak.needed(kj, 0.4).unwrap() - 0.078).abs() < 0.001);
    }

    #[test]
    fn fuel_is_said_in_the_units_that_are_read() {
        assert_eq!(Fuel::Propane.show(17.6, Units::Us), "17.6 gal");
        assert_eq!(Fuel::Propane.show(17.6, Units::Metric), "67 L");
        // A therm of 100,000 Btu is 29.31 kWh.
        assert_eq!(Fuel::NaturalGas.show(10.0, Units::Metric), "293 kWh");
        // A cord is 3.62 m³.
        assert_eq!(Fuel::RedOak.show(0.5, Units::Metric), "1.81 m³ stacked");
        assert_eq!(Fuel::RedOak.show(0.078, Units::Us), "0.08 cord");
    }

    #[test]
    fn a_hundred_gallons_take_about_a_tenth_of_a_cord() {
        // Common practice, at 35 %: trade notes, section 4.
        let found = heat(402.6, (bx(16.0), c(20.0)), (bx(78.0), c(108.2)), c(99.974));
        let cords = Fuel::Wood.needed(found.total_kj(), 0.35).unwrap();
        assert!((0.08..0.13).contains(&cords), "{cords}");
    }

    #[test]
    fn an_efficiency_above_one_is_refused_and_not_learned() {
        assert!(Fuel::Wood.needed(1000.0, 1.2).is_err());
        assert_eq!(Fuel::Propane.efficiency_seen(848_000.0, 2.0), None);
        assert_eq!(Fuel::Propane.efficiency_seen(848_000.0, 0.0), None);
    }

    #[test]
    fn the_words_read_back() {
        for fuel in Fuel::ALL {
            assert_eq!(Fuel::parse(fuel.word()), Some(fuel));
        }
    }

    proptest! {
        #[test]
        fn prop_fuel_needed_and_efficiency_seen_undo_each_other(
            kj in 1e4..1e7_f64, efficiency in 0.06..0.94_f64, which in 0_usize..10,
        ) {
            let fuel = Fuel::ALL[which];
            let burnt = fuel.needed(kj, efficiency).unwrap();
            let seen = fuel.efficiency_seen(kj, burnt).unwrap();
            prop_assert!((seen - efficiency).abs() < 1e-9);
        }

        #[test]
        fn prop_thicker_juice_takes_less_heat(brix in 8.0..20.0_f64) {
            let of = |b: f64| heat(100.0, (bx(b), c(20.0)), (bx(78.0), c(109.0)), c(99.9)).total_kj();
            prop_assert!(of(brix + 1.0) < of(brix));
        }
    }
}
