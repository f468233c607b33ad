//! What pressing costs a member on a lot or a statement: lines in whole cents that sum to the bill.
//! Chooses no words; pages write them.

use super::apportion::{Tie, largest_remainder};
use crate::units::{Cents, Grams, Measured, MilliCents, Millilitres, Pounds, Units};

/// A season's rates. A rate of zero is no charge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FeeRates {
    /// The system that the rates were voted in.
    pub per: Units,
    /// Per pound or kilogram of cane.
    pub cane: MilliCents,
    /// Per gallon or litre of juice.
    pub juice: MilliCents,
    /// Fee for a whole boil, borne by its members.
    pub boil: Cents,
    /// Per jar filled, whatever its size.
    pub jar: Cents,
    /// The least that pressing costs, glass not counted.
    pub least: Cents,
}

#[cfg(test)]
impl FeeRates {
    /// No charges.
    pub const NONE: Self = Self {
        per: Units::Metric,
        cane: MilliCents::ZERO,
        juice: MilliCents::ZERO,
        boil: Cents::ZERO,
        jar: Cents::ZERO,
        least: Cents::ZERO,
    };
}

/// Jars of one kind with the price of the glass.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Glass<'a> {
    /// Name of the kind of jar.
    pub name: &'a str,
    /// How many the member received.
    pub count: u32,
    /// The price of one empty jar.
    pub each: Cents,
}

/// A member's part of the fee of a boil.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct BoilPart {
    /// The fee of the whole boil.
    pub fee: Cents,
    /// Brought by the member, in the season's basis.
    pub own: u64,
    /// Brought by all members together, in the season's basis.
    pub all: u64,
    /// The part, as [`boil_parts`] gives it.
    pub cents: Cents,
}

/// Divides the fee of a boil among its members by what they brought: exact shares cut to whole
/// cents, and the cents left over, one each, to those of whom most was cut off. They sum to the fee.
/// `brought` holds each member's key and weight; ties as in [`crate::calc::apportion`]. Nobody, or nothing
/// brought: nothing.
pub fn boil_parts(lot: &str, fee: Cents, brought: &[(String, u64)]) -> Vec<BoilPart> {
    let all: u64 = brought.iter().map(|(_, own)| *own).sum();
    let weights: Vec<(u128, Tie)> = brought
        .iter()
        .map(|(key, own)| (u128::from(*own), Tie::of(lot, key)))
        .collect();
    let total = u64::try_from(fee.get()).unwrap_or(0);
    let parts = largest_remainder(total, &weights).unwrap_or_default();
    let brought = brought.iter().zip(parts);
    brought
        .map(|((_, own), part)| BoilPart {
            fee,
            own: *own,
            all,
            cents: Cents::new(i64::try_from(part.whole).unwrap_or(i64::MAX)),
        })
        .collect()
}

/// What a member used of mill, pan and jars.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Used<'a> {
    /// Cane pressed.
    pub cane: Grams,
    /// That cane in pounds.
    pub cane_lb: Pounds,
    /// Juice boiled.
    pub juice: Millilitres,
    /// The member's part of the boil's fee.
    pub boil: BoilPart,
    /// Jars received, by kind.
    pub jars: &'a [Glass<'a>],
}

/// One line of a bill, with all that a pencil needs to redo it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FeeLine {
    /// Cane × rate, to the nearest cent, half a cent upward.
    Cane {
        /// Cane pressed, in the unit of the rate.
        cane: Measured,
        /// Fee for one unit of cane.
        rate: MilliCents,
        /// The charge.
        cents: Cents,
    },
    /// Juice × rate, to the nearest cent, half a cent upward.
    Juice {
        /// Juice boiled, in the unit of the rate.
        juice: Measured,
        /// Fee for one unit of juice.
        rate: MilliCents,
        /// The charge.
        cents: Cents,
    },
    /// Fee of the boil × own ÷ all that members brought, cut to the cent, odd cents to those of whom
    /// most was cut off.
    Boil(BoilPart),
    /// Jars filled × fee; exact.
    Filling {
        /// Jars of all kinds.
        count: u64,
        /// Fee for filling one jar.
        each: Cents,
        /// The charge.
        cents: Cents,
    },
    /// What brings the lines before it up to the least charge.
    TopUp {
        /// The least that pressing costs.
        least: Cents,
        /// The difference.
        cents: Cents,
    },
    /// Empty jars of one kind × price; exact, and no part of the least charge.
    Glass {
        /// Name of the kind of jar.
        name: String,
        /// Jars of this kind.
        count: u32,
        /// Price of one empty jar.
        each: Cents,
        /// The charge.
        cents: Cents,
    },
}

impl FeeLine {
    /// The line's amount.
    pub const fn cents(&self) -> Cents {
        match self {
            Self::Boil(part) => part.cents,
            Self::Cane { cents, .. }
            | Self::Juice { cents, .. }
            | Self::Filling { cents, .. }
            | Self::TopUp { cents, .. }
            | Self::Glass { cents, .. } => *cents,
        }
    }
}

/// What a member is charged for one boil.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Bill {
    /// Its lines, in the order of printing; none of zero.
    pub lines: Vec<FeeLine>,
    /// Sum of the lines.
    pub total: Cents,
}

/// Reckons a bill. Each line is rounded by itself to the cent, so the printed lines add up to the
/// total as they stand. Who pressed nothing pays no least charge.
pub fn bill(rates: &FeeRates, used: &Used<'_>) -> Bill {
    let count: u64 = used.jars.iter().map(|g| u64::from(g.count)).sum();
    let cane = Measured::cane(used.cane, used.cane_lb, rates.per);
    let juice = Measured::volume(used.juice, rates.per);
    let mut lines = vec![
        FeeLine::Cane {
            cane,
            rate: rates.cane,
            cents: cane.at(rates.cane),
        },
        FeeLine::Juice {
            juice,
            rate: rates.juice,
            cents: juice.at(rates.juice),
        },
        FeeLine::Boil(used.boil),
        FeeLine::Filling {
            count,
            each: rates.jar,
            cents: times(rates.jar, count),
        },
    ];
    let pressing: Cents = lines.iter().map(FeeLine::cents).sum();
    let pressed = used.cane > Grams::ZERO || used.juice > Millilitres::ZERO || count > 0;
    if pressed && pressing < rates.least {
        lines.push(FeeLine::TopUp {
            least: rates.least,
            cents: rates.least - pressing,
        });
    }
    lines.extend(used.jars.iter().map(|glass| FeeLine::Glass {
        name: glass.name.to_owned(),
        count: glass.count,
        each: glass.each,
        cents: times(glass.each, glass.count.into()),
    }));
    lines.retain(|line| line.cents() != Cents::ZERO);
    let total = lines.iter().map(FeeLine::cents).sum();
    Bill { lines, total }
}

/// A price for `count` pieces; saturates far above any bill.
fn times(each: Cents, count: u64) -> Cents {
    Cents::new(
        each.get()
            .saturating_mul(i64::try_from(count).unwrap_or(i64::MAX)),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn rates(cane: i64, juice: i64, jar: i64, least: i64) -> FeeRates {
        FeeRates {
            per: Units::Metric,
            cane: MilliCents::new(cane),
            juice: MilliCents::new(juice),
            boil: Cents::ZERO,
            jar: Cents::new(jar),
            least: Cents::new(least),
        }
    }

    #[test]
    fn a_small_load_is_topped_up_to_the_least_charge() {
        let glass = [Glass {
            name: "quart",
            count: 2,
            each: Cents::new(85),
        }];
        let used = Used {
            cane: Grams::new(187_107),
            cane_lb: Pounds::of(Grams::new(187_107)),
            juice: Millilitres::new(84_500),
            boil: BoilPart::default(),
            jars: &glass,
        };
        // 187.107 kg × 2.25 ¢ = 420.99 → 421; 84.5 L × 3 ¢ = 253.5 → 254; 2 jars × 25 ¢ = 50.
        let bill = bill(&rates(2250, 3000, 25, 1000), &used);
        let cents: Vec<i64> = bill.lines.iter().map(|l| l.cents().get()).collect();
        assert_eq!(cents, [421, 254, 50, 275, 170]);
        assert_eq!(bill.total, Cents::new(1170));
    }

    #[test]
    fn a_fee_voted_per_pound_is_charged_per_pound() {
        // A cent a pound, kept as 2.205 ¢ a kilogram, was $29.19 on 2,918 lb.
        let pounds = Pounds::new(29_180_000);
        let used = Used {
            cane: pounds.grams(),
            cane_lb: pounds,
            ..Used::default()
        };
        let by_pound = FeeRates {
            per: Units::Us,
            ..rates(1000, 0, 0, 0)
        };
        assert_eq!(bill(&by_pound, &used).total, Cents::new(2918));
        assert_eq!(bill(&rates(2205, 0, 0, 0), &used).total, Cents::new(2919));
    }

    #[test]
    fn who_pressed_nothing_owes_nothing() {
        assert_eq!(
            bill(&rates(2250, 0, 25, 1000), &Used::default()),
            Bill::default()
        );
    }

    #[test]
    fn the_fee_of_a_boil_is_shared_to_the_cent() {
        // 1,000 ¢ in the ratio 1 : 1 : 1 is 333.3 each; one odd cent.
        let brought = ["a", "b", "c"].map(|key| (key.to_owned(), 700));
        let parts = boil_parts("26001X", Cents::new(1000), &brought);
        let mut cents: Vec<i64> = parts.iter().map(|p| p.cents.get()).collect();
        cents.sort_unstable();
        assert_eq!(cents, [333, 333, 334]);
        assert!(boil_parts("26001X", Cents::new(1000), &[]).is_empty());
    }

    proptest! {
        #[test]
        fn prop_lines_sum_to_the_total_and_reach_the_least_charge(
            cane in 0_i64..40_000_000, juice in 0_i64..20_000_000, jars in 0_u32..5000,
            r in (0_i64..10_000, 0_i64..10_000, 0_i64..500, 0_i64..50_000), each in 0_i64..500,
        ) {
            let glass = [Glass { name: "quart", count: jars, each: Cents::new(each) }];
            let used = Used {
                cane: Grams::new(cane),
                cane_lb: Pounds::of(Grams::new(cane)),
                juice: Millilitres::new(juice),
                boil: BoilPart::default(),
                jars: &glass,
            };
            let rates = rates(r.0, r.1, r.2, r.3);
            let bill = bill(&rates, &used);
            prop_assert_eq!(bill.lines.iter().map(FeeLine::cents).sum::<Cents>(), bill.total);
            prop_assert!(bill.lines.iter().all(|l| l.cents() > Cents::ZERO));
            let glass = i64::from(jars) * each;
            if cane + juice + i64::from(jars) > 0 {
                prop_assert!(bill.total.get() - glass >= rates.least.get());
            }
        }
    }
}
