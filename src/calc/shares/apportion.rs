//! Dividing a whole number of things by weights, nothing lost: largest remainder, with ties that
//! favour nobody and that anyone can recompute. Knows nothing of members, syrup or jars.

use sha2::{Digest, Sha256};

/// A sharer's place in a tie: the SHA-256 of `lot:sharer`. The lowest goes first. No alphabetical
/// advantage, another order for every lot, and anyone can recompute it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Tie([u8; 32]);

impl Tie {
    /// The place of a sharer in the ties of a lot, both as their plain texts.
    pub fn of(lot: &str, sharer: &str) -> Self {
        Self(Sha256::digest(format!("{lot}:{sharer}")).into())
    }
}

/// One sharer's part of what is apportioned; parts stand in the order they were asked in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Part {
    /// What the sharer gets: `floor`, and one more when `odd`.
    pub whole: u64,
    /// The exact share, cut off to whole things.
    pub floor: u64,
    /// What was cut off, in thousandths of one thing, itself cut off; 0 to 999.
    pub cut_thousandths: u16,
    /// Whether one of the things left over came here.
    pub odd: bool,
}

/// Divides `total` things by weights: each sharer first gets the exact share cut off to whole
/// things; what is left over goes, one each, to those of whom the largest part was cut off, and
/// among equals to the lowest [`Tie`]. The parts sum to `total`, and each is within one of its
/// exact share. `None` when all weights are 0 (or there are none) and `total` is not, or when a
/// product leaves `u128`.
///
/// Source: the method of largest remainders (Hamilton); M. Balinski and H. P. Young, *Fair
/// Representation* (1982). Ties: house rule.
pub fn largest_remainder(total: u64, sharers: &[(u128, Tie)]) -> Option<Vec<Part>> {
    let weights = sharers
        .iter()
        .try_fold(0_u128, |sum, (weight, _)| sum.checked_add(*weight))?;
    if weights == 0 {
        return (total == 0).then(|| vec![NOTHING; sharers.len()]);
    }
    // Thousandths are shown on statements, so the remainder times 1000 must fit as well.
    weights.checked_mul(1000)?;
    let mut parts = Vec::with_capacity(sharers.len());
    let mut cut = Vec::with_capacity(sharers.len());
    let mut left = total;
    for (place, (weight, tie)) in sharers.iter().enumerate() {
        let exact = weight.checked_mul(u128::from(total))?;
        let floor = u64::try_from(exact / weights).ok()?;
        left -= floor;
        parts.push(Part {
            whole: floor,
            floor,
            cut_thousandths: u16::try_from(exact % weights * 1000 / weights).ok()?,
            odd: false,
        });
        cut.push((exact % weights, *tie, place));
    }
    cut.sort_unstable_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
    // Fewer are left over than there are sharers with something cut off.
    for (_, _, place) in cut.iter().take(usize::try_from(left).ok()?) {
        parts[*place].whole += 1;
        parts[*place].odd = true;
    }
    Some(parts)
}

const NOTHING: Part = Part {
    whole: 0,
    floor: 0,
    cut_thousandths: 0,
    odd: false,
};

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn sharers(weights: &[u32]) -> Vec<(u128, Tie)> {
        let named = |(i, w): (usize, &u32)| (u128::from(*w), Tie::of("26K7", &i.to_string()));
        weights.iter().enumerate().map(named).collect()
    }

    #[test]
    fn nothing_divides_among_nobody_but_something_does_not() {
        assert_eq!(largest_remainder(0, &[]), Some(vec![]));
        assert_eq!(largest_remainder(1, &[]), None);
        assert_eq!(largest_remainder(1, &sharers(&[0, 0])), None);
        assert_eq!(largest_remainder(0, &sharers(&[0])), Some(vec![NOTHING]));
        assert_eq!(
            largest_remainder(2, &[(u128::MAX, Tie::of("a", "b"))]),
            None
        );
    }

    proptest! {
        #[test]
        fn prop_the_parts_sum_to_the_whole_and_keep_quota(
            total in 0_u64..10_000_000,
            weights in proptest::collection::vec(0_u32..1_000_000, 1..40),
        ) {
            prop_assume!(weights.iter().any(|w| *w > 0));
            let all: u128 = weights.iter().map(|w| u128::from(*w)).sum();
            let parts = largest_remainder(total, &sharers(&weights)).unwrap();
            prop_assert_eq!(parts.iter().map(|p| p.whole).sum::<u64>(), total);
            for (part, weight) in parts.iter().zip(&weights) {
                let exact = u128::from(*weight) * u128::from(total);
                prop_assert_eq!(u128::from(part.floor), exact / all);
                prop_assert_eq!(part.whole, part.floor + u64::from(part.odd));
                // Nobody with nothing cut off is given an odd one.
                prop_assert!(!part.odd || exact % all > 0);
            }
        }
    }
}
