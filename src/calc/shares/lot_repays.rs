//! A boil's jars given out where the season's rules bound what a lot repays: how much of its jars may go to members without juice
//! in it, to whom more was owed than they were given before, and to the mill for what it was owed before.
//!
//! Members with juice in the lot are in the line with all they are owed; the mill, which has a share of every lot, with its share of
//! this one. Of the others, and of the mill's older claim, whoever is owed most comes first, with a claim to as
//! much as is left of the bound; jars are whole, so where that claim would bring more than the bound, to fifteen sixteenths of it,
//! then to fourteen, and so on. When no jar is light enough for what is left, nobody else is let in. Jars are
//! whole to the mill as well: a jar that rounds its share up repays it a little though nothing may be repaid.
//!
//! A claim that was lowered can leave room under the bound. So, as long as a whole jar fits there and into what its receiver is still
//! owed, it is given over where that brings the two balances closer: to whoever of them is owed most, the largest that fits, from
//! whoever in the line is owed least. Nobody is repaid more by that than if nothing were bounded: where balances are even, no jar
//! moves. The way is the house's own.

use super::apportion::Tie;
use super::division_parts::{Way, beyond_share};
use super::exchange::{Exchange, WORTH_G};
use super::jars::{Given, Jars, Owed, ShareOut, share_out_evenly};
use super::split::Sharer;
use crate::calc::RuleRefusal;
use crate::units::Grams;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

/// Even steps in which a claim is lowered until the jars keep within the bound (house rule).
const STEPS: i64 = 16;

/// The sizes that sharers wish for, by name.
type Wishes = BTreeMap<Sharer, BTreeSet<String>>;

/// The sharers in line, and what each is given.
type Dealt = (Vec<Owed>, ShareOut);

/// One boil's jars, where the rules bound how much may repay members without juice in it.
pub(super) struct LotRepays<'a> {
    /// The plain lot code, which ties are settled by.
    pub(super) lot: &'a str,
    /// All jars of the lot.
    pub(super) filled: &'a [Jars],
    /// Who has juice in the lot.
    pub(super) own: BTreeSet<Sharer>,
    /// The most that the others may be given together.
    pub(super) most: Grams,
    /// The way of dividing: whether the bound holds for the mill's older claim too, and whether it is filled with whole jars.
    pub(super) way: Way,
}

impl LotRepays<'_> {
    /// Gives the jars out. Returns who stands in the line, with what stands on the books, in the order of the sharers.
    ///
    /// # Errors
    /// As [`share_out_evenly`].
    pub(super) fn give_out(&self, owed: &[Owed], wishes: &Wishes) -> Result<Dealt, RuleRefusal> {
        let (mut line, mut others): (Vec<Owed>, Vec<Owed>) =
            owed.iter().copied().partition(|o| self.stands(o.sharer));
        for own in line.iter_mut().filter(|o| self.two_claims(o)) {
            others.push(*own);
            own.carried = Grams::ZERO;
        }
        others.sort_unstable_by_key(|o| (Reverse(o.carried), Tie::of(self.lot, &o.sharer.key())));
        // Who is let in must not depend on the others' wishes or past favours: those left out have none recorded.
        let mut own_wishes = wishes.clone();
        own_wishes.retain(|sharer, _| self.stands(*sharer));
        let out = self.deal(&line, &own_wishes)?;
        let mut dealt = (line, out);
        let lightest = self.filled.iter().map(|jars| jars.kind.net).min();
        for other in others {
            let left = self.most - self.repaid(owed, &dealt.1);
            if lightest.is_none_or(|net| left < net) {
                break;
            }
            if let Some(longer) = self.let_in(owed, &dealt.0, (other, left), &own_wishes)? {
                dealt = longer;
            }
        }
        let in_wished_sizes = self.deal(&dealt.0, wishes)?;
        if self.within(owed, &in_wished_sizes) {
            dealt.1 = in_wished_sizes;
        }
        if self.way == Way::BoundFilled {
            self.fill(owed, &mut dealt.1);
        }
        let line = dealt.1.given.iter();
        let line = line.filter_map(|given| owed.iter().find(|o| o.sharer == given.sharer));
        Ok((line.copied().collect(), dealt.1))
    }

    /// Gives whole jars over as long as one fits under the bound.
    fn fill(&self, owed: &[Owed], out: &mut ShareOut) {
        let seated: BTreeSet<Sharer> = out.given.iter().map(|given| given.sharer).collect();
        let mut all = out.given.clone();
        let waits = |o: &&Owed| self.is_bounded(o) && !seated.contains(&o.sharer);
        all.extend(owed.iter().filter(waits).map(|o| Given {
            sharer: o.sharer,
            owed: o.carried + o.entitled,
            jars: vec![0; out.kinds.len()],
            given: Grams::ZERO,
            carry: o.carried + o.entitled,
            favoured: false,
        }));
        reseat(out, all);
        while let Some((jar, net)) = self.fitting(owed, out) {
            for (kind, count) in &jar.jars {
                out.given[jar.from].jars[*kind] -= count;
                out.given[jar.to].jars[*kind] += count;
            }
            out.given[jar.from].given -= net;
            out.given[jar.to].given += net;
            out.exchanges.push(jar);
        }
        for given in &mut out.given {
            given.carry = given.owed - given.given;
            given.favoured = given.carry < Grams::ZERO && given.given > Grams::ZERO;
        }
        let mut all = out.given.clone();
        all.retain(|given| seated.contains(&given.sharer) || given.given > Grams::ZERO);
        reseat(out, all);
    }

    /// A jar that fits under the bound, by who gives it to whom, with its weight.
    fn fitting(&self, owed: &[Owed], out: &ShareOut) -> Option<(Exchange, Grams)> {
        let seats: Vec<(&Owed, Grams)> = out
            .given
            .iter()
            .filter_map(|given| {
                let own = owed.iter().find(|o| o.sharer == given.sharer)?;
                Some((own, own.carried + own.entitled - given.given))
            })
            .collect();
        let tie = |place: usize| Tie::of(self.lot, &seats[place].0.sharer.key());
        let (mut takers, givers): (Vec<usize>, Vec<usize>) =
            (0..seats.len()).partition(|place| self.is_bounded(seats[*place].0));
        takers.sort_by_key(|place| (Reverse(seats[*place].1), tie(*place)));
        let repaid = self.repaid(owed, out);
        for to in takers {
            let (own, balance) = seats[to];
            let given = out.given[to].given;
            for (kind, jars) in out.kinds.iter().enumerate() {
                let net = jars.kind.net;
                let more = self.repays(own, given + net) - self.repays(own, given);
                if net > balance || repaid + more > self.most {
                    continue;
                }
                let holds = |place: &&usize| out.given[**place].jars[kind] > 0;
                let least = givers.iter().filter(holds);
                let Some(from) = least.min_by_key(|place| (seats[**place].1, tie(**place))) else {
                    continue;
                };
                if (balance - seats[*from].1 - net).get() >= WORTH_G {
                    let jar = Exchange {
                        from: *from,
                        to,
                        jars: vec![(kind, 1)],
                        back: Vec::new(),
                    };
                    return Some((jar, net));
                }
            }
        }
        None
    }

    /// Lets one more into the line, or the mill with more than its share, with the greatest claim that keeps within the bound;
    /// `None` when there is none.
    fn let_in(
        &self,
        owed: &[Owed],
        line: &[Owed],
        (other, left): (Owed, Grams),
        wishes: &Wishes,
    ) -> Result<Option<Dealt>, RuleRefusal> {
        let most = other.carried.min(left).get();
        for step in 0..STEPS {
            let mut longer = line.to_vec();
            longer.retain(|o| o.sharer != other.sharer);
            let stands = self.stands(other.sharer);
            longer.push(Owed {
                carried: Grams::new(most - most * step / STEPS),
                favoured_at: other.favoured_at.filter(|_| stands),
                ..other
            });
            longer.sort_unstable_by_key(|o| o.sharer);
            let out = self.deal(&longer, wishes)?;
            if self.within(owed, &out) {
                return Ok(Some((longer, out)));
            }
        }
        Ok(None)
    }

    fn deal(&self, line: &[Owed], wishes: &Wishes) -> Result<ShareOut, RuleRefusal> {
        share_out_evenly(self.lot, line, self.filled, wishes)
    }

    /// Whether a sharer is in the line from the beginning.
    fn stands(&self, sharer: Sharer) -> bool {
        self.own.contains(&sharer) || (sharer == Sharer::Mill && !self.way.bounds_the_mill())
    }

    /// Whether a sharer of the lot has an older claim that the bound holds for.
    fn two_claims(&self, owed: &Owed) -> bool {
        self.way.bounds_the_mill() && owed.sharer == Sharer::Mill && owed.carried > Grams::ZERO
    }

    fn within(&self, owed: &[Owed], out: &ShareOut) -> bool {
        self.repaid(owed, out) <= self.most
    }

    /// What these jars repay that the bound holds for.
    fn repaid(&self, owed: &[Owed], out: &ShareOut) -> Grams {
        let repaid = |given: &Given| {
            let own = owed.iter().find(|o| o.sharer == given.sharer);
            own.map_or(Grams::ZERO, |own| self.repays(own, given.given))
        };
        out.given.iter().map(repaid).sum()
    }

    /// What so much in jars repays a sharer that the bound holds for.
    fn repays(&self, own: &Owed, given: Grams) -> Grams {
        if !self.stands(own.sharer) {
            given
        } else if self.two_claims(own) {
            beyond_share(given, own.entitled, own.carried)
        } else {
            Grams::ZERO
        }
    }

    /// Whether the bound holds for a sharer, or for the older claim of one.
    fn is_bounded(&self, owed: &Owed) -> bool {
        !self.stands(owed.sharer) || self.two_claims(owed)
    }
}

/// Puts other rows in the place of those given, in the order of the sharers; exchanges name the new places.
fn reseat(out: &mut ShareOut, mut rows: Vec<Given>) {
    rows.sort_unstable_by_key(|given| given.sharer);
    let whose: Vec<Sharer> = out.given.iter().map(|given| given.sharer).collect();
    let place = |old: usize| {
        let sharer = whose[old];
        rows.iter().position(|given| given.sharer == sharer)
    };
    for exchange in &mut out.exchanges {
        exchange.from = place(exchange.from).unwrap_or(exchange.from);
        exchange.to = place(exchange.to).unwrap_or(exchange.to);
    }
    out.given = rows;
}

#[cfg(test)]
#[path = "lot_repays_tests.rs"]
mod tests;
