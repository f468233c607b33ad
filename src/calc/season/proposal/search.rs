//! From nothing to a proposal, and from a proposal to a better one.

use super::exact::solve;
use super::place::Placed;
use super::{Piece, Proposal, Season, edge, least_cost, steps};
use rand::seq::SliceRandom;
use rand::{Rng, RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

/// How two proposals compare: first the steps that the worst-off member loses, then the cost.
fn score(placed: &Placed<'_>) -> (i64, f64) {
    (steps(placed.worst().1, placed.season.step), placed.cost())
}

/// How far from the mean to the worst the search aims while it helps the worst-off member, try after try.
const AIMS: [f64; 4] = [0.5, 1.0, 0.75, 0.25];

/// Proposes a season in so many rounds of improvement; the same seed gives the same proposal.
pub fn propose(season: &Season, rounds: usize, seed: u64) -> Proposal {
    let mut chance = Pcg64Mcg::seed_from_u64(seed);
    let mut at = Placed::empty(season);
    let all: Vec<usize> = (0..season.patches.len()).collect();
    at.put_as_before();
    put_all(&mut at, &all, 0.0, &mut chance);
    let mut best = at.clone();
    // The step that the worst-off member loses is brought down as long as it comes down; then the cost, with
    // nobody above that step.
    let mut left = rounds;
    let mut tries = 0;
    while left > rounds / 2 {
        let worst = best.worst().1;
        let step = steps(worst, season.step);
        if step == 0 || tries == AIMS.len() {
            break;
        }
        at = best.clone();
        at.allowed.fill(true);
        let just_below = edge(step, 0.0, season.step);
        let mean = best.mean();
        at.bearable = just_below.min(mean + AIMS[tries] * (worst - mean));
        improve(&mut at, &mut best, rounds / 12, 0.03, &mut chance);
        left -= rounds / 12;
        tries = if steps(best.worst().1, season.step) == step {
            tries + 1
        } else {
            0
        };
    }
    for heat in [0.03, 0.02, 0.01, 0.005] {
        at = best.clone();
        at.allowed.fill(true);
        at.bearable = edge(steps(best.worst().1, season.step), 1.0, season.step);
        improve(&mut at, &mut best, left / 4, heat, &mut chance);
    }
    finish(season, &best)
}

/// Simulated annealing (S. Kirkpatrick and others, 1983): a worse proposal is gone on from sometimes, ever less often.
fn improve<'a>(
    at: &mut Placed<'a>,
    best: &mut Placed<'a>,
    rounds: usize,
    heat: f64,
    chance: &mut Pcg64Mcg,
) {
    let warm = heat * at.cost().max(1.0);
    for round in 0..rounds {
        let mut next = at.clone();
        disturb(&mut next, chance);
        let heat = warm * 0.003_f64.powf(as_part(round, rounds));
        let bear = heat * -chance.random::<f64>().max(1e-9).ln();
        if next.weight() <= at.weight() + bear {
            *at = next;
            if better(score(at), score(best)) {
                *best = at.clone();
            }
        }
    }
}

fn better(one: (i64, f64), other: (i64, f64)) -> bool {
    one.0 < other.0 || (one.0 == other.0 && one.1 < other.1 - 1e-9)
}

#[expect(clippy::cast_precision_loss, reason = "rounds are far below 2^52")]
fn as_part(round: usize, rounds: usize) -> f64 {
    round as f64 / rounds.max(1) as f64
}

fn finish(season: &Season, best: &Placed<'_>) -> Proposal {
    let found = best.list();
    let solved = solve(season, &found);
    let score = |pieces: &[Piece]| {
        (
            steps(worst_part(season, pieces), season.step),
            season.cost_kg(pieces),
        )
    };
    let pieces = match solved.as_ref().and_then(|s| s.pieces.clone()) {
        Some(other) if better(score(&other), score(&found)) => other,
        _ => found,
    };
    let mut left: Vec<f64> = season.patches.iter().map(|p| p.cane_kg).collect();
    for piece in &pieces {
        left[piece.patch] = (left[piece.patch] - piece.kg).max(0.0);
    }
    let cost = season.cost_kg(&pieces);
    let bound = least_cost(season, cost).max(
        solved
            .as_ref()
            .and_then(|s| s.bound_kg)
            .unwrap_or(f64::NEG_INFINITY),
    );
    Proposal {
        worst: worst_part(season, &pieces),
        left_kg: left,
        cost_kg: cost,
        bound_kg: bound.min(cost),
        exact: solved.is_some_and(|s| s.exact),
        pieces,
    }
}

fn worst_part(season: &Season, pieces: &[Piece]) -> f64 {
    season
        .lost_by_member(pieces)
        .into_iter()
        .fold(0.0, f64::max)
}

/// Puts plantings in, each time the one that would lose most by waiting, with a little chance in it.
fn put_all(at: &mut Placed<'_>, who: &[usize], noise: f64, chance: &mut impl Rng) {
    let mut left: Vec<(usize, f64)> = who
        .iter()
        .map(|p| (*p, 1.0 + noise * (chance.random::<f64>() - 0.5)))
        .collect();
    while !left.is_empty() {
        let urgent = |(patch, by): &(usize, f64)| at.best_and_regret(*patch).1 * by;
        let mut most = (0, f64::NEG_INFINITY);
        for (n, one) in left.iter().enumerate() {
            let regret = urgent(one);
            if regret > most.1 {
                most = (n, regret);
            }
        }
        let (patch, _) = left.swap_remove(most.0);
        // Where somebody is hard hit, nobody gets all before everybody has what is bearable.
        let enough = if at.bearable > 0.0 && at.worst().1 > at.bearable {
            1.0 - at.bearable
        } else {
            1.0
        };
        at.put_in(patch, if chance.random_bool(0.5) { enough } else { 1.0 });
    }
    for patch in who {
        at.put_in(*patch, 1.0);
    }
}

/// Takes some plantings out and puts them back another way.
fn disturb(at: &mut Placed<'_>, chance: &mut impl Rng) {
    let season = at.season;
    if season.patches.is_empty() || season.days.is_empty() {
        return;
    }
    let few = 2 + chance.random_range(0..season.patches.len().clamp(1, 8));
    let out = match chance.random_range(0..10) {
        0 => shut_a_day(at, chance),
        1 => open_a_day(at, chance),
        2 | 3 => return help_the_worst_off(at, few, chance),
        4..=6 => of_two_days(at, few, chance),
        7 => split_ones(at, few, chance),
        _ => some((0..season.patches.len()).collect(), few, chance),
    };
    for patch in &out {
        at.take_out(*patch);
    }
    if chance.random_bool(0.5) {
        for liking in &mut at.liking {
            *liking = 1.0 + 0.3 * (chance.random::<f64>() - 0.5);
        }
    }
    if chance.random_bool(0.5) {
        at.turn_kg = chance.random::<f64>() * 1.5 * dearest_changeover(season);
    }
    put_all(at, &out, 0.6, chance);
    at.turn_kg = 0.0;
    at.liking.fill(1.0);
    at.wanted = None;
}

/// Cane that could be pressed in the minutes between two turns, kg: the most of any day.
fn dearest_changeover(season: &Season) -> f64 {
    let kg = season.days.iter().map(|d| d.changeover * d.kg_per_minute);
    kg.fold(0.0, f64::max)
}

/// Some of a list, each once, in any order.
fn some(mut of: Vec<usize>, few: usize, chance: &mut impl Rng) -> Vec<usize> {
    of.sort_unstable();
    of.dedup();
    of.shuffle(chance);
    of.truncate(few);
    of
}

/// Days that may be used, or that may not.
fn days(at: &Placed<'_>, allowed: bool) -> Vec<usize> {
    (0..at.allowed.len())
        .filter(|d| at.allowed[*d] == allowed)
        .collect()
}

/// A day is closed: its plantings.
fn shut_a_day(at: &mut Placed<'_>, chance: &mut impl Rng) -> Vec<usize> {
    let Some(day) = pick(&days(at, true), chance) else {
        return Vec::new();
    };
    at.allowed[day] = false;
    at.on(day)
}

/// A day is opened, sometimes in the place of another: what it would suit better.
fn open_a_day(at: &mut Placed<'_>, chance: &mut impl Rng) -> Vec<usize> {
    let Some(day) = pick(&days(at, false), chance) else {
        return Vec::new();
    };
    let mut out = if chance.random_bool(0.5) {
        shut_a_day(at, chance)
    } else {
        Vec::new()
    };
    at.allowed[day] = true;
    at.wanted = Some(day);
    out.extend((0..at.season.patches.len()).filter(|p| at.would_rather(*p, day)));
    out.sort_unstable();
    out.dedup();
    out
}

/// Plantings of two days.
fn of_two_days(at: &Placed<'_>, few: usize, chance: &mut impl Rng) -> Vec<usize> {
    let open = at.open_days();
    let mut out = Vec::new();
    for _ in 0..2 {
        if let Some(day) = pick(&open, chance) {
            out.extend(at.on(day));
        }
    }
    some(out, few, chance)
}

/// Plantings that are split, and any other.
fn split_ones(at: &Placed<'_>, few: usize, chance: &mut impl Rng) -> Vec<usize> {
    let count = at.season.patches.len();
    let split = (0..count).filter(|p| at.pieces[*p].len() > 1).collect();
    let mut out = some(split, few, chance);
    out.push(chance.random_range(0..count));
    out.sort_unstable();
    out.dedup();
    out
}

/// Whoever is worst off goes in first, then some from the days that would suit.
fn help_the_worst_off(at: &mut Placed<'_>, few: usize, chance: &mut impl Rng) {
    let season = at.season;
    let worst = at.worst().0;
    let own = (0..season.patches.len()).filter(|p| season.patches[*p].owner == worst);
    let own = some(own.collect(), usize::MAX, chance);
    for patch in &own {
        at.take_out(*patch);
    }
    let near = days_that_suit(season, own[0]);
    let others = near
        .iter()
        .take(3)
        .flat_map(|d| at.on(*d))
        .filter(|p| !own.contains(p));
    let others = some(others.collect(), few, chance);
    for patch in &others {
        at.take_out(*patch);
    }
    for patch in own {
        at.put_in(patch, 1.0);
    }
    put_all(at, &others, 0.5, chance);
}

fn pick(from: &[usize], chance: &mut impl Rng) -> Option<usize> {
    (!from.is_empty()).then(|| from[chance.random_range(0..from.len())])
}

/// Days on which a planting can be pressed, the best first.
fn days_that_suit(season: &Season, patch: usize) -> Vec<usize> {
    let mut days: Vec<usize> = (0..season.days.len())
        .filter(|d| season.patches[patch].lost[*d].is_some())
        .collect();
    let lost = |d: &usize| season.patches[patch].lost[*d].unwrap_or(1.0);
    days.sort_by(|a, b| lost(a).total_cmp(&lost(b)));
    days
}
