//! The weeks of a plan as a picture: for each week a bar for the mill's hours and one for the pan's,
//! each with a mark at what the press days have. Geometry only; the table says the same in words.

use crate::calc::paper::chart::{Axis, tenth};
use crate::calc::season::season_plan::Week;
use crate::units::{Grams, Minutes};

const WIDTH: f64 = 720.0;
const HEIGHT: f64 = 260.0;
const LEFT: f64 = 44.0;
const TOP: f64 = 12.0;
const BOTTOM: f64 = 222.0;

/// One bar of the plan's picture.
pub(super) struct Bar {
    pub(super) x: f64,
    pub(super) y: f64,
    pub(super) width: f64,
    pub(super) height: f64,
    /// Its class in the style sheet: mill or pan, and whether it is short.
    pub(super) look: &'static str,
    /// Left end of the mark that shows how much time there is.
    pub(super) mark_from: f64,
    pub(super) mark_to: f64,
    pub(super) mark_y: f64,
}

/// Words at a place in the picture.
pub(super) struct Word {
    pub(super) x: f64,
    pub(super) y: f64,
    pub(super) text: String,
}

/// The picture of a season's plan, ready to draw.
pub(super) struct Picture {
    pub(super) width: f64,
    pub(super) height: f64,
    pub(super) left: f64,
    pub(super) right: f64,
    pub(super) base: f64,
    pub(super) bars: Vec<Bar>,
    pub(super) ticks: Vec<Word>,
    pub(super) weeks: Vec<Word>,
}

fn hours(minutes: Minutes) -> f64 {
    Grams::new(minutes.get()).as_f64() / 60.0
}

/// The Monday of a week, short: "24 Aug".
pub(super) fn monday(week: &Week) -> String {
    let date = week.monday.date();
    let month: String = date.month().to_string().chars().take(3).collect();
    format!("{} {month}", date.day())
}

/// The picture of some weeks; `None` of none.
pub(super) fn of(weeks: &[Week]) -> Option<Picture> {
    let most = weeks
        .iter()
        .flat_map(|w| {
            let (pan, has) = w.pan.unwrap_or_default();
            [w.mill.0, w.mill.1, pan, has]
        })
        .map(hours)
        .fold(1.0, f64::max);
    let across = Axis::new((0.0, most), (BOTTOM, TOP));
    let count = Grams::new(i64::try_from(weeks.len()).ok()?).as_f64();
    if weeks.is_empty() {
        return None;
    }
    let each = (WIDTH - LEFT - 4.0) / count;
    let (mut bars, mut names) = (Vec::new(), Vec::new());
    let mut x = LEFT + 4.0;
    for week in weeks {
        let width = (each * 0.36).min(60.0);
        let both = [(Some(week.mill), "mill"), (week.pan, "pan")];
        for (nth, (figures, which)) in both.into_iter().enumerate() {
            let Some((takes, has)) = figures else {
                continue;
            };
            let from = x + if nth == 0 { 0.0 } else { width + 2.0 };
            let y = across.at(hours(takes));
            bars.push(Bar {
                x: tenth(from),
                y,
                width: tenth(width),
                height: tenth(BOTTOM - y),
                look: match (which, takes > has) {
                    ("mill", false) => "bar-mill",
                    ("mill", true) => "bar-mill bar-short",
                    (_, false) => "bar-pan",
                    (_, true) => "bar-pan bar-short",
                },
                mark_from: tenth(from - 1.0),
                mark_to: tenth(from + width + 1.0),
                mark_y: across.at(hours(has)),
            });
        }
        names.push(Word {
            x: tenth(x + width),
            y: BOTTOM + 18.0,
            text: monday(week),
        });
        x += each;
    }
    // In a long season every name would run into the next.
    let keep = (weeks.len() / 12) + 1;
    let weeks = names.into_iter().step_by(keep).collect();
    let tick = |hours: f64| Word {
        x: LEFT - 6.0,
        y: across.at(hours),
        text: format!("{hours:.0}"),
    };
    let ticks = across.ticks(6).into_iter().map(tick).collect();
    Some(Picture {
        width: WIDTH,
        height: HEIGHT,
        left: LEFT,
        right: WIDTH,
        base: BOTTOM,
        bars,
        ticks,
        weeks,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::PressDate;

    fn week(n: i64, mill: i64, has: i64) -> Week {
        Week {
            monday: PressDate::parse("2026-08-31").unwrap().plus_days(7 * n),
            cane: Grams::new(1000),
            juice: Grams::new(450),
            solids: Grams::new(70),
            syrup: Grams::new(72),
            days: 1,
            mill: (Minutes::new(mill), Minutes::new(has)),
            pan: Some((Minutes::new(2 * mill), Minutes::new(has))),
            boiling: Minutes::new(mill),
        }
    }

    #[test]
    fn bars_stand_on_the_base_as_high_as_their_hours_within_the_picture() {
        let drawn = of(&[week(0, 300, 600), week(1, 400, 600)]).unwrap();
        assert_eq!(drawn.bars.len(), 4);
        for bar in &drawn.bars {
            assert!((bar.y + bar.height - BOTTOM).abs() < 0.11);
            assert!(bar.x >= LEFT && bar.x + bar.width <= WIDTH && bar.y >= TOP);
        }
        // The pan of the first week takes as long as there is: its mark lies on its top.
        assert!((drawn.bars[1].y - drawn.bars[1].mark_y).abs() < 0.11);
        assert_eq!(drawn.bars[3].look, "bar-pan bar-short");
        let long: Vec<Week> = (0..30).map(|n| week(n, 60, 60)).collect();
        assert!(of(&long).unwrap().weeks.len() <= 12);
        assert!(of(&[]).is_none());
    }
}
