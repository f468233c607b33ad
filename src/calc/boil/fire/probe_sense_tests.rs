//! Probes that hang wrong, written by hand: water boils at 99 °C, one figure every 30 seconds.

use super::*;
use crate::units::Grams;

fn c(value: f64) -> Celsius {
    Celsius::new(value).unwrap()
}

fn at(minute: f64) -> UtcSecond {
    #[expect(clippy::cast_possible_truncation, reason = "minutes of one boil")]
    UtcSecond::new((60.0 * minute).round() as i64)
}

/// From 100 °C at minute 20 it rises by a tenth of a degree a minute.
fn pan(minute: f64) -> f64 {
    100.0 + 0.1 * (minute - 20.0)
}

fn sends(until: f64, shows: impl Fn(f64) -> f64) -> Vec<TempAt> {
    let minutes = (0..).map(|n| 20.0 + 0.5 * f64::from(n));
    let one = |minute| TempAt {
        at: at(minute),
        temp: c(shows(minute)),
    };
    minutes.take_while(|m| *m <= until).map(one).collect()
}

fn hand(minute: f64, temp: Option<f64>, done: Option<Done>) -> Reading {
    Reading {
        at: at(minute),
        temp: temp.map(c),
        brix: None,
        done,
        by: By::Hand,
        sure: false,
    }
}

fn read(minute: f64) -> Reading {
    hand(minute, Some(pan(minute)), None)
}

#[test]
fn a_probe_that_agrees_counts_as_it_was_sent() {
    let sent = sends(60.0, |m| pan(m) + 1.0);
    for by_hand in [vec![], vec![read(30.0), read(45.0), read(60.0)]] {
        let seen = sense(&sent, &by_hand, c(99.0));
        assert_eq!((seen.readings, seen.amiss), (sent.clone(), None));
    }
}

#[test]
fn one_and_the_same_difference_is_taken_off_once_it_is_sure() {
    for off in [3.0, -3.0, 1.5] {
        let sent = sends(60.0, |m| pan(m) + off);
        let how = |by_hand: &[Reading]| {
            let seen = sense(&sent, by_hand, c(99.0));
            let Some(Amiss::Apart { more, how, .. }) = seen.amiss else {
                panic!("{off}: {:?}", seen.amiss);
            };
            assert!((more - off).abs() < 0.1, "{more}");
            (how, seen.readings)
        };
        // Seen once, either may be wrong, confirmed or not.
        let sure = Reading {
            sure: true,
            ..read(40.0)
        };
        for once in [read(40.0), sure] {
            assert_eq!(how(&[once]), (Use::AsItIs, sent.clone()));
        }
        for by_hand in [vec![sure, read(45.0)], vec![read(30.0), read(45.0)]] {
            let (how, readings) = how(&by_hand);
            assert_eq!((how, readings.len()), (Use::Corrected, sent.len()));
            let last = readings.last().unwrap().temp.get();
            assert!((last - pan(60.0)).abs() < 0.1, "{last}");
        }
    }
    // A cold pan is uneven, and says nothing.
    let sent = sends(40.0, |_| 80.0);
    let cold = [hand(30.0, Some(60.0), None), hand(35.0, Some(70.0), None)];
    assert_eq!(sense(&sent, &cold, c(99.0)).readings, sent);
}

#[test]
fn one_that_agreed_before_counts_for_nothing_since() {
    // Lifted into the steam at minute 40; it is compared at 36, 46 and 50.
    let sent = sends(50.0, |m| if m < 40.0 { pan(m) } else { 99.4 });
    let seen = sense(&sent, &[read(36.0), read(46.0), read(50.0)], c(99.0));
    assert!(
        matches!(seen.amiss, Some(Amiss::Apart { how: Use::LeftOut, more, .. }) if more < -3.0),
        "{:?}",
        seen.amiss
    );
    assert_eq!(seen.readings.last().unwrap().at, at(36.0));
    // Put back, it counts again.
    let sent = sends(60.0, |m| {
        if (40.0..52.0).contains(&m) {
            99.4
        } else {
            pan(m)
        }
    });
    let by_hand = [read(36.0), read(46.0), read(50.0), read(60.0)];
    let seen = sense(&sent, &by_hand, c(99.0));
    assert_eq!(seen.amiss, None);
    assert_eq!(seen.readings.last().unwrap().at, at(60.0));
    // What it sent from the steam does not.
    assert!(seen.readings.iter().all(|one| one.temp.get() > 99.9));
}

#[test]
fn a_pan_that_boils_grows_no_colder_so_one_that_falls_is_left_out_and_said() {
    let sent = sends(55.0, |m| if m < 40.0 { pan(m) } else { 100.3 });
    let seen = sense(&sent, &[], c(99.0));
    assert!(
        matches!(seen.amiss, Some(Amiss::Fell { since, from, to })
            if since == at(40.0) && (from.get() - 101.9).abs() < 0.2 && (to.get() - 100.3).abs() < 1e-9),
        "{:?}",
        seen.amiss
    );
    assert!(seen.readings.iter().all(|one| one.at < at(40.0)));
    // Not after six minutes: somebody stirs.
    let seen = sense(
        &sends(45.0, |m| if m < 40.0 { pan(m) } else { 100.3 }),
        &[],
        c(99.0),
    );
    assert_eq!((seen.amiss, seen.readings.len()), (None, 51));
    // A drawn fire and poured juice do that to a pan.
    let poured = Done::Poured(crate::calc::boil::fire::on_fire::Pour {
        solids: Grams::new(1000),
        water: Grams::new(5000),
        temp: c(20.0),
        plain: true,
    });
    for done in [Done::Fire(FireSaid::Drawn), poured] {
        let seen = sense(&sent, &[hand(39.5, None, Some(done))], c(99.0));
        assert_eq!((seen.amiss, seen.readings.len()), (None, sent.len()));
    }
}

#[test]
fn one_that_stands_still_in_thick_syrup_is_said_and_in_thin_juice_not() {
    let still = |level: f64| sense(&sends(56.0, |m| pan(m).min(level)), &[], c(99.0)).amiss;
    assert!(
        matches!(still(101.9), Some(Amiss::Still { at, counts: false, .. }) if (at.get() - 101.9).abs() < 0.21),
        "{:?}",
        still(101.9)
    );
    assert_eq!(still(100.4), None);
    assert_eq!(still(110.0), None);
}

#[test]
fn of_two_that_differ_the_thermometer_that_fell_is_the_doubtful_one() {
    let sent = sends(60.0, pan);
    let low = |minute| Reading {
        sure: true,
        ..hand(minute, Some(99.2), None)
    };
    let how = |by_hand: &[Reading]| {
        let seen = sense(&sent, by_hand, c(99.0));
        let Some(Amiss::Apart { how, .. }) = seen.amiss else {
            panic!("{:?}", seen.amiss);
        };
        (how, seen.readings.len())
    };
    // It agreed at 30 and 45; then its bulb is out of the syrup, once, and as often as it is read.
    let agreed = [read(30.0), read(45.0)];
    for lows in [&[low(50.0)][..], &[low(50.0), low(55.0), low(59.0)]] {
        let found = how(&[&agreed[..], lows].concat());
        assert_eq!(found, (Use::HandFell, sent.len()), "{lows:?}");
    }
    // A pan that was drawn or poured into may be colder: the thermometer is believed at the second time.
    let drawn = hand(47.0, None, Some(Done::Fire(FireSaid::Drawn)));
    let relit = hand(48.0, None, Some(Done::Fire(FireSaid::Relit)));
    let (used, _) = how(&[&agreed[..], &[drawn, relit, low(50.0), low(55.0)]].concat());
    assert_eq!(used, Use::LeftOut);
    // What is less than it showed by 0.7 °C has fallen.
    for (by, fell) in [(0.72, true), (0.68, false)] {
        let then = hand(60.0, Some(pan(45.0) - by), None);
        let (used, _) = how(&[read(45.0), then]);
        assert_eq!(used == Use::HandFell, fell, "{by}");
    }
}

/// Every 15 s, as they are kept: half a degree a minute, as at 63 °Bx, and from minute 40 on always the same.
fn stuck(until: f64, wavers: impl Fn(f64) -> f64) -> Vec<TempAt> {
    let minutes = (0..).map(|n| 30.0 + 0.25 * f64::from(n));
    let shows =
        |m: f64| 101.0 + 0.5 * (m.min(40.0) - 30.0) + if m > 40.0 { wavers(m) } else { 0.0 };
    let one = |m| TempAt {
        at: at(m),
        temp: c(shows(m)),
    };
    minutes.take_while(|m| *m <= until).map(one).collect()
}

#[test]
fn one_that_does_not_move_near_the_end_counts_for_nothing_after_two_minutes() {
    let found = |until, by_hand: &[Reading]| {
        let sent = stuck(until, |_| 0.0);
        let seen = sense(&sent, by_hand, c(99.0));
        (seen.amiss, sent.len() - seen.readings.len())
    };
    assert_eq!(found(41.75, &[]), (None, 0));
    let gone = Amiss::Still {
        since: at(40.0),
        at: c(106.0),
        counts: false,
    };
    assert_eq!(found(42.0, &[]), (Some(gone), 8));
    assert_eq!(found(60.0, &[]), (Some(gone), 80));
    // A drawn fire lets a pan stand, and so does juice that was just poured in.
    let drawn = hand(40.0, None, Some(Done::Fire(FireSaid::Drawn)));
    assert_eq!(found(45.0, &[drawn]), (None, 0));
    // Once it moves again it counts again; what it sent while it stood does not.
    let mut sent = stuck(50.0, |_| 0.0);
    sent.push(TempAt {
        at: at(50.25),
        temp: c(111.1),
    });
    let seen = sense(&sent, &[], c(99.0));
    assert_eq!((seen.amiss, sent.len() - seen.readings.len()), (None, 40));
}

#[test]
fn a_live_probe_whose_pan_stands_wavers_and_counts() {
    // By a tenth of a degree either way, in steps of a twentieth.
    let lot = |m: f64| ((m * 28.0).round() % 5.0 - 2.0) * 0.05;
    let seen = sense(&stuck(50.0, lot), &[], c(99.0));
    assert_eq!(seen.amiss, None);
    assert_eq!(seen.readings.len(), stuck(50.0, lot).len());
    // One that shows half degrees stands for a minute at each, and is no worse for that.
    let coarse: Vec<TempAt> = sends(60.0, |m| (2.0 * (100.0 + 0.3 * (m - 20.0))).round() / 2.0);
    assert_eq!(sense(&coarse, &[], c(99.0)).amiss, None);
    // Nor when the fire is let down to a third.
    let slower = |m: f64| 100.0 + 0.5 * (m.min(40.0) - 20.0) + 0.17 * (m - 40.0).max(0.0);
    for step in [0.5, 0.1, 0.0625] {
        let shows = |m| (slower(m) / step).round() * step;
        for until in [42.0, 44.0, 47.0, 50.0, 60.0] {
            assert_eq!(
                sense(&sends(until, shows), &[], c(99.0)).amiss,
                None,
                "{step}: {until}"
            );
        }
    }
}
