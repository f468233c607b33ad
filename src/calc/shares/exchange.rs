//! After the jars are given: exchanges between two sharers that even their balances out, and swaps
//! of equal worth that meet wishes for sizes. No jar is lost, none is split.
//!
//! *Evening out.* One or two jars given over, or swapped for one or two others, whenever that brings
//! the balances of the two closer together. If one is owed `D` more than the other and the exchange
//! moves `x` grams from the other's jars to the first's, both balances end between the two they had
//! as long as `0 < x < D`. So the least balance never falls, the greatest never rises, and no sum of
//! the `k` greatest rises: the bounds at the head of [`super::jars`] hold after exchanges as before.
//! Each exchange lowers the sum of the squared balances, so there is an end. With one size of jar
//! and nothing carried there is never one to make. An exchange that would bring the two closer by
//! less than [`WORTH_G`] is left alone: a quart of 1,247 g for two pints of 624 g moves one gram and
//! many jars (house rule).
//!
//! *Wishes.* Jars of the same weight together, to within [`WORTH_G`], one kind for another, when one
//! of the two gets more of the size wished for and the other not less. Where the weights are not just
//! the same, only the way that brings the two balances closer: so the bounds hold here too.

use super::claims::{Claim, ranked};
use std::cmp::Reverse;
use std::collections::BTreeSet;

/// Grams that an exchange must bring two balances closer by to be worth making: a teaspoon of syrup.
pub const WORTH_G: i64 = 5;

/// Jars by kind: (place among the jars, how many).
pub type Bundle = Vec<(usize, u32)>;

/// One exchange: `jars` go from one sharer to another, and `back` the other way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Exchange {
    /// Who gives `jars`, by place among the claims.
    pub from: usize,
    /// Who receives `jars`, by place among the claims.
    pub to: usize,
    /// The jars that are given.
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
struct Holdings {
    balance: Vec<i64>,
    rank: Vec<usize>,
    bundles: Vec<(Bundle, i64)>,
    holders: Vec<BTreeSet<Place>>,
    everybody: BTreeSet<Place>,
}

fn holds(held: &[u32], bundle: &Bundle) -> bool {
    bundle.iter().all(|(kind, count)| held[*kind] >= *count)
}

impl Holdings {
    fn new(claims: &[Claim], jars: &[(i64, u32)], dealt: &[Vec<u32>]) -> Self {
        let mut bundles = Vec::new();
        for (a, (net_a, _)) in jars.iter().enumerate() {
            bundles.push((vec![(a, 1)], *net_a));
            bundles.push((vec![(a, 2)], 2 * net_a));
            for (b, (net_b, _)) in jars.iter().enumerate().skip(a + 1) {
                bundles.push((vec![(a, 1), (b, 1)], net_a + net_b));
            }
        }
        let mut holdings = Self {
            balance: claims.iter().map(|c| c.owed_g).collect(),
            rank: vec![0; claims.len()],
            holders: vec![BTreeSet::new(); bundles.len()],
            bundles,
            everybody: BTreeSet::new(),
        };
        for (rank, i) in ranked(claims).into_iter().enumerate() {
            holdings.rank[i] = rank;
        }
        for (i, held) in dealt.iter().enumerate() {
            let given = held.iter().zip(jars);
            let given: i64 = given.map(|(n, (net, _))| i64::from(*n) * net).sum();
            holdings.balance[i] -= given;
            holdings.enter(i, held);
        }
        holdings
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
                if moved < WORTH_G || apart - moved < WORTH_G {
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
/// `claims` and `jars` are those of [`super::claims::deal`], `dealt` its answer. The result does not
/// depend on the order of the claims.
pub fn even_out(claims: &[Claim], jars: &[(i64, u32)], dealt: &mut [Vec<u32>]) -> Vec<Exchange> {
    let mut holdings = Holdings::new(claims, jars, dealt);
    let mut made = Vec::new();
    while let Some((exchange, moved)) = holdings.best() {
        let (from, to) = (exchange.from, exchange.to);
        holdings.leave(from, &dealt[from]);
        holdings.leave(to, &dealt[to]);
        exchange.apply(dealt);
        holdings.balance[from] += moved;
        holdings.balance[to] -= moved;
        holdings.enter(from, &dealt[from]);
        holdings.enter(to, &dealt[to]);
        made.push(exchange);
    }
    made
}

/// Swaps jars of like worth until no swap brings anybody more grams in the kinds wished for
/// without taking such grams from the other, and returns the swaps in order. `wishes` holds, for
/// each claim, whether each kind is wished for. Who was favoured least recently chooses first.
///
/// Only one kind is swapped for one other: so many jars of each that both weigh the same, to within
/// [`WORTH_G`], the fewest that do.
pub fn meet_wishes(
    claims: &[Claim],
    jars: &[(i64, u32)],
    wishes: &[Vec<bool>],
    dealt: &mut [Vec<u32>],
) -> Vec<Exchange> {
    let mut table = Wishing {
        order: ranked(claims),
        balance: Holdings::new(claims, jars, dealt).balance,
        wishes,
        dealt,
        made: Vec::new(),
    };
    loop {
        let before = table.made.len();
        for a in 0..jars.len() {
            for b in 0..jars.len() {
                if let Some(lots) = like_worth(a, b, jars) {
                    table.swap_kinds(&lots);
                }
            }
        }
        if table.made.len() == before {
            return table.made;
        }
    }
}

/// An exchange of jars of one kind for jars of another, and how much heavier the first are.
struct Lots {
    a: (usize, u32),
    b: (usize, u32),
    heavier_g: i64,
}

/// The fewest jars of kind `a` that weigh what some jars of kind `b` do, to within [`WORTH_G`]; `None`
/// for the same kind or when a bundle would be more than there are.
fn like_worth(a: usize, b: usize, jars: &[(i64, u32)]) -> Option<Lots> {
    let ((net_a, count_a), (net_b, count_b)) = (jars[a], jars[b]);
    if a == b {
        return None;
    }
    (1..=count_a).find_map(|n_a| {
        let weight = net_a * i64::from(n_a);
        let n_b = u32::try_from((weight + net_b / 2) / net_b).ok()?;
        let heavier_g = weight - net_b * i64::from(n_b);
        (n_b >= 1 && n_b <= count_b && heavier_g.abs() < WORTH_G).then_some(Lots {
            a: (a, n_a),
            b: (b, n_b),
            heavier_g,
        })
    })
}

/// All sharers while wishes for sizes are met.
struct Wishing<'a> {
    order: Vec<usize>,
    balance: Vec<i64>,
    wishes: &'a [Vec<bool>],
    dealt: &'a mut [Vec<u32>],
    made: Vec<Exchange>,
}

impl Wishing<'_> {
    /// Swaps bundles of two kinds: those who hold the first and would rather have the second, or do
    /// not mind, with those who hold the second and would rather have the first, or do not mind; at
    /// least one of the two must gain.
    fn swap_kinds(&mut self, lots: &Lots) {
        let (a, b) = (lots.a.0, lots.b.0);
        // +1: rather b than a; 0: does not mind; −1: rather a than b.
        let leaning = |i: usize| i8::from(self.wishes[i][b]) - i8::from(self.wishes[i][a]);
        let those = |want: i8| -> Vec<usize> {
            let all = self.order.iter().copied();
            all.filter(|i| leaning(*i) == want).collect()
        };
        // Both gain, before one gains from somebody who does not mind.
        let pairs = [(1, -1), (1, 0), (0, -1)].map(|(from, to)| (those(from), those(to)));
        for (rather_b, mut rather_a) in pairs {
            for from in rather_b {
                // Whoever has no more of them to give is not asked again.
                rather_a.retain(|to| self.dealt[*to][b] >= lots.b.1);
                for to in &rather_a {
                    while self.may_swap(lots, from, *to) {
                        self.swap(lots, from, *to);
                    }
                    if self.dealt[from][a] < lots.a.1 {
                        break;
                    }
                }
            }
        }
    }

    /// Whether both hold their bundle, and the swap drives no two balances further apart.
    fn may_swap(&self, lots: &Lots, from: usize, to: usize) -> bool {
        let apart = self.balance[to] - self.balance[from];
        let evens = match lots.heavier_g.signum() {
            0 => true,
            1 => lots.heavier_g < apart,
            _ => lots.heavier_g > apart,
        };
        evens && self.dealt[from][lots.a.0] >= lots.a.1 && self.dealt[to][lots.b.0] >= lots.b.1
    }

    fn swap(&mut self, lots: &Lots, from: usize, to: usize) {
        let swap = Exchange {
            from,
            to,
            jars: vec![lots.a],
            back: vec![lots.b],
        };
        swap.apply(self.dealt);
        self.balance[from] += lots.heavier_g;
        self.balance[to] -= lots.heavier_g;
        self.made.push(swap);
    }
}
