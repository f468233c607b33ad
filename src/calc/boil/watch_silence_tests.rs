//! Tests of silence: a hand or a probe that notes nothing any more near the end.

use super::*;

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
            by: By::Probe,
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
