//! The picture of a boil: temperature above, Brix below, against minutes since the fire was lit,
//! each with its target band and the forecast. Only places in a picture; never says how a boil is.

use crate::calc::paper::chart::{Axis, points, tenth};
use crate::units::{BrixAt20C, Celsius, UtcSecond};

/// One reading, as the chart takes it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mark {
    /// When.
    pub at: UtcSecond,
    /// Thermometer in the pan.
    pub temp: Option<Celsius>,
    /// Refractometer, as brought to 20 °C.
    pub brix: Option<BrixAt20C>,
    /// Left out by the watch, as not fitting the others.
    pub doubtful: bool,
}

/// What the watch makes of it: the Brix at the last reading and the time to the finish.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// Of the last reading.
    pub at: UtcSecond,
    /// Brix then, and how far that may be out.
    pub brix: (BrixAt20C, f64),
    /// Earliest and latest finish, when one can be told.
    pub finish: Option<(UtcSecond, UtcSecond)>,
}

/// What to draw.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drawn<'a> {
    /// When the fire was lit.
    pub lit: UtcSecond,
    /// The readings, in order of time.
    pub marks: &'a [Mark],
    /// Where water boils this day.
    pub water: Celsius,
    /// The finish temperature and how far the true one may lie from it, °C.
    pub temp: (Celsius, f64),
    /// The finish Brix and how far a reading of it may lie from it, °Bx.
    pub brix: (BrixAt20C, f64),
    /// The watch's estimate, once there is one.
    pub seen: Option<Seen>,
}

/// One of the two panels.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    /// The line through the readings that count.
    pub line: String,
    /// Readings: place, and whether it is doubtful.
    pub dots: Vec<(f64, f64, bool)>,
    /// The target band: its top and its height.
    pub band: (f64, f64),
    /// The target itself.
    pub target: f64,
    /// Marks of the scale: height, figure (°C or °Bx).
    pub ticks: Vec<(f64, f64)>,
}

/// The picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// Temperature.
    pub temp: Panel,
    /// Height of the line of boiling water in it.
    pub water: f64,
    /// Brix.
    pub brix: Panel,
    /// Marks of the time: place, minutes since the fire was lit.
    pub minutes: Vec<(f64, f64)>,
    /// The estimate in the panel of Brix: place, and top and foot of its bar.
    pub at_last: Option<(f64, f64, f64, f64)>,
    /// From where to where the finish is expected.
    pub finish: Option<(f64, f64)>,
    /// Readings too cold to be in the picture: before the boil.
    pub colder: usize,
}

/// Left edge of both panels, right of their figures.
pub const LEFT: f64 = 60.0;
/// Right edge of both panels.
pub const RIGHT: f64 = 708.0;
/// Top and foot of the panel of temperature.
pub const TEMP: (f64, f64) = (24.0, 216.0);
/// Top and foot of the panel of Brix.
pub const BRIX: (f64, f64) = (256.0, 416.0);

/// Below boiling water by more than this, °C, the picture does not reach.
const COLD: f64 = 4.0;
/// Shortest time the picture spans, minutes.
const SHORTEST: f64 = 60.0;

/// Minutes of an instant since another.
fn minutes(from: UtcSecond, to: UtcSecond) -> f64 {
    #[expect(
        clippy::cast_precision_loss,
        reason = "a boil lasts hours, not millennia"
    )]
    let seconds = (to.get() - from.get()) as f64;
    seconds / 60.0
}

/// Draws a boil. `fahrenheit` puts the marks of the temperature at round °F; they are given in °C
/// all the same.
pub fn chart(of: &Drawn<'_>, fahrenheit: bool) -> Chart {
    let last = of.marks.last().map_or(0.0, |m| minutes(of.lit, m.at));
    let ahead = of
        .seen
        .and_then(|s| s.finish)
        .map_or(0.0, |(_, late)| minutes(of.lit, late));
    let span = last.max(ahead).max(SHORTEST);
    let along = Axis::new((0.0, span), (LEFT, RIGHT));
    let x = |at: UtcSecond| along.at(minutes(of.lit, at));
    let coldest = of.water.get() - COLD;
    let (goal, out) = of.temp;
    let hottest = of
        .marks
        .iter()
        .filter_map(|m| m.temp)
        .fold(goal.get() + out, |most, t| most.max(t.get()));
    let up = Axis::new((coldest, hottest + 1.0), (TEMP.1, TEMP.0));
    let temps: Vec<(f64, f64, bool)> = shown(of, &x, up, |m| m.temp.map(Celsius::get));
    let colder = of
        .marks
        .iter()
        .filter(|m| m.temp.is_some_and(|t| t.get() < coldest))
        .count();
    let rise = Axis::new((0.0, 95.0), (BRIX.1, BRIX.0));
    let brixes = shown(of, &x, rise, |m| m.brix.map(BrixAt20C::get));
    Chart {
        temp: panel(
            temps,
            up,
            (goal.get(), out),
            temp_ticks(up, (coldest, hottest + 1.0), fahrenheit),
        ),
        water: up.at(of.water.get()),
        brix: panel(
            brixes,
            rise,
            (of.brix.0.get(), of.brix.1),
            rise.ticks(6).into_iter().map(|b| (rise.at(b), b)).collect(),
        ),
        minutes: hour_ticks(span)
            .into_iter()
            .map(|m| (along.at(m), m))
            .collect(),
        at_last: of.seen.map(|s| {
            let (brix, out) = (s.brix.0.get(), s.brix.1);
            (
                x(s.at),
                rise.at(brix),
                rise.at(brix + out),
                rise.at(brix - out),
            )
        }),
        finish: of
            .seen
            .and_then(|s| s.finish)
            .map(|(early, late)| (x(early), x(late))),
        colder,
    }
}

/// Round minutes from nought to `span`, at most seven of them.
fn hour_ticks(span: f64) -> Vec<f64> {
    let step = [10.0, 15.0, 20.0, 30.0, 60.0, 120.0]
        .into_iter()
        .find(|step| span / step < 7.0)
        .unwrap_or(240.0);
    (0..7)
        .map(|n| f64::from(n) * step)
        .take_while(|m| *m <= span)
        .collect()
}

/// The readings of one kind that lie in a panel.
fn shown(
    of: &Drawn<'_>,
    x: &impl Fn(UtcSecond) -> f64,
    up: Axis,
    figure: impl Fn(&Mark) -> Option<f64>,
) -> Vec<(f64, f64, bool)> {
    of.marks
        .iter()
        .filter_map(|m| Some((m, figure(m)?)))
        .filter(|(_, f)| up.holds(*f))
        .map(|(m, f)| (x(m.at), up.at(f), m.doubtful))
        .collect()
}

fn panel(
    dots: Vec<(f64, f64, bool)>,
    up: Axis,
    (goal, out): (f64, f64),
    ticks: Vec<(f64, f64)>,
) -> Panel {
    let places: Vec<(f64, f64)> = dots
        .iter()
        .filter(|(_, _, doubtful)| !doubtful)
        .map(|(x, y, _)| (*x, *y))
        .collect();
    let (top, foot) = (up.at(goal + out), up.at(goal - out));
    Panel {
        line: points(&places),
        dots,
        band: (top, tenth(foot - top)),
        target: up.at(goal),
        ticks,
    }
}

/// Round marks in °C or °F, given in °C.
fn temp_ticks(up: Axis, (low, high): (f64, f64), fahrenheit: bool) -> Vec<(f64, f64)> {
    let shown = if fahrenheit {
        Axis::new((1.8 * low + 32.0, 1.8 * high + 32.0), (0.0, 1.0))
            .ticks(6)
            .into_iter()
            .map(|f| (f - 32.0) / 1.8)
            .collect()
    } else {
        up.ticks(6)
    };
    shown.into_iter().map(|c| (up.at(c), c)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const LIT: UtcSecond = UtcSecond::new(1_000_000);

    fn bx(value: f64) -> BrixAt20C {
        BrixAt20C::new(value).unwrap()
    }
    fn c(value: f64) -> Celsius {
        Celsius::new(value).unwrap()
    }
    fn mark(minute: i64, temp: Option<f64>, brix: Option<f64>, doubtful: bool) -> Mark {
        Mark {
            at: LIT.plus(60 * minute),
            temp: temp.map(c),
            brix: brix.map(bx),
            doubtful,
        }
    }
    fn of(marks: &[Mark]) -> Drawn<'_> {
        Drawn {
            lit: LIT,
            marks,
            water: c(99.4),
            temp: (c(108.4), 1.3),
            brix: (bx(78.0), 0.5),
            seen: None,
        }
    }

    #[test]
    fn a_boil_without_readings_shows_its_target_and_an_hour() {
        let drawn = chart(&of(&[]), true);
        assert!(drawn.temp.line.is_empty() && drawn.brix.dots.is_empty());
        assert!(drawn.temp.band.0 < drawn.temp.target);
        assert_eq!(drawn.minutes.last().map(|m| m.1), Some(60.0));
        assert_eq!(drawn.colder, 0);
    }

    #[test]
    fn cold_and_doubtful_readings_are_not_in_the_line() {
        let marks = [
            mark(5, Some(40.0), None, false),
            mark(40, Some(100.0), None, false),
            mark(60, Some(107.0), Some(30.0), true),
            mark(80, Some(101.0), None, false),
        ];
        let drawn = chart(&of(&marks), false);
        assert_eq!(drawn.colder, 1);
        assert_eq!(drawn.temp.dots.len(), 3);
        assert_eq!(drawn.temp.line.split(' ').count(), 2);
        assert!(drawn.temp.dots[1].2);
    }

    #[test]
    fn hotter_lies_higher_and_the_forecast_lies_ahead() {
        let marks = [
            mark(40, Some(100.0), None, false),
            mark(120, Some(104.0), None, false),
        ];
        let mut drawn = of(&marks);
        drawn.seen = Some(Seen {
            at: LIT.plus(7200),
            brix: (bx(55.0), 4.0),
            finish: Some((LIT.plus(9000), LIT.plus(10_800))),
        });
        let drawn = chart(&drawn, true);
        assert!(drawn.temp.dots[1].1 < drawn.temp.dots[0].1);
        let (from, to) = drawn.finish.unwrap();
        let (x, _, top, foot) = drawn.at_last.unwrap();
        assert!(x < from && from < to && (to - RIGHT).abs() < 1e-9);
        assert!(top < foot);
    }

    #[test]
    fn marks_of_the_temperature_are_round_in_the_unit_that_is_read() {
        let drawn = chart(&of(&[]), true);
        assert!(drawn.temp.ticks.len() >= 2);
        for (_, celsius) in drawn.temp.ticks {
            let fahrenheit = 1.8 * celsius + 32.0;
            assert!(
                (fahrenheit / 5.0 - (fahrenheit / 5.0).round()).abs() < 1e-9,
                "{fahrenheit}"
            );
        }
    }

    /// Places are given to a tenth.
    fn near(place: f64, by_hand: f64) {
        assert!((place - by_hand).abs() < 0.06, "{place}, by hand {by_hand}");
    }

    #[test]
    fn every_place_is_where_a_ruler_puts_it() {
        // Two hours over 648 points; 95.4 to 110.7 °C over 192; 0 to 95 °Bx over 160.
        let marks = [
            mark(30, Some(101.4), Some(19.0), false),
            mark(90, Some(95.4), Some(38.0), true),
            mark(120, Some(106.4), None, false),
        ];
        let mut drawn = of(&marks);
        drawn.seen = Some(Seen {
            at: LIT.plus(5400),
            brix: (bx(57.0), 9.5),
            finish: Some((LIT.plus(6000), LIT.plus(6600))),
        });
        let drawn = chart(&drawn, false);
        let (x, y, _) = drawn.temp.dots[0];
        near(x, 60.0 + 648.0 * 30.0 / 120.0);
        near(y, 216.0 - 192.0 * 6.0 / 15.3);
        near(drawn.water, 216.0 - 192.0 * 4.0 / 15.3);
        near(drawn.temp.target, 216.0 - 192.0 * 13.0 / 15.3);
        near(drawn.temp.band.0, 216.0 - 192.0 * 14.3 / 15.3);
        assert!((drawn.temp.band.1 - 192.0 * 2.6 / 15.3).abs() < 0.11);
        near(drawn.brix.dots[0].1, 416.0 - 160.0 * 0.2);
        near(drawn.brix.band.0, 416.0 - 160.0 * 78.5 / 95.0);
        assert!((drawn.brix.band.1 - 160.0 / 95.0).abs() < 0.11);
        let (x, y, top, foot) = drawn.at_last.unwrap();
        near(x, 60.0 + 648.0 * 90.0 / 120.0);
        for (place, brix) in [(y, 57.0), (top, 66.5), (foot, 47.5)] {
            near(place, 416.0 - 160.0 * brix / 95.0);
        }
        let (from, to) = drawn.finish.unwrap();
        near(from, 60.0 + 648.0 * 100.0 / 120.0);
        near(to, 60.0 + 648.0 * 110.0 / 120.0);
        // What is as cold as the foot of the picture still stands in it.
        assert_eq!((drawn.colder, drawn.temp.dots.len()), (0, 3));
        let minutes: Vec<f64> = drawn.minutes.iter().map(|m| m.1).collect();
        assert_eq!(minutes, [0.0, 20.0, 40.0, 60.0, 80.0, 100.0, 120.0]);
        near(drawn.minutes[1].0, 60.0 + 648.0 / 6.0);
    }

    #[test]
    fn a_hotter_reading_than_the_target_makes_the_picture_taller() {
        let marks = [mark(50, Some(114.4), None, false)];
        let drawn = chart(&of(&marks), false);
        // 95.4 to 115.4 °C over 192 points, one hour over 648.
        near(drawn.temp.dots[0].1, 216.0 - 192.0 * 19.0 / 20.0);
        near(drawn.temp.dots[0].0, 60.0 + 648.0 * 50.0 / 60.0);
    }

    #[test]
    fn marks_of_the_time_are_round_and_at_most_seven() {
        assert_eq!(hour_ticks(60.0).len(), 7);
        assert_eq!(hour_ticks(69.0), [0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0]);
        // Seventy minutes would be eight marks of ten.
        assert_eq!(hour_ticks(70.0), [0.0, 15.0, 30.0, 45.0, 60.0]);
        assert_eq!(
            hour_ticks(400.0),
            [0.0, 60.0, 120.0, 180.0, 240.0, 300.0, 360.0]
        );
        assert_eq!(hour_ticks(900.0), [0.0, 240.0, 480.0, 720.0]);
    }

    #[test]
    fn marks_of_the_temperature_lie_in_the_picture_in_both_units() {
        for (fahrenheit, shown) in [
            (true, [210.0, 220.0, 230.0].as_slice()),
            (false, &[100.0, 105.0, 110.0]),
        ] {
            let ticks = chart(&of(&[]), fahrenheit).temp.ticks;
            for (place, celsius) in &ticks {
                near(*place, 216.0 - 192.0 * (celsius - 95.4) / 15.3);
            }
            let read: Vec<f64> = ticks
                .iter()
                .map(|(_, c)| {
                    if fahrenheit {
                        (1.8 * c + 32.0).round()
                    } else {
                        *c
                    }
                })
                .collect();
            assert_eq!(read, shown);
        }
    }

    proptest! {
        #[test]
        fn prop_nothing_is_drawn_outside_its_panel(
            temps in proptest::collection::vec(0.0..130.0_f64, 0..30), goal in 60.0..90.0_f64,
        ) {
            let marks: Vec<Mark> = temps
                .iter()
                .zip(1..)
                .map(|(t, n)| mark(7 * n, Some(*t), Some(t / 1.4), false))
                .collect();
            let mut drawn = of(&marks);
            drawn.brix = (bx(goal), 0.5);
            let drawn = chart(&drawn, false);
            for (panel, (top, foot)) in [(&drawn.temp, TEMP), (&drawn.brix, BRIX)] {
                for (x, y, _) in &panel.dots {
                    prop_assert!((LEFT..=RIGHT).contains(x) && (top..=foot).contains(y));
                }
                prop_assert!(panel.band.0 >= top && panel.band.0 + panel.band.1 <= foot);
                prop_assert!((top..=foot).contains(&panel.target));
            }
        }
    }
}
