//! Tests of silence: a hand or a probe that notes nothing any more near the end.

use super::*;
use crate::calc::boil::fire::on_fire::{Done, FireSaid};

#[test]
fn silence_near_the_end_is_said_and_says_since_when() {
    let mut watch = Watch::replay(boil(), &read_until(122.0));
    let seen = watch.look(at(122.5));
    assert_eq!(seen.silent_since, None);
    let due = seen.next_reading;
    assert!(due > at(122.0) && due <= at(137.0), "{seen:?}");
    let seen = watch.look(due.plus(61));
    assert_eq!(seen.silent_since, Some(at(122.0)));
    assert_eq!(seen.next_reading, due, "counted down, not put off");
    let seen = watch.look(at(145.0));
    assert!(seen.call >= Call::Past, "{seen:?}");
    let said = call::silence("11:25", seen.call);
    assert_eq!(
        said,
        "No reading since 11:25: it may be past, draw the fire and read it."
    );
}

#[test]
fn a_probe_that_falls_silent_near_the_end_is_said_and_grows_graver_like_any_silence() {
    let until = 122.0;
    let readings: Vec<Reading> = (0..=732)
        .map(|tick| f64::from(tick) / 6.0)
        .filter(|minute| *minute >= COMES_TO_THE_BOIL)
        .map(|minute| Reading {
            done: None,
            by: By::Probe,
            sure: false,
            ..shown(minute, 1.1)
        })
        .collect();
    let mut watch = Watch::replay(boil(), &readings);
    assert_eq!(watch.look(at(until + 0.5)).silent_since, None);
    let due = watch.look(at(until)).next_reading;
    assert!(due <= at(until + 15.0));
    assert_eq!(watch.look(due.plus(61)).silent_since, Some(at(until)));
    let calls = [until, 130.0, 136.0, 150.0].map(|minute| watch.look(at(minute)).call);
    assert!(calls.is_sorted(), "{calls:?}");
    assert!(
        calls[0] < Call::There && calls[3] >= Call::Past,
        "{calls:?}"
    );
}

fn fire(minute: f64, said: FireSaid) -> Reading {
    Reading {
        at: at(minute),
        temp: None,
        brix: None,
        done: Some(Done::Fire(said)),
        by: By::Hand,
        sure: false,
    }
}

#[test]
fn what_the_cook_says_of_the_fire_moves_the_finish_and_narrows_it() {
    let told_at = 128.0;
    let told = |said: Option<FireSaid>| {
        let mut watch = Watch::replay(boil(), &read_until(told_at));
        if let Some(said) = said {
            watch.take(&fire(told_at, said));
        }
        let looked = watch.look(at(told_at));
        let finish = looked
            .finish
            .unwrap_or_else(|| panic!("{said:?}: {looked:?}"));
        let minute = |of| minutes_between(LIT, of);
        (
            minute(finish.finish),
            minute(finish.latest) - minute(finish.earliest),
        )
    };
    let (open, stays, down) = (
        told(None),
        told(Some(FireSaid::Stays)),
        told(Some(FireSaid::LetDown)),
    );
    // A fire that stays is done about when it truly is, sooner and surer than while nothing is said; one let down is later.
    assert!((stays.0 - DONE).abs() < 1.5, "{stays:?}");
    assert!(
        stays.0 <= open.0 && open.0 < down.0,
        "{stays:?} {open:?} {down:?}"
    );
    assert!(stays.1 < open.1, "{stays:?} {open:?}");
}

#[test]
fn what_is_said_of_the_fire_is_no_reading() {
    let mut watch = Watch::replay(boil(), &read_until(110.0));
    let before = watch.look(at(111.0));
    watch.take(&fire(111.0, FireSaid::Stays));
    let after = watch.look(at(111.0));
    assert_eq!(before.last_reading, after.last_reading);
    assert_eq!(after.doubtful, before.doubtful);
    // Silence still counts from the reading.
    assert!(watch.look(at(140.0)).silent_since.is_some());
}

/// Whoever went on reading would be told to check by now in at least one boil of twelve, so a watch that hears
/// nothing must not call it quiet.
#[test]
fn silence_calls_for_a_reading_once_one_boil_of_twelve_would_be_done() {
    for (k, rate_boils) in [(None, 0), (None, 4), (boil().k, 0), (boil().k, 4)] {
        for until in [40.0, 60.0, 80.0, 90.0, 100.0, 110.0] {
            let of = Boil {
                k,
                rate_boils,
                ..boil()
            };
            let mut watch = Watch::replay(of, &read_until(until));
            let mut overdue = 0;
            for minute in 1..=120 {
                let seen = watch.look(at(until + f64::from(minute)));
                if seen.silent_since.is_none() || seen.chances.there < 0.08 {
                    continue;
                }
                overdue += 1;
                assert!(
                    seen.call >= Call::Check,
                    "{rate_boils} boils, {minute} min after {until}: {seen:?}"
                );
                let said = call::silence("11:25", seen.call);
                assert!(!said.contains("please note one"), "{said}");
            }
            assert!(overdue > 5, "{rate_boils} boils, after {until}");
        }
    }
}

/// Twenty-three minutes after the last reading of a pan nobody has learned anything of: it may be done, and nothing
/// else is on the page.
#[test]
fn too_early_to_tell_does_not_stand_beside_a_long_silence() {
    let of = Boil {
        k: None,
        rate_boils: 0,
        ..boil()
    };
    let mut watch = Watch::replay(of, &read_until(90.0));
    assert_eq!(watch.look(at(91.0)).call, Call::TooEarly);
    let seen = watch.look(at(113.0));
    assert_eq!(seen.silent_since, Some(at(90.0)));
    assert_eq!(seen.call, Call::Check, "{seen:?}");
    assert_eq!(
        call::silence("11:25", seen.call),
        "No reading since 11:25: it may be near its target, please read it."
    );
}

#[test]
fn the_call_of_a_moment_by_itself_is_the_one_of_a_look() {
    let guessed = Boil { k: None, ..boil() };
    let mut seen = Vec::new();
    for of in [boil(), guessed] {
        for until in [0.0, 40.0, 110.0, 126.0] {
            let mut watch = Watch::replay(of, &read_until(until));
            for minute in 0..90 {
                let then = at(until - 10.0 + 2.0 * f64::from(minute));
                let call = watch.call_at(then);
                assert_eq!(call, watch.look(then).call, "{until} {minute}");
                seen.push(call);
            }
        }
    }
    for call in [
        Call::Heating,
        Call::Going,
        Call::Check,
        Call::There,
        Call::Past,
    ] {
        assert!(seen.contains(&call), "{call:?}");
    }
}
