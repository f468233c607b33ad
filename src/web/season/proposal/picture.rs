//! The proposal as a picture: days across; for each the cane put there against what it can take; below, a line for
//! each planting with the days it is ready and the days it was put on. Geometry only; the tables say the same.

use crate::calc::paper::chart::{Axis, tenth};
use crate::facts::season::proposal::SeasonProposal;
use crate::units::{Grams, PressDate};

const WIDTH: f64 = 720.0;
const LEFT: f64 = 210.0;
const TOP: f64 = 16.0;
/// Height of the bars, and of a planting's line.
const BARS: f64 = 90.0;
const LINE: f64 = 24.0;

/// A day's bar: what it can take, and what is put there.
pub(super) struct Bar {
    pub(super) x: f64,
    pub(super) most_y: f64,
    pub(super) most_height: f64,
    pub(super) y: f64,
    pub(super) height: f64,
    pub(super) label: String,
}

/// A planting's line.
pub(super) struct Line {
    pub(super) y: f64,
    pub(super) label: String,
    pub(super) from: f64,
    pub(super) width: f64,
    /// Where it was put.
    pub(super) put: Vec<f64>,
}

/// The picture.
pub(super) struct Picture {
    pub(super) width: f64,
    pub(super) height: f64,
    pub(super) left: f64,
    pub(super) base: f64,
    pub(super) bars: Vec<Bar>,
    pub(super) lines: Vec<Line>,
}

fn number(of: i64) -> f64 {
    Grams::new(of).as_f64()
}

/// The picture of a proposal; `None`: there is no day or no planting.
pub(super) fn of(of: &SeasonProposal) -> Option<Picture> {
    let (first, last) = (of.days.first()?.day.date, of.days.last()?.day.date);
    if of.fields.is_empty() {
        return None;
    }
    let days = |date: PressDate| number((date.date() - first.date()).whole_days());
    // A week on either side, so that what is ready before or after is seen to be.
    let across = Axis::new((-7.0, days(last) + 7.0), (LEFT, WIDTH - 6.0));
    let most = of.days.iter().map(|d| d.most.kg()).fold(1.0, f64::max);
    let base = TOP + BARS;
    let high = |kg: f64| tenth(BARS * (kg / most).min(1.0));
    let bars = of
        .days
        .iter()
        .map(|day| {
            let put: f64 = day.turns.iter().map(|t| t.cane.kg()).sum();
            let (full, height) = (high(day.most.kg()), high(put));
            Bar {
                x: across.at(days(day.day.date)),
                most_y: tenth(base - full),
                most_height: full,
                y: tenth(base - height),
                height,
                label: day.day.date.date().day().to_string(),
            }
        })
        .collect();
    let lines = of
        .fields
        .iter()
        .enumerate()
        .map(|(n, field)| {
            let clip = |date: PressDate| days(date).clamp(-7.0, days(last) + 7.0);
            let from = across.at(clip(field.ready.from));
            Line {
                y: base + 40.0 + LINE * number(i64::try_from(n).unwrap_or_default()),
                label: field.planting.member.to_string(),
                from,
                width: tenth((across.at(clip(field.ready.to)) - from).max(2.0)),
                put: of
                    .days
                    .iter()
                    .filter(|day| day.turns.iter().any(|t| t.of.iter().any(|(f, _)| *f == n)))
                    .map(|day| across.at(days(day.day.date)))
                    .collect(),
            }
        })
        .collect();
    let count = number(i64::try_from(of.fields.len()).unwrap_or_default());
    Some(Picture {
        width: WIDTH,
        height: base + 40.0 + LINE * count,
        left: LEFT,
        base,
        bars,
        lines,
    })
}
