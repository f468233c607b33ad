//! Claims in grams, and jars dealt to them: each jar to the largest claim still open. Knows no names.

use super::apportion::Tie;
use crate::units::UtcSecond;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// One claim on the jars of [`deal`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Claim {
    /// Grams owed, below zero where too much was given before.
    pub owed_g: i64,
    /// When a lot last favoured this claim's sharer; `None` counts as longest ago.
    pub favoured_at: Option<UtcSecond>,
    /// Settles the order where all else is equal.
    pub tie: Tie,
}

/// The claims in the order that settles ties, by their places.
pub(in crate::calc) fn ranked(claims: &[Claim]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..claims.len()).collect();
    order.sort_unstable_by_key(|&i| (claims[i].favoured_at, claims[i].tie));
    order
}

/// Gives jars to claims, each jar to the largest claim still open. `jars` are (net grams, count)
/// with the largest first. Returns how many of each kind every claim gets. Time: jars × log claims.
pub fn deal(claims: &[Claim], jars: &[(i64, u32)]) -> Vec<Vec<u32>> {
    // A claim's rank between equals never changes while the jars are given, so it is found once.
    let mut open: BinaryHeap<(i64, Reverse<usize>, usize)> = ranked(claims)
        .into_iter()
        .enumerate()
        .map(|(rank, i)| (claims[i].owed_g, Reverse(rank), i))
        .collect();
    let mut dealt = vec![vec![0; jars.len()]; claims.len()];
    for (kind, (net_g, count)) in jars.iter().enumerate() {
        for _ in 0..*count {
            if let Some(mut largest) = open.peek_mut() {
                dealt[largest.2][kind] += 1;
                largest.0 -= net_g;
            }
        }
    }
    dealt
}
