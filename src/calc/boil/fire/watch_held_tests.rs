//! Tests of what a watch goes on saying: a call that was made, a drop that is asked for, the temperature to draw off at.

use super::*;
use crate::calc::boil::fire::outside_belief::PAIR_BRIX;

/// A pan that goes `times` times as fast as was learned: its Brix at a minute, and when it is at its target.
fn at_rate(times: f64, minute: f64) -> f64 {
    100.0 / (100.0 / 15.0 - times * A_MINUTE * (minute - COMES_TO_THE_BOIL).max(0.0))
}

fn boils_at(brix: f64, k: f64) -> f64 {
    WATER + k * rise_c(brix, WATER, Factor::PURE)
}

/// A probe that sends every 15 seconds in a pan whose fire is eased to half ten minutes before the end, and wavers by up to
/// 0.3 °C for half a minute at a time.
fn wavering(until: f64) -> Vec<Reading> {
    let eased = DONE - 10.0;
    let sends = (0..).map(|n| COMES_TO_THE_BOIL + 0.25 * f64::from(n));
    let one = |minute: f64| {
        let brix = at_rate(1.0, minute.min(eased) + 0.5 * (minute - eased).max(0.0));
        let waver = 0.15 * ((2.0 * minute).floor() * 7.0 % 5.0 - 2.0);
        Reading {
            by: By::Probe,
            ..hot(minute, boils_at(brix, 1.1) + waver)
        }
    };
    sends
        .take_while(|minute| *minute <= until)
        .map(one)
        .collect()
}

#[test]
fn a_call_once_made_is_not_taken_back_by_a_probe_that_wavers() {
    let mut watch = Watch::start(boil());
    let mut made = Vec::new();
    for reading in wavering(DONE + 12.0) {
        watch.take(&reading);
        let call = watch.look(reading.at).call;
        if made.last() != Some(&call) {
            made.push(call);
        }
    }
    let first = made.iter().position(|call| *call >= Call::Check).unwrap();
    assert!(made[first..].is_sorted(), "{made:?}");
    assert!(made.contains(&Call::There), "{made:?}");
}

#[test]
fn a_call_once_made_is_taken_back_by_a_drop_that_says_otherwise() {
    let mut watch = Watch::replay(boil(), &read_until(132.0));
    assert!(watch.look(at(136.5)).call >= Call::There);
    for (minute, brix) in [(136.5, 60.0), (137.5, 60.8), (138.5, 61.5), (139.5, 62.2)] {
        watch.take(&drop_read(minute, brix));
    }
    let seen = watch.look(at(139.6));
    assert!(seen.call <= Call::Check, "{seen:?}");
}

#[test]
fn a_reading_is_due_where_a_probe_counts_for_nothing_any_more() {
    let until = 121.0;
    let readings: Vec<Reading> = wavering(until);
    let mut watch = Watch::replay(boil(), &readings);
    let before = watch.look(at(until)).next_reading;
    watch.probe_counts_until(Some(readings.last().unwrap().at));
    assert_eq!(
        watch.look(at(until)).next_reading,
        at(until + 2.0).min(before)
    );
    assert_eq!(watch.look(at(until + 3.1)).silent_since, Some(at(until)));
    // A reading by hand ends that.
    watch.take(&shown(until + 3.2, 1.1));
    let seen = watch.look(at(until + 3.3));
    assert_eq!(seen.silent_since, None);
    assert!(seen.next_reading > at(until + 3.3), "{seen:?}");
}

#[test]
fn a_temperature_at_the_draw_off_is_not_asked_back_near_the_end() {
    // It goes 1.6 times as fast as was learned, by thermometer alone: at its target 66.6 minutes after it boils.
    let done = COMES_TO_THE_BOIL + (DONE - COMES_TO_THE_BOIL) / 1.6;
    let mut readings = warming().to_vec();
    let minutes = [40.0, 55.0, 70.0, 80.0, 86.0, 90.0, 93.0];
    readings.extend(minutes.map(|m| hot(m, boils_at(at_rate(1.6, m), 1.1))));
    let mut watch = Watch::replay(boil(), &readings);
    let draw_off = boils_at(78.0, 1.1);
    let typed = |c| Typed::Temp(c, Units::Metric);
    for then in [done - 1.0, done, done + 1.0] {
        for temp in [draw_off - 1.0, draw_off, draw_off + 0.3, draw_off + 1.1] {
            assert_eq!(
                watch.surprise(at(then), typed(temp)),
                None,
                "{then}: {temp}"
            );
        }
        let call = watch.call_at(at(then));
        let far = watch.surprise(at(then), typed(draw_off + 9.0));
        assert!(far.is_some() || call >= Call::There, "{then}: {call:?}");
        // Far below, and more than any syrup, is asked back as ever.
        for temp in [WATER - 5.0, WATER + 50.0] {
            assert!(
                watch.surprise(at(then), typed(temp)).is_some(),
                "{then}: {temp}"
            );
        }
    }
    // Long after it should be done nothing hotter is odd.
    let seen = watch.look(at(done + 25.0));
    assert!(seen.call >= Call::There, "{seen:?}");
    assert_eq!(watch.surprise(at(done + 25.0), typed(120.0)), None);
}

#[test]
fn a_drop_is_asked_for_until_one_tells_the_k() {
    let guessed = Boil { k: None, ..boil() };
    let mut watch = Watch::replay(guessed, &read_until(110.0));
    let mut asked = Vec::new();
    for minute in [112.0, 114.0, 117.0, 120.0, 122.0, 124.0] {
        watch.take(&shown(minute, 1.1));
        let seen = watch.look(at(minute));
        let thick = seen.brix.middle >= PAIR_BRIX;
        if thick || asked.contains(&true) {
            assert!(
                seen.asks_drop() && (seen.drop_open || !thick),
                "{minute}: {seen:?}"
            );
        }
        asked.push(seen.asks_drop());
    }
    assert_eq!(asked.last(), Some(&true));
    assert!(watch.look(at(124.0)).drop_open);
    watch.take(&drop_read(125.0, brix_at(123.5)));
    assert!(!watch.look(at(125.0)).drop_open);
    let mut taught = Watch::replay(boil(), &read_until(124.0));
    assert!(!taught.look(at(124.0)).asks_drop());
}

#[test]
fn where_to_draw_off_is_what_this_boil_shows_and_not_what_was_learned() {
    // The mill learned 1.1 and this boil has 1.5: pairs of thermometer and drop say so.
    let mut readings = warming().to_vec();
    readings.extend([40.0, 60.0, 80.0, 100.0].map(|m| shown(m, 1.5)));
    for minute in [110.0, 114.0, 118.0, 121.0, 124.0, 126.0] {
        let mut both = shown(minute, 1.5);
        both.brix = Some(bx(brix_at(minute - 1.5)));
        readings.push(both);
    }
    let (learned, true_one) = (boils_at(78.0, 1.1), boils_at(78.0, 1.5));
    for k in [boil().k, None] {
        let seen = Watch::replay(Boil { k, ..boil() }, &readings).look(at(126.0));
        let own = seen.draws_off_elsewhere(learned).unwrap();
        assert!((own.middle - true_one).abs() < 1.5, "{own:?} {true_one}");
        assert!(own.low < true_one && true_one < own.high, "{own:?}");
    }
    // A boil like the others is drawn off where the others were; before anything is read, nothing is known of it.
    let usual = Watch::replay(boil(), &read_until(126.0)).look(at(126.0));
    assert_eq!(usual.draws_off_elsewhere(learned), None);
    assert_eq!(Watch::start(boil()).look(at(1.0)).draw_off, None);
}

/// Sends every fifteen seconds, each off by up to 0.6 °C, as chance has it.
fn shaky(until: f64) -> Vec<Reading> {
    let mut lot = 7_u32;
    let sends = (0..).map(|n| COMES_TO_THE_BOIL + 0.25 * f64::from(n));
    sends
        .take_while(|minute| *minute <= until)
        .map(|minute| {
            lot = lot.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let off = 1.2 * (f64::from(lot >> 16) / 65_536.0 - 0.5);
            Reading {
                by: By::Probe,
                ..hot(minute, boils_at(at_rate(1.0, minute), 1.1) + off)
            }
        })
        .collect()
}

#[test]
fn a_finish_once_told_is_not_taken_back_and_told_again_by_a_probe_that_wavers() {
    for (k, rate_boils) in [(boil().k, 4), (boil().k, 0), (None, 4), (None, 0)] {
        let mut watch = Watch::start(Boil {
            k,
            rate_boils,
            ..boil()
        });
        let mut made = Vec::new();
        for reading in shaky(DONE - 10.0) {
            watch.take(&reading);
            let told = watch.look(reading.at.plus(1)).finish.is_some();
            if made.last() != Some(&told) {
                made.push(told);
            }
        }
        // Told once; it may begin with what was known before anything was read.
        assert!(
            made.len() <= 4,
            "{k:?} {rate_boils}: {} changes",
            made.len()
        );
        assert_eq!(made.last(), Some(&true));
    }
}

/// Courses that never end all end at the far end of what is foretold, and agree to the minute.
#[test]
fn the_far_end_of_what_is_foretold_is_no_finish() {
    let watch = Watch::replay(boil(), &read_until(110.0));
    let far = watch.belief.at + 1440.0;
    assert!(!watch.tells([far, far, far], 110.0));
    assert!(!watch.tells([far - 2.0, far - 1.0, far], 110.0));
    let near = watch.belief.at + 25.0;
    assert!(watch.tells([near, near, near], 110.0));
}
