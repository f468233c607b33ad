//! A season's cane put on its days: proposed, given minutes turn by turn, and proposed again with less where a day does not hold what
//! was put there.

use super::proposal_days::{ProposedDay, ProposedTurn, reckoned_beside, surely};
use super::proposal_fuller::without_rounding;
use super::proposal_left::WhyLeft;
use super::proposal_order::{Refused, place};
use super::proposal_places::{Places, pieces};
use super::proposal_stands::stand;
use super::proposal_told::SEED;
use super::proposal_wish::Wish;
use crate::calc::season::proposal::{self as sums, LEAST_PIECE_KG, Piece, Season};
use crate::calc::season::weights::Weights;
use crate::units::MemberId;
use std::collections::BTreeMap;

/// Rounds of improvement for each planting, and pairs of a planting and a day that are gone through in all, so that a large season
/// does not take much longer.
const ROUNDS: (usize, usize) = (300, 40_000_000);
/// Such rounds and pairs where a day has to give up some of what was put there.
const ROUNDS_ANEW: (usize, usize) = (60, 2_400_000);
/// Pairs of a planting and a day up to which an over-full season is gone through as a whole once more, with all its minutes.
const WHOLE_ANEW: usize = 1_000;
/// How many times days are asked to give up some cane.
const TIMES: usize = 8;
/// The part of its cane that a day has at least left when it gives up some.
const GIVES_UP_TO: f64 = 0.93;

/// A season to be put on its days.
pub(super) struct Asked<'a> {
    /// All its cane.
    pub(super) whole: &'a Season,
    /// What is left of it beside the turns that are kept.
    pub(super) beside: &'a Season,
    pub(super) weights: &'a Weights,
}

/// The result of placing a season's turns.
pub(super) struct Found {
    /// Whether it is proved that no better plan exists.
    pub(super) exact: bool,
    /// What a plan that is as good to the worst-off member could cost less, at most, kg of cane.
    pub(super) better_kg: f64,
    pub(super) why: BTreeMap<usize, WhyLeft>,
}

/// How two placings compare: first the steps that the worst-off member loses, then the cost.
type Score = (i64, f64);

/// Turns by day, with how they compare.
type Placing = (Score, Vec<Vec<ProposedTurn>>);

/// Puts a season's cane on its days; `wish`: with the turns that were shown before.
pub(super) fn placed(
    of: &Asked<'_>,
    places: &Places<'_>,
    wish: &Wish,
    days: &mut [ProposedDay],
) -> Found {
    let mut best = tried(of, places, days, of.beside.clone(), false);
    // What was shown stays, with what else finds room, unless something is better by more than it is worth to be moved for.
    let standing = standing(of, places, wish, days);
    let shown = standing.is_some();
    let better = |other: Score, than: Score| {
        if shown {
            sums::is_worth_moving(of.whole, other, than)
        } else {
            other < than
        }
    };
    if let Some(standing) = standing.filter(|standing| !better(best.0, standing.0)) {
        best = standing;
    }
    // Where cane is left over, the minutes that are lost by rounding turns up are worth having.
    if is_left(of.beside, &best.1) {
        let fuller = without_rounding(of.beside, pieces_of(&best.1));
        let other = tried(of, places, days, fuller, true);
        if better(other.0, best.0) {
            best = other;
        }
    }
    // What is put on a day goes by turns of middling size: the others may hold it all the same, and save that day's crew.
    for n in to_close(of, &best.1, days) {
        let mut asked = of.beside.clone();
        for patch in &mut asked.patches {
            patch.lost[n] = None;
        }
        asked.before.retain(|piece| piece.day != n);
        let other = tried(of, places, days, asked, false);
        if better(other.0, best.0) {
            best = other;
        }
    }
    for (day, turns) in days.iter_mut().zip(best.1) {
        day.turns = turns;
    }
    found(of, places, days)
}

/// What there is to say of the turns that are proposed.
pub(super) fn found(of: &Asked<'_>, places: &Places<'_>, days: &[ProposedDay]) -> Found {
    let (better_kg, exact) = how_far(of, days);
    Found {
        exact,
        better_kg,
        why: places.why_left(of.whole, days),
    }
}

/// The turns that were shown before as far as they can stand, and what else finds room; `None`: none was shown.
fn standing(
    of: &Asked<'_>,
    places: &Places<'_>,
    wish: &Wish,
    days: &[ProposedDay],
) -> Option<Placing> {
    if wish.before.is_empty() {
        return None;
    }
    let mut days = days.to_vec();
    for day in &mut days {
        day.turns.retain(|turn| turn.kept);
    }
    let _ = stand(places, wish, &mut days);
    places.fill_up(of.whole, &mut days);
    Some(placing(of, &days))
}

/// How turns compare, with them.
fn placing(of: &Asked<'_>, days: &[ProposedDay]) -> Placing {
    let pieces = pieces(days);
    let score = (of.whole.worst_step(&pieces), of.whole.cost_kg(&pieces));
    let turns = days.iter().map(|day| day.turns.clone());
    (score, turns.collect())
}

/// Whether cane that is worth a turn found no room.
fn is_left(of: &Season, put: &[Vec<ProposedTurn>]) -> bool {
    let all: f64 = of.patches.iter().map(|patch| patch.cane_kg).sum();
    let turns = put.iter().flatten().filter(|turn| !turn.kept);
    let put: f64 = turns.map(|turn| turn.cane.kg()).sum();
    all - put > LEAST_PIECE_KG
}

/// The pieces that those turns are which are not kept.
fn pieces_of(put: &[Vec<ProposedTurn>]) -> Vec<Piece> {
    let mut all: BTreeMap<(usize, usize), f64> = BTreeMap::new();
    for (day, turns) in put.iter().enumerate() {
        for (patch, cane) in turns.iter().filter(|t| !t.kept).flat_map(|t| &t.of) {
            *all.entry((day, *patch)).or_default() += cane.kg();
        }
    }
    all.into_iter()
        .map(|((day, patch), kg)| Piece { patch, day, kg })
        .collect()
}

/// The days of a small season for whose turns alone the crew comes, and whose cane the mill could press in the minutes of the other days
/// that are used.
fn to_close(of: &Asked<'_>, put: &[Vec<ProposedTurn>], days: &[ProposedDay]) -> Vec<usize> {
    if of.beside.patches.len() > sums::SMALL {
        return Vec::new();
    }
    let cane = |n: &usize| -> f64 { put[*n].iter().map(|turn| turn.cane.kg()).sum() };
    let used: Vec<usize> = (0..put.len()).filter(|n| !put[*n].is_empty()).collect();
    let all: f64 = used.iter().map(cane).sum();
    let holds = |n: &usize| of.whole.days[*n].minutes * of.whole.days[*n].kg_per_minute;
    let most: f64 = used.iter().map(holds).sum();
    let alone = |n: &usize| days[*n].is_anew() && put[*n].iter().all(|turn| !turn.kept);
    let mut close = used.clone();
    close.retain(|n| used.len() > 1 && alone(n) && most - holds(n) >= all);
    close
}

/// Puts what is asked on the days, and again with less where those do not hold it; the best of these.
fn tried(
    of: &Asked<'_>,
    places: &Places<'_>,
    days: &mut [ProposedDay],
    mut asked: Season,
    in_fives: bool,
) -> Placing {
    let (fields, pairs) = (
        places.fields.len(),
        (places.fields.len() * days.len()).max(1),
    );
    let rounds = |of: (usize, usize)| (of.0 * fields).min(of.1 / pairs);
    let mut plan = if in_fives && pairs > WHOLE_ANEW {
        sums::propose_near(&asked, rounds(ROUNDS_ANEW), SEED)
    } else if in_fives || asked.before.is_empty() {
        sums::propose(&asked, rounds(ROUNDS), SEED)
    } else {
        sums::propose_again(&asked, rounds(ROUNDS), SEED)
    };
    let fair = asked.worst_step(&plan.pieces);
    let mut helped = false;
    let mut best: Option<Placing> = None;
    for time in 0..=TIMES {
        if in_fives {
            places.in_full_fives(&asked, &mut plan.pieces, days);
        }
        let refused = place(&plan, places, days);
        let now = placing(of, days);
        if best.as_ref().is_none_or(|(had, _)| now.0 < *had) {
            best = Some(now);
        }
        if refused.is_empty() || time == TIMES {
            break;
        }
        give_up(&mut asked, &refused, (&plan.pieces, days));
        asked.before = plan.pieces;
        plan = sums::propose_near(&asked, rounds(ROUNDS_ANEW), SEED);
        // Little by little somebody may have lost much: once all may move again.
        if !helped && asked.worst_step(&plan.pieces) > fair + 1 {
            helped = true;
            asked.before = plan.pieces;
            plan = sums::propose(&asked, rounds(ROUNDS_ANEW), SEED);
        }
    }
    let turns = best.map_or_else(|| vec![Vec::new(); days.len()], |(_, turns)| turns);
    for (day, turns) in days.iter_mut().zip(turns) {
        day.turns = turns;
    }
    // What is left over is put where there still is room, looked at turn by turn; what is compared is the whole.
    places.fill_minutes(of.whole, days);
    places.fill_up(of.whole, days);
    places.fill_minutes(of.whole, days);
    placing(of, days)
}

/// Takes from what may be put on days what those did not hold: from the member alone where it is the member's hours that are short.
fn give_up(asked: &mut Season, refused: &[Refused], (planned, days): (&[Piece], &[ProposedDay])) {
    for one in refused.iter().filter(|one| one.hours) {
        for (field, held) in &one.of {
            let kg = held.kg();
            let enough = kg >= LEAST_PIECE_KG.min(asked.patches[*field].cane_kg) - 1e-3;
            asked.patches[*field].most_kg[one.day] = if enough { kg } else { 0.0 };
        }
    }
    for (n, day) in days.iter().enumerate() {
        let mut on_day = refused.iter().filter(|one| one.day == n).peekable();
        // Once those whose hours are short bring less, the others may find room.
        if on_day.peek().is_none() || on_day.any(|one| one.hours) {
            continue;
        }
        let put = planned.iter().filter(|p| p.day == n);
        let put: f64 = put.map(|p| p.kg).sum();
        let turns = day.turns.iter().filter(|turn| !turn.kept);
        let held: f64 = turns.map(|turn| turn.cane.kg()).sum();
        let most = asked.days[n].most_kg.min(put * 0.999);
        asked.days[n].most_kg = most.min(held.max(put * GIVES_UP_TO));
    }
}

/// Most plantings that one member has among those with cane to propose.
fn many(of: &Season) -> usize {
    let mut many: BTreeMap<usize, usize> = BTreeMap::new();
    for patch in of.patches.iter().filter(|p| p.cane_kg > 0.0) {
        *many.entry(patch.owner).or_default() += 1;
    }
    many.into_values().max().unwrap_or(1)
}

/// The part of each member's cane that no plan could spare, by what is certain of the room of all days.
pub(super) fn least(of: &Season, days: &[ProposedDay]) -> Vec<f64> {
    let many = many(of);
    let days = days.iter().zip(&of.days);
    let season = Season {
        days: days.map(|(day, of)| surely(day, *of, many)).collect(),
        ..of.clone()
    };
    season.least_by_member()
}

/// How much better a plan could be at most, by what is certain of the days' room, and whether none can.
fn how_far(of: &Asked<'_>, days: &[ProposedDay]) -> (f64, bool) {
    let many = many(of.beside);
    let season = Season {
        days: days
            .iter()
            .map(|day| surely(day, reckoned_beside(day, of.weights), many))
            .collect(),
        before: Vec::new(),
        ..of.beside.clone()
    };
    let mut proposed = days.to_vec();
    for day in &mut proposed {
        day.turns.retain(|turn| !turn.kept);
    }
    let own = pieces(&proposed);
    let all: f64 = of.whole.patches.iter().map(|p| p.cane_kg).sum();
    // Cane is planned in whole grams.
    let rounding = 0.05 + 1e-6 * all;
    let (bound, exact) = sums::how_far(&season, &own, rounding);
    // A day opened for what is kept could have its pan filled by others: so much is not reckoned there.
    let short: f64 = days
        .iter()
        .zip(&of.whole.days)
        .filter(|(day, _)| day.is_anew() && day.kept().next().is_some())
        .map(|(day, of)| {
            let there: f64 = day.turns.iter().map(|turn| turn.cane.kg()).sum();
            of.short * (of.pan_kg - there).max(0.0)
        })
        .sum();
    let better = season.cost_kg(&own) - bound + short;
    (better.max(0.0), exact && short <= 0.0)
}

/// The member who loses most beyond what no plan could spare, with the parts of the own cane that are lost and that would be lost in any
/// case: see [`least`].
pub(super) fn worst(
    of: &Season,
    (pieces, least): (&[Piece], &[f64]),
    members: impl Iterator<Item = MemberId>,
) -> Option<(MemberId, f64, f64)> {
    let lost = of.lost_by_member(pieces).into_iter();
    let parts = lost.zip(least.iter().copied());
    let all = members.zip(parts);
    all.map(|(member, (lost, least))| (member, lost, least.min(lost)))
        .max_by(|a, b| {
            let beyond = |one: &(MemberId, f64, f64)| ((one.1 - one.2) * 1e6).round();
            beyond(a).total_cmp(&beyond(b)).then(a.1.total_cmp(&b.1))
        })
}
