//! A boil's jars given out where the season's rules bound what a lot repays: how much of its jars may go to members without juice
//! in it, to whom more was owed than they were given before, and to the mill for what it was owed before.
//!
//! Members with juice in the lot are in the line with all they are owed; the mill, which has a share of every lot, with its share of
//! this one. Of the others, and of the mill's older claim, whoever is owed most comes first, with a claim to as
//! much as is left of the bound; jars are whole, so where that claim would bring more than the bound, to fifteen sixteenths of it,
//! then to fourteen, and so on. When no jar is light enough for what is left, nobody else is let in. Jars are
//! whole to the mill as well: a jar that rounds its share up repays it a little though nothing may be repaid. The way is the house's own.

use super::apportion::Tie;
use super::division_parts::beyond_share;
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
    /// Whether that bounds the mill's older claim too.
    pub(super) mill_too: bool,
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
        for one in &mut dealt.0 {
            let whole = owed.iter().find(|o| o.sharer == one.sharer);
            *one = *whole.unwrap_or(one);
        }
        Ok(dealt)
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
        self.own.contains(&sharer) || (sharer == Sharer::Mill && !self.mill_too)
    }

    /// Whether a sharer of the lot has an older claim that the bound holds for.
    fn two_claims(&self, owed: &Owed) -> bool {
        self.mill_too && owed.sharer == Sharer::Mill && owed.carried > Grams::ZERO
    }

    fn within(&self, owed: &[Owed], out: &ShareOut) -> bool {
        self.repaid(owed, out) <= self.most
    }

    /// What these jars repay that the bound holds for.
    fn repaid(&self, owed: &[Owed], out: &ShareOut) -> Grams {
        let repaid = |given: &Given| {
            if !self.stands(given.sharer) {
                return given.given;
            }
            let own = owed.iter().find(|o| o.sharer == given.sharer);
            own.filter(|o| self.two_claims(o)).map_or(Grams::ZERO, |o| {
                beyond_share(given.given, o.entitled, o.carried)
            })
        };
        out.given.iter().map(repaid).sum()
    }
}
