//! The figures of a press day as a whole: its sugar by where it went, and how fast its pan takes the
//! juice that waits. Decides nothing; see `balance` and `pooling`.

use super::balance::{BoilSolids, DaySolids};
use super::boil_plan::Pan;
use crate::calc::cane::juice::{Amount, Portion, solids_of};
use crate::units::{BrixAt20C, Grams, Millilitres, Minutes};

/// Minutes of every boil besides evaporating: heating up, finishing, draining, cleaning (common
/// practice: an hour a lot).
pub const OVERHEAD: Minutes = Minutes::new(60);

/// What became of a part of a juice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PouredInto {
    /// Into a boil of this day that is finished.
    Finished,
    /// Into a boil of this day that is on the fire.
    Boiling,
    /// Into a boil of another day.
    Elsewhere,
}

/// A juice as the day's sum takes it.
#[derive(Debug, Clone, PartialEq)]
pub struct DayJuice {
    /// Whether it was pressed on this day; else it was left over from another.
    pub of_the_day: bool,
    /// Dissolved solids in its sediment.
    pub sediment: Grams,
    /// Dissolved solids of its parts, and where each went.
    pub parts: Vec<(PouredInto, Grams)>,
    /// Dissolved solids still in its vessel.
    pub left: Grams,
}

/// A finished boil of the day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DayBoil {
    /// All juice that was poured in.
    pub brought: Portion,
    /// Skimmings weighed.
    pub skimmed: Grams,
    /// Syrup spilt or scorched.
    pub spilt: Grams,
    /// Syrup drawn off.
    pub syrup: Grams,
    /// Brix of the syrup.
    pub brix: BrixAt20C,
}

/// Dissolved solids in a sediment, at the juice's own Brix.
pub fn sediment_solids(sediment: Option<Amount>, brix: BrixAt20C) -> Grams {
    sediment.map_or(Grams::ZERO, |amount| solids_of(amount.mass(brix), brix))
}

/// Dissolved solids of one boil. Skimmings are counted at the Brix of the juice, since most are
/// taken off before it thickens (common practice).
pub fn boil_solids(of: &DayBoil) -> BoilSolids {
    let juice = BrixAt20C::new(100.0 * of.brought.solids.as_f64() / of.brought.mass.as_f64());
    BoilSolids {
        poured: of.brought.solids,
        skimmed: juice.map_or(Grams::ZERO, |brix| solids_of(of.skimmed, brix)),
        spilt: solids_of(of.spilt, of.brix),
        syrup: solids_of(of.syrup, of.brix),
    }
}

/// Sums a day: its solids, and those of them in boils still on the fire (which count as not boiled).
/// Of juices left over from other days only what went into this day's boils is counted.
pub fn day(juices: &[DayJuice], boils: &[DayBoil]) -> (DaySolids, Grams) {
    let went = |juice: &DayJuice, to: PouredInto| -> Grams {
        let parts = juice.parts.iter().filter(|(w, _)| *w == to);
        parts.map(|(_, g)| *g).sum()
    };
    let (mut sum, mut boiling) = (DaySolids::default(), Grams::ZERO);
    for juice in juices {
        let here = went(juice, PouredInto::Finished) + went(juice, PouredInto::Boiling);
        boiling += went(juice, PouredInto::Boiling);
        sum.measured += here;
        if juice.of_the_day {
            let not_here = juice.left + went(juice, PouredInto::Elsewhere);
            sum.measured += juice.sediment + not_here;
            sum.sediment += juice.sediment;
            sum.not_boiled += not_here;
        }
    }
    for boil in boils.iter().map(boil_solids) {
        sum.boils.poured += boil.poured;
        sum.boils.skimmed += boil.skimmed;
        sum.boils.spilt += boil.spilt;
        sum.boils.syrup += boil.syrup;
    }
    sum.not_boiled += boiling;
    (sum, boiling)
}

/// Juice, L an hour, that a pan boils down to a target, of all that waits taken together; nothing
/// when nothing waits, or it is at its target.
pub fn litres_h(pan: Pan, waiting: Portion, target: BrixAt20C) -> Option<f64> {
    let water_kg = waiting.mass.kg() - waiting.solids.kg() * 100.0 / target.get();
    let hours = pan.minutes_for(water_kg) / 60.0;
    (waiting.volume > Millilitres::ZERO && hours > 0.0).then(|| waiting.volume.litres() / hours)
}

/// The mass of a part of what is left of a juice, to the nearest gram; all of it for all of it.
pub fn mass_of_part(left: Portion, part: Millilitres) -> Grams {
    if part >= left.volume {
        return left.mass;
    }
    Grams::nearest(left.mass.as_f64() * part.as_f64() / left.volume.as_f64())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::boil::balance;
    use crate::calc::boil::boil_plan::GAL_FT2_L_M2;
    use crate::units::Celsius;
    use proptest::prelude::*;

    fn bx(value: f64) -> BrixAt20C {
        BrixAt20C::new(value).unwrap()
    }
    fn g(grams: i64) -> Grams {
        Grams::new(grams)
    }
    fn portion(mass: i64, solids: i64, volume: i64) -> Portion {
        Portion {
            volume: Millilitres::new(volume),
            mass: g(mass),
            solids: g(solids),
        }
    }
    fn juice(of_the_day: bool, parts: Vec<(PouredInto, Grams)>, left: i64) -> DayJuice {
        DayJuice {
            of_the_day,
            sediment: g(400),
            parts,
            left: g(left),
        }
    }

    #[test]
    fn a_day_adds_up_whatever_went_where() {
        let juices = [
            juice(
                true,
                vec![
                    (PouredInto::Finished, g(10_000)),
                    (PouredInto::Boiling, g(2_000)),
                ],
                500,
            ),
            juice(true, vec![(PouredInto::Elsewhere, g(3_000))], 0),
            juice(
                false,
                vec![
                    (PouredInto::Finished, g(1_000)),
                    (PouredInto::Elsewhere, g(9_000)),
                ],
                70,
            ),
        ];
        let boils = [DayBoil {
            brought: portion(73_333, 11_000, 69_000),
            skimmed: g(1_000),
            spilt: g(500),
            syrup: g(12_000),
            brix: bx(78.0),
        }];
        let (sum, boiling) = day(&juices, &boils);
        assert_eq!(boiling, g(2_000));
        assert_eq!(
            sum.measured,
            g(10_000 + 2_000 + 500 + 400 + 3_000 + 400 + 1_000)
        );
        assert_eq!(sum.sediment, g(800));
        assert_eq!(sum.not_boiled, g(500 + 3_000 + 2_000));
        assert_eq!(sum.boils.poured, g(11_000));
        assert_eq!(sum.boils.skimmed, g(150));
        assert_eq!(sum.boils.spilt, g(390));
        assert_eq!(sum.boils.syrup, g(9_360));
        let found = balance::day(&sum, None).unwrap();
        assert_eq!(found.unexplained, g(11_000 - 150 - 390 - 9_360));
    }

    #[test]
    fn sediment_counts_at_the_juice_s_own_brix() {
        assert_eq!(
            sediment_solids(Some(Amount::Weight(g(2_000))), bx(15.0)),
            g(300)
        );
        // 2 L at 20 °C and 15 °Bx, 1.0593 kg/L (CRC Handbook sucrose table, 15 %: 1.0592).
        let gauged = Amount::Volume(Millilitres::new(2_000), Celsius::new(20.0).unwrap());
        let found = sediment_solids(Some(gauged), bx(15.0)).get();
        assert!((found - 318).abs() <= 1, "{found}");
        assert_eq!(sediment_solids(None, bx(15.0)), Grams::ZERO);
    }

    #[test]
    fn a_hundred_gallons_take_3_6_hours_on_24_square_feet() {
        // Trade notes, “Pan hours”: 15 to 78 °Bx, 24 sq ft at 1 gal a sq ft an hour.
        let pan = Pan {
            area_m2: 24.0 * 0.092_903_04,
            rate_l_m2_h: GAL_FT2_L_M2,
        };
        let volume = 378_541;
        let mass = 400_960; // 378.541 L × 1.0592 kg/L
        let waiting = portion(mass, mass * 15 / 100, volume);
        let hours = 378.541 / litres_h(pan, waiting, bx(78.0)).unwrap();
        assert!((hours - 3.6).abs() < 0.05, "{hours}");
        assert_eq!(litres_h(pan, portion(0, 0, 0), bx(78.0)), None);
        assert_eq!(litres_h(pan, portion(100, 80, 80), bx(78.0)), None);
    }

    proptest! {
        #[test]
        fn prop_a_part_weighs_no_more_than_the_whole(
            mass in 1_i64..400_000, volume in 1_i64..380_000, part in 0_i64..400_000,
        ) {
            let left = portion(mass, mass / 7, volume);
            let of = mass_of_part(left, Millilitres::new(part));
            prop_assert!(of >= Grams::ZERO && of <= left.mass);
            prop_assert_eq!(mass_of_part(left, left.volume), left.mass);
        }

        #[test]
        fn prop_what_was_measured_is_sediment_not_boiled_or_poured(
            of in proptest::collection::vec((any::<bool>(), 0_i64..9_000, 0_i64..9_000, 0_i64..9_000), 0..8),
        ) {
            let juices: Vec<DayJuice> = of
                .iter()
                .map(|(day, a, b, left)| juice(
                    *day,
                    vec![(PouredInto::Finished, g(*a)), (PouredInto::Boiling, g(*b)), (PouredInto::Elsewhere, g(*a))],
                    *left,
                ))
                .collect();
            let poured: i64 = of.iter().map(|(_, a, ..)| a).sum();
            let (sum, _) = day(&juices, &[]);
            prop_assert_eq!(sum.measured - sum.sediment - sum.not_boiled, g(poured));
        }
    }
}
