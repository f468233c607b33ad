//! Figures that nobody expected, read back and confirmed by a tired cook: wrong ones must not silence the end, right ones
//! must win once another agrees.

use super::*;
use crate::calc::boil::fire::on_fire::{Done, FireSaid, Pour};

fn of(boil: Boil, readings: &[Reading]) -> Watch {
    Watch::replay(boil, readings)
}

/// Temperatures that a bulb out of the syrup, swapped digits or the water's own boiling would show, °C.
const LOW: [f64; 4] = [96.7, 98.9, 99.5, 100.6];

#[test]
fn one_confirmed_low_temperature_does_not_silence_the_end() {
    for (until, low) in [126.0, 128.0, 130.0, 132.0]
        .into_iter()
        .flat_map(|until| LOW.map(|low| (until, low)))
    {
        let readings = read_until(until);
        let mut without = of(boil(), &readings);
        let mut with = of(
            boil(),
            &[&readings[..], &[sure(hot(until + 1.0, low))]].concat(),
        );
        for later in [1.1, 2.0, 4.0, 6.0, 10.0, 20.0] {
            let then = at(until + later);
            let (call, seen) = (without.call_at(then), with.look(then));
            assert!(
                call < Call::Check || seen.call >= Call::Check,
                "{until} {low} {later}: {call:?} before, {seen:?}"
            );
            let less = seen.less.unwrap();
            assert_eq!((less.since, less.agree), (at(until + 1.0), 1));
            assert_eq!(less.than, Some(at(until)));
            assert!(seen.next_reading <= at(until + 3.0));
        }
        // At its target it is drawn, by the time alone.
        let seen = with.look(at(DONE + 2.0));
        assert!(seen.call >= Call::There, "{until} {low}: {seen:?}");
    }
}

#[test]
fn once_the_bulb_is_back_in_the_syrup_all_is_as_it_was() {
    for lows in [1, 2_u32] {
        let mut readings = read_until(126.0);
        readings.extend((0..lows).map(|n| sure(hot(127.0 + f64::from(n), 99.0))));
        readings.push(sure(shown(130.0, 1.1)));
        let seen = of(boil(), &readings).look(at(130.2));
        assert!(
            (seen.brix.middle - brix_at(130.0)).abs() < 3.5,
            "{lows}: {} {seen:?}",
            brix_at(130.0)
        );
        assert_eq!(seen.less, None);
        assert_eq!(seen.doubtful.len(), lows as usize);
    }
}

#[test]
fn a_thermometer_that_broke_leaves_the_refractometer_called_for() {
    let mut readings = read_until(126.0);
    for (n, low) in [100.4, 100.5, 100.4, 100.5, 100.4].into_iter().enumerate() {
        let minute = 127.0 + 2.0 * f64::from(u32::try_from(n).unwrap());
        readings.push(sure(hot(minute, low)));
        let mut watch = of(boil(), &readings);
        for later in [0.1, 1.9, 9.0] {
            let seen = watch.look(at(minute + later));
            assert!(seen.call >= Call::Check, "{minute} {later}: {seen:?}");
            assert_eq!(seen.less.unwrap().agree, n + 1);
        }
    }
    // A drop shortly before stands for a second reading as well.
    let mut readings = read_until(130.0);
    readings.push(drop_read(130.5, brix_at(129.0)));
    readings.extend([sure(hot(132.0, 100.4)), hot(134.0, 100.5)]);
    let seen = of(boil(), &readings).look(at(DONE + 2.0));
    assert!(seen.call >= Call::There, "{seen:?}");
}

/// A pan that was watered at minute 121 and nobody said so: thinner by then, and on from there.
fn watered(minute: f64) -> f64 {
    brix_at(minute - 30.0)
}

#[test]
fn figures_that_agree_win_where_the_pan_was_watered_and_nobody_said_so() {
    let temp = |minute: f64| hot_at_brix(minute, watered(minute));
    let mut readings = read_until(120.0);
    readings.extend([sure(temp(124.0)), temp(126.0), temp(128.0)]);
    let seen = of(boil(), &readings).look(at(128.2));
    let truth = watered(128.0);
    assert!((seen.brix.middle - truth).abs() < 5.0, "{truth}: {seen:?}");
    // A drop that agrees ends the question, whenever it comes.
    for upto in [1, 2, 3] {
        let mut some = readings[..readings.len() - 3 + upto].to_vec();
        let last = 122.0 + 2.0 * f64::from(u32::try_from(upto).unwrap());
        some.push(drop_read(last + 1.0, watered(last - 0.5)));
        let seen = of(boil(), &some).look(at(last + 1.2));
        assert_eq!(seen.less, None, "{upto}: {seen:?}");
        let truth = watered(last + 1.0);
        assert!(
            (seen.brix.middle - truth).abs() < 4.0 && seen.call < Call::Check,
            "{upto} {truth}: {seen:?}"
        );
    }
}

fn hot_at_brix(minute: f64, brix: f64) -> Reading {
    hot(minute, WATER + 1.1 * rise_c(brix, WATER, Factor::PURE))
}

#[test]
fn two_figures_win_where_the_pan_is_only_slower_than_was_believed() {
    // Since minute 90 at a third of the speed; silent till 120.
    let slow = |minute: f64| brix_at(90.0 + (minute - 90.0) / 3.0);
    let mut readings = read_until(90.0);
    readings.extend([
        sure(hot_at_brix(120.0, slow(120.0))),
        hot_at_brix(123.0, slow(123.0)),
    ]);
    let seen = of(boil(), &readings).look(at(123.2));
    assert_eq!(seen.less, None, "{seen:?}");
    assert!((seen.brix.middle - slow(123.0)).abs() < 4.0, "{seen:?}");
    assert!(seen.call < Call::Check, "{seen:?}");
}

#[test]
fn a_low_drop_alone_silences_nothing_and_two_do() {
    for (brix, until) in [(47.0, 130.0), (57.0, 132.0)] {
        let mut readings = read_until(until);
        let before = of(boil(), &readings).call_at(at(until + 1.2));
        assert!(before >= Call::Check);
        readings.push(sure(drop_read(until + 1.0, brix)));
        let seen = of(boil(), &readings).look(at(until + 1.2));
        assert!(seen.call >= before.min(Call::There), "{seen:?}");
        readings.push(drop_read(until + 3.0, brix + 0.8));
        let seen = of(boil(), &readings).look(at(until + 3.2));
        assert!(seen.call < Call::There, "{seen:?}");
        assert!((seen.brix.middle - brix).abs() < 6.0, "{seen:?}");
        assert_eq!(seen.less, None);
    }
}

#[test]
fn one_confirmed_high_figure_says_draw_and_two_say_past() {
    for until in [90.0, 100.0, 110.0] {
        let high = |minute: f64, read: f64| sure(hot(minute, fahrenheit(read)));
        let mut readings = read_until(until);
        readings.push(high(until + 5.0, 234.2));
        let mut watch = of(boil(), &readings);
        for later in [5.1, 7.0, 9.0] {
            let seen = watch.look(at(until + later));
            assert!(seen.call <= Call::There, "{until} {later}: {seen:?}");
            assert!(seen.call >= Call::Check, "{until} {later}: {seen:?}");
        }
        let mut drop = readings.clone();
        readings.push(high(until + 7.0, 234.4));
        let seen = of(boil(), &readings).look(at(until + 7.2));
        assert!(seen.call >= Call::Past, "{until}: {seen:?}");
        // A drop that fits what was read before takes it back.
        drop.push(sure(drop_read(until + 7.0, brix_at(until + 5.5))));
        let seen = of(boil(), &drop).look(at(until + 7.2));
        let truth = brix_at(until + 7.0);
        assert!((seen.brix.middle - truth).abs() < 4.0, "{truth}: {seen:?}");
    }
}

#[test]
fn juice_that_is_poured_in_settles_what_was_undecided() {
    let mut readings = read_until(126.0);
    readings.push(sure(hot(127.0, 100.0)));
    assert!(of(boil(), &readings).look(at(127.1)).less.is_some());
    readings.push(Reading {
        temp: None,
        done: Some(Done::Poured(Pour {
            solids: Grams::new(9_000),
            water: Grams::new(50_000),
            temp: c(20.0),
            plain: true,
        })),
        ..hot(128.0, 99.0)
    });
    let seen = of(boil(), &readings).look(at(128.1));
    assert_eq!(seen.less, None);
    assert!(seen.call < Call::Check, "{seen:?}");
}

#[test]
fn a_fire_drawn_meanwhile_is_drawn_in_both() {
    let mut readings = read_until(130.0);
    readings.push(sure(hot(131.0, 99.0)));
    let drawn = |minute, said| Reading {
        temp: None,
        done: Some(Done::Fire(said)),
        ..hot(minute, 99.0)
    };
    readings.push(drawn(132.0, FireSaid::Drawn));
    let seen = of(boil(), &readings).look(at(134.0));
    assert_eq!((seen.call, seen.less), (Call::Drawn, None));
    // It does not boil on through the pause in what was put aside either.
    readings.push(drawn(150.0, FireSaid::Relit));
    let seen = of(boil(), &readings).look(at(150.5));
    assert!(seen.call < Call::Past, "{seen:?}");
}

#[test]
fn a_probe_at_its_finish_calls_for_the_refractometer_for_three_minutes() {
    let mut watch = of(boil(), &read_until(80.0));
    assert!(watch.call_at(at(82.0)) < Call::Check);
    watch.probe_at_finish(Some(at(82.0)));
    for (minute, called) in [(82.0, true), (85.0, true), (85.1, false)] {
        assert_eq!(watch.call_at(at(minute)) >= Call::Check, called, "{minute}");
    }
    watch.probe_at_finish(None);
    assert!(watch.call_at(at(82.0)) < Call::Check);
    // Not once the fire is drawn.
    watch.fire_drawn(at(82.0));
    watch.probe_at_finish(Some(at(83.0)));
    assert_eq!(watch.call_at(at(83.0)), Call::Drawn);
}

#[test]
fn pairs_at_another_k_than_was_learned_are_followed_by_the_drops() {
    for k in [1.5, 1.35, 0.85] {
        let mut readings = read_until(30.0);
        for minute in [90.0, 100.0, 110.0, 116.0, 121.0, 125.0, 128.0] {
            readings.push(Reading {
                brix: Some(bx(brix_at(minute - 1.0))),
                sure: true,
                ..shown(minute, k)
            });
        }
        let seen = of(boil(), &readings).look(at(128.2));
        let truth = brix_at(128.2);
        assert!(
            (seen.brix.middle - truth).abs() < 2.5,
            "{k} {truth}: {seen:?}"
        );
        assert!(
            seen.brix.low < truth + 0.5 && truth - 0.5 < seen.brix.high,
            "{k} {truth}: {seen:?}"
        );
    }
}
