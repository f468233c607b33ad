//! The season's close in cents: hours credited, carried syrup at its price, and the margin going
//! back by use. Keeps no books; every sum comes out to the cent.

use crate::calc::RuleRefusal;
use crate::calc::shares::apportion::{Tie, largest_remainder};
use crate::calc::shares::split::Sharer;
use crate::units::{Cents, Grams, Measured, MilliCents, Units};

/// Hours worked, as far as the rules credit them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Credit {
    /// Minutes that are credited.
    pub minutes: i64,
    /// Their credit, to the nearest cent, half a cent upward.
    pub cents: Cents,
}

/// What `minutes` more are credited with, when `already` were credited this season and the rules
/// give `hour` for an hour, up to `most` hours.
///
/// # Errors
/// The rules credit no hours; nothing is left up to the most.
pub fn credit(minutes: i64, already: i64, hour: Cents, most: i64) -> Result<Credit, RuleRefusal> {
    if hour <= Cents::ZERO || most <= 0 {
        return Err(RuleRefusal::new(
            "no-credit",
            "The season’s rules credit no hours. The members may change that for the next boils: see \
             the rules.",
        ));
    }
    let counts = minutes.min(most * 60 - already);
    if counts <= 0 {
        return Err(RuleRefusal::beside(
            "hours",
            "most-credited",
            format!(
                "{most} hours are credited already this season, the most that the rules allow."
            ),
        ));
    }
    let twice = 2 * counts * hour.get() + 60;
    Ok(Credit {
        minutes: counts,
        cents: Cents::new(twice.div_euclid(120)),
    })
}

/// One settlement of carried syrup: what moves on the member's side. The mill's side is the opposite.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Settlement {
    /// Grams that settle it, of opposite sign to the balance.
    pub grams: Grams,
    /// Money, never nought; plus: owed by the member.
    pub cents: Cents,
}

/// Settles `part` of a balance of syrup (all of it when none is named), at `price` a pound or kilogram, as its system says.
/// A refusal is said in the units of whoever reads it.
///
/// # Errors
/// Beside `grams`: nothing is carried, more is to be settled than is carried, or it comes to no cent. No price in the rules.
pub fn settle(
    balance: Grams,
    part: Option<Grams>,
    (price, per): (MilliCents, Units),
    reads: Units,
) -> Result<Settlement, RuleRefusal> {
    let carried = balance.get().abs();
    let part = part.map_or(carried, Grams::get);
    if part <= 0 || part > carried {
        return Err(RuleRefusal::beside(
            "grams",
            "not-carried",
            format!(
                "{} are carried. Please write no more than that, or leave the box empty.",
                Grams::new(carried).small(reads)
            ),
        ));
    }
    if price <= MilliCents::ZERO {
        return Err(RuleRefusal::beside(
            "way",
            "no-price",
            "The season’s rules name no price of syrup, so it is settled in syrup.",
        ));
    }
    let sign = balance.get().signum();
    let cents = Measured::mass(Grams::new(part), per).at(price);
    if cents == Cents::ZERO {
        return Err(RuleRefusal::beside(
            "grams",
            "worth-nothing",
            "That is worth less than half a cent. Please settle more at once, or leave it to be carried.",
        ));
    }
    Ok(Settlement {
        grams: Grams::new(-sign * part),
        cents: if sign > 0 { -cents } else { cents },
    })
}

/// Gives a margin back by grams of solids brought: exact parts cut to whole cents, the cents left
/// over, one each, to those of whom most was cut off. They sum to the margin. `key` (the season's
/// year) and the sharer settle ties, as in [`crate::calc::apportion`].
///
/// # Errors
/// Beside `margin`: nothing to give back. Nobody brought anything.
pub fn give_back(
    key: &str,
    margin: Cents,
    solids: &[(Sharer, Grams)],
) -> Result<Vec<(Sharer, Cents)>, RuleRefusal> {
    let total = u64::try_from(margin.get()).unwrap_or(0);
    if total == 0 {
        return Err(RuleRefusal::beside(
            "margin",
            "no-margin",
            "Please write the margin that goes back, above nothing.",
        ));
    }
    let weights: Vec<(u128, Tie)> = solids
        .iter()
        .map(|(who, grams)| {
            let weight = u128::try_from(grams.get()).unwrap_or(0);
            (weight, Tie::of(key, &who.key()))
        })
        .collect();
    let parts = largest_remainder(total, &weights).ok_or_else(|| {
        RuleRefusal::new(
            "nobody-brought",
            "Nobody brought solids in this season, so there is nobody to give it back to.",
        )
    })?;
    let cents = |whole| Cents::new(i64::try_from(whole).unwrap_or(i64::MAX));
    let solids = solids.iter().zip(parts);
    Ok(solids.map(|((who, _), p)| (*who, cents(p.whole))).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::MemberId;
    use proptest::prelude::*;
    use uuid::Uuid;

    #[test]
    fn hours_are_credited_up_to_the_most() {
        let hour = Cents::new(1500);
        let given = |minutes, already| credit(minutes, already, hour, 10);
        assert_eq!(given(90, 0).unwrap().cents, Cents::new(2250));
        // 10 hours less 9:30 leaves half an hour: $7.50.
        let last = given(90, 570).unwrap();
        assert_eq!((last.minutes, last.cents), (30, Cents::new(750)));
        assert_eq!(given(5, 600).unwrap_err().code, "most-credited");
        assert_eq!(credit(5, 0, Cents::ZERO, 10).unwrap_err().code, "no-credit");
        // 1 minute at $1.00 is 1.67 ¢.
        assert_eq!(
            credit(1, 0, Cents::new(100), 1).unwrap().cents,
            Cents::new(2)
        );
    }

    #[test]
    fn a_balance_is_settled_at_the_price_to_a_cent_at_least() {
        let price = (MilliCents::new(880_000), Units::Metric); // $8.80 a kilogram
        let settle = |balance, part, price| settle(balance, part, price, Units::Us);
        let owed = settle(Grams::new(655), None, price).unwrap();
        // 0.655 kg × 880 ¢ = 576.4 ¢, which the mill pays.
        assert_eq!((owed.grams.get(), owed.cents.get()), (-655, -576));
        let advance = settle(Grams::new(-194), Some(Grams::new(100)), price).unwrap();
        assert_eq!((advance.grams.get(), advance.cents.get()), (100, 88));
        // At $4.00 a pound 2 lb of syrup, 907 g, are $8.00.
        let pound = (MilliCents::new(400_000), Units::Us);
        assert_eq!(
            settle(Grams::new(907), None, pound).unwrap().cents.get(),
            -800
        );
        let code = |balance, part, price| settle(balance, part, price).unwrap_err().code;
        assert_eq!(code(Grams::ZERO, None, price), "not-carried");
        let more = Some(Grams::new(656));
        assert_eq!(code(Grams::new(655), more, price), "not-carried");
        // 201 g are 7.1 oz: whoever writes ounces is answered in ounces.
        let said = |reads| {
            super::settle(Grams::new(201), more, price, reads)
                .unwrap_err()
                .sentence
        };
        assert!(
            said(Units::Us).starts_with("7.1 oz are carried"),
            "{}",
            said(Units::Us)
        );
        assert!(
            said(Units::Metric).starts_with("201 g are carried"),
            "{}",
            said(Units::Metric)
        );
        let none = (MilliCents::ZERO, Units::Us);
        assert_eq!(code(Grams::new(655), None, none), "no-price");
        // At 3 ¢ a kilogram 100 g are a third of a cent.
        let cheap = (MilliCents::new(3_000), Units::Metric);
        assert_eq!(code(Grams::new(100), None, cheap), "worth-nothing");
    }

    proptest! {
        #[test]
        fn prop_a_margin_goes_back_to_the_cent(
            margin in 1_i64..9_000_000, solids in proptest::collection::vec(1_i64..900_000, 1..40),
        ) {
            let brought: Vec<(Sharer, Grams)> = (1_u128..)
                .zip(&solids)
                .map(|(n, g)| (Sharer::Member(MemberId::new(Uuid::from_u128(n))), Grams::new(*g)))
                .collect();
            let back = give_back("2026", Cents::new(margin), &brought).unwrap();
            prop_assert_eq!(back.iter().map(|(_, c)| *c).sum::<Cents>(), Cents::new(margin));
            let all: i64 = solids.iter().sum();
            for ((_, cents), own) in back.iter().zip(&solids) {
                let exact = i128::from(margin) * i128::from(*own);
                let off = i128::from(cents.get()) * i128::from(all) - exact;
                prop_assert!(off.abs() < i128::from(all), "within a cent of the exact part");
            }
        }
    }
}
