//! From nothing to a proposal, and from a proposal to a better one.

use super::best::{Best, better, score};
use super::exact::{SMALL, Solved, solve};
use super::moves::{disturb, most_urgent};
use super::parts::{cheaper, fairer};
use super::place::{HARD, Placed};
use super::{Piece, Proposal, Season, edge, least_cost};
use rand::{Rng, RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

/// How far from the mean to the worst the search aims while it helps the worst-off member, try after try.
const AIMS: [f64; 4] = [0.5, 1.0, 0.75, 0.25];

/// How many changes are tried in a round.
const TRIES: usize = 24;

/// Proposes a season in `rounds` rounds of improvement; the same seed gives the same proposal.
pub fn propose(season: &Season, rounds: usize, seed: u64) -> Proposal {
    let mut chance = Pcg64Mcg::seed_from_u64(seed);
    let mut best = begun(season, &mut chance);
    let spent = help_the_worst_off(season, &mut best, rounds, &mut chance);
    let large = season.patches.len() > SMALL;
    if large {
        fairer(season, &mut best, rounds, &mut chance);
    }
    make_cheap(season, (&mut best, &STAGES), rounds - spent, &mut chance);
    if large {
        cheaper(season, &mut best, rounds, &mut chance);
    }
    let solved = solve(season, &best.pieces);
    if let Some(pieces) = solved.as_ref().and_then(|s| s.pieces.as_ref()) {
        let step = best.score.0;
        best.take(season, pieces);
        if best.score.0 < step {
            // The linear program found it fairer, and hardly looked at what it costs.
            make_cheap(season, (&mut best, &STAGES), rounds / 2, &mut chance);
        }
    }
    told(season, best.pieces, solved)
}

/// Proposes a season anew where a proposal is known that nearly fits it, [`Season::before`]: what little has to change is looked
/// for near it. Only a small season is solved to the end.
pub fn propose_near(season: &Season, rounds: usize, seed: u64) -> Proposal {
    if season.patches.len() <= SMALL {
        return propose(season, rounds, seed);
    }
    let mut chance = Pcg64Mcg::seed_from_u64(seed);
    let mut best = begun(season, &mut chance);
    let turns = best.pieces.clone();
    best.weigh_fairly(season, &turns);
    // Where sharing what is short among those who stand there is not enough, others have to move.
    let mut spent = 0;
    if best.score.0 > season.worst_step(&season.before) + 1 {
        spent = help_the_worst_off(season, &mut best, rounds, &mut chance);
    }
    make_cheap(
        season,
        (&mut best, &STAGES[2..]),
        rounds - spent,
        &mut chance,
    );
    told(season, best.pieces, None)
}

/// The least that a proposal can cost which is as good to the worst-off member as these pieces, kg of cane, and whether these are the
/// best there is, to `rounding` kg: of a small season that is proved, of a larger one it never is.
pub fn how_far(season: &Season, pieces: &[Piece], rounding: f64) -> (f64, bool) {
    let cost = season.cost_kg(pieces);
    let bound = least_cost(season, cost);
    let step = season.worst_step(pieces);
    let small = season.patches.len() <= SMALL;
    let solved = small.then(|| solve(season, pieces)).flatten();
    // What costs least while it is fairer says nothing of what costs least as it is.
    let as_fair = solved.filter(|s| {
        let fairer = s.pieces.as_deref();
        fairer.is_none_or(|p| season.worst_step(p) >= step)
    });
    let exact = as_fair.as_ref().is_some_and(|s| s.exact);
    let bound = as_fair
        .and_then(|s| s.bound_kg)
        .map_or(bound, |b| b.max(bound));
    (bound.min(cost), exact && cost <= bound + rounding)
}

/// The proposal to begin from: what stood before as far as it fits, and the rest put in.
pub(super) fn begun(season: &Season, chance: &mut Pcg64Mcg) -> Best {
    let mut at = Placed::with(season, &season.before);
    at.weigh_loss_above(season.step, HARD);
    put_fairly(&mut at, chance);
    Best {
        score: score(&at),
        pieces: at.list(),
    }
}

/// The step that the worst-off member loses is brought down as long as it comes down; how many rounds that took.
fn help_the_worst_off(
    season: &Season,
    best: &mut Best,
    rounds: usize,
    chance: &mut Pcg64Mcg,
) -> usize {
    let mut spent = 0;
    let mut tries = 0;
    while spent < rounds / 2 && best.score.0 > 0 && tries < AIMS.len() {
        let step = best.score.0;
        let mut at = Placed::with(season, &best.pieces);
        let (mean, worst) = (at.mean(), at.worst().1);
        let just_below = edge(step, 0.0, season.step);
        at.weigh_loss_above(just_below.min(mean + AIMS[tries] * (worst - mean)), HARD);
        improve(&mut at, best, rounds / 12, 0.03, chance);
        best.weigh_fairly(season, &at.list());
        spent += rounds / 12;
        tries = if best.score.0 == step { tries + 1 } else { 0 };
    }
    spent
}

/// Makes the cost small, with nobody above the step that the worst-off member loses.
fn make_cheap(
    season: &Season,
    (best, stages): (&mut Best, &[Stage]),
    rounds: usize,
    chance: &mut Pcg64Mcg,
) {
    let all: usize = stages.iter().map(|s| s.share).sum();
    for stage in stages {
        let mut at = Placed::with(season, &best.pieces);
        at.weigh_loss_above(edge(best.score.0, 1.0, season.step), stage.hard);
        improve(
            &mut at,
            best,
            rounds * stage.share / all,
            stage.heat,
            chance,
        );
        best.weigh(season, &at.list());
        let turns = best.pieces.clone();
        best.weigh(season, &turns);
    }
}

/// One stage of the search.
struct Stage {
    /// This stage's share of all rounds, against those of the other stages.
    share: usize,
    /// How much worse a try may be and still be kept, as a part of the cost.
    heat: f64,
    /// How much an unbearable loss counts: less at first, so that ways through what is not allowed are found.
    hard: f64,
}

/// The stages of the search, in order.
const STAGES: [Stage; 4] = [
    Stage {
        share: 40,
        heat: 0.1,
        hard: 1.5,
    },
    Stage {
        share: 30,
        heat: 0.015,
        hard: 4.0,
    },
    Stage {
        share: 15,
        heat: 0.01,
        hard: HARD,
    },
    Stage {
        share: 15,
        heat: 0.005,
        hard: HARD,
    },
];

/// Simulated annealing (S. Kirkpatrick and others, 1983): a worse proposal is gone on from sometimes, ever less often.
fn improve(at: &mut Placed<'_>, best: &mut Best, rounds: usize, heat: f64, chance: &mut Pcg64Mcg) {
    let warm = heat * at.cost().max(1.0);
    for round in 0..rounds {
        let heat = warm * 0.003_f64.powf(as_part(round, rounds));
        for _ in 0..TRIES {
            let weight = at.weight();
            disturb(at, chance);
            let bear = heat * -chance.random::<f64>().max(1e-9).ln();
            if at.weight() > weight + bear {
                at.back();
                continue;
            }
            at.keep();
            if at.weight() < weight - 1e-9 && better(score(at), best.score) {
                best.score = score(at);
                best.pieces = at.list();
            }
        }
    }
}

#[expect(clippy::cast_precision_loss, reason = "rounds are far below 2^52")]
fn as_part(round: usize, rounds: usize) -> f64 {
    round as f64 / rounds.max(1) as f64
}

/// The proposal that these pieces are, with how good it is.
fn told(season: &Season, pieces: Vec<Piece>, solved: Option<Solved>) -> Proposal {
    let mut left: Vec<f64> = season.patches.iter().map(|p| p.cane_kg).collect();
    for piece in &pieces {
        left[piece.patch] = (left[piece.patch] - piece.kg).max(0.0);
    }
    let cost = season.cost_kg(&pieces);
    let bound = solved.as_ref().and_then(|s| s.bound_kg);
    let bound = least_cost(season, cost).max(bound.unwrap_or(f64::NEG_INFINITY));
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
        .beyond_by_member(pieces)
        .into_iter()
        .fold(0.0, f64::max)
}

/// Puts in what stands nowhere, each time the planting that would lose most by waiting.
fn put_fairly(at: &mut Placed<'_>, chance: &mut impl Rng) {
    let mut left: Vec<usize> = (0..at.season.patches.len()).collect();
    while !left.is_empty() {
        let patch = left.swap_remove(most_urgent(at, &left, 0.0, chance));
        // Where somebody is hard hit, everybody gets what is bearable before anybody gets all, every other time.
        let step = at.season.step;
        let enough = if at.worst().1 > step { 1.0 - step } else { 1.0 };
        at.put_in(patch, if chance.random_bool(0.5) { enough } else { 1.0 });
    }
    for patch in 0..at.season.patches.len() {
        at.put_in(patch, 1.0);
    }
    at.keep();
}
