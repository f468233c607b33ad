//! The picture of a boil, against a ruler.

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
        sent: &[],
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
        brix: [bx(51.0), bx(55.0), bx(59.0)],
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
        brix: [bx(47.5), bx(57.0), bx(66.5)],
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
    assert_eq!(hour_ticks(150.0), [0.0, 30.0, 60.0, 90.0, 120.0, 150.0]);
    assert_eq!(hour_ticks(450.0), [0.0, 120.0, 240.0, 360.0]);
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

#[test]
fn marks_are_as_many_as_the_scale_has_room_for_and_none_lies_outside() {
    let brix = chart(&of(&[]), false).brix.ticks;
    let figures: Vec<f64> = brix.iter().map(|(_, figure)| *figure).collect();
    assert_eq!(figures, [0.0, 20.0, 40.0, 60.0, 80.0]);
    for tenths in 0_u32..400 {
        // Water boils at 90 to 100 °C, the hottest reading lies above the target by nothing to 20 °C.
        let water = 90.0 + f64::from(tenths % 100) / 10.0;
        let hottest = 109.7 + f64::from(tenths) / 20.0;
        let marks = [mark(50, Some(hottest), None, false)];
        let drawn = Drawn {
            water: c(water),
            ..of(&marks)
        };
        // From 4 °C under boiling water to a degree over the hottest there is.
        let (low, high) = (water - 4.0, hottest + 1.0);
        for fahrenheit in [true, false] {
            let scale = |celsius: f64| {
                if fahrenheit {
                    1.8 * celsius + 32.0
                } else {
                    celsius
                }
            };
            let (low, high) = (scale(low), scale(high));
            // At most six: 1, 2 or 5 of a power of ten apart, the least that leaves five stretches.
            let step = [1.0, 2.0, 5.0, 10.0, 20.0]
                .into_iter()
                .find(|step| 5.0 * step >= high - low)
                .unwrap();
            let read: Vec<f64> = chart(&drawn, fahrenheit)
                .temp
                .ticks
                .iter()
                .map(|(_, celsius)| scale(*celsius))
                .collect();
            let (first, last) = (read[0], read[read.len() - 1]);
            assert!(
                low - 1e-6 <= first && first < low + step,
                "{water}: {read:?}"
            );
            assert!(
                last <= high + 1e-6 && high - step < last,
                "{water}: {read:?}"
            );
            let even = read
                .windows(2)
                .all(|two| (two[1] - two[0] - step).abs() < 1e-6);
            assert!(even, "{water}: {read:?}");
        }
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

#[test]
fn what_is_believed_stands_at_the_moment_of_the_look_with_its_own_low_and_high() {
    // Last read at minute 60, looked at 20 minutes later: 80 minutes over 648 points.
    let marks = [mark(60, Some(100.0), None, false)];
    let mut drawn = of(&marks);
    drawn.seen = Some(Seen {
        at: LIT.plus(4800),
        brix: [bx(38.0), bx(47.5), bx(76.0)],
        finish: None,
    });
    let drawn = chart(&drawn, false);
    let (x, y, top, foot) = drawn.at_last.unwrap();
    near(x, RIGHT);
    near(drawn.temp.dots[0].0, 60.0 + 648.0 * 0.75);
    near(y, 416.0 - 80.0);
    near(top, 416.0 - 160.0 * 0.8);
    near(foot, 416.0 - 160.0 * 0.4);
}

#[test]
fn what_a_probe_sent_is_a_line_without_dots() {
    let sent = [
        (LIT.plus(1800), c(99.4)),
        (LIT.plus(3600), c(102.4)),
        (LIT.plus(7200), c(105.4)),
    ];
    let mut drawn = of(&[]);
    drawn.sent = &sent;
    let drawn = chart(&drawn, false);
    assert!(drawn.temp.dots.is_empty());
    assert_eq!(drawn.sent.split(' ').count(), 3);
    assert!(drawn.sent.starts_with("222,"), "{}", drawn.sent);
}
