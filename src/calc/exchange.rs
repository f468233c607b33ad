//! After the jars are given: exchanges between two sharers that even their balances out, and swaps
//! of equal worth that meet wishes for sizes. No jar is lost, none is split.
//!
//! *Evening out.* One or two jars given over, or swapped for one or two others, whenever that brings
//! the balances of the two closer together. If one is owed `D` more than the other and the exchange
//! moves `x` grams from the other's jars to the first's, both balances end between the two they had
//! as long as `0 < x < D`. So the least balance never falls, the greatest never rises, and no sum of
//! the `k` greatest rises: the bounds at the head of [`super::jars`] hold after exchanges as before.
//! Each exchange lowers the sum of the squared balances, so there is an end. With one size of jar
//! and nothing carried there is never one to make.
//!
//! *Wishes.* Jars of just the same weight together, one kind for another, when one of the two gets
//! more of the size wished for and the other not less. Balances do not change at all.

use super::jars::{Claim, ranked};
use std::cmp::Reverse;
use std::collections::BTreeSet;

/// Jars by kind: (place among the jars, how many).
pub type Bundle = Vec<(usize, u32)>;

/// One exchange: `jars` go from one sharer to another, and `back` the other way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Exchange {
    /// Who gives `jars`, by place among the claims.
    pub from: usize,
    /// Who receives them.
    pub to: usize,
    /// What is given.
    pub jars: Bundle,
    /// What comes back; empty when `jars` are given over.
    pub back: Bundle,
}

impl Exchange {
    fn apply(&self, dealt: &mut [Vec<u32>]) {
        for (kind, count) in &self.jars {
            dealt[self.from][*kind] -= count;
            dealt[self.to][*kind] += count;
        }
        for (kind, count) in &self.back {
            dealt[self.to][*kind] -= count;
            dealt[self.from][*kind] += count;
        }
    }
}

/// A sharer in the order of balance; between equals, of rank. The last is owed most.
type Place = (i64, Reverse<usize>, usize);

/// Every bundle of one or two jars, who holds it, and everybody, by balance.
struct Standing {
    balance: Vec<i64>,
    rank: Vec<usize>,
    bundles: Vec<(Bundle, i64)>,
    holders: Vec<BTreeSet<Place>>,
    everybody: BTreeSet<Place>,
}

fn holds(held: &[u32], bundle: &Bundle) -> bool {
    bundle.iter().all(|(kind, count)| held[*kind] >= *count)
}

impl Standing {
    fn new(claims: &[Claim], jars: &[(i64, u32)], dealt: &[Vec<u32>]) -> Self {
        let mut bundles = Vec::new();
        for (a, (net_a, _)) in jars.iter().enumerate() {
            bundles.push((vec![(a, 1)], *net_a));
            bundles.push((vec![(a, 2)], 2 * net_a));
            for (b, (net_b, _)) in jars.iter().enumerate().skip(a + 1) {
                bundles.push((vec![(a, 1), (b, 1)], net_a + net_b));
            }
        }
        let mut standing = Self {
            balance: claims.iter().map(|c| c.owed_g).collect(),
            rank: vec![0; claims.len()],
            holders: vec![BTreeSet::new(); bundles.len()],
            bundles,
            everybody: BTreeSet::new(),
        };
        for (rank, i) in ranked(claims).into_iter().enumerate() {
            standing.rank[i] = rank;
        }
        for (i, held) in dealt.iter().enumerate() {
            let given = held.iter().zip(jars);
            let given: i64 = given.map(|(n, (net, _))| i64::from(*n) * net).sum();
            standing.balance[i] -= given;
            standing.enter(i, held);
        }
        standing
    }

    fn place(&self, i: usize) -> Place {
        (self.balance[i], Reverse(self.rank[i]), i)
    }

    fn enter(&mut self, i: usize, held: &[u32]) {
        let place = self.place(i);
        self.everybody.insert(place);
        for (holders, (bundle, _)) in self.holders.iter_mut().zip(&self.bundles) {
            if holds(held, bundle) {
                holders.insert(place);
            }
        }
    }

    fn leave(&mut self, i: usize, held: &[u32]) {
        let place = self.place(i);
        self.everybody.remove(&place);
        for (holders, (bundle, _)) in self.holders.iter_mut().zip(&self.bundles) {
            if holds(held, bundle) {
                holders.remove(&place);
            }
        }
    }

    /// The exchange that lowers the sum of squared balances most, if any lowers it, and the grams it
    /// moves. For each pair of bundles only the most owed holder of one and the least owed holder
    /// of the other matter: no other two are further apart.
    fn best(&self) -> Option<(Exchange, i64)> {
        let nothing = (Vec::new(), 0);
        let high = self.holders.iter().map(|h| h.last());
        let backs: Vec<(&(Bundle, i64), &Place)> = self
            .bundles
            .iter()
            .zip(high)
            .chain([(&nothing, self.everybody.last())])
            .filter_map(|(bundle, high)| Some((bundle, high?)))
            .collect();
        let mut best = None;
        let mut most = 0;
        for (jars, holders) in self.bundles.iter().zip(&self.holders) {
            let Some(low) = holders.first() else {
                continue;
            };
            for (back, high) in &backs {
                let (moved, apart) = (jars.1 - back.1, high.0 - low.0);
                if moved <= 0 || moved >= apart {
                    continue;
                }
                let gain = i128::from(moved) * i128::from(apart - moved);
                if gain > most {
                    most = gain;
                    best = Some((jars, *back, low.2, high.2));
                }
            }
        }
        best.map(|((jars, jars_g), (back, back_g), from, to)| {
            let exchange = Exchange {
                from,
                to,
                jars: jars.clone(),
                back: back.clone(),
            };
            (exchange, jars_g - back_g)
        })
    }
}

/// Makes exchanges until none brings two balances closer together, and returns them in order.
/// `claims` and `jars` are those of [`super::jars::deal`], `dealt` its answer. The result does not
/// depend on the order of the claims.
pub fn even_out(claims: &[Claim], jars: &[(i64, u32)], dealt: &mut [Vec<u32>]) -> Vec<Exchange> {
    let mut standing = Standing::new(claims, jars, dealt);
    let mut made = Vec::new();
    while let Some((exchange, moved)) = standing.best() {
        let (from, to) = (exchange.from, exchange.to);
        standing.leave(from, &dealt[from]);
        standing.leave(to, &dealt[to]);
        exchange.apply(dealt);
        standing.balance[from] += moved;
        standing.balance[to] -= moved;
        standing.enter(from, &dealt[from]);
        standing.enter(to, &dealt[to]);
        made.push(exchange);
    }
    made
}

/// Swaps jars of equal worth until no swap brings anybody more grams in the kinds wished for
/// without taking such grams from the other, and returns the swaps in order. `wishes` holds, for
/// each claim, whether each kind is wished for. Who was favoured least recently chooses first.
///
/// Only one kind is swapped for one other: so many jars of each that both weigh the same, the
/// fewest that do.
pub fn meet_wishes(
    claims: &[Claim],
    jars: &[(i64, u32)],
    wishes: &[Vec<bool>],
    dealt: &mut [Vec<u32>],
) -> Vec<Exchange> {
    let order = ranked(claims);
    let mut made = Vec::new();
    loop {
        let before = made.len();
        for a in 0..jars.len() {
            for b in 0..jars.len() {
                if let Some(lots) = equal_worth(a, b, jars) {
                    swap_kinds(lots, &order, wishes, dealt, &mut made);
                }
            }
        }
        if made.len() == before {
            return made;
        }
    }
}

/// The fewest jars of kind `a` that weigh what some jars of kind `b` do; `None` for the same kind or
/// when a bundle would be more than there are.
fn equal_worth(a: usize, b: usize, jars: &[(i64, u32)]) -> Option<[(usize, u32); 2]> {
    let ((net_a, count_a), (net_b, count_b)) = (jars[a], jars[b]);
    let common = greatest_common(net_a, net_b);
    let (n_a, n_b) = (
        u32::try_from(net_b / common).ok()?,
        u32::try_from(net_a / common).ok()?,
    );
    (a != b && n_a <= count_a && n_b <= count_b).then_some([(a, n_a), (b, n_b)])
}

fn greatest_common(mut a: i64, mut b: i64) -> i64 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

/// Swaps bundles of two kinds: those who hold the first and would rather have the second, or do not
/// mind, with those who hold the second and would rather have the first, or do not mind; at least
/// one of the two must gain.
fn swap_kinds(
    [(a, n_a), (b, n_b)]: [(usize, u32); 2],
    order: &[usize],
    wishes: &[Vec<bool>],
    dealt: &mut [Vec<u32>],
    made: &mut Vec<Exchange>,
) {
    // +1: rather b than a; 0: does not mind; −1: rather a than b.
    let leaning = |i: usize| i8::from(wishes[i][b]) - i8::from(wishes[i][a]);
    let those = |want: i8| order.iter().copied().filter(move |i| leaning(*i) == want);
    // Both gain, before one gains from somebody who does not mind.
    for (rather_b, rather_a) in [(1, -1), (1, 0), (0, -1)] {
        let mut givers_of_b = those(rather_a);
        let mut other = givers_of_b.next();
        for from in those(rather_b) {
            while dealt[from][a] >= n_a {
                while other.is_some_and(|to| dealt[to][b] < n_b) {
                    other = givers_of_b.next();
                }
                let Some(to) = other else {
                    break;
                };
                let swap = Exchange {
                    from,
                    to,
                    jars: vec![(a, n_a)],
                    back: vec![(b, n_b)],
                };
                swap.apply(dealt);
                made.push(swap);
            }
        }
    }
}
