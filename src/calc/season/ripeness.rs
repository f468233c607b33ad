//! What a planting loses by being cut on a day that is not its best, and by frost. Our own figures, marked
//! below: the trade's texts give stages and no curve.

use super::plantings::Ready;
use crate::units::PressDate;

/// Part of the sugar lost at either end of the days on which a planting counts as ready (our own figure: within
/// them the difference is small, common practice).
const LOST_AT_EDGE: f64 = 0.04;
/// Lost for each day that it is cut before it is ready (common practice: juice gains about 0.2 °Bx a day of some
/// 15 until it is ripe, which is one part in 75).
const LOST_A_DAY_EARLY: f64 = 0.014;
/// Lost for each day after: seed draws on the sugar of the stalk, and stalks lodge (our own figure; ripe heads
/// left on took juice from about 18 to 15 °Bx in one trial of cutting heads at several stages).
const LOST_A_DAY_LATE: f64 = 0.018;
/// Nobody presses cane that is so many days from being ready: it is green, or gone.
pub const FARTHEST_DAYS: i64 = 28;
/// Part of killed cane that is lost on the average: what is cut and pressed within 48 hours is saved, and a mill
/// never presses all of it in that time (common practice for the hours, our own figure for the part).
const LOST_BY_FROST: f64 = 0.6;

/// When the first killing frost comes at a place, from its climate table: the dates by which it has come in 10, 50
/// and 90 of 100 years.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FirstFrost {
    /// In 10 of 100 years it has come by then.
    pub early: PressDate,
    /// In 50.
    pub middle: PressDate,
    /// In 90.
    pub late: PressDate,
}

impl FirstFrost {
    /// The chance that it has come before that day, 0 to 1: straight lines between the three dates, and on from
    /// them as steep.
    pub fn chance_before(&self, date: PressDate) -> f64 {
        let first = days(self.early, self.middle).max(1.0);
        let second = days(self.middle, self.late).max(1.0);
        let at = days(self.middle, date);
        let chance = if at <= 0.0 {
            0.5 + 0.4 * at / first
        } else {
            0.5 + 0.4 * at / second
        };
        chance.clamp(0.0, 1.0)
    }
}

#[expect(clippy::cast_precision_loss, reason = "days of a season are few")]
fn days(from: PressDate, to: PressDate) -> f64 {
    (to.date() - from.date()).whole_days() as f64
}

/// Part of a planting's sugar that is lost if it is pressed on that day, 0 to 1; `None`: it is not pressed then, more
/// than [`FARTHEST_DAYS`] from being ready.
pub fn lost(ready: Ready, date: PressDate, frost: Option<FirstFrost>) -> Option<f64> {
    if ready.days_off(date) > FARTHEST_DAYS {
        return None;
    }
    let off = days(ready.best, date);
    let edge = if off < 0.0 {
        days(ready.from, ready.best)
    } else {
        days(ready.best, ready.to)
    };
    let within = LOST_AT_EDGE * (off.abs().min(edge) / edge.max(1.0)).powi(2);
    let beyond = (off.abs() - edge).max(0.0);
    let unripe = within
        + beyond
            * if off < 0.0 {
                LOST_A_DAY_EARLY
            } else {
                LOST_A_DAY_LATE
            };
    let killed = frost.map_or(0.0, |frost| frost.chance_before(date) * LOST_BY_FROST);
    Some((1.0 - (1.0 - unripe) * (1.0 - killed)).clamp(0.0, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::season::plantings::Planting;
    use crate::units::Metres;

    fn date(text: &str) -> PressDate {
        PressDate::parse(text).unwrap()
    }

    fn ready() -> Ready {
        // Best on 5 September, ready 26 August to 15 September.
        Planting {
            planted: date("2026-05-18"),
            days: 110,
            row: Metres::new(90.0).unwrap(),
        }
        .ready()
    }

    fn part(day: &str, frost: Option<FirstFrost>) -> f64 {
        lost(ready(), date(day), frost).unwrap()
    }

    fn near(a: f64, b: f64) {
        assert!((a - b).abs() < 1e-9, "{a} and {b}");
    }

    #[test]
    fn the_best_day_loses_nothing_and_its_neighbours_little() {
        near(part("2026-09-05", None), 0.0);
        // Half of the ten days: a quarter of 4 %.
        near(part("2026-09-10", None), 0.01);
        near(part("2026-08-31", None), 0.01);
        near(part("2026-09-15", None), 0.04);
        // Five days past the end: 4 % and 5 times 1.8 %; five before the beginning: 5 times 1.4 %.
        near(part("2026-09-20", None), 0.13);
        near(part("2026-08-21", None), 0.11);
    }

    #[test]
    fn cane_a_month_from_ready_is_not_pressed() {
        assert!(lost(ready(), date("2026-10-13"), None).is_some());
        assert_eq!(lost(ready(), date("2026-10-14"), None), None);
        assert_eq!(lost(ready(), date("2026-07-28"), None), None);
    }

    #[test]
    fn frost_is_dearer_the_later_it_gets() {
        let frost = FirstFrost {
            early: date("2026-10-01"),
            middle: date("2026-10-11"),
            late: date("2026-10-26"),
        };
        near(frost.chance_before(date("2026-10-01")), 0.1);
        near(frost.chance_before(date("2026-10-11")), 0.5);
        near(frost.chance_before(date("2026-10-26")), 0.9);
        near(frost.chance_before(date("2026-10-06")), 0.3);
        near(frost.chance_before(date("2026-08-01")), 0.0);
        near(frost.chance_before(date("2026-12-01")), 1.0);
        // 2 October: 17 days past the end of ready, 4 % + 30.6 %; frost by then 0.14 × 0.6.
        near(
            part("2026-10-02", Some(frost)),
            1.0 - (1.0 - 0.346) * (1.0 - 0.084),
        );
    }
}
