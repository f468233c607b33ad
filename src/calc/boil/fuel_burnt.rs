//! Fuel burnt under a finished boil: how it is read and said, and how much of its heat went into the
//! juice. Plans nothing; see `energy` for what fuels hold and `boil_plan` for what a boil needs.

use crate::calc::RuleRefusal;
use crate::calc::cane::learned::Learned;
use crate::calc::physics::elevation::{Factor, rise};
use crate::calc::physics::energy::{BTU_J, Fuel, Heat, heat};
use crate::units::{BrixAt20C, Celsius, Grams, Refused, Units, decimal};

/// An amount of one fuel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FuelBurnt {
    /// What burned.
    pub fuel: Fuel,
    /// How much, in [`Fuel::unit`]s; above nought, at most [`MOST`].
    pub amount: f64,
}

/// Most gallons, therms or cords under one boil: any more is a misplaced point.
pub const MOST: f64 = 10_000.0;
/// Least amount that is one at all.
const LEAST: f64 = 0.0001;
/// Below this share of the heat a fuel's figure is questioned: the worst open pans reach 15 of 100.
const LOW: f64 = 0.02;
/// Where water boils when nobody read it, °C: 2 °C off changes a boil's heat by less than 1 in 200.
const SEA_LEVEL_C: f64 = 100.0;

impl FuelBurnt {
    /// Reads an amount in the unit of [`Fuel::read_in`]: a decimal number, or a fraction like 1/8.
    ///
    /// # Errors
    /// Not a number, nought or less, or more than any boil takes.
    pub fn parse(text: &str, fuel: Fuel, units: Units) -> Result<Self, Refused> {
        let typed = match text.split_once('/') {
            Some((part, whole)) => decimal(part)? / decimal(whole)?,
            None => decimal(text)?,
        };
        let amount = fuel.of_read(typed, units);
        if (LEAST..=MOST).contains(&amount) {
            return Ok(Self { fuel, amount });
        }
        Err(Refused::new(
            "Please write how much was burnt, more than nought; leave it empty if nobody measured it.",
        ))
    }

    /// The number as a box is prefilled: at most four decimals, without noughts at the end.
    pub fn typed(self, units: Units) -> String {
        let text = format!("{:.4}", self.fuel.to_read(self.amount, units));
        let bare = text.trim_end_matches('0').trim_end_matches('.');
        bare.to_owned()
    }

    /// The amount with its unit and the fuel's name.
    pub fn show(self, units: Units) -> String {
        format!(
            "{} {} of {}",
            self.typed(units),
            self.fuel.read_in(units),
            self.fuel.name()
        )
    }

    /// Share of its heat that `kj` in the juice are: 0 and up, above 1 only when a figure is wrong.
    pub fn share(self, kj: f64) -> f64 {
        kj * 1000.0 / (self.amount * self.fuel.btu() * BTU_J)
    }

    /// Refuses too little fuel for the heat that went into the juice, and questions far too much,
    /// until it is ticked as looked at.
    ///
    /// # Errors
    /// Beside `fuel_burnt`: more heat came out than the fuel holds. Beside `fuel_sure`: under 2 of
    /// 100 of it reached the juice.
    pub fn believable(self, of: Heat, looked: bool, units: Units) -> Result<(), RuleRefusal> {
        let share = self.share(of.total_kj());
        if share > 1.0 {
            return Err(RuleRefusal::beside(
                "fuel_burnt",
                "fuel-too-little",
                format!(
                    "{} holds less heat than this boil took: {:.0} of 100 would have reached the \
                     juice, which cannot be. Please look at the amount and its unit again, or leave \
                     it empty.",
                    self.show(units),
                    100.0 * share
                ),
            ));
        }
        if share < LOW && !looked {
            return Err(RuleRefusal::beside(
                "fuel_sure",
                "fuel-too-much",
                format!(
                    "Only {:.1} of 100 of the heat in {} would have reached the juice; open pans \
                     give 15 to 60. Please look at the amount and its unit again; if it is right, \
                     tick the box.",
                    100.0 * share,
                    self.show(units)
                ),
            ));
        }
        Ok(())
    }
}

/// A finished boil as far as its heat goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Boiled {
    /// All juice poured in.
    pub juice: Grams,
    /// Dissolved solids in that juice.
    pub solids: Grams,
    /// Temperature of the juice as measured.
    pub temp: Celsius,
    /// Brix of the syrup by the refractometer.
    pub syrup: BrixAt20C,
    /// Boiling point of water that day, if it was read.
    pub water: Option<Celsius>,
    /// The pan when it was drawn off, if it was read.
    pub finish: Option<Celsius>,
}

impl Boiled {
    /// Heat that went into it; nothing without juice, or when it came out thinner than it went in.
    /// What was not read is taken at sea level and with the default factor K.
    pub fn heat(&self) -> Option<Heat> {
        let brix = BrixAt20C::new(100.0 * self.solids.as_f64() / self.juice.as_f64()).ok()?;
        if self.solids <= Grams::ZERO || brix.get() >= self.syrup.get() {
            return None;
        }
        let water = self.water.or_else(|| Celsius::new(SEA_LEVEL_C).ok())?;
        let up = rise(self.syrup, water, Factor::DEFAULT).get();
        let finish = self
            .finish
            .or_else(|| Celsius::new(water.get() + up).ok())?;
        Some(heat(
            self.juice.kg(),
            (brix, self.temp),
            (self.syrup, finish),
            water,
        ))
    }
}

/// The share of a fuel's heat that reaches the juice, and what it is from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Efficiency {
    /// Share of the fuel's heat that reaches the juice, 0 to 1.
    pub share: f64,
    /// What finished boils taught of it; `None`: the share is as the pan was set up.
    pub learned: Option<Learned>,
}

impl Efficiency {
    /// Where the share comes from, in a few words.
    pub fn words(&self) -> String {
        match self.learned {
            Some(l) if l.boils == 1 => {
                format!("learned from 1 boil: {:.0} %", 100.0 * l.middle)
            }
            Some(l) => format!(
                "learned from {} boils: {:.0} % ± {:.0}",
                l.boils,
                100.0 * l.middle,
                100.0 * l.spread
            ),
            None => "the pan’s own guess, until fuel is measured".to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn c(value: f64) -> Celsius {
        Celsius::new(value).unwrap()
    }
    /// The worked boil of `energy`: 402.6 kg at 16 °Bx and 20 °C to 78 °Bx, 848 MJ.
    fn worked() -> Boiled {
        Boiled {
            juice: Grams::new(402_600),
            solids: Grams::new(64_416),
            temp: c(20.0),
            syrup: BrixAt20C::new(78.0).unwrap(),
            water: Some(c(99.974)),
            finish: Some(c(108.2)),
        }
    }
    fn burnt(text: &str, fuel: Fuel) -> FuelBurnt {
        FuelBurnt::parse(text, fuel, Units::Us).unwrap()
    }

    #[test]
    fn the_worked_boil_shows_what_its_fuel_was_worth() {
        let kj = worked().heat().unwrap().total_kj();
        assert!((kj / 848_000.0 - 1.0).abs() < 0.005, "{kj}");
        // 17.6 gal × 91,452 Btu (US EIA) × 1.055 kJ are 1,698 MJ: half of it.
        let gas = burnt("17.6", Fuel::Propane).share(kj);
        assert!((gas - 0.5).abs() < 0.003, "{gas}");
        // An eighth of a cord of 20 million Btu (US EIA) is 2,638 MJ.
        let wood = burnt("1/8", Fuel::Wood).share(kj);
        assert!((wood - 0.321).abs() < 0.003, "{wood}");
    }

    #[test]
    fn what_was_not_read_hardly_changes_the_heat() {
        let read = worked().heat().unwrap().total_kj();
        let unread = Boiled {
            water: None,
            finish: None,
            ..worked()
        };
        let taken = unread.heat().unwrap().total_kj();
        assert!((taken / read - 1.0).abs() < 0.005, "{taken} {read}");
        let none = Boiled {
            juice: Grams::ZERO,
            solids: Grams::ZERO,
            ..worked()
        };
        assert_eq!(none.heat(), None);
        let thinned = Boiled {
            syrup: BrixAt20C::new(16.0).unwrap(),
            ..worked()
        };
        assert_eq!(thinned.heat(), None);
    }

    #[test]
    fn fuel_is_read_in_the_unit_it_is_counted_in() {
        // NIST Handbook 44, Appendix C: a gallon is 3.785 L, a cord 128 cubic feet (3.625 m³).
        let metric = |text, fuel| FuelBurnt::parse(text, fuel, Units::Metric).unwrap().amount;
        assert!((metric("3.785411784", Fuel::Propane) - 1.0).abs() < 1e-9);
        assert!((metric("3,6246", Fuel::RedOak) - 1.0).abs() < 1e-4);
        // A therm is 29.307 kWh.
        assert!((metric("29.307", Fuel::NaturalGas) - 1.0).abs() < 1e-4);
        assert_eq!(burnt("0.125", Fuel::Wood).typed(Units::Us), "0.125");
        assert_eq!(
            burnt("20", Fuel::Propane).show(Units::Us),
            "20 gal of propane"
        );
        for wrong in ["", "0", "-1", "much", "1/0", "0/8", "99999"] {
            assert!(
                FuelBurnt::parse(wrong, Fuel::Wood, Units::Us).is_err(),
                "{wrong}"
            );
        }
    }

    #[test]
    fn more_heat_out_than_in_is_refused_and_next_to_none_is_questioned() {
        let heat = worked().heat().unwrap();
        let code = |text, looked| {
            let found = burnt(text, Fuel::Propane).believable(heat, looked, Units::Us);
            found.map_err(|refusal| (refusal.at, refusal.code))
        };
        assert_eq!(code("17.6", false), Ok(()));
        let cannot = Err((Some("fuel_burnt"), "fuel-too-little"));
        assert_eq!(code("8.7", false), cannot);
        assert_eq!(code("8.7", true), cannot);
        assert_eq!(
            code("450", false),
            Err((Some("fuel_sure"), "fuel-too-much"))
        );
        assert_eq!(code("450", true), Ok(()));
    }

    #[test]
    fn an_efficiency_says_from_how_many_boils_it_is() {
        let of = |boils| {
            Efficiency {
                share: 0.38,
                learned: Some(Learned {
                    middle: 0.384,
                    boils,
                    spread: 0.021,
                }),
            }
            .words()
        };
        assert_eq!(of(4), "learned from 4 boils: 38 % ± 2");
        assert_eq!(of(1), "learned from 1 boil: 38 %");
    }

    proptest! {
        #[test]
        fn prop_what_a_box_is_prefilled_with_reads_back(
            amount in 0.01..900.0_f64, which in 0_usize..10, metric in any::<bool>(),
        ) {
            let units = if metric { Units::Metric } else { Units::Us };
            let of = FuelBurnt { fuel: Fuel::ALL[which], amount };
            let again = FuelBurnt::parse(&of.typed(units), of.fuel, units).unwrap();
            prop_assert!((again.amount - amount).abs() < 1e-4, "{again:?}");
        }
    }
}
