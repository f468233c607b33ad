//! A boil's jars given out where the season's rules bound what a lot repays: how much of its jars may go to members without juice
//! in it, to whom more was owed than they were given before.
//!
//! Sharers of the lot are in the line with all they are owed. Of the others, whoever is owed most comes first, with a claim to as
//! much as is left of the bound; jars are whole, so where that claim would bring more than the bound, to fifteen sixteenths of it,
//! then to fourteen, and so on. When no jar is light enough for what is left, nobody else is let in. The way is the house's own.

use super::apportion::Tie;
use super::jars::{Jars, Owed, ShareOut, share_out_evenly};
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
}

impl LotRepays<'_> {
    /// Gives the jars out. Returns who stands in the line, with what stands on the books, in the order of the sharers.
    ///
    /// # Errors
    /// As [`share_out_evenly`].
    pub(super) fn give_out(&self, owed: &[Owed], wishes: &Wishes) -> Result<Dealt, RuleRefusal> {
        let (line, mut others): (Vec<Owed>, Vec<Owed>) =
            owed.iter().copied().partition(|o| self.has_juice(o.sharer));
        others.sort_unstable_by_key(|o| (Reverse(o.carried), Tie::of(self.lot, &o.sharer.key())));
        // Who is let in must not depend on the others' wishes or past favours: those left out have none recorded.
        let mut own_wishes = wishes.clone();
        own_wishes.retain(|sharer, _| self.has_juice(*sharer));
        let out = self.deal(&line, &own_wishes)?;
        let mut dealt = (line, out);
        let lightest = self.filled.iter().map(|jars| jars.kind.net).min();
        for other in others {
            let left = self.most - self.repaid(&dealt.1);
            if lightest.is_none_or(|net| left < net) {
                break;
            }
            if let Some(longer) = self.let_in(&dealt.0, other, left, &own_wishes)? {
                dealt = longer;
            }
        }
        let in_wished_sizes = self.deal(&dealt.0, wishes)?;
        if self.within(&in_wished_sizes) {
            dealt.1 = in_wished_sizes;
        }
        for one in &mut dealt.0 {
            let whole = owed.iter().find(|o| o.sharer == one.sharer);
            *one = *whole.unwrap_or(one);
        }
        Ok(dealt)
    }

    /// Lets one more into the line, with the greatest claim that keeps within the bound; `None` when there is none.
    fn let_in(
        &self,
        line: &[Owed],
        other: Owed,
        left: Grams,
        wishes: &Wishes,
    ) -> Result<Option<Dealt>, RuleRefusal> {
        let most = other.carried.min(left).get();
        for step in 0..STEPS {
            let mut longer = line.to_vec();
            longer.push(Owed {
                carried: Grams::new(most - most * step / STEPS),
                favoured_at: None,
                ..other
            });
            longer.sort_unstable_by_key(|o| o.sharer);
            let out = self.deal(&longer, wishes)?;
            if self.within(&out) {
                return Ok(Some((longer, out)));
            }
        }
        Ok(None)
    }

    fn deal(&self, line: &[Owed], wishes: &Wishes) -> Result<ShareOut, RuleRefusal> {
        share_out_evenly(self.lot, line, self.filled, wishes)
    }

    fn has_juice(&self, sharer: Sharer) -> bool {
        sharer == Sharer::Mill || self.own.contains(&sharer)
    }

    fn within(&self, out: &ShareOut) -> bool {
        self.repaid(out) <= self.most
    }

    fn repaid(&self, out: &ShareOut) -> Grams {
        let others = out.given.iter().filter(|g| !self.has_juice(g.sharer));
        others.map(|g| g.given).sum()
    }
}
