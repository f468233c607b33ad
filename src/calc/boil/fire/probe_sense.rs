//! Whether what a probe sent of a boil can be believed, before the watch weighs it: against the thermometer that is read
//! by hand, which is the one the day's boiling water was read with, and against itself, since a pan that boils grows no
//! colder. What cannot be believed is left out, what is off by one and the same difference is put right by it, and either
//! is said. One comparison decides nothing, confirmed or not, and of two thermometers the one that fell is the doubtful
//! one. All limits here are our own allowances.

use super::on_fire::{By, Done, FireSaid, Reading};
use crate::calc::boil::probes::TempAt;
use crate::units::{Celsius, UtcSecond};

/// What is amiss with a probe.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amiss {
    /// It shows so many °C more than the thermometer at the last comparison, or less; `how`: what the watch makes of it.
    Apart {
        /// °C.
        more: f64,
        /// When they were compared last.
        at: UtcSecond,
        /// What the watch makes of it.
        how: Use,
    },
    /// It shows less than before, in a pan that boils: what it sent since then is left out.
    Fell {
        /// Since when.
        since: UtcSecond,
        /// What it showed before.
        from: Celsius,
        /// What it shows.
        to: Celsius,
    },
    /// It stands still, in syrup that thickens.
    Still {
        /// Since when.
        since: UtcSecond,
        /// Where.
        at: Celsius,
        /// Whether it counts all the same: it wavers as a thermometer does that hangs in a pan, only about one figure.
        counts: bool,
    },
}

impl Amiss {
    /// The last moment of which what a probe sends counts, where it counts for nothing by itself since then.
    pub fn counts_until(&self) -> Option<UtcSecond> {
        match *self {
            Self::Fell { since, .. } => Some(since),
            Self::Still { since, counts, .. } => (!counts).then_some(since),
            Self::Apart { .. } => None,
        }
    }
}

/// What is made of a probe that differs from the thermometer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Use {
    /// It counts: they were compared once, and either may be wrong.
    AsItIs,
    /// The same difference each time: it is taken off.
    Corrected,
    /// It counts for nothing since they last agreed.
    LeftOut,
    /// It counts: the thermometer shows less than it did before, and a pan that boils grows no colder.
    HandFell,
}

/// A probe's readings as they are believed, and what is amiss.
#[derive(Debug, Clone, PartialEq)]
pub struct Sensed {
    /// What counts, by time, put right.
    pub readings: Vec<TempAt>,
    /// What is amiss.
    pub amiss: Option<Amiss>,
}

/// A probe is compared with what was read by hand within so many seconds.
const BESIDE_S: i64 = 90;
/// So far apart two thermometers in one pan are not, °C: near the end it rises by as much in a minute.
const APART_C: f64 = 1.2;
/// A difference is the same as another within so many °C.
const SAME_C: f64 = 1.2;
/// It is worked from so many of the last comparisons at most.
const LAST: usize = 3;
/// Below boiling water by so many °C, a pan is not at the boil and warms unevenly.
const COLD_C: f64 = 1.0;

/// So much of what was sent is taken together, seconds.
const STRETCH_S: i64 = 120;
/// A pan that boils does not fall by so many °C, and not for so many stretches on end.
const FALLS_C: f64 = 0.7;
const FALLEN: usize = 4;
/// It has come back within so many °C of where it was.
const BACK_C: f64 = 0.3;
/// So many °C above water syrup thickens fast enough to be seen within these stretches, by more than so many °C.
const THICK_C: f64 = 1.5;
const STILL: usize = 7;
const STILL_C: f64 = 0.2;
/// A live probe in a pan that boils rises and wavers. One whose figures do not move, but by a step of what it can show, has
/// stuck once it would have climbed so far, °C, and two of its steps more, as it climbed before; not within so many seconds.
const STUCK_C: f64 = 0.6;
const STUCK_LEAST_S: i64 = 120;
/// Where nothing tells how it climbed before: it has stuck after so many seconds.
const STUCK_UNTOLD_S: i64 = 600;
/// How it climbed before is told by so many seconds, from and to.
const CLIMBED_S: (i64, i64) = (180, 600);
/// By so much at most does one waver that has stuck, °C: a step of a fine probe, and none of a coarse one, which moves by a
/// whole step in a pan whose fire was let down.
const WAVERS_C: f64 = 0.1;
/// The coarsest step that is taken for one of a probe's, °C, and the finest.
const STEP_C: (f64, f64) = (1e-3, 0.6);
/// So long after the fire was lit again or juice was poured in, a pan may be colder than it was, seconds.
const COMES_BACK_S: i64 = 15 * 60;

/// Two thermometers compared.
#[derive(Debug, Clone, Copy)]
struct Pair {
    at: UtcSecond,
    more: f64,
    by_hand: f64,
}

/// Looks over what a probe sent, by time, beside all that was noted by hand; `water`: where water boils, °C.
pub fn sense(sent: &[TempAt], by_hand: &[Reading], water: Celsius) -> Sensed {
    let (readings, apart) = against_hand(sent, by_hand, water);
    let (readings, stuck) = without_stuck(&readings, by_hand, water);
    let (readings, alone) = against_itself(readings, by_hand, water);
    Sensed {
        readings,
        amiss: apart.or(stuck).or(alone),
    }
}

/// Leaves out what a probe sent while it stood where it was, all but the first of it; says so while it still does.
fn without_stuck(
    sent: &[TempAt],
    by_hand: &[Reading],
    water: Celsius,
) -> (Vec<TempAt>, Option<Amiss>) {
    let step = step_of(sent);
    let mut out: Vec<(usize, usize)> = Vec::new();
    let mut from = 0;
    let (mut low, mut high) = (f64::MAX, f64::MIN);
    for to in 0..sent.len() {
        let shows = sent[to].temp.get();
        (low, high) = (low.min(shows), high.max(shows));
        if high - low > step.min(WAVERS_C) + STEP_C.0 {
            (from, low, high) = (to, shows, shows);
        }
        let cold = || [from, to].iter().any(|n| may_be_cold(by_hand, sent[*n].at));
        if has_stuck(sent, (from, to), step, water) && !cold() {
            match out.last_mut() {
                Some(last) if last.0 == from => last.1 = to,
                _ => out.push((from, to)),
            }
        }
    }
    let still = out.last().filter(|(_, to)| to + 1 == sent.len());
    let amiss = still.map(|(from, _)| Amiss::Still {
        since: sent[*from].at,
        at: sent[*from].temp,
        counts: false,
    });
    let counts = |place: usize| !out.iter().any(|(from, to)| *from < place && place <= *to);
    let kept = sent.iter().enumerate().filter(|(n, _)| counts(*n));
    (kept.map(|(_, one)| *one).collect(), amiss)
}

/// The least by which two figures of a probe differ that it sent one after the other: the step of what it can show.
fn step_of(sent: &[TempAt]) -> f64 {
    sent.windows(2)
        .map(|two| (two[1].temp.get() - two[0].temp.get()).abs())
        .filter(|by| *by > STEP_C.0)
        .fold(STEP_C.1, f64::min)
}

/// Whether the figures from one place to another stand still for too long to be a pan's that boils.
fn has_stuck(sent: &[TempAt], (from, to): (usize, usize), step: f64, water: Celsius) -> bool {
    let (first, last) = (&sent[from], &sent[to]);
    let stood = last.at.get() - first.at.get();
    if stood < STUCK_LEAST_S || first.temp.get() < water.get() + THICK_C {
        return false;
    }
    let ago = |one: &TempAt| first.at.get() - one.at.get();
    let before = sent[..from].iter().rev();
    let before = before
        .take_while(|one| ago(one) <= CLIMBED_S.1)
        .filter(|one| ago(one) >= CLIMBED_S.0)
        .last();
    let climbed = before.map(|one| (first.temp.get() - one.temp.get(), ago(one)));
    #[expect(clippy::cast_precision_loss, reason = "minutes of a boil")]
    match climbed {
        Some((by, seconds)) if by > 0.0 => {
            by * stood as f64 / seconds as f64 >= STUCK_C + 2.0 * step
        }
        _ => stood >= STUCK_UNTOLD_S,
    }
}

fn pairs(sent: &[TempAt], by_hand: &[Reading], water: Celsius) -> Vec<Pair> {
    let boils = |temp: Celsius| temp.get() > water.get() - COLD_C;
    by_hand
        .iter()
        .filter(|read| read.by == By::Hand)
        .filter_map(|read| {
            let temp = read.temp.filter(|temp| boils(*temp))?;
            let near = |one: &&TempAt| (one.at.get() - read.at.get()).abs() <= BESIDE_S;
            let shown = middle(sent.iter().filter(near).map(|one| one.temp.get()))?;
            Some(Pair {
                at: read.at,
                more: shown - temp.get(),
                by_hand: temp.get(),
            })
        })
        .collect()
}

fn middle(of: impl Iterator<Item = f64>) -> Option<f64> {
    let mut all: Vec<f64> = of.collect();
    all.sort_unstable_by(f64::total_cmp);
    all.get(all.len() / 2).copied()
}

fn against_hand(
    sent: &[TempAt],
    by_hand: &[Reading],
    water: Celsius,
) -> (Vec<TempAt>, Option<Amiss>) {
    let all = pairs(sent, by_hand, water);
    let as_sent = || sent.to_vec();
    let Some(last) = all.last().filter(|pair| pair.more.abs() >= APART_C) else {
        return (as_sent(), None);
    };
    let apart = |how, more| {
        let at = last.at;
        Some(Amiss::Apart { more, at, how })
    };
    let apart_on_end = all
        .iter()
        .rev()
        .take_while(|pair| pair.more.abs() >= APART_C);
    let apart_on_end = apart_on_end.count();
    let latest = &all[all.len() - apart_on_end..];
    if latest
        .first()
        .is_some_and(|first| hand_fell(by_hand, first.at, last))
    {
        return (as_sent(), apart(Use::HandFell, last.more));
    }
    if apart_on_end < 2 {
        return (as_sent(), apart(Use::AsItIs, last.more));
    }
    let latest = &all[all.len() - apart_on_end.min(LAST)..];
    let off = middle(latest.iter().map(|pair| pair.more)).unwrap_or(last.more);
    if all.iter().all(|pair| (pair.more - off).abs() <= SAME_C) {
        let right = |one: &TempAt| TempAt {
            temp: Celsius::new(one.temp.get() - off).unwrap_or(one.temp),
            ..*one
        };
        return (sent.iter().map(right).collect(), apart(Use::Corrected, off));
    }
    let agreed = all[..all.len() - apart_on_end].last();
    let counts = |one: &&TempAt| agreed.is_some_and(|pair| one.at <= pair.at);
    let kept = sent.iter().filter(counts).copied().collect();
    (kept, apart(Use::LeftOut, last.more))
}

/// Whether the thermometer showed more by hand before they first differed, in a pan that was not drawn nor poured into since.
fn hand_fell(by_hand: &[Reading], differed: UtcSecond, last: &Pair) -> bool {
    let mut most: Option<f64> = None;
    for read in by_hand.iter().take_while(|read| read.at <= last.at) {
        let grew_cold = matches!(
            read.done,
            Some(Done::Fire(FireSaid::Drawn | FireSaid::Relit) | Done::Poured(_))
        );
        if grew_cold {
            most = None;
        }
        if let (true, Some(temp)) = (read.at < differed, read.temp) {
            most = Some(most.map_or(temp.get(), |most| most.max(temp.get())));
        }
    }
    most.is_some_and(|most| last.by_hand < most - FALLS_C)
}

/// A stretch of what was sent: its first and last place, and its middle figure.
#[derive(Debug, Clone, Copy)]
struct Stretch {
    from: usize,
    to: usize,
    shows: f64,
}

fn stretches(sent: &[TempAt]) -> Vec<Stretch> {
    let mut out: Vec<Stretch> = Vec::new();
    for (place, one) in sent.iter().enumerate() {
        match out.last_mut() {
            Some(last) if one.at.get() - sent[last.from].at.get() < STRETCH_S => last.to = place,
            _ => out.push(Stretch {
                from: place,
                to: place,
                shows: 0.0,
            }),
        }
    }
    for one in &mut out {
        let temps = sent[one.from..=one.to].iter().map(|read| read.temp.get());
        one.shows = middle(temps).unwrap_or_default();
    }
    out
}

/// The stretches in which the pan may be colder than before: its fire is drawn, or it comes back to the boil.
fn may_be_cold(by_hand: &[Reading], at: UtcSecond) -> bool {
    let mut cold = false;
    for read in by_hand.iter().take_while(|read| read.at <= at) {
        cold = match read.done {
            Some(Done::Fire(FireSaid::Drawn)) => true,
            Some(Done::Fire(FireSaid::Relit) | Done::Poured(_)) => {
                at.get() - read.at.get() < COMES_BACK_S
            }
            _ => cold,
        };
    }
    cold
}

fn against_itself(
    sent: Vec<TempAt>,
    by_hand: &[Reading],
    water: Celsius,
) -> (Vec<TempAt>, Option<Amiss>) {
    let all = stretches(&sent);
    let mut high: Option<f64> = None;
    let mut left_out: Vec<(usize, usize)> = Vec::new();
    let mut fallen: Vec<Stretch> = Vec::new();
    let mut still = 0;
    for (n, one) in all.iter().enumerate() {
        if may_be_cold(by_hand, sent[one.from].at) {
            (high, still) = (None, n);
            fallen.clear();
            continue;
        }
        let held =
            n > 0 && all[n - 1].shows >= one.shows - BACK_C && one.shows > water.get() - COLD_C;
        if high.is_some_and(|high| one.shows < high - FALLS_C) {
            fallen.push(*one);
        } else if high.is_none_or(|high| one.shows >= high - BACK_C) {
            left_out.extend(long_enough(&fallen));
            fallen.clear();
        }
        if held {
            high = Some(high.map_or(one.shows, |high| high.max(one.shows)));
        }
        if (one.shows - all[still].shows).abs() > STILL_C {
            still = n;
        }
    }
    let fell = long_enough(&fallen);
    left_out.extend(fell);
    let (Some(last), Some(since)) = (all.last(), all.get(still)) else {
        return (sent, None);
    };
    let celsius = |value: f64| Celsius::new(value).ok();
    let stands = all.len() - still > STILL && last.shows > water.get() + THICK_C;
    let amiss = if let Some((from, _)) = fell {
        high.and_then(|high| {
            Some(Amiss::Fell {
                since: sent[from].at,
                from: celsius(high)?,
                to: celsius(last.shows)?,
            })
        })
    } else if stands {
        celsius(since.shows).map(|at| Amiss::Still {
            since: sent[since.from].at,
            at,
            counts: true,
        })
    } else {
        None
    };
    let counts = |place: usize| {
        let out = |(from, to): &(usize, usize)| (*from..=*to).contains(&place);
        !left_out.iter().any(out)
    };
    let kept = sent
        .into_iter()
        .enumerate()
        .filter(|(place, _)| counts(*place));
    (kept.map(|(_, one)| one).collect(), amiss)
}

/// Where stretches in which it stood lower begin and end, if they are long enough to leave out.
fn long_enough(fallen: &[Stretch]) -> Option<(usize, usize)> {
    let (first, last) = (fallen.first()?, fallen.last()?);
    (fallen.len() >= FALLEN).then_some((first.from, last.to))
}

#[cfg(test)]
#[path = "probe_sense_tests.rs"]
mod tests;
