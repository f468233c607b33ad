//! What the search tries: plantings taken out and put back another way. Each try changes few turns; whether it is kept is
//! decided elsewhere.

use super::LEAST_PIECE_KG;
use super::place::{NOTHING_KG, Placed};
use rand::{Rng, RngExt};

/// Changes a proposal a little, by chance.
pub(super) fn disturb(at: &mut Placed<'_>, chance: &mut impl Rng) {
    let season = at.season;
    if season.patches.is_empty() || season.days.is_empty() {
        return;
    }
    at.variation.liking.clear();
    if chance.random_bool(0.4) {
        let liking = (0..season.days.len()).map(|_| 1.0 + 0.3 * (chance.random::<f64>() - 0.5));
        at.variation.liking.extend(liking);
    }
    at.variation.turn_kg = if chance.random_bool(0.4) {
        chance.random::<f64>() * 1.5 * dearest_changeover(at)
    } else {
        0.0
    };
    match chance.random_range(0..100) {
        0..45 => elsewhere(at, chance),
        45..70 => of_two_days(at, chance),
        70..80 => in_one_turn(at, chance),
        80..85 => shut_a_day(at, chance),
        85..90 => open_a_day(at, chance),
        90..93 => help_the_worst_off(at, chance),
        93..97 => give_way(at, chance),
        _ => any_few(at, chance),
    }
    at.variation.shut = None;
    at.variation.turn_kg = 0.0;
    at.variation.liking.clear();
}

/// Cane that could be pressed in the minutes between two turns, kg: the most of any day.
fn dearest_changeover(at: &Placed<'_>) -> f64 {
    let days = at.season.days.iter();
    days.map(|d| d.changeover * d.kg_per_minute)
        .fold(0.0, f64::max)
}

fn pick(from: &[usize], chance: &mut impl Rng) -> Option<usize> {
    (!from.is_empty()).then(|| from[chance.random_range(0..from.len())])
}

fn any_planting(at: &Placed<'_>, chance: &mut impl Rng) -> usize {
    chance.random_range(0..at.season.patches.len())
}

/// A day by chance on which a planting can be pressed, rather one that suits it; none when chance found none.
fn suits(at: &Placed<'_>, patch: usize, chance: &mut impl Rng) -> Option<usize> {
    let count = at.season.days.len();
    let mut best: Option<usize> = None;
    for _ in 0..chance.random_range(1..=4) {
        let day = chance.random_range(0..count);
        let better = best.is_none_or(|b| at.worth(patch, day) > at.worth(patch, b));
        if at.can(patch, day) && better {
            best = Some(day);
        }
    }
    best
}

/// Moves a planting, or a piece of it, to another day; who stands in its way looks for another, and so on.
fn elsewhere(at: &mut Placed<'_>, chance: &mut impl Rng) {
    let patch = any_planting(at, chance);
    let Some(day) = suits(at, patch, chance) else {
        return;
    };
    let from = pick(&at.days[patch], chance);
    if from == Some(day) {
        return;
    }
    if let Some(from) = from
        && chance.random_bool(0.8)
    {
        at.put(patch, from, 0.0);
    }
    put_on(at, patch, day, chance);
}

/// What of a planting stands nowhere goes on a day as far as room can be made, and the rest, and who made room, elsewhere.
fn put_on(at: &mut Placed<'_>, patch: usize, day: usize, chance: &mut impl Rng) {
    let out = make_room(at, patch, day, chance);
    put_here(at, patch, day);
    at.put_in(patch, 1.0);
    put_all(at, &out, chance);
}

/// A planting stands on one day alone, with the others of that day making room.
fn in_one_turn(at: &mut Placed<'_>, chance: &mut impl Rng) {
    let start = any_planting(at, chance);
    let count = at.season.patches.len();
    // A planting that is split, or not wholly placed, is preferred.
    let split = (0..count)
        .map(|n| (start + n) % count)
        .find(|p| at.days[*p].len() > 1 || at.left[*p] > NOTHING_KG);
    let Some(patch) = split else { return };
    let day = if chance.random_bool(0.6) {
        pick(&at.days[patch], chance)
    } else {
        suits(at, patch, chance)
    };
    let Some(day) = day else { return };
    at.take_out(patch);
    put_on(at, patch, day, chance);
}

/// Takes other plantings off a day until the part of this one that has no day yet finds room there: at most four, by chance fewer
/// than would be needed. Gives those taken off.
fn make_room(at: &mut Placed<'_>, patch: usize, day: usize, chance: &mut impl Rng) -> Vec<usize> {
    let most = chance.random_range(0..=4);
    let mut out = Vec::new();
    while out.len() < most && at.room(day) < at.left[patch] {
        let others = &at.on[day];
        let Some(other) = pick(others, chance) else {
            break;
        };
        if other == patch {
            break;
        }
        at.put(other, day, 0.0);
        out.push(other);
    }
    out
}

fn put_here(at: &mut Placed<'_>, patch: usize, day: usize) {
    let kg = at.piece(patch, day, at.left[patch]);
    if kg > NOTHING_KG {
        let stands = at.kg(patch, day);
        at.put(patch, day, stands + kg);
    }
}

/// Puts plantings in: in any order, or each time the one that would lose most by waiting, with a little chance in it.
pub(super) fn put_all(at: &mut Placed<'_>, who: &[usize], chance: &mut impl Rng) {
    let mut left: Vec<usize> = who.to_vec();
    let by_regret = left.len() > 1 && chance.random_bool(0.5);
    while !left.is_empty() {
        let next = if by_regret {
            most_urgent(at, &left, 0.6, chance)
        } else {
            chance.random_range(0..left.len())
        };
        let patch = left.swap_remove(next);
        at.put_in(patch, 1.0);
    }
}

/// The place in the list of the planting that would lose most by waiting.
pub(super) fn most_urgent(
    at: &Placed<'_>,
    left: &[usize],
    noise: f64,
    chance: &mut impl Rng,
) -> usize {
    let mut most = (0, f64::NEG_INFINITY);
    for (n, patch) in left.iter().enumerate() {
        let by = 1.0 + noise * (chance.random::<f64>() - 0.5);
        let regret = at.regret(*patch) * by;
        if regret > most.1 {
            most = (n, regret);
        }
    }
    most.0
}

/// An open day, drawn at random.
fn open_day(at: &Placed<'_>, chance: &mut impl Rng) -> Option<usize> {
    let count = at.season.days.len();
    let start = chance.random_range(0..count);
    (0..count)
        .map(|n| (start + n) % count)
        .find(|d| !at.on[*d].is_empty())
}

/// A few pieces of two days are put back another way.
fn of_two_days(at: &mut Placed<'_>, chance: &mut impl Rng) {
    let mut out = Vec::new();
    for _ in 0..2 {
        let Some(day) = open_day(at, chance) else {
            return;
        };
        for _ in 0..chance.random_range(1..=3) {
            if let Some(patch) = pick(&at.on[day], chance) {
                at.put(patch, day, 0.0);
                out.push(patch);
            }
        }
    }
    out.sort_unstable();
    out.dedup();
    put_all(at, &out, chance);
}

/// Any few plantings are put back another way.
fn any_few(at: &mut Placed<'_>, chance: &mut impl Rng) {
    let mut out: Vec<usize> = (0..chance.random_range(2..=6))
        .map(|_| any_planting(at, chance))
        .collect();
    out.sort_unstable();
    out.dedup();
    for patch in &out {
        at.take_out(*patch);
    }
    put_all(at, &out, chance);
}

/// All that stands on a day goes elsewhere.
fn shut_a_day(at: &mut Placed<'_>, chance: &mut impl Rng) {
    let Some(day) = open_day(at, chance) else {
        return;
    };
    let out = clear(at, day);
    at.variation.shut = Some(day);
    put_all(at, &out, chance);
}

fn clear(at: &mut Placed<'_>, day: usize) -> Vec<usize> {
    let out = at.on[day].clone();
    for patch in &out {
        at.put(*patch, day, 0.0);
    }
    out
}

/// A day is opened, sometimes in the place of another: for what it would suit better, and what has no place.
fn open_a_day(at: &mut Placed<'_>, chance: &mut impl Rng) {
    let count = at.season.days.len();
    let start = chance.random_range(0..count);
    let shut = (0..count)
        .map(|n| (start + n) % count)
        .find(|d| at.on[*d].is_empty());
    let Some(day) = shut else { return };
    let mut out = Vec::new();
    if chance.random_bool(0.5)
        && let Some(other) = open_day(at, chance)
    {
        out = clear(at, other);
        at.variation.shut = Some(other);
    }
    let by = if chance.random_bool(0.5) { 0.0 } else { 0.03 };
    let mut gains: Vec<(f64, usize)> = (0..at.season.patches.len())
        .filter(|p| at.can(*p, day) && !out.contains(p))
        .map(|p| (gain_there(at, p, day), p))
        .filter(|(gain, _)| *gain > -by)
        .collect();
    gains.extend(out.iter().map(|p| (at.worth(*p, day) - 0.5, *p)));
    gains.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    for (_, patch) in gains {
        if !at.can(patch, day)
            || at.room(day) < at.season.patches[patch].cane_kg.min(LEAST_PIECE_KG)
        {
            continue;
        }
        at.take_out(patch);
        put_here(at, patch, day);
        out.push(patch);
    }
    out.sort_unstable();
    out.dedup();
    put_all(at, &out, chance);
}

/// How much more a kilogram of a planting would save on this day than where it stands.
fn gain_there(at: &Placed<'_>, patch: usize, day: usize) -> f64 {
    let there = at.worth(patch, day);
    if at.left[patch] > NOTHING_KG {
        return there;
    }
    let days = at.days[patch].iter();
    there - days.map(|d| at.worth(patch, *d)).fold(1.0, f64::min)
}

/// Whoever is worst off goes in first, then some from the days that would suit.
fn help_the_worst_off(at: &mut Placed<'_>, chance: &mut impl Rng) {
    let worst = at.worst().0;
    let patches = &at.season.patches;
    let own: Vec<usize> = (0..patches.len())
        .filter(|p| patches[*p].owner == worst)
        .collect();
    let Some(patch) = pick(&own, chance) else {
        return;
    };
    at.take_out(patch);
    match suits(at, patch, chance) {
        Some(day) => put_on(at, patch, day, chance),
        None => at.put_in(patch, 1.0),
    }
}

/// Gives somebody whose cane is not all placed more room on a day, by letting another bring less: just as much as
/// makes the first one's loss bearable, or any part of what can be had.
fn give_way(at: &mut Placed<'_>, chance: &mut impl Rng) {
    let start = any_planting(at, chance);
    let count = at.season.patches.len();
    let wants = (0..count)
        .map(|n| (start + n) % count)
        .find(|p| at.left[*p] > NOTHING_KG);
    let Some(patch) = wants else { return };
    let day = if chance.random_bool(0.8) {
        pick(&at.days[patch], chance)
    } else {
        suits(at, patch, chance)
    };
    let Some(day) = day else { return };
    let Some(other) = pick(&at.on[day], chance).filter(|other| *other != patch) else {
        return;
    };
    let has = at.kg(other, day);
    let spare = (has - LEAST_PIECE_KG).max(0.0).min(at.left[patch]);
    let missing = at.unbearable(patch);
    let gives = if missing > 0.0 && chance.random_bool(0.5) {
        missing.min(spare)
    } else {
        spare * chance.random::<f64>()
    };
    if gives < NOTHING_KG {
        return;
    }
    at.put(other, day, has - gives);
    put_here(at, patch, day);
    at.put_in(other, 1.0);
}
