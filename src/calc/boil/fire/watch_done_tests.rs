//! Tests of what is done to a boil while it is watched: its fire drawn and lit again, said to be drawn by mistake, juice
//! poured in.

use super::*;
use crate::calc::boil::fire::on_fire::{Done, FireSaid, Pour};

fn done(minute: f64, what: Done) -> Reading {
    Reading {
        at: at(minute),
        temp: None,
        brix: None,
        done: Some(what),
        by: By::Hand,
        sure: false,
    }
}

fn fire(minute: f64, said: FireSaid) -> Reading {
    done(minute, Done::Fire(said))
}

fn sure(reading: Reading) -> Reading {
    Reading {
        sure: true,
        ..reading
    }
}

/// The Brix of the boil of these tests when it has boiled for so many minutes.
fn boiled(minutes: f64) -> f64 {
    brix_at(COMES_TO_THE_BOIL + minutes)
}

/// A thermometer in syrup of a Brix, at K 1.1.
fn hot_at(minute: f64, brix: f64) -> Reading {
    hot(minute, WATER + 1.1 * rise_c(brix, WATER, Factor::PURE))
}

#[test]
fn a_pause_of_a_drawn_fire_is_not_boiled_through() {
    // Drawn at these minutes for so long; read a while after it was lit again.
    for (drawn, pause) in [(110.0, 28.0), (131.0, 14.0), (131.0, 3.0)] {
        let mut readings = read_until(drawn - 1.0);
        readings.push(drop_read(drawn - 0.5, brix_at(drawn - 1.5)));
        readings.push(fire(drawn, FireSaid::Drawn));
        readings.push(drop_read(drawn + 2.5, brix_at(drawn + 1.0)));
        let lit = drawn + pause;
        readings.push(fire(lit, FireSaid::Relit));
        let seen = Watch::replay(boil(), &readings).look(at(lit + 0.5));
        assert!(seen.call < Call::Past, "{drawn} {pause}: {seen:?}");
        assert!(
            (seen.brix.middle - brix_at(drawn + 1.0)).abs() < 2.5,
            "{drawn} {pause}: {seen:?}"
        );
        assert_eq!(seen.silent_since, None, "{seen:?}");
        // What is read then is believed, and fits.
        let short = brix_at(drawn + 1.4);
        readings.push(sure(drop_read(lit + 2.0, short)));
        let seen = Watch::replay(boil(), &readings).look(at(lit + 2.2));
        assert!(seen.call < Call::Past, "{drawn} {pause}: {seen:?}");
        assert_eq!(seen.doubtful, Vec::<usize>::new());
        assert!((seen.brix.middle - short).abs() < 2.5, "{seen:?}");
    }
}

#[test]
fn a_pan_lit_again_goes_on_to_its_target_and_past_it() {
    let mut readings = read_until(126.0);
    readings.push(fire(127.0, FireSaid::Drawn));
    readings.push(fire(140.0, FireSaid::Relit));
    // It boils again at 142, as it did: read every two minutes.
    let again = |minute: f64| boiled(100.5 + (minute - 142.0));
    let mut watch = Watch::replay(boil(), &readings);
    for minute in [143.0, 145.0, 147.0] {
        let seen = watch.look(at(minute));
        assert!(seen.call < Call::Past, "{minute}: {seen:?}");
        watch.take(&hot_at(minute, again(minute)));
    }
    // 78 °Bx after 106.6 minutes of boiling: at 148. Past it cannot be quiet.
    let seen = watch.look(at(149.0));
    assert!(seen.call >= Call::There, "{seen:?}");
    assert!(watch.look(at(160.0)).call >= Call::Past);
}

#[test]
fn a_thermometer_in_a_pan_that_warms_again_does_not_thin_it() {
    let mut readings = read_until(126.0);
    readings.extend([fire(127.0, FireSaid::Drawn), fire(155.0, FireSaid::Relit)]);
    let mut watch = Watch::replay(boil(), &readings);
    let before = watch.look(at(156.0)).brix.middle;
    watch.take(&hot(156.0, 88.0));
    let seen = watch.look(at(156.0));
    assert!((seen.brix.middle - before).abs() < 1.0, "{before} {seen:?}");
    assert_eq!(seen.doubtful, Vec::<usize>::new());
}

#[test]
fn a_pan_that_boils_on_after_it_was_said_to_be_drawn_is_called_again() {
    // Said at 100, by mistake, with 34 minutes to go.
    for with_drops in [false, true] {
        let mut readings = read_until(100.0);
        readings.push(fire(100.5, FireSaid::Drawn));
        let mut watch = Watch::replay(boil(), &readings);
        assert_eq!(watch.look(at(104.0)).call, Call::Drawn);
        assert_eq!(watch.look(at(104.0)).burns_on, None);
        for minute in [110.0, 116.0, 122.0, 127.0, 131.0, 134.0] {
            if with_drops {
                watch.take(&sure(drop_read(minute, brix_at(minute - 1.5))));
            } else {
                watch.take(&sure(shown(minute, 1.1)));
            }
            let seen = watch.look(at(minute + 0.3));
            if minute > 117.0 {
                assert_ne!(seen.call, Call::Drawn, "{minute}: {seen:?}");
                assert_eq!((seen.burns_on, seen.drawn_at), (Some(at(100.5)), None));
            }
        }
        let seen = watch.look(at(137.0));
        assert!(seen.call >= Call::There, "{seen:?}");
        assert!(seen.brix.high > 77.0, "{seen:?}");
        // Drawn in truth, it is quiet again.
        watch.take(&fire(137.5, FireSaid::Drawn));
        let seen = watch.look(at(138.0));
        assert_eq!((seen.call, seen.burns_on), (Call::Drawn, None));
    }
}

#[test]
fn a_fire_lit_again_and_not_noted_is_seen_by_what_is_read() {
    let mut readings = read_until(122.0);
    readings.push(fire(123.0, FireSaid::Drawn));
    readings.push(drop_read(126.0, brix_at(123.5)));
    let mut watch = Watch::replay(boil(), &readings);
    // Lit again at 130.
    for minute in [136.0, 138.0, 140.0, 142.0] {
        watch.take(&hot_at(minute, boiled(97.0 + (minute - 131.0))));
    }
    let seen = watch.look(at(142.2));
    assert!(
        seen.burns_on.is_some() && seen.call >= Call::Check,
        "{seen:?}"
    );
}

#[test]
fn drops_of_a_pan_that_is_drawn_do_not_light_it() {
    let mut readings = read_until(132.0);
    readings.push(fire(133.0, FireSaid::Drawn));
    readings.extend([drop_read(136.0, 77.2), drop_read(139.0, 77.6)]);
    readings.extend([hot(140.0, 103.0), hot(150.0, 96.0)]);
    let seen = Watch::replay(boil(), &readings).look(at(151.0));
    assert_eq!((seen.call, seen.burns_on), (Call::Drawn, None));
}

/// 75 kg of juice of 16 °Bx.
fn pour(plain: bool) -> Done {
    Done::Poured(Pour {
        solids: Grams::new(12_000),
        water: Grams::new(63_000),
        temp: c(25.0),
        plain,
    })
}

#[test]
fn juice_poured_in_thins_the_pan_and_puts_the_finish_off() {
    // At 101: 45 kg of solids and 89.1 of water; then 57 and 152.1: 27.3 °Bx. 136.0 kg of it have to go, at 2.2725 kg a
    // minute: 59.9 minutes, and 75 kg to warm by 75 °C take 4.4.
    let mut readings = read_until(100.0);
    readings.push(done(101.0, pour(true)));
    let mut watch = Watch::replay(boil(), &readings);
    let seen = watch.look(at(101.2));
    let water = 45.0 * (100.0 / brix_at(101.0) - 1.0) + 63.0;
    let brix = 100.0 * 57.0 / (57.0 + water);
    assert!((seen.brix.middle - brix).abs() < 2.0, "{brix} {seen:?}");
    let minute = |of: &BeliefAt| {
        let finish = of.finish.unwrap_or_else(|| panic!("{of:?}"));
        minutes_between(LIT, finish.finish)
    };
    let left = 57.0 * (water / 57.0 - (100.0 / 78.0 - 1.0)) / (45.0 * A_MINUTE);
    assert!(
        (minute(&seen) - (105.4 + left)).abs() < 12.0,
        "{left} {seen:?}"
    );
    assert!(minute(&seen) > DONE + 20.0);
    assert!(seen.next_reading > at(101.9), "{seen:?}");
    assert!((watch.boil().solids.kg() - 57.0).abs() < 1e-9);
    // And it is done by then.
    let then = |minute: f64| 100.0 / ((water - 45.0 * A_MINUTE * (minute - 105.4)) / 57.0 + 1.0);
    let done_at = 105.4 + left;
    for minute in [
        112.0,
        122.0,
        132.0,
        done_at - 12.0,
        done_at - 6.0,
        done_at - 2.0,
    ] {
        watch.take(&hot_at(minute, then(minute)));
        let seen = watch.look(at(minute));
        assert!(seen.call < Call::Past, "{minute}: {seen:?}");
        assert!(
            (seen.brix.middle - then(minute)).abs() < 6.0,
            "{minute}: {seen:?}"
        );
    }
    assert!(watch.look(at(done_at + 1.0)).call >= Call::There);
}

#[test]
fn what_may_only_correct_an_amount_leaves_it_open_until_it_is_read() {
    let mut readings = read_until(110.0);
    readings.push(done(111.0, pour(false)));
    let seen = Watch::replay(boil(), &readings).look(at(111.2));
    assert!(seen.brix.high - seen.brix.low > 8.0, "{seen:?}");
    let wide = |of: Forecast| of.latest.minutes_since(of.earliest) > 40;
    assert!(seen.finish.is_none_or(wide), "{seen:?}");
    // It was in the pan from the beginning.
    readings.extend([shown(118.0, 1.1), shown(122.0, 1.1)]);
    let seen = Watch::replay(boil(), &readings).look(at(122.2));
    assert!((seen.brix.middle - brix_at(122.0)).abs() < 5.0, "{seen:?}");
}

#[test]
fn the_last_two_brix_go_by_as_fast_as_the_fire_is() {
    let mut watch = Watch::replay(boil(), &read_until(130.0));
    // Water per solids of 76 and 78 °Bx: 0.0337 apart, at 0.0505 a minute 40 seconds, and slower the thicker it is.
    let full = watch.look(at(130.0)).last_two_s;
    assert!((38.0..70.0).contains(&full), "{full}");
    watch.take(&fire(130.0, FireSaid::LetDown));
    let eased = watch.look(at(136.0)).last_two_s;
    assert!(eased > 1.2 * full, "{eased} {full}");
}

#[test]
fn drops_in_a_row_over_a_small_fire_are_not_run_ahead_of() {
    // Drawn at 75 °Bx, lit again with a fire that gives 0.2 °Bx in two minutes.
    let drawn = 132.5;
    let mut readings = read_until(drawn - 1.0);
    readings.push(drop_read(drawn - 0.5, brix_at(drawn - 1.5)));
    readings.push(fire(drawn, FireSaid::Drawn));
    let brix = brix_at(drawn + 0.5);
    readings.push(drop_read(drawn + 4.0, brix));
    readings.push(fire(drawn + 7.0, FireSaid::Relit));
    for n in 1..=4 {
        let n = f64::from(n);
        let (minute, there) = (drawn + 7.0 + 2.0 * n, brix + 0.2 * n);
        readings.push(sure(Reading {
            brix: Some(bx(there)),
            ..hot_at(minute, there)
        }));
        let seen = Watch::replay(boil(), &readings).look(at(minute + 0.1));
        assert!(seen.call < Call::Past, "{n} {there}: {seen:?}");
    }
    let seen = Watch::replay(boil(), &readings).look(at(drawn + 15.1));
    assert!(
        (seen.brix.middle - brix - 0.8).abs() < 2.0,
        "{brix}: {seen:?}"
    );
}
