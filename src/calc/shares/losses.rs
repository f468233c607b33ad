//! A boil that was scorched or spilled: who bears it, and how many grams move. Moves balances only;
//! sums stay what they were.

use super::apportion::{Tie, largest_remainder};
use super::split::{Entitlement, Sharer};
use crate::calc::RuleRefusal;
use crate::units::{Grams, Refused, Units};
use std::collections::BTreeMap;

/// How syrup of a boil was lost.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HowLost {
    /// It burnt to the pan.
    Scorched,
    /// It ran away.
    Spilled,
    /// In another way, which its reason tells.
    Otherwise,
    /// It was spilt or scorched before the syrup was weighed, and noted with its weight.
    BeforeWeighing,
}

impl HowLost {
    /// Reads the word of a loss that was written down; none: no such word.
    pub fn of_word(word: &str) -> Option<Self> {
        match word {
            "scorched" => Some(Self::Scorched),
            "spilled" => Some(Self::Spilled),
            "other" => Some(Self::Otherwise),
            _ => None,
        }
    }

    /// What became of the syrup, as a sentence goes on after "was".
    pub const fn was(self) -> &'static str {
        match self {
            Self::Scorched => "scorched",
            Self::Spilled => "spilled",
            Self::Otherwise => "lost",
            Self::BeforeWeighing => "spilt or scorched before it was weighed",
        }
    }
}

/// Who bears a lost boil: fixed in the season's rules before anything is lost.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LossRule {
    /// The sharers whose juice was in it bear it.
    Own,
    /// Everybody who brought cane that season, by solids.
    Pool,
}

impl LossRule {
    /// Both rules.
    pub const ALL: [Self; 2] = [Self::Own, Self::Pool];

    /// The word a form and the store use.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Own => "own",
            Self::Pool => "pool",
        }
    }

    /// Reads the word back.
    ///
    /// # Errors
    /// Neither of the two.
    pub fn parse(text: &str) -> Result<Self, Refused> {
        Self::ALL
            .into_iter()
            .find(|rule| rule.word() == text.trim())
            .ok_or_else(|| Refused::new("Please choose who bears a lost boil."))
    }

    /// The rule's name on a page.
    pub const fn label(self) -> &'static str {
        match self {
            Self::Own => "its own members",
            Self::Pool => "the whole season, by solids brought",
        }
    }

    /// The rule in a sentence for members.
    pub const fn sentence(self) -> &'static str {
        match self {
            Self::Own => "A scorched or spilled boil is borne by those whose juice was in it.",
            Self::Pool => {
                "A scorched or spilled boil is borne by the whole season, by the solids each brought."
            }
        }
    }
}

impl LossRule {
    /// Who bears a loss, in a sentence to the members of its lot; `borne`: the season has borne it.
    pub const fn who_bears(self, borne: bool) -> &'static str {
        match (self, borne) {
            (Self::Own, false) => {
                "By the season’s rules those whose juice was in it bear this: nobody is given syrup for it."
            }
            (Self::Pool, false) => {
                "By the season’s rules the whole season bears this: at its close those whose juice was in it are made good, and everybody who pressed gives up a part of it, by the solids each brought."
            }
            (_, true) => {
                "The whole season has borne this: those whose juice was in it were made good, and everybody who pressed gave up a part of it, by the solids each brought."
            }
        }
    }
}

/// The syrup a boil would have given: `solids × recovery ÷ target`, cut to the gram.
pub fn expected_syrup(solids: Grams, recovery_pct: f64, target_bx: f64) -> Grams {
    if target_bx <= 0.0 {
        return Grams::ZERO;
    }
    Grams::nearest((solids.as_f64() * recovery_pct / target_bx).floor())
}

/// What bounds how much syrup of a boil can have been lost.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LossBound {
    /// Syrup out of the pan; `None`: it was not weighed yet.
    pub weighed: Option<Grams>,
    /// Syrup in jars.
    pub in_jars: Grams,
    /// What the boil was expected to give.
    pub expected: Grams,
}

impl LossBound {
    /// The most that can have been lost; `whole`: nothing is left to put in jars.
    pub fn most(&self, whole: bool) -> Grams {
        if whole {
            self.expected.max(self.weighed.unwrap_or_default())
        } else {
            can_be_lost(self.weighed, self.in_jars, self.expected)
        }
    }

    /// What can have been lost of it, in one sentence without its full stop, as it is said before a loss is written down and
    /// when one is refused.
    pub fn says(&self, units: Units) -> String {
        let most = self.most(false);
        let says = most.booked(units);
        let Some(out) = self.weighed else {
            return format!("at most the {says} that this boil was expected to give");
        };
        let can = if most > Grams::ZERO {
            format!("so at most {says} can have been lost")
        } else {
            "so nothing more can have been lost".to_owned()
        };
        format!(
            "{} came out of the pan and {} is in jars, {can}",
            out.booked(units),
            self.in_jars.booked(units)
        )
    }
}

/// How much syrup of a boil can have been lost: what came out of the pan and is in no jar. Until it was weighed nobody knows that, and it is
/// what was `expected` of the boil.
pub fn can_be_lost(weighed: Option<Grams>, in_jars: Grams, expected: Grams) -> Grams {
    let out = weighed.unwrap_or(expected);
    (out - in_jars).max(Grams::ZERO)
}

/// By how much one sharer's balance moves when the season bears a loss.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LossPart {
    /// The sharer.
    pub sharer: Sharer,
    /// Made good: what of the lost syrup would have been this sharer's.
    pub made_good: Grams,
    /// Borne: this sharer's part of the loss, by solids of the season.
    pub borne: Grams,
}

/// Spreads a loss over the season (`code`: the plain lot code, for ties): those of the boil are given back what they were `entitled` to of
/// the lost syrup (the mill its toll), and everybody who brought solids that season (`solids`) bears
/// it by them, by largest remainder. What is made good and what is borne are both exactly `lost`.
///
/// # Errors
/// Nobody brought anything in the season.
pub fn spread(
    code: &str,
    lost: Grams,
    entitled: &[Entitlement],
    solids: &BTreeMap<Sharer, Grams>,
) -> Result<Vec<LossPart>, RuleRefusal> {
    let weights: Vec<(u128, Tie)> = solids
        .iter()
        .map(|(who, grams)| {
            let weight = u128::try_from(grams.get()).unwrap_or(0);
            (weight, Tie::of(code, &who.key()))
        })
        .collect();
    let total = u64::try_from(lost.get()).unwrap_or(0);
    let borne = largest_remainder(total, &weights).ok_or_else(|| {
        RuleRefusal::new(
            "nobody-to-bear",
            "Nobody brought solids in this season, so nobody can bear the loss.",
        )
    })?;
    let blank = |sharer| LossPart {
        sharer,
        made_good: Grams::ZERO,
        borne: Grams::ZERO,
    };
    let mut parts: BTreeMap<Sharer, LossPart> = BTreeMap::new();
    for ((who, _), part) in solids.iter().zip(borne) {
        let grams = Grams::new(i64::try_from(part.whole).unwrap_or(i64::MAX));
        parts.entry(*who).or_insert_with(|| blank(*who)).borne = grams;
    }
    for share in entitled {
        let line = parts.entry(share.sharer);
        line.or_insert_with(|| blank(share.sharer)).made_good = share.grams;
    }
    Ok(parts.into_values().collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::shares::split::{Pour, entitle};
    use crate::units::{BasisPoints, MemberId};
    use proptest::prelude::*;
    use uuid::Uuid;

    fn member(n: u128) -> Sharer {
        Sharer::Member(MemberId::new(Uuid::from_u128(n)))
    }

    #[test]
    fn expected_syrup_is_solids_by_recovery_over_target() {
        // 15,000 g × 80 ÷ 78 = 15,384.6.
        assert_eq!(
            expected_syrup(Grams::new(15_000), 80.0, 78.0),
            Grams::new(15_384)
        );
        assert_eq!(expected_syrup(Grams::new(15_000), 80.0, 0.0), Grams::ZERO);
    }

    #[test]
    fn no_more_can_be_lost_than_came_out_and_is_in_no_jar() {
        let can = |weighed: Option<i64>, in_jars| {
            let weighed = weighed.map(Grams::new);
            can_be_lost(weighed, Grams::new(in_jars), Grams::new(15_384)).get()
        };
        assert_eq!(can(None, 0), 15_384);
        assert_eq!(can(Some(13_200), 0), 13_200);
        assert_eq!(can(Some(13_200), 13_017), 183);
        // Jars may hold a little more than the scale said.
        assert_eq!(can(Some(13_000), 13_017), 0);
    }

    #[test]
    fn a_boil_of_two_is_borne_by_three() {
        // 1,000 g lost, 10 % of it the mill's: A 600 g, B 300 g. The season brought 2 : 1 : 1.
        let pours = [(1, 20), (2, 10)].map(|(n, weight)| Pour {
            sharer: member(n),
            weight,
        });
        let toll = BasisPoints::new(1000).unwrap();
        let lost = Grams::new(1000);
        let entitled = entitle("26001X", lost, toll, &pours).unwrap();
        let solids = [(1, 400), (2, 200), (3, 200)]
            .map(|(n, grams)| (member(n), Grams::new(grams)))
            .into();
        let parts = spread("26001X", lost, &entitled, &solids).unwrap();
        let parts: Vec<_> = parts
            .iter()
            .map(|p| (p.made_good.get(), p.borne.get()))
            .collect();
        assert_eq!(parts, [(100, 0), (600, 500), (300, 250), (0, 250)]);
        let nobody = spread("26001X", lost, &entitled, &BTreeMap::new());
        assert_eq!(nobody.unwrap_err().code, "nobody-to-bear");
    }

    proptest! {
        #[test]
        fn prop_what_is_made_good_is_what_is_borne(
            lost in 1_i64..200_000, toll in 0_i64..4000,
            own in proptest::collection::vec(1_u64..90_000, 1..8),
            season in proptest::collection::vec(0_i64..900_000, 1..20),
        ) {
            let pours: Vec<Pour> =
                (1..).zip(&own).map(|(n, w)| Pour { sharer: member(n), weight: *w }).collect();
            let toll = BasisPoints::new(toll).unwrap();
            let entitled = entitle("26001X", Grams::new(lost), toll, &pours).unwrap();
            let solids: BTreeMap<Sharer, Grams> =
                (1..).zip(&season).map(|(n, g)| (member(n), Grams::new(*g))).collect();
            prop_assume!(season.iter().any(|g| *g > 0));
            let parts = spread("26001X", Grams::new(lost), &entitled, &solids).unwrap();
            prop_assert_eq!(parts.iter().map(|p| p.made_good).sum::<Grams>(), Grams::new(lost));
            prop_assert_eq!(parts.iter().map(|p| p.borne).sum::<Grams>(), Grams::new(lost));
        }
    }
}
