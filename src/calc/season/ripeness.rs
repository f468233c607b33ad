//! What a planting loses by being cut on a day that is not its best, and by frost. Our own figures, marked
//! below: the trade's texts give stages and no curve.

use super::plantings::Ready;
use super::weights::Weights;
use crate::units::PressDate;

/// Days from being ready beyond which nobody presses cane: it is green, or gone.
pub const FARTHEST_DAYS: i64 = 28;

/// When the first killing frost comes at a place, from its climate table: the dates by which it has come in 10, 50
/// and 90 of 100 years.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FirstFrost {
    /// Date by which frost has come in 10 of 100 years.
    pub early: PressDate,
    /// Date by which frost has come in 50 of 100 years.
    pub middle: PressDate,
    /// Date by which frost has come in 90 of 100 years.
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

/// What is known of the season's first killing frost.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Frosts {
    /// The place's first killing frost, by its climate table.
    pub first: Option<FirstFrost>,
    /// Frost is forecast for the night after that day.
    pub forecast: Option<PressDate>,
}

impl Frosts {
    /// The chance that a killing frost has come before that day, 0 to 1: what is forecast is counted on.
    pub fn chance_before(self, date: PressDate) -> f64 {
        if self.forecast.is_some_and(|night| date > night) {
            return 1.0;
        }
        self.first.map_or(0.0, |first| first.chance_before(date))
    }

    /// Whether anything is known of frost.
    pub const fn known(self) -> bool {
        self.first.is_some() || self.forecast.is_some()
    }
}

#[expect(clippy::cast_precision_loss, reason = "days of a season are few")]
fn days(from: PressDate, to: PressDate) -> f64 {
    (to.date() - from.date()).whole_days() as f64
}

/// What a planting loses, parts of its sugar: as the rules have it; what a day off costs as this mill's own turns say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Steepness {
    /// Part lost for each day before the days on which it is ready.
    pub early: f64,
    /// Part lost for each day after them.
    pub late: f64,
    /// Part lost on the first and the last of the days on which it is ready.
    pub edge: f64,
    /// Part lost of cane that a frost has killed.
    pub frost: f64,
    /// Turns that a day off was learned from; nought: it is the rules'.
    pub turns: usize,
}

impl Steepness {
    /// The figures of the season's rules.
    pub fn of(weights: &Weights) -> Self {
        Self {
            early: weights.early_pct / 100.0,
            late: weights.late_pct / 100.0,
            edge: weights.edge_pct / 100.0,
            frost: weights.frost_pct / 100.0,
            turns: 0,
        }
    }
}

/// A turn that was pressed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PressedTurn {
    /// Days before (below nought) or after the days on which its planting was ready; nought within them.
    pub off: f64,
    /// Brix of its juice, °Bx; above nought.
    pub brix: f64,
}

/// Fewest pressed turns from which a loss is learned.
pub const LEARNED_FROM: usize = 8;
/// How far the juice of one turn lies from that of another of the same ripeness (natural logarithm; our own figure).
const BRIX_SD: f64 = 0.08;
/// How far the figures to start from may be out, part of themselves (our own figure).
const START_SD: f64 = 0.5;
/// More than this is lost on no day: what is learned goes no farther.
const LEARNED_MOST: f64 = 0.06;

/// What this mill's own turns say that a day off costs: the logarithm of Brix falls by so much a day on each side,
/// by least squares with the rules' figures as a prior (textbook Bayesian linear regression with a known spread).
pub fn learned(turns: &[PressedTurn], start: Steepness) -> Steepness {
    if turns.len() < LEARNED_FROM {
        return start;
    }
    #[expect(clippy::cast_precision_loss, reason = "turns of some seasons")]
    let many = turns.len() as f64;
    let sides = |t: &PressedTurn| ((-t.off).max(0.0), t.off.max(0.0), t.brix.ln());
    let mean = turns.iter().map(sides).fold((0.0, 0.0, 0.0), |sum, t| {
        (sum.0 + t.0 / many, sum.1 + t.1 / many, sum.2 + t.2 / many)
    });
    // Of days early, days late and Brix about their means: squares and products.
    let (mut ee, mut el, mut ll, mut eb, mut lb) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for (early, late, brix) in turns.iter().map(sides) {
        let (early, late, brix) = (early - mean.0, late - mean.1, brix - mean.2);
        ee += early * early;
        el += early * late;
        ll += late * late;
        eb += early * brix;
        lb += late * brix;
    }
    let weight = |start: f64| (BRIX_SD / (START_SD * start)).powi(2);
    let (w_early, w_late) = (weight(start.early), weight(start.late));
    ee += w_early;
    ll += w_late;
    eb -= w_early * start.early;
    lb -= w_late * start.late;
    let whole = ee * ll - el * el;
    let within = |slope: f64| (-slope).clamp(0.0, LEARNED_MOST);
    Steepness {
        early: within((ll * eb - el * lb) / whole),
        late: within((ee * lb - el * eb) / whole),
        turns: turns.len(),
        ..start
    }
}

impl Ready {
    /// Days before (below nought) or after the days ready; nought within them.
    pub fn days_out(self, date: PressDate) -> f64 {
        if date < self.from {
            -days(date, self.from)
        } else {
            days(self.to, date).max(0.0)
        }
    }
}

/// Part of a planting's sugar that is lost if it is pressed on that day, 0 to 1; `None`: it is more than
/// [`FARTHEST_DAYS`] from being ready and is not pressed then.
pub fn lost(ready: Ready, date: PressDate, frost: Frosts, steep: Steepness) -> Option<f64> {
    if ready.days_off(date) > FARTHEST_DAYS {
        return None;
    }
    let off = days(ready.best, date);
    let edge = if off < 0.0 {
        days(ready.from, ready.best)
    } else {
        days(ready.best, ready.to)
    };
    let within = steep.edge * (off.abs().min(edge) / edge.max(1.0)).powi(2);
    let beyond = (off.abs() - edge).max(0.0);
    let unripe = within + beyond * if off < 0.0 { steep.early } else { steep.late };
    let killed = frost.chance_before(date) * steep.frost;
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

    fn start() -> Steepness {
        Steepness::of(&Weights::DEFAULT)
    }

    fn part(day: &str, first: Option<FirstFrost>) -> f64 {
        let frosts = Frosts {
            first,
            forecast: None,
        };
        lost(ready(), date(day), frosts, start()).unwrap()
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
        let lost = |day| lost(ready(), date(day), Frosts::default(), start());
        assert!(lost("2026-10-13").is_some());
        assert_eq!(lost("2026-10-14"), None);
        assert_eq!(lost("2026-07-28"), None);
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

    #[test]
    fn what_is_pressed_after_a_night_of_frost_is_killed_and_before_it_is_not() {
        let frosts = Frosts {
            first: None,
            forecast: Some(date("2026-09-10")),
        };
        let part = |day| lost(ready(), date(day), frosts, start()).unwrap();
        // Half of the ten days costs 1 %; frost kills 60 % of what is left.
        near(part("2026-09-10"), 0.01);
        near(part("2026-09-15"), 1.0 - 0.96 * 0.4);
        assert!(frosts.known() && !Frosts::default().known());
    }

    #[test]
    fn days_out_count_from_the_days_ready() {
        near(ready().days_out(date("2026-08-21")), -5.0);
        near(ready().days_out(date("2026-08-26")), 0.0);
        near(ready().days_out(date("2026-09-15")), 0.0);
        near(ready().days_out(date("2026-09-20")), 5.0);
    }

    #[test]
    fn own_turns_correct_the_figures_as_a_solver_of_least_squares_says() {
        // numpy 2.4.6: np.linalg.lstsq over the rows [1, early, late] / 0.08 = ln(brix) / 0.08 and the two rows of the prior
        // [0, 1, 0] / (0.5 × 0.014) = −0.014 / (0.5 × 0.014), [0, 0, 1] / (0.5 × 0.018) = −0.018 / (0.5 × 0.018).
        let turns: Vec<PressedTurn> = [
            (-9.0, 13.1),
            (-4.0, 15.2),
            (0.0, 16.9),
            (0.0, 16.1),
            (0.0, 17.0),
            (3.0, 15.8),
            (7.0, 15.1),
            (12.0, 12.2),
            (15.0, 11.9),
        ]
        .map(|(off, brix)| PressedTurn { off, brix })
        .to_vec();
        let own = learned(&turns, start());
        assert_eq!(own.turns, 9);
        near(own.early, 0.018_391_685_734_852_673);
        near(own.late, 0.020_875_917_023_991_154);
        assert_eq!(learned(&turns[1..8], start()), start());
        // Turns that all are within their days teach nothing of either side.
        let within = [PressedTurn {
            off: 0.0,
            brix: 16.0,
        }; 20];
        near(learned(&within, start()).early, 0.014);
        near(learned(&within, start()).late, 0.018);
        // Cane that gained by standing does not make the loss negative.
        let gains: Vec<PressedTurn> = (0..20)
            .map(|n| PressedTurn {
                off: f64::from(n),
                brix: 10.0 + f64::from(n),
            })
            .collect();
        near(learned(&gains, start()).late, 0.0);
    }
}
