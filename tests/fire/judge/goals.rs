//! The figures of a cell and the goals they are held against.

use super::cells::{Column, Pace, Plan};
use super::course::{Course, Told};

/// Minutes before the finish in which the told finish is judged.
pub const LAST_MIN: f64 = 20.0;

/// What the boils of one cell amount to. Shares are 0 to 1; a figure of nothing is NaN and meets no goal.
#[derive(Debug, Clone, PartialEq)]
pub struct Figures {
    /// Boils.
    pub boils: usize,
    /// Share of readings in the last 20 min, with a finish told, whose interval held the true finish.
    pub held: f64,
    /// The same at the looks in between; told only.
    pub held_looks: f64,
    /// Share of readings from half-way on with a finish told.
    pub told: f64,
    /// Median error of the told middle in the last 20 min, min.
    pub error: f64,
    /// Share of boils still "not yet" at the target + 1 °Bx.
    pub not_yet: f64,
    /// Share of boils with the first draw more than 4 °Bx under the target (74 for 78).
    pub below: f64,
    /// Share of boils with the first draw 2 °Bx over the target or more (80 for 78), or none.
    pub above: f64,
    /// Median and first tenth of the minutes from check to target.
    pub check: (f64, f64),
    /// Share of boils drawn nearer to the target than by the plain rule; a tie is not nearer.
    pub nearer: f64,
    /// Share of boils in which the rule did as well, to 0.005 °Bx.
    pub ties: f64,
    /// Share of boils with the first draw within 2 °Bx of the target.
    pub within: f64,
    /// Boils without any draw until far past.
    pub silent: usize,
}

#[expect(clippy::cast_precision_loss, reason = "counts of readings")]
fn share(hits: usize, all: usize) -> f64 {
    if all == 0 {
        f64::NAN
    } else {
        hits as f64 / all as f64
    }
}

/// The value below which this part of `values` lies, between neighbours; NaN if there are none.
#[must_use]
#[expect(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "places in a short list"
)]
pub fn quantile(mut values: Vec<f64>, part: f64) -> f64 {
    if values.is_empty() {
        return f64::NAN;
    }
    values.sort_by(f64::total_cmp);
    let place = part * (values.len() - 1) as f64;
    let below = place as usize;
    let above = (below + 1).min(values.len() - 1);
    values[below] + (values[above] - values[below]) * place.fract()
}

/// How many of the told finishes of the last 20 min hold the true one, and of how many.
fn held(courses: &[&Course], pick: fn(&Course) -> &[Told]) -> f64 {
    let (mut hits, mut all) = (0, 0);
    for course in courses {
        let Some(finish) = course.finish else {
            continue;
        };
        for told in pick(course)
            .iter()
            .filter(|told| told.at >= finish - LAST_MIN)
        {
            if let Some([early, _, late]) = told.finish {
                all += 1;
                hits += usize::from(early <= finish && finish <= late);
            }
        }
    }
    share(hits, all)
}

impl Figures {
    /// The figures of these boils.
    #[must_use]
    pub fn of(courses: &[&Course]) -> Self {
        let boils = courses.len();
        let count = |test: &dyn Fn(&Course) -> bool| courses.iter().filter(|c| test(c)).count();
        let (mut told, mut asked, mut errors) = (0, 0, Vec::new());
        for course in courses {
            let Some(finish) = course.finish else {
                continue;
            };
            for reading in course.readings.iter().filter(|r| r.at >= 0.5 * finish) {
                asked += 1;
                told += usize::from(reading.finish.is_some());
                if let Some([_, middle, _]) = reading.finish
                    && reading.at >= finish - LAST_MIN
                {
                    errors.push((middle - finish).abs());
                }
            }
        }
        let leads: Vec<f64> = courses.iter().map(|c| c.check_lead()).collect();
        let miss = |c: &Course| (c.drawn_at() - c.target).abs();
        let rule_miss = |c: &Course| (c.rule.unwrap_or(c.end) - c.target).abs();
        Self {
            boils,
            held: held(courses, |c| &c.readings),
            held_looks: held(courses, |c| &c.looks),
            told: share(told, asked),
            error: quantile(errors, 0.5),
            not_yet: share(count(&|c| c.not_yet != Some(false)), boils),
            below: share(count(&|c| too_early(c)), boils),
            above: share(count(&|c| too_late(c)), boils),
            check: (quantile(leads.clone(), 0.5), quantile(leads, 0.1)),
            nearer: share(count(&|c| miss(c) < rule_miss(c) - 0.005), boils),
            ties: share(count(&|c| (miss(c) - rule_miss(c)).abs() <= 0.005), boils),
            within: share(count(&|c| miss(c) <= 2.0), boils),
            silent: count(&|c| c.draw.is_none()),
        }
    }
}

/// The first draw came more than 4 °Bx under the target.
#[must_use]
pub fn too_early(course: &Course) -> bool {
    course.drawn_at() < course.target - 4.0
}

/// The first draw came 2 °Bx or more over the target, or never.
#[must_use]
pub fn too_late(course: &Course) -> bool {
    course.drawn_at() >= course.target + 2.0
}

/// The limits of one column.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    held: (f64, f64),
    told: f64,
    error: f64,
    not_yet: f64,
    below: f64,
    below_slips: f64,
    above: f64,
    check: (f64, f64),
    /// First tenth of the minutes from check to target, at least.
    pub tenth: f64,
    nearer: Option<f64>,
}

impl Limits {
    /// The goals of `column`.
    #[must_use]
    pub fn of(column: Column) -> Self {
        match column {
            Column::Refractometer => Self {
                held: (0.70, 0.90),
                told: 0.80,
                error: 1.2,
                not_yet: 0.04,
                below: 0.04,
                below_slips: 0.05,
                above: 0.25,
                check: (8.0, 20.0),
                tenth: 3.0,
                nearer: Some(0.75),
            },
            Column::Learned => Self {
                held: (0.72, 0.92),
                told: 0.45,
                error: 1.2,
                not_yet: 0.04,
                below: 0.05,
                below_slips: 0.10,
                above: 0.25,
                check: (8.0, 18.0),
                tenth: 2.5,
                nearer: Some(0.8),
            },
            Column::Unknown => Self {
                held: (0.65, 0.92),
                told: 0.33,
                error: 1.7,
                not_yet: 0.06,
                below: 0.20,
                below_slips: 0.25,
                above: 0.25,
                check: (0.0, 25.0),
                tenth: 2.5,
                nearer: None,
            },
        }
    }
}

/// Which figure a goal is about; the order is that of the table.
pub const NAMES: [&str; 10] = [
    "held", "told", "error", "not yet", "below", "above", "check", "tenth", "nearer", "probe",
];

/// Each figure of [`NAMES`] met (true), missed (false) or without a goal (none).
#[must_use]
pub fn verdict(plan: &Plan, figures: &Figures) -> [Option<bool>; 10] {
    let limits = Limits::of(plan.column);
    if plan.pace == Pace::Probe {
        let mut all = [None; 10];
        all[9] = Some(figures.within >= 0.8 && figures.silent == 0);
        return all;
    }
    let between = |x: f64, (low, high): (f64, f64)| (low..=high).contains(&x);
    let below = if plan.slips > 0.0 {
        limits.below_slips
    } else {
        limits.below
    };
    [
        Some(between(figures.held, limits.held)),
        Some(figures.told >= limits.told),
        Some(figures.error <= limits.error),
        Some(figures.not_yet <= limits.not_yet),
        Some(figures.below <= below),
        Some(figures.above <= limits.above),
        Some(between(figures.check.0, limits.check)),
        Some(figures.check.1 >= limits.tenth),
        limits.nearer.map(|least| figures.nearer >= least),
        None,
    ]
}

#[cfg(test)]
mod tests {
    use super::super::cells::all;
    use super::*;

    fn course(finish: f64, told: &[(f64, Option<[f64; 3]>)], draw: f64) -> Course {
        Course {
            target: 78.0,
            finish: Some(finish),
            readings: told
                .iter()
                .map(|&(at, finish)| Told { at, finish })
                .collect(),
            not_yet: Some(false),
            check: Some(finish - 10.0),
            draw: Some((draw, finish)),
            rule: Some(76.0),
            end: 82.0,
            ..Course::default()
        }
    }

    #[test]
    fn figures_are_those_counted_by_hand() {
        let a = course(
            100.0,
            &[
                (40.0, None),
                (60.0, None),
                (70.0, Some([0.0, 0.0, 1.0])),
                (85.0, Some([95.0, 99.0, 101.0])),
                (95.0, Some([96.0, 97.0, 98.0])),
            ],
            78.5,
        );
        let b = Course {
            draw: None,
            not_yet: Some(true),
            check: None,
            ..course(50.0, &[(49.0, Some([48.0, 50.5, 52.0]))], 0.0)
        };
        let figures = Figures::of(&[&a, &b]);
        assert!((figures.held - 2.0 / 3.0).abs() < 1e-9);
        assert!((figures.told - 4.0 / 5.0).abs() < 1e-9);
        assert!((figures.error - 1.0).abs() < 1e-9);
        assert!((figures.not_yet - 0.5).abs() < 1e-9);
        assert!((figures.above - 0.5).abs() < 1e-9 && figures.below.abs() < 1e-9);
        assert!((figures.nearer - 0.5).abs() < 1e-9 && figures.ties.abs() < 1e-9);
        assert!((figures.check.0 + 25.0).abs() < 1e-9);
        assert_eq!(figures.silent, 1);
    }

    #[test]
    fn limits_are_kept_at_their_edges() {
        let plan = *all()
            .iter()
            .find(|p| p.column == Column::Learned && p.slips < 0.01)
            .expect("there is one");
        let good = Figures {
            boils: 200,
            held: 0.72,
            held_looks: 0.8,
            told: 0.45,
            error: 1.2,
            not_yet: 0.04,
            below: 0.05,
            above: 0.25,
            check: (18.0, 2.5),
            nearer: 0.8,
            ties: 0.0,
            within: 0.9,
            silent: 0,
        };
        assert!(verdict(&plan, &good).iter().flatten().all(|&met| met));
        let bad = [
            Figures {
                held: 0.71,
                ..good.clone()
            },
            Figures {
                held: 0.93,
                ..good.clone()
            },
            Figures {
                told: 0.44,
                ..good.clone()
            },
            Figures {
                error: f64::NAN,
                ..good.clone()
            },
            Figures {
                not_yet: 0.045,
                ..good.clone()
            },
            Figures {
                below: 0.055,
                ..good.clone()
            },
            Figures {
                above: 0.255,
                ..good.clone()
            },
            Figures {
                check: (7.9, 3.0),
                ..good.clone()
            },
            Figures {
                check: (12.0, 2.4),
                ..good.clone()
            },
            Figures {
                nearer: 0.79,
                ..good.clone()
            },
        ];
        for figures in bad {
            assert_eq!(
                verdict(&plan, &figures)
                    .iter()
                    .flatten()
                    .filter(|&&met| !met)
                    .count(),
                1,
                "{figures:?}"
            );
        }
        // With slips a draw under 74 is forgiven more often.
        let slips = Plan {
            slips: 0.05,
            ..plan
        };
        assert_eq!(
            verdict(
                &slips,
                &Figures {
                    below: 0.10,
                    ..good
                }
            )[4],
            Some(true)
        );
    }
}
