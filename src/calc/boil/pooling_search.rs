//! The search under `pooling`: which parts go together, at least cost. Boils follow each other by
//! when they must be done to have been lit in time, which keeps the worst delay least whatever the
//! boils are (Jackson's rule of 1955 for the earliest due date, from memory; borne out by trying
//! every order in the tests). Few parts are divided in every way. Many begin from several simple
//! divisions; then two boils at a time (three, when there are few) are taken apart and put together
//! in every way while that helps. No chance in it: the same juices give the same proposals.

use super::pan_day::PanDay;

/// What every boil costs in itself, whatever is in it.
const BOIL: f64 = 10.0;
/// Cost of each member beyond the first in a lot.
const MEMBER: f64 = 1.0;
/// Cost of a boil wholly short of the least charge.
const SHORT: f64 = 10.0;
/// Cost of anything late, and of each minute of the worst delay.
const LATE: f64 = 1_000.0;
/// Most parts of two or three boils that are put together in every way.
const TRIED: (usize, usize) = (10, 8);
/// Number of parts up to which every division into boils is costed (4,140 for eight).
const FEW_PARTS: usize = 8;
/// Number of boils up to which they are taken three at a time.
const FEW_BOILS: usize = 6;
/// Most costings from each start, so that the answer comes at once.
const MOST_COSTINGS: usize = 12_000;

/// A part of a juice that fits the pan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::calc) struct Part {
    /// Place of its juice in the list of juices.
    pub(in crate::calc) juice: usize,
    /// The member whose juice it is, by number.
    pub(in crate::calc) member: u64,
    /// Volume, mL.
    pub(in crate::calc) ml: i64,
    /// When it must be lit at the latest, seconds.
    pub(in crate::calc) due: i64,
    /// May be pooled with other members' juice.
    pub(in crate::calc) pools: bool,
}

/// One boil in figures.
#[derive(Debug, Clone, Copy)]
struct Sum {
    due: i64,
    seconds: i64,
    cost: f64,
}

impl Sum {
    /// When it must be done so that it was lit in time: what boils are ordered by.
    fn done_by(&self) -> i64 {
        self.due.saturating_add(self.seconds)
    }
}

/// The boils (parts by place, in the order to light them) and their cost.
pub(in crate::calc) fn search(parts: &[Part], pan: &PanDay) -> (Vec<Vec<usize>>, f64) {
    let mut table = Table {
        parts,
        pan,
        costings: 0,
    };
    if parts.len() <= FEW_PARTS {
        let mut best = (Vec::new(), f64::INFINITY);
        table.divide(0, &mut Vec::new(), &mut best);
        return in_order(&table, best);
    }
    let mut best: Option<(Vec<Vec<usize>>, f64)> = None;
    let [urgent, large, member] = orders(parts);
    let starts = [
        table.runs(&urgent),
        table.first_fit(&urgent),
        table.first_fit(&large),
        table.first_fit(&member),
    ];
    for mut boils in starts {
        table.costings = 0;
        let cost = table.improve(&mut boils);
        if best.as_ref().is_none_or(|(_, least)| cost < *least - 1e-9) {
            best = Some((boils, cost));
        }
    }
    in_order(&table, best.unwrap_or_default())
}

/// Boils with anything in them, in the order to light them.
fn in_order(table: &Table<'_>, found: (Vec<Vec<usize>>, f64)) -> (Vec<Vec<usize>>, f64) {
    let (mut boils, cost) = found;
    boils.retain(|b| !b.is_empty());
    boils.sort_by_key(|b| (table.sum(b).map(|s| s.done_by()), b.clone()));
    (boils, cost)
}

/// Orders to begin from: by urgency, by size, and by member with the largest member first.
fn orders(parts: &[Part]) -> [Vec<usize>; 3] {
    let all: Vec<usize> = (0..parts.len()).collect();
    let (mut urgent, mut large, mut member) = (all.clone(), all.clone(), all);
    urgent.sort_by_key(|p| (parts[*p].due, *p));
    large.sort_by_key(|p| (-parts[*p].ml, *p));
    let brought = |m: u64| -> i64 {
        let of_member = parts.iter().filter(|p| p.member == m);
        of_member.map(|p| p.ml).sum()
    };
    member.sort_by_key(|p| (-brought(parts[*p].member), parts[*p].member, *p));
    [urgent, large, member]
}

struct Table<'a> {
    parts: &'a [Part],
    pan: &'a PanDay,
    costings: usize,
}

impl Table<'_> {
    /// One boil in figures; nothing when it may not be: too much, or alone in company.
    fn sum(&self, boil: &[usize]) -> Option<Sum> {
        let (mut ml, mut due, mut extra, mut pools) = (0, i64::MAX, -1.0, true);
        for (place, part) in boil.iter().map(|p| &self.parts[*p]).enumerate() {
            ml += part.ml;
            due = due.min(part.due);
            pools &= part.pools;
            let before = &boil[..place];
            let known = before.iter().any(|p| self.parts[*p].member == part.member);
            extra += if known { 0.0 } else { 1.0 };
        }
        if ml > self.pan.greatest.get() || (!pools && extra > 0.0) {
            return None;
        }
        if boil.is_empty() {
            return Some(Sum {
                due,
                seconds: 0,
                cost: 0.0,
            });
        }
        let least = self.pan.least.get();
        #[expect(clippy::cast_precision_loss, reason = "millilitres of one pan")]
        let short = (least - ml).max(0) as f64 / least.max(1) as f64;
        Some(Sum {
            due,
            seconds: self.pan.seconds(ml),
            cost: BOIL + MEMBER * extra + SHORT * short,
        })
    }

    /// Cost of boils lit one after the other, the most urgent first.
    fn cost(&mut self, sums: &mut [Sum]) -> f64 {
        self.costings += 1;
        sums.sort_unstable_by_key(Sum::done_by);
        let (mut light, mut worst, mut cost) = (self.pan.free.get(), 0, 0.0);
        for sum in sums.iter() {
            if sum.seconds > 0 {
                worst = worst.max(light.saturating_sub(sum.due));
            }
            light += sum.seconds;
            cost += sum.cost;
        }
        #[expect(clippy::cast_precision_loss, reason = "seconds of a press day")]
        let delay = worst as f64 / 60.0;
        cost + if worst > 0 { LATE + delay } else { 0.0 }
    }

    /// Every division of the parts from `next` on, added to the boils so far.
    fn divide(
        &mut self,
        next: usize,
        boils: &mut Vec<Vec<usize>>,
        best: &mut (Vec<Vec<usize>>, f64),
    ) {
        if next == self.parts.len() {
            let mut sums: Vec<Sum> = boils.iter().filter_map(|b| self.sum(b)).collect();
            let cost = self.cost(&mut sums);
            if cost < best.1 - 1e-9 {
                *best = (boils.clone(), cost);
            }
            return;
        }
        for place in 0..boils.len() {
            boils[place].push(next);
            // If a boil is not allowed, it is not allowed with more in it either.
            if self.sum(&boils[place]).is_some() {
                self.divide(next + 1, boils, best);
            }
            boils[place].pop();
        }
        boils.push(vec![next]);
        self.divide(next + 1, boils, best);
        boils.pop();
    }

    /// The order cut into runs, each a boil, with the least worst delay and then the least cost
    /// that runs can have. All that lies before a run is known from its place and from how many
    /// boils come before it, so the best is found place by place.
    fn runs(&self, order: &[usize]) -> Vec<Vec<usize>> {
        let count = order.len();
        let mut before = vec![0; count + 1];
        for (place, part) in order.iter().enumerate() {
            before[place + 1] = before[place] + self.parts[*part].ml;
        }
        let overhead = self.pan.overhead.get() * 60;
        let light = |place: usize, boils: usize| -> i64 {
            let boils = i64::try_from(boils).unwrap_or(i64::MAX);
            // Boiling time as if all before were one boil, and the overhead of each boil beyond the first.
            self.pan.free.get() + self.pan.seconds(before[place]) + overhead * (boils - 1)
        };
        // The best way to cut the first `end` parts into each number of boils: worst delay, cost, and
        // where the last run begins. Two rounds: the least delay, then the least cost within it.
        let (mut allowed, mut found) = (i64::MAX, Vec::new());
        for round in 0..2 {
            let mut best = vec![vec![(i64::MAX, f64::INFINITY, 0); count + 1]; count + 1];
            best[0][0] = (0, 0.0, 0);
            for end in 1..=count {
                for begin in (0..end).rev() {
                    let Some(run) = self.sum(&order[begin..end]) else {
                        // A longer run would hold this one: what is too much, or must be boiled alone, stays so.
                        break;
                    };
                    for boils in 0..=begin {
                        let (delay, cost, _) = best[begin][boils];
                        if delay == i64::MAX {
                            continue;
                        }
                        let delay = delay.max(light(begin, boils).saturating_sub(run.due));
                        let next = (delay, cost + run.cost, begin);
                        let old = best[end][boils + 1];
                        let better = if round == 0 {
                            (next.0, next.1) < (old.0, old.1)
                        } else {
                            delay <= allowed && next.1 < old.1
                        };
                        if better {
                            best[end][boils + 1] = next;
                        }
                    }
                }
            }
            let ways = best[count]
                .iter()
                .enumerate()
                .filter(|(_, w)| w.0 < i64::MAX);
            allowed = ways.clone().map(|(_, w)| w.0).min().unwrap_or(0);
            let cheapest = ways.min_by(|a, b| a.1.1.total_cmp(&b.1.1));
            found = cheapest.map_or(Vec::new(), |(boils, _)| {
                let (mut end, mut boils, mut cuts) = (count, boils, Vec::new());
                while end > 0 {
                    let begin = best[end][boils].2;
                    cuts.push(order[begin..end].to_vec());
                    (end, boils) = (begin, boils - 1);
                }
                cuts
            });
        }
        found
    }

    fn first_fit(&self, order: &[usize]) -> Vec<Vec<usize>> {
        let mut boils: Vec<Vec<usize>> = Vec::new();
        for part in order {
            let room = boils.iter().position(|boil| {
                let mut with = boil.clone();
                with.push(*part);
                self.sum(&with).is_some()
            });
            match room {
                Some(place) => boils[place].push(*part),
                None => boils.push(vec![*part]),
            }
        }
        boils
    }

    /// Betters the boils until nothing helps or time is up; gives their cost.
    fn improve(&mut self, boils: &mut Vec<Vec<usize>>) -> f64 {
        let mut sums: Vec<Sum> = boils.iter().filter_map(|b| self.sum(b)).collect();
        let mut cost = self.cost(&mut sums);
        loop {
            boils.retain(|b| !b.is_empty());
            // Adds an empty boil, so that parts can move into it.
            boils.push(Vec::new());
            let before = cost;
            for a in 0..boils.len() {
                for b in a + 1..boils.len() {
                    cost = self.regroup(boils, &[a, b], cost);
                    if boils.len() <= FEW_BOILS {
                        for c in b + 1..boils.len() {
                            cost = self.regroup(boils, &[a, b, c], cost);
                        }
                    }
                }
            }
            if cost > before - 1e-9 || self.costings >= MOST_COSTINGS {
                boils.retain(|b| !b.is_empty());
                return cost;
            }
        }
    }

    /// Takes the named boils apart and puts them together in the best of all ways (or, with many
    /// parts in two boils, the best with one part or two exchanged).
    fn regroup(&mut self, boils: &mut [Vec<usize>], which: &[usize], cost: f64) -> f64 {
        let pool: Vec<usize> = which
            .iter()
            .flat_map(|b| boils[*b].iter().copied())
            .collect();
        let ways = which.len();
        let tried = if ways == 2 { TRIED.0 } else { TRIED.1 };
        if pool.len() < 2 || self.costings >= MOST_COSTINGS {
            return cost;
        }
        let others: Vec<Sum> = (0..boils.len())
            .filter(|b| !which.contains(b))
            .filter_map(|b| self.sum(&boils[b]))
            .collect();
        let mut best: (f64, Option<Vec<Vec<usize>>>) = (cost, None);
        let consider = |table: &mut Self, groups: &[Vec<usize>], best: &mut (f64, _)| {
            let mut sums = others.clone();
            for group in groups {
                match table.sum(group) {
                    Some(sum) => sums.push(sum),
                    None => return,
                }
            }
            let found = table.cost(&mut sums);
            if found < best.0 - 1e-9 {
                *best = (found, Some(groups.to_vec()));
            }
        };
        if pool.len() <= tried {
            let all = ways.pow(u32::try_from(pool.len()).unwrap_or(0));
            let mut groups = vec![Vec::with_capacity(pool.len()); ways];
            for code in 0..all {
                groups.iter_mut().for_each(Vec::clear);
                let mut rest = code;
                for part in &pool {
                    groups[rest % ways].push(*part);
                    rest /= ways;
                }
                consider(self, &groups, &mut best);
            }
        } else if ways == 2 {
            for groups in exchanges(&boils[which[0]], &boils[which[1]]) {
                consider(self, &groups, &mut best);
            }
        }
        if let (better, Some(groups)) = best {
            for (place, group) in which.iter().zip(groups) {
                boils[*place] = group;
            }
            return better;
        }
        cost
    }
}

/// All ways to move one part, or to exchange one for one, between two boils.
fn exchanges(a: &[usize], b: &[usize]) -> Vec<[Vec<usize>; 2]> {
    let without = |from: &[usize], part: usize| -> Vec<usize> {
        from.iter().copied().filter(|p| *p != part).collect()
    };
    let with = |mut to: Vec<usize>, part: usize| -> Vec<usize> {
        to.push(part);
        to
    };
    let mut all = Vec::new();
    for x in a {
        all.push([without(a, *x), with(b.to_vec(), *x)]);
        for y in b {
            all.push([with(without(a, *x), *y), with(without(b, *y), *x)]);
        }
    }
    for y in b {
        all.push([with(a.to_vec(), *y), without(b, *y)]);
    }
    all
}
