//! Whole jars for entitlements in grams: largest jar first to whoever is owed most, and what is
//! left over or short is carried to the sharer's next lot. A jar is never split and never lost.
//!
//! The pencil's way: write down what each sharer is owed (carried from before, and this lot).
//! Take the largest jar, give it to whoever is owed most, subtract its weight, and go on until the
//! last jar of the smallest kind is given. A part-jar is a kind of its own with its own weight.
//!
//! When two are owed just the same, the one who was favoured least recently goes first, and after
//! that the one with the lowest [`Tie`]. A sharer is favoured by a lot that gives more than was
//! owed: jars came, and the balance carried out is below zero.
//!
//! Bounds, with `s` the largest jar and `n` sharers, as long as everybody with a balance above zero
//! stands among the sharers of every lot, cane or no cane: nobody is ever given a full `s` more than
//! owed, and nobody is ever owed more than `s × (1/2 + 1/3 + … + 1/n)`. Why: who receives a jar is
//! owed at least the average, which is above zero while a jar is left; and by induction the average
//! of the `k` largest balances never exceeds `s × (1/(k+1) + … + 1/n)`. No rule that does not know
//! the lots to come can promise less (D. Coppersmith, T. Nowicki, G. Paleologo, C. Tresser, C. W. Wu,
//! *The optimality of the online greedy algorithm in carpool and chairman assignment problems*, ACM
//! Transactions on Algorithms 7(3):37, 2011). The two bounds are the house's own proofs, tried in
//! `tests/shares`. The exchanges that follow ([`super::exchange`]) never raise the sum of the `k`
//! greatest balances nor lower the least one, and the induction rests on those two alone: it goes on
//! from the balances after the exchanges, and the bounds hold. Where the season's rules bound what a lot repays
//! ([`super::lot_repays`]), not everybody who is owed stands in every line, and the second bound does not hold.

use super::apportion::Tie;
use super::claims::{Claim, deal};
use super::exchange::{Exchange, even_out, meet_wishes};
use super::split::Sharer;
use crate::calc::RuleRefusal;
use crate::units::{Grams, UtcSecond};
use std::collections::{BTreeMap, BTreeSet};

/// More jars than any mill fills from one boil.
const MOST_JARS: u64 = 1_000_000;

/// A size of jar, or a part-jar with its own weight.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct JarKind {
    /// Name that the season's rules give it: "quart".
    pub name: String,
    /// Net weight of syrup in it.
    pub net: Grams,
}

/// A number of jars of one kind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Jars {
    /// Their kind.
    pub kind: JarKind,
    /// How many jars.
    pub count: u32,
}

/// What one sharer is owed before the jars are given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Owed {
    /// Who is owed.
    pub sharer: Sharer,
    /// The balance from earlier lots; below zero where more was given than was owed.
    pub carried: Grams,
    /// Syrup that this lot entitles the sharer to; zero for a member without cane in it.
    pub entitled: Grams,
    /// When a lot last favoured this sharer; `None` for never.
    pub favoured_at: Option<UtcSecond>,
}

/// What one sharer is given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Given {
    /// Who receives.
    pub sharer: Sharer,
    /// Carried from before and entitled by this lot, together.
    pub owed: Grams,
    /// How many jars of each kind, in the order of [`ShareOut::kinds`].
    pub jars: Vec<u32>,
    /// Syrup in those jars.
    pub given: Grams,
    /// What is carried to the next lot: owed less given.
    pub carry: Grams,
    /// Whether this lot gave more than was owed.
    pub favoured: bool,
}

/// A lot's jars, all given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShareOut {
    /// The jars there were, largest first; equal sizes by name.
    pub kinds: Vec<Jars>,
    /// Who gets what, in the order of the sharers.
    pub given: Vec<Given>,
    /// What was exchanged after the jars were given, in order; `from` and `to` are places in
    /// `given`, kinds are places in `kinds`.
    pub exchanges: Vec<Exchange>,
}

/// Gives out a lot's jars, largest first to whoever is owed most. `lot` is the plain lot code, which
/// ties are settled by. The result does not depend on the order of sharers or jars; all that is owed
/// less all that is given is exactly what the carried balances were together.
///
/// # Errors
/// No jars or an empty one; no sharers, or one twice; entitlements that are not together what the
/// jars weigh.
pub fn share_out(lot: &str, owed: &[Owed], jars: &[Jars]) -> Result<ShareOut, RuleRefusal> {
    let table = Table::of(lot, owed, jars)?;
    let dealt = deal(&table.claims, &table.sizes);
    Ok(table.clear(dealt, Vec::new()))
}

/// As [`share_out`], and then the exchanges of [`crate::calc::shares::exchange`]: first those that even balances
/// out, then those that meet wishes. `wishes` names, for each sharer who has any, the kinds wished
/// for; who is not there does not mind.
///
/// # Errors
/// As [`share_out`].
pub fn share_out_evenly(
    lot: &str,
    owed: &[Owed],
    jars: &[Jars],
    wishes: &BTreeMap<Sharer, BTreeSet<String>>,
) -> Result<ShareOut, RuleRefusal> {
    let table = Table::of(lot, owed, jars)?;
    let mut dealt = deal(&table.claims, &table.sizes);
    let mut made = even_out(&table.claims, &table.sizes, &mut dealt);
    let asked: Vec<Vec<bool>> = table.owed.iter().map(|o| table.wished(o, wishes)).collect();
    made.extend(meet_wishes(&table.claims, &table.sizes, &asked, &mut dealt));
    Ok(table.clear(dealt, made))
}

/// Sharers and jars, checked and in their order.
struct Table {
    kinds: Vec<Jars>,
    sizes: Vec<(i64, u32)>,
    owed: Vec<Owed>,
    claims: Vec<Claim>,
}

impl Table {
    fn of(lot: &str, owed: &[Owed], jars: &[Jars]) -> Result<Self, RuleRefusal> {
        let kinds = largest_first(jars)?;
        let mut owed = owed.to_vec();
        owed.sort_unstable_by_key(|o| o.sharer);
        let sharers: BTreeSet<Sharer> = owed.iter().map(|o| o.sharer).collect();
        if owed.is_empty() || sharers.len() != owed.len() {
            return Err(RuleRefusal::new(
                "sharers-amiss",
                "Each sharer must stand once in the division of a boil, and there must be one.",
            ));
        }
        let weigh = |j: &Jars| i128::from(j.kind.net.get()) * i128::from(j.count);
        let filled: i128 = kinds.iter().map(weigh).sum();
        let entitled: i128 = owed.iter().map(|o| i128::from(o.entitled.get())).sum();
        if filled != entitled {
            return Err(RuleRefusal::new(
                "jars-and-shares-differ",
                format!(
                    "The jars weigh {filled} g together and the shares {entitled} g. Please divide \
                     the boil again from the jars as they stand."
                ),
            ));
        }
        let claim = |o: &Owed| Claim {
            owed_g: (o.carried + o.entitled).get(),
            favoured_at: o.favoured_at,
            tie: Tie::of(lot, &o.sharer.key()),
        };
        Ok(Self {
            sizes: kinds.iter().map(|j| (j.kind.net.get(), j.count)).collect(),
            claims: owed.iter().map(claim).collect(),
            kinds,
            owed,
        })
    }

    fn wished(&self, o: &Owed, wishes: &BTreeMap<Sharer, BTreeSet<String>>) -> Vec<bool> {
        let own = wishes.get(&o.sharer);
        let names = self.kinds.iter().map(|j| &j.kind.name);
        names
            .map(|name| own.is_some_and(|w| w.contains(name)))
            .collect()
    }

    fn clear(self, dealt: Vec<Vec<u32>>, exchanges: Vec<Exchange>) -> ShareOut {
        let given = self.owed.iter().zip(dealt);
        let given = given
            .map(|(o, jars)| handed(o.sharer, o.carried + o.entitled, jars, &self.sizes))
            .collect();
        ShareOut {
            kinds: self.kinds,
            given,
            exchanges,
        }
    }
}

/// Adds up what one sharer is given.
fn handed(sharer: Sharer, owed: Grams, jars: Vec<u32>, sizes: &[(i64, u32)]) -> Given {
    let weights = jars.iter().zip(sizes);
    let given = Grams::new(weights.map(|(n, (net, _))| i64::from(*n) * net).sum());
    let carry = owed - given;
    Given {
        sharer,
        owed,
        jars,
        given,
        carry,
        favoured: carry < Grams::ZERO && given > Grams::ZERO,
    }
}

/// The kinds that have jars, largest first, equal sizes by name; the same kind twice becomes one.
fn largest_first(jars: &[Jars]) -> Result<Vec<Jars>, RuleRefusal> {
    if jars.iter().any(|j| j.kind.net <= Grams::ZERO) {
        return Err(RuleRefusal::new(
            "jar-of-nothing",
            "A jar size must hold at least 1 g. Please correct the jar sizes or the fill.",
        ));
    }
    let count: u64 = jars.iter().map(|j| u64::from(j.count)).sum();
    if count == 0 || count > MOST_JARS {
        return Err(RuleRefusal::new(
            "jars-amiss",
            "A boil is divided once it is in jars, at least one and at most 1,000,000. Please \
             correct the jars filled.",
        ));
    }
    let mut kinds: Vec<Jars> = jars.iter().filter(|j| j.count > 0).cloned().collect();
    kinds.sort_by(|a, b| (b.kind.net, &a.kind.name).cmp(&(a.kind.net, &b.kind.name)));
    kinds.dedup_by(|next, first| {
        let same = next.kind == first.kind;
        if same {
            first.count += next.count;
        }
        same
    });
    Ok(kinds)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::MemberId;
    use uuid::Uuid;

    fn owed(n: u128, carried: i64, entitled: i64) -> Owed {
        Owed {
            sharer: Sharer::Member(MemberId::new(Uuid::from_u128(n))),
            carried: Grams::new(carried),
            entitled: Grams::new(entitled),
            favoured_at: None,
        }
    }

    fn jars(name: &str, net: i64, count: u32) -> Jars {
        Jars {
            kind: JarKind {
                name: name.to_owned(),
                net: Grams::new(net),
            },
            count,
        }
    }

    #[test]
    fn a_part_jar_is_a_jar_of_its_own_weight() {
        let kinds = [jars("part", 213, 1), jars("pint", 680, 2)];
        let out = share_out("26K7", &[owed(1, 0, 1000), owed(2, 0, 573)], &kinds).unwrap();
        assert_eq!(out.kinds[0].kind.name, "pint");
        // 1000 takes a pint (320 left), 573 the other (−107), and 320 the part-jar (107).
        assert_eq!(out.given[0].jars, [1, 1]);
        assert_eq!(out.given[1].jars, [1, 0]);
        let carries: Vec<i64> = out.given.iter().map(|g| g.carry.get()).collect();
        assert_eq!(carries, [107, -107]);
        assert_eq!(
            (out.given[0].favoured, out.given[1].favoured),
            (false, true)
        );
    }

    #[test]
    fn between_equals_the_one_favoured_least_recently_goes_first() {
        let at = |o: Owed, seconds| Owed {
            favoured_at: Some(UtcSecond::new(seconds)),
            ..o
        };
        let one = [jars("quart", 900, 1)];
        let winner = |sharers: &[Owed]| {
            let out = share_out("26K7", sharers, &one).unwrap();
            out.given.iter().position(|g| g.favoured).unwrap()
        };
        let (a, b) = (owed(1, 0, 450), owed(2, 0, 450));
        assert_eq!(winner(&[at(a, 20), at(b, 10)]), 1);
        assert_eq!(winner(&[at(a, 10), at(b, 20)]), 0);
        // Never counts as longest ago.
        assert_eq!(winner(&[at(a, 0), b]), 1);
        assert_eq!(winner(&[a, at(b, 0)]), 0);
        // Both never: the lowest digest of `lot:sharer`.
        let first = Tie::of("26K7", &a.sharer.key()) > Tie::of("26K7", &b.sharer.key());
        assert_eq!(winner(&[a, b]), usize::from(first));
    }

    #[test]
    fn an_absent_member_with_a_balance_stays_eligible() {
        let sharers = [owed(1, 0, 700), owed(2, 650, 0)];
        let out = share_out("26K7", &sharers, &[jars("pint", 350, 2)]).unwrap();
        assert_eq!(out.given[1].jars, [1]);
        assert_eq!(out.given[1].carry, Grams::new(300));
    }

    #[test]
    fn what_cannot_be_given_is_refused_with_what_to_mend() {
        let code = |o: &[Owed], j: &[Jars]| share_out("26K7", o, j).unwrap_err().code;
        let one = owed(1, 0, 680);
        assert_eq!(code(&[one], &[jars("pint", 0, 3)]), "jar-of-nothing");
        assert_eq!(code(&[one], &[]), "jars-amiss");
        assert_eq!(code(&[one], &[jars("pint", 680, 0)]), "jars-amiss");
        assert_eq!(code(&[], &[jars("pint", 680, 1)]), "sharers-amiss");
        assert_eq!(code(&[one, one], &[jars("pint", 680, 2)]), "sharers-amiss");
        assert_eq!(
            code(&[one], &[jars("pint", 680, 2)]),
            "jars-and-shares-differ"
        );
    }
}
