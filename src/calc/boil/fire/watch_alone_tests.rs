//! Tests of figures that stand alone, are confirmed, or come after the fire was drawn.

use super::*;
use crate::calc::boil::fire::alone::Alone;

#[path = "watch_aside_tests.rs"]
mod aside;

#[path = "watch_confirmed_tests.rs"]
mod confirmed;

#[path = "watch_colder_tests.rs"]
mod colder;

fn sure(reading: Reading) -> Reading {
    Reading {
        sure: true,
        ..reading
    }
}

#[test]
fn once_the_fire_is_drawn_nothing_is_overdue_and_nothing_is_past() {
    let mut readings = read_until(132.0);
    readings.push(drop_read(133.0, 77.5));
    let mut watch = Watch::replay(boil(), &readings);
    watch.fire_drawn(at(134.0));
    for minute in [134.0, 140.0, 153.0, 200.0] {
        let seen = watch.look(at(minute));
        assert_eq!(seen.call, Call::Drawn, "{minute}: {seen:?}");
        assert_eq!(watch.call_at(at(minute)), Call::Drawn);
        assert_eq!((seen.silent_since, seen.finish), (None, None));
        assert_eq!(seen.drawn_at, Some(at(134.0)));
        assert!(seen.is_there());
    }
}

#[test]
fn a_thermometer_in_syrup_that_cools_does_not_thin_it() {
    let mut readings = read_until(132.0);
    readings.extend([drop_read(134.0, 80.0), drop_read(136.0, 80.4)]);
    let mut watch = Watch::replay(boil(), &readings);
    watch.fire_drawn(at(137.0));
    let before = watch.look(at(140.0)).brix;
    watch.take(&hot(140.0, fahrenheit(225.0)));
    watch.take(&hot(150.0, 90.0));
    let after = watch.look(at(150.0)).brix;
    assert!(
        (after.middle - before.middle).abs() < 0.3,
        "{before:?} {after:?}"
    );
    // A thermometer that goes on rising shows that something still burns.
    let [expected] = watch.belief.quantiles(
        |c| sensors::temp_of(c, &watch.conditions, WATER, 150.0).0,
        [0.5],
    );
    assert!(!watch.cools(150.0, expected + 1.1) && watch.cools(150.0, expected + 0.9));
    assert!(!watch.cools(139.0, 90.0), "it boils on for two minutes");
}

#[test]
fn a_drop_near_the_target_that_fits_nothing_calls_for_another_at_once() {
    for brix in [76.0, 80.0] {
        let mut readings = read_until(100.0);
        readings.push(drop_read(101.0, brix));
        let mut watch = Watch::replay(boil(), &readings);
        let seen = watch.look(at(101.2));
        assert_eq!(seen.doubtful, [readings.len() - 1], "{seen:?}");
        assert!(seen.call >= Call::Check, "{brix}: {seen:?}");
        assert_eq!(seen.alone, Some(Alone::Doubted));
        assert_eq!(seen.next_reading, at(102.0));
        // The same drop confirmed is believed.
        readings.pop();
        readings.push(sure(drop_read(101.0, brix)));
        let seen = Watch::replay(boil(), &readings).look(at(101.2));
        assert!(seen.call >= Call::Check, "{brix}: {seen:?}");
        assert!((seen.brix.middle - brix).abs() < 3.0, "{brix}: {seen:?}");
        // The doubt ends with the next drop that fits the others.
        readings.pop();
        readings.extend([drop_read(101.0, brix), drop_read(103.0, brix_at(103.0))]);
        let seen = Watch::replay(boil(), &readings).look(at(103.2));
        assert_eq!(seen.alone, None, "{seen:?}");
        assert!(seen.call < Call::Check, "{seen:?}");
    }
}

/// A pan that goes `times` times as fast as was learned, read twice, the second figure confirmed; what is seen when it
/// is at its target.
fn fast(times: f64, confirmed: bool) -> (bool, BeliefAt) {
    let falls = times * A_MINUTE;
    let brix = |minute: f64| 100.0 / (100.0 / 15.0 - falls * (minute - COMES_TO_THE_BOIL));
    let shown = |minute: f64| WATER + 1.1 * rise_c(brix(minute), WATER, Factor::PURE);
    let done = COMES_TO_THE_BOIL + (100.0 / 15.0 - 100.0 / 78.0) / falls;
    let mut readings = warming().to_vec();
    readings.push(hot(done - 6.0, shown(done - 6.0)));
    let typed = Typed::Temp(shown(done - 2.0), Units::Metric);
    let asked = Watch::replay(boil(), &readings).surprise(at(done - 2.0), typed);
    readings.push(Reading {
        sure: confirmed,
        ..hot(done - 2.0, shown(done - 2.0))
    });
    let seen = Watch::replay(boil(), &readings).look(at(done));
    (asked.is_some(), seen)
}

#[test]
fn a_confirmed_temperature_on_a_fast_pan_does_not_leave_the_call_quiet() {
    for times in [1.5, 1.8, 2.1, 2.4] {
        let (asked, seen) = fast(times, true);
        assert!(asked || seen.call >= Call::Check, "{times}: {seen:?}");
        if asked {
            assert!(seen.call >= Call::Check, "{times}: {seen:?}");
            assert!(
                seen.brix.middle > 55.0 && seen.brix.high > 70.0,
                "{times}: {seen:?}"
            );
        }
        let (_, seen) = fast(times, false);
        assert!(seen.call >= Call::Check, "{times}, not confirmed: {seen:?}");
    }
}

#[test]
fn one_temperature_alone_never_says_past_and_is_read_back() {
    // 234.2 for 217.4 °F, ten minutes after the last reading.
    let wide = Boil {
        k: None,
        rate_boils: 0,
        ..boil()
    };
    let mut asked = 0;
    for of in [boil(), wide] {
        for until in [100.0, 110.0, 120.0] {
            let mut readings = read_until(until);
            let mut watch = Watch::replay(of, &readings);
            let then = until + 10.0;
            if watch.call_at(at(then)) >= Call::There {
                continue;
            }
            let typed = Typed::Temp(234.2, Units::Us);
            let wrong = hot(then, fahrenheit(234.2));
            readings.push(wrong);
            let seen = Watch::replay(of, &readings).look(at(then + 0.2));
            assert!(seen.call <= Call::There, "{until}: {seen:?}");
            let surprise = watch.surprise(at(then), typed);
            asked += usize::from(surprise.is_some());
            let confirmed = [&readings[..readings.len() - 1], &[sure(wrong)]].concat();
            let seen = Watch::replay(of, &confirmed).look(at(then + 0.2));
            assert!(seen.call <= Call::There, "{until}, confirmed: {seen:?}");
            // A second reading that says the same is believed.
            readings.push(hot(then + 2.0, fahrenheit(234.4)));
            let seen = Watch::replay(of, &readings).look(at(then + 2.2));
            assert!(seen.call >= Call::There, "{until}: {seen:?}");
        }
    }
    assert!(asked > 0);
}
