//! A figure typed wrongly near the end, read back and confirmed by a tired hand: until another decides, the call is no calmer
//! than by what was believed before.

use super::*;

fn as_fahrenheit(celsius: f64) -> f64 {
    1.8 * celsius + 32.0
}

/// What a thermometer shows at a minute, typed wrongly: ten or twenty degrees too few, digits that changed places.
fn slips_of_temp(minute: f64) -> Vec<Reading> {
    let right = as_fahrenheit(shown(minute, 1.1).temp.unwrap().get()).round();
    let (tens, ones) = ((right / 10.0).floor() % 10.0, right % 10.0);
    let swapped = right - 10.0 * tens - ones + 10.0 * ones + tens;
    [right - 10.0, right - 20.0, swapped]
        .into_iter()
        .filter(|typed| *typed < right - 3.0)
        .map(|typed| sure(hot(minute, fahrenheit(typed))))
        .collect()
}

/// A drop read as it is, typed wrongly.
fn slips_of_drop(minute: f64) -> Vec<Reading> {
    let right = brix_at(minute - 1.5).round();
    [right - 10.0, right - 20.0, right - 30.0]
        .map(|typed| sure(drop_read(minute, typed)))
        .into()
}

fn kits() -> [Boil; 3] {
    let guessed = Boil { k: None, ..boil() };
    let strange = Boil {
        k: None,
        rate_boils: 0,
        ..boil()
    };
    [boil(), guessed, strange]
}

/// Whether the page would ask about a figure before it counts.
fn is_asked(of: Boil, before: &[Reading], slip: &Reading) -> bool {
    let typed = match (slip.temp, slip.brix) {
        (Some(temp), _) => Typed::Temp(temp.get(), Units::Metric),
        (None, brix) => Typed::Brix(brix.unwrap().get()),
    };
    let asked = Watch::replay(of, before).surprise(slip.at, typed);
    asked.is_some()
}

/// Whether a call was so for a minute: two beliefs with chances of their own come to it a little apart.
fn called(watch: &mut Watch, minute: f64) -> bool {
    [minute - 1.0, minute]
        .iter()
        .all(|then| watch.call_at(at(*then)) >= Call::Check)
}

#[test]
fn no_confirmed_slip_is_calmer_than_what_was_called_before_it() {
    let mut asked = 0;
    for of in kits() {
        for until in [118.0, 124.0, 128.0, 132.0] {
            let readings = read_until(until);
            let mut without = Watch::replay(of, &readings);
            let then = until + 1.5;
            let mut slips = [slips_of_temp(then), slips_of_drop(then)].concat();
            slips.retain(|slip| is_asked(of, &readings, slip));
            for slip in slips {
                let mut with = Watch::replay(of, &[&readings[..], &[slip]].concat());
                for later in [0.1, 1.0, 2.0, 3.0, 5.0, 8.0, 12.0] {
                    if !called(&mut without, then + later) {
                        continue;
                    }
                    asked += 1;
                    let seen = with.look(at(then + later));
                    assert!(
                        seen.call >= Call::Check,
                        "{until} {slip:?} {later}: {seen:?}"
                    );
                    // Nor is a finish told by what is not believed alone.
                    assert!(
                        seen.finish
                            .is_none_or(|told| told.finish <= at(then + 45.0)),
                        "{seen:?}"
                    );
                }
            }
        }
    }
    assert!(asked > 200, "{asked}");
}

#[test]
fn after_a_confirmed_slip_the_next_reading_is_due_in_two_minutes_and_it_is_said_since_when() {
    let mut slips = [slips_of_temp(126.0), slips_of_drop(126.0)].concat();
    slips.retain(|slip| is_asked(boil(), &read_until(124.0), slip));
    assert!(slips.len() >= 4, "{slips:?}");
    for slip in slips {
        let mut watch = Watch::replay(boil(), &[&read_until(124.0)[..], &[slip]].concat());
        let seen = watch.look(at(126.2));
        assert_eq!(seen.confirmed, Some(at(126.0)), "{slip:?}");
        assert!(seen.next_reading <= at(128.0), "{seen:?}");
        // Not said of the same figure where nobody confirmed it.
        let plain = Reading {
            sure: false,
            ..slip
        };
        let mut watch = Watch::replay(boil(), &[&read_until(124.0)[..], &[plain]].concat());
        assert_eq!(watch.look(at(126.2)).confirmed, None);
        // A drop that is right decides, and all is as it was.
        let right = drop_read(128.0, brix_at(126.5));
        let all = [&read_until(124.0)[..], &[slip, right]].concat();
        let seen = Watch::replay(boil(), &all).look(at(128.2));
        assert_eq!(seen.confirmed, None, "{slip:?}: {seen:?}");
        assert!(
            (seen.brix.middle - brix_at(128.2)).abs() < 4.0,
            "{slip:?}: {seen:?}"
        );
    }
}

/// Where nobody knows K, a thermometer fits a drop that was typed wrongly as well as what was believed before.
#[test]
fn a_thermometer_that_fits_both_decides_nothing_about_a_confirmed_drop() {
    let mut asked = 0;
    for of in kits() {
        for until in [122.0, 126.0, 130.0] {
            let readings = read_until(until);
            let mut slips = slips_of_drop(until + 1.0);
            slips.retain(|slip| is_asked(of, &readings, slip));
            for slip in slips {
                let next = shown(until + 3.0, 1.1);
                let mut without = Watch::replay(of, &[&readings[..], &[next]].concat());
                let mut with = Watch::replay(of, &[&readings[..], &[slip, next]].concat());
                for later in [4.1, 6.0, 9.0] {
                    if called(&mut without, until + later) {
                        asked += 1;
                        let seen = with.look(at(until + later));
                        assert!(seen.call >= Call::Check, "{until} {slip:?}: {seen:?}");
                        assert!(
                            seen.confirmed.is_none() || seen.next_reading <= at(until + 5.0),
                            "{seen:?}"
                        );
                    }
                }
            }
        }
    }
    assert!(asked > 30, "{asked}");
}

#[test]
fn a_confirmed_figure_that_was_right_wins_once_another_agrees() {
    // The pan was watered ten minutes before, and nobody said so.
    let thin = |minute: f64| brix_at(minute - 30.0);
    let mut readings = read_until(124.0);
    readings.extend([
        sure(drop_read(126.0, thin(124.5))),
        drop_read(128.0, thin(126.5)),
    ]);
    for of in kits() {
        let seen = Watch::replay(of, &readings).look(at(128.2));
        assert_eq!(seen.confirmed, None, "{seen:?}");
        assert!(seen.call < Call::Check, "{seen:?}");
        assert!((seen.brix.middle - thin(128.2)).abs() < 4.0, "{seen:?}");
    }
}
