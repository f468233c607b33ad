//! The proposal as a picture: days across; for each what it can take, and how far mill, pans and vessels are taken; below, a line for
//! each planting with the days it is ready and the days it has: proposed, asked about, booked. As narrow as a phone. Geometry only; the
//! tables say the same.

use crate::calc::paper::chart::{Axis, tenth};
use crate::facts::season::proposal::SeasonProposal;
use crate::facts::season::proposal_days::ProposedDay;
use crate::facts::season::proposal_fields::{Field, How};
use crate::facts::season::proposal_loads::Load;
use crate::units::{Grams, Minutes, PressDate};

const WIDTH: f64 = 360.0;
const LEFT: f64 = 6.0;
const TOP: f64 = 10.0;
/// Height of the bars, and of a planting's name with its line.
const BARS: f64 = 90.0;
const LINE: f64 = 36.0;
/// Dates that are nearer to each other than this are not all written.
const APART: f64 = 18.0;
/// Height of the dates below the bars.
const DATES: f64 = 58.0;

/// A column within a day's bar.
pub(super) struct Column {
    pub(super) x: f64,
    pub(super) width: f64,
    pub(super) y: f64,
    pub(super) height: f64,
}

/// A day's bar: what it can take, and how far mill, pans and vessels are taken.
pub(super) struct Bar {
    pub(super) x: f64,
    pub(super) most_y: f64,
    pub(super) most_height: f64,
    /// What of it is taken: of the mill, the pans, the vessels, one beside the other.
    pub(super) loads: Vec<Column>,
    pub(super) label: String,
    /// The month, below the first of its days.
    pub(super) month: String,
}

/// How far a planting's day has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Has {
    Proposed,
    Asked,
    Booked,
}

/// A planting's line.
pub(super) struct PlantingLine {
    pub(super) y: f64,
    pub(super) label: String,
    pub(super) from: f64,
    pub(super) width: f64,
    /// Places of the days that it has, each with how far it has come.
    pub(super) put: Vec<(f64, Has)>,
}

/// The picture of a proposal, ready to draw.
pub(super) struct Picture {
    pub(super) width: f64,
    pub(super) height: f64,
    pub(super) left: f64,
    pub(super) base: f64,
    pub(super) bars: Vec<Bar>,
    pub(super) lines: Vec<PlantingLine>,
}

impl PlantingLine {
    /// Places of the days that have come so far, for the template.
    pub(super) fn marks(&self, has: Has) -> Vec<f64> {
        let own = self.put.iter().filter(|(_, h)| *h == has);
        own.map(|(x, _)| *x).collect()
    }

    pub(super) fn proposed(&self) -> Vec<f64> {
        self.marks(Has::Proposed)
    }

    pub(super) fn asked(&self) -> Vec<f64> {
        self.marks(Has::Asked)
    }

    pub(super) fn booked(&self) -> Vec<f64> {
        self.marks(Has::Booked)
    }
}

fn number(of: i64) -> f64 {
    Grams::new(of).as_f64()
}

/// The picture of a proposal; `None`: there is no day or no planting.
pub(super) fn of(of: &SeasonProposal) -> Option<Picture> {
    let (first, last) = (of.days.first()?.day.date, of.days.last()?.day.date);
    if of.fields.is_empty() && of.done.is_empty() {
        return None;
    }
    let days = |date: PressDate| number((date.date() - first.date()).whole_days());
    // A week on either side, so that what is ready before or after is seen to be.
    let ends = (-7.0, days(last) + 7.0);
    let across = Axis::new(ends, (LEFT, WIDTH - 6.0));
    let base = TOP + BARS;
    // Turns of days before the first are over, and so are plantings that have no others.
    let to_come = |date: PressDate| date >= first;
    let done = of.done.iter().filter(|field| {
        let mut own = field.spoken.iter().map(|(n, _)| of.spoken[*n].date);
        own.any(to_come)
    });
    let mut all: Vec<(&Field, Option<usize>)> = done.map(|f| (f, None)).collect();
    all.extend(of.fields.iter().enumerate().map(|(n, f)| (f, Some(n))));
    all.sort_by_key(|(f, _)| (f.ready.best, f.planting.id));
    let clip = |date: PressDate| days(date).clamp(ends.0, ends.1);
    let lines = all.iter().enumerate().map(|(row, (field, place))| {
        let from = across.at(clip(field.ready.from));
        let y = base + DATES + LINE * number(i64::try_from(row).unwrap_or_default());
        let at = |(date, has): (PressDate, Has)| (across.at(clip(date)), has);
        let has = has(of, field, *place).into_iter();
        let put = has.filter(|(date, _)| to_come(*date)).map(at).collect();
        PlantingLine {
            y,
            label: format!("{}, {}", field.planting.member, field.planting.variety),
            from,
            width: tenth((across.at(clip(field.ready.to)) - from).max(2.0)),
            put,
        }
    });
    let lines: Vec<PlantingLine> = lines.collect();
    let count = number(i64::try_from(lines.len()).unwrap_or_default());
    Some(Picture {
        width: WIDTH,
        height: base + DATES + LINE * count,
        left: LEFT,
        base,
        bars: bars(of, |date| across.at(days(date)), base),
        lines,
    })
}

fn bars(of: &SeasonProposal, at: impl Fn(PressDate) -> f64, base: f64) -> Vec<Bar> {
    let all = |day: &ProposedDay| -> f64 {
        let held: f64 = day.room.held.iter().map(|held| held.cane.kg()).sum();
        let put: f64 = day.turns.iter().map(|t| t.cane.kg()).sum();
        held + put.max(day.most.kg())
    };
    let most = of.days.iter().map(all).fold(1.0, f64::max);
    let (mut written, mut month) = (f64::NEG_INFINITY, None);
    let mut bars = Vec::new();
    for day in &of.days {
        let full = tenth(BARS * all(day) / most);
        let (x, date) = (at(day.day.date), day.day.date.date());
        let is_written = x - written >= APART;
        if is_written {
            written = x;
        }
        let is_first = month.replace(date.month()) != Some(date.month());
        bars.push(Bar {
            x,
            most_y: tenth(base - full),
            most_height: full,
            loads: columns(day, (x, base), full),
            label: if is_written {
                date.day().to_string()
            } else {
                String::new()
            },
            month: if is_first {
                date.month().to_string().chars().take(3).collect()
            } else {
                String::new()
            },
        });
    }
    bars
}

/// Width of a day's bar.
const WIDE: f64 = 10.0;

/// What of a day's mill, pans and vessels is taken, as columns of its bar.
fn columns(day: &ProposedDay, (x, base): (f64, f64), full: f64) -> Vec<Column> {
    let loads = day.loads();
    let part = |taken: f64, of: f64| (taken / of.max(1.0)).min(1.0);
    let minutes = |load: Load<Minutes>| part(number(load.taken.get()), number(load.of.get()));
    let count = |n: usize| number(i64::try_from(n).unwrap_or_default());
    let mut parts = vec![minutes(loads.mill)];
    parts.extend(loads.pans.map(minutes));
    parts.extend(loads.vessels.map(|v| part(count(v.taken), count(v.of))));
    let width = WIDE / count(parts.len());
    let columns = parts.iter().enumerate().map(|(n, part)| Column {
        x: tenth(x - WIDE / 2.0 + width * count(n)),
        width: tenth(width - 0.5),
        y: tenth(base - full * part),
        height: tenth(full * part),
    });
    columns.collect()
}

/// The days that a planting has; `place`: among those that wait.
fn has(of: &SeasonProposal, field: &Field, place: Option<usize>) -> Vec<(PressDate, Has)> {
    let spoken = field.spoken.iter().map(|(n, _)| {
        let one = &of.spoken[*n];
        let has = match one.how {
            How::Booked => Has::Booked,
            _ => Has::Asked,
        };
        (one.date, has)
    });
    let proposed = of.days.iter().filter(|day| {
        let mut own = day.turns.iter().flat_map(|t| &t.of);
        place.is_some_and(|n| own.any(|(f, _)| *f == n))
    });
    let mut all: Vec<(PressDate, Has)> = spoken.collect();
    all.extend(proposed.map(|day| (day.day.date, Has::Proposed)));
    all.dedup();
    all
}
