//! Tests of the watch: what once misled a cook, the figures a cook reads, and that the same readings
//! always give the same answer.

use super::*;
use crate::calc::boil::boil_plan::{GAL_FT2_L_M2, Pan};
use crate::calc::boil::fire::call::Call;
use crate::calc::boil::fire::on_fire::Taught;
use crate::calc::boil::fire::outside_belief::{OutsideBelief, odd};
use crate::calc::boil::fire::surprise::Typed;
use crate::calc::physics::elevation::{Factor, rise_c};
use crate::units::{BrixAt20C, Celsius, Units};

#[path = "watch_silence_tests.rs"]
mod silence;

#[path = "watch_alone_tests.rs"]
mod alone;

#[path = "watch_done_tests.rs"]
mod done;

#[path = "watch_held_tests.rs"]
mod held;

#[path = "expects_tests.rs"]
mod expects;

const LIT: UtcSecond = UtcSecond::new(1_800_000_000);
const WATER: f64 = 99.5;

fn bx(value: f64) -> BrixAt20C {
    BrixAt20C::new(value).unwrap()
}
fn c(value: f64) -> Celsius {
    Celsius::new(value).unwrap()
}
#[expect(clippy::cast_possible_truncation, reason = "minutes of one boil")]
fn at(minute: f64) -> UtcSecond {
    LIT.plus((60.0 * minute).round() as i64)
}
fn fahrenheit(value: f64) -> f64 {
    (value - 32.0) / 1.8
}
fn hot(minute: f64, temp: f64) -> Reading {
    Reading {
        at: at(minute),
        temp: Some(c(temp)),
        brix: None,
        done: None,
        by: By::Hand,
        sure: false,
    }
}
fn drop_read(minute: f64, brix: f64) -> Reading {
    Reading {
        at: at(minute),
        temp: None,
        brix: Some(bx(brix)),
        done: None,
        by: By::Hand,
        sure: false,
    }
}

/// 45 kg of solids at 15 °Bx in 2.23 m² at 1.5 gal a square foot an hour: water per solids falls
/// by 0.0505 a minute, so it is at 78 °Bx 106.6 minutes after it came to the boil.
fn boil() -> Boil {
    Boil {
        lit: LIT,
        solids: Grams::new(45_000),
        juice: bx(15.0),
        target: bx(78.0),
        water: c(WATER),
        k: Some(Taught {
            value: 1.1,
            boils: 4,
        }),
        pan: Pan::new(2.23, 1.5 * GAL_FT2_L_M2).unwrap(),
        rate_boils: 4,
    }
}
const COMES_TO_THE_BOIL: f64 = 28.0;
const A_MINUTE: f64 = 0.0505;
const DONE: f64 = 134.55;

fn brix_at(minute: f64) -> f64 {
    100.0 / (100.0 / 15.0 - A_MINUTE * (minute - COMES_TO_THE_BOIL).max(0.0))
}
/// What a thermometer shows of that boil at a K.
fn shown(minute: f64, k: f64) -> Reading {
    hot(
        minute,
        WATER + k * rise_c(brix_at(minute), WATER, Factor::PURE),
    )
}
fn warming() -> [Reading; 2] {
    [hot(12.0, 54.0), hot(25.0, 91.0)]
}
/// A boil read every ten minutes and more often near the end.
fn read_until(minute: f64) -> Vec<Reading> {
    let mut all = warming().to_vec();
    let minutes = (3..12)
        .map(|n| 10.0 * f64::from(n))
        .chain((0..12).map(|n| 120.0 + 2.0 * f64::from(n)));
    all.extend(minutes.filter(|m| *m <= minute).map(|m| shown(m, 1.1)));
    all
}

#[test]
fn a_brix_without_a_thermometer_reading_counts_fully() {
    let readings = [
        drop_read(5.0, 15.2),
        drop_read(110.0, 60.0),
        drop_read(131.0, 80.0),
        drop_read(134.0, 86.0),
    ];
    let mut watch = Watch::replay(boil(), &readings[..2]);
    let seen = watch.look(at(110.0));
    assert!((55.0..68.0).contains(&seen.brix.middle), "{seen:?}");
    assert!(seen.call > Call::Heating, "{seen:?}");
    let seen = Watch::replay(boil(), &readings).look(at(134.0));
    assert!(seen.call >= Call::Past, "{seen:?}");
    assert!(seen.brix.low > 79.0, "{seen:?}");
    assert_eq!(seen.water_left, Grams::ZERO);
}

#[test]
fn a_drop_just_under_the_target_does_not_silence_the_alarm() {
    let mut readings = read_until(128.0);
    readings.push(drop_read(133.6, 75.0));
    let mut watch = Watch::replay(boil(), &readings);
    let calls: Vec<Call> = [134.0, 136.0, 140.0, 193.6]
        .map(|minute| watch.look(at(minute)).call)
        .to_vec();
    assert!(calls[0] >= Call::Check, "{calls:?}");
    assert!(calls[1] >= Call::There, "{calls:?}");
    assert!(calls[2] >= Call::Past, "{calls:?}");
    // An hour without a reading: silence says past, and no more than that.
    assert_eq!(calls[3], Call::Past);
}

#[test]
fn too_early_to_tell_never_hides_the_end_of_a_fast_pan() {
    // A shallow pan that is thought to go at 1 gal a square foot an hour and goes at 2.5.
    let mut fast = boil();
    fast.solids = Grams::new(30_000);
    fast.pan = Pan::new(2.23, GAL_FT2_L_M2).unwrap();
    fast.rate_boils = 0;
    let falls = 2.23 * 2.5 * GAL_FT2_L_M2 / 60.0 / 30.0;
    let brix = |minute: f64| 100.0 / (100.0 / 15.0 - falls * (minute - 12.0));
    let read = |minute: f64| {
        hot(
            minute,
            WATER + 1.1 * rise_c(brix(minute), WATER, Factor::PURE),
        )
    };
    let mut watch = Watch::replay(fast, &[hot(8.0, 75.0), read(15.0)]);
    // It is at 78 °Bx 42.7 minutes after it came to the boil.
    let done = 12.0 + (100.0 / 15.0 - 100.0 / 78.0) / falls;
    assert!((done - 54.7).abs() < 0.1, "{done}");
    // Read whenever the page asks for it and never in between.
    let (mut minute, mut called, mut drawn) = (15.0, None, None);
    while drawn.is_none() && minute < 70.0 {
        minute += 0.5;
        let seen = watch.look(at(minute));
        if seen.call >= Call::Check {
            called = called.or(Some(minute));
        }
        if seen.call >= Call::There {
            drawn = Some(minute);
        } else if seen.next_reading <= at(minute) {
            watch.take(&read(minute));
        }
    }
    let before = done - called.unwrap();
    assert!((1.5..25.0).contains(&before), "{before}");
    // A minute is 7 °Bx on this pan.
    let late = drawn.unwrap() - done;
    assert!((-2.5..1.0).contains(&late), "{late}");
}

#[test]
fn one_reading_mistyped_upwards_does_not_draw_the_fire() {
    // 216.2 °F typed as 234.2.
    let mut readings = read_until(110.0);
    let sound = readings.pop().unwrap();
    let minute = 110.0;
    readings.push(hot(minute, fahrenheit(234.2)));
    let place = readings.len() - 1;
    let mut watch = Watch::replay(boil(), &readings);
    for later in [0.0, 1.0, 2.0, 4.0] {
        let seen = watch.look(at(minute + later));
        assert!(seen.call < Call::There, "{later}: {seen:?}");
        assert_eq!(seen.doubtful, [place]);
    }
    watch.take(&Reading {
        at: at(minute + 5.0),
        ..sound
    });
    let seen = watch.look(at(minute + 5.0));
    assert!(
        seen.call < Call::There && seen.brix.middle < 70.0,
        "{seen:?}"
    );
    assert_eq!(seen.doubtful, [place]);
}

#[test]
fn an_unexpected_reading_counts_once_a_second_agrees() {
    // Somebody fed the fire: it is at 80 °Bx a quarter of an hour before it should be.
    let mut readings = read_until(100.0);
    readings.push(drop_read(110.0, 79.6));
    let place = readings.len() - 1;
    let mut watch = Watch::replay(boil(), &readings);
    let first = watch.look(at(110.0));
    assert_eq!(first.doubtful, [place]);
    assert!(
        (Call::TooEarly..Call::Past).contains(&first.call),
        "{first:?}"
    );
    watch.take(&drop_read(111.5, 80.4));
    watch.take(&drop_read(112.5, 81.5));
    let second = watch.look(at(112.5));
    assert!(second.call >= Call::Past, "{second:?}");
    assert!(!second.doubtful.contains(&place), "{second:?}");
}

#[test]
fn a_k_outside_what_was_believed_is_shown_as_it_is_with_what_to_look_at() {
    let mut strange = boil();
    strange.k = Some(Taught {
        value: 1.5,
        boils: 5,
    });
    let seen = Watch::start(strange).look(at(1.0));
    assert!((seen.k.middle - 1.5).abs() < 0.05, "{:?}", seen.k);
    let [OutsideBelief::KHigh(k)] = odd(&seen, None)[..] else {
        panic!("{:?}", odd(&seen, None))
    };
    assert!(OutsideBelief::KHigh(k).words().contains("crushed ice"));
    // Nobody has learned it, and the drops say that this boil's is 1.5.
    let mut guessed = boil();
    guessed.k = None;
    let mut readings = warming().to_vec();
    readings.extend([40.0, 60.0, 80.0, 100.0, 110.0].map(|m| shown(m, 1.5)));
    for minute in [118.0, 122.0, 126.0, 129.0, 131.0, 132.4, 133.6] {
        let mut both = shown(minute, 1.5);
        both.brix = Some(bx(brix_at(minute - 2.0)));
        readings.push(both);
    }
    let seen = Watch::replay(guessed, &readings).look(at(133.6));
    assert!(seen.k.middle > 1.35, "{:?}", seen.k);
    assert!((seen.brix.middle - brix_at(133.6)).abs() < 4.0, "{seen:?}");
    let usual = Watch::replay(boil(), &read_until(126.0)).look(at(126.0));
    assert_eq!(odd(&usual, Some(1.1)), []);
}

#[test]
fn the_same_readings_give_the_same_answer_whoever_looks_meanwhile() {
    let readings = read_until(126.0);
    let mut quiet = Watch::replay(boil(), &readings);
    let mut watched = Watch::start(boil());
    for reading in &readings {
        for back in [150, 90, 20] {
            watched.look(reading.at.plus(-back));
        }
        watched.take(reading);
    }
    watched.look(at(131.3));
    watched.look(at(127.0));
    assert_eq!(watched.look(at(129.4)), quiet.look(at(129.4)));
}

#[test]
fn a_look_between_readings_moves_on() {
    let mut watch = Watch::replay(boil(), &read_until(110.0));
    let looks: Vec<BeliefAt> = [110.0, 114.0, 118.0]
        .map(|minute| watch.look(at(minute)))
        .to_vec();
    for pair in looks.windows(2) {
        assert!(pair[1].brix.middle > pair[0].brix.middle + 2.0);
        assert!(pair[1].evaporated > pair[0].evaporated);
        assert!(pair[1].water_left < pair[0].water_left);
        assert!(pair[1].temp_expected.middle > pair[0].temp_expected.middle + 0.1);
        assert!(pair[1].chances.soon >= pair[0].chances.soon);
    }
}

#[test]
fn the_figures_beside_the_pan_are_those_of_the_boil() {
    let mut readings = read_until(110.0);
    for minute in [100.0, 105.0] {
        readings.push(drop_read(minute + 1.8, brix_at(minute)));
    }
    readings.sort_by_key(|r| r.at);
    let seen = Watch::replay(boil(), &readings).look(at(110.0));
    // Water per solids there: 100/15 − 0.0505 × 82 = 2.526 with the solids' own 1.
    let (gone, left) = (
        45_000.0 * A_MINUTE * 82.0,
        45_000.0 * (2.526 - 100.0 / 78.0),
    );
    assert!(
        (seen.evaporated.as_f64() / gone - 1.0).abs() < 0.03,
        "{seen:?}"
    );
    assert!(
        (seen.water_left.as_f64() / left - 1.0).abs() < 0.09,
        "{seen:?}"
    );
    let whole = 45_000.0 * (100.0 / 15.0 - 100.0 / 78.0);
    let sum = seen.evaporated.as_f64() + seen.water_left.as_f64();
    assert!((sum - whole).abs() <= 1.0, "{sum} {whole}");
    let rate = 1.5 * GAL_FT2_L_M2;
    let found = seen.rate_l_m2_h;
    assert!((found.middle / rate - 1.0).abs() < 0.12, "{found:?}");
    assert!(found.low < rate && rate < found.high, "{found:?}");
    assert!((seen.rate_against_said.middle - 1.0).abs() < 0.1);
    let brix = seen.brix;
    assert!((brix.middle - brix_at(110.0)).abs() < 1.5, "{brix:?}");
    let out = 0.5 * (brix.high - brix.low);
    assert!((0.3..3.0).contains(&out), "{brix:?}");
    let finish = seen.finish.unwrap();
    assert!((minutes_between(at(DONE), finish.finish)).abs() < 6.0);
    assert!(finish.earliest < at(DONE) && at(DONE) < finish.latest);
    assert!(finish.earliest < finish.finish && finish.finish < finish.latest);
}

#[test]
fn a_pan_that_is_not_at_the_boil_drives_nothing_off() {
    let mut watch = Watch::replay(boil(), &[hot(10.0, 45.0)]);
    let seen = watch.look(at(11.0));
    assert_eq!(seen.call, Call::Heating);
    assert!(seen.rate_l_m2_h.middle.abs() < 1e-12);
    assert!(seen.finish.is_none());
    assert!((seen.temp_expected.middle - 48.0).abs() < 8.0, "{seen:?}");
    // Nobody read again: it goes on by itself, and by midday it must have been done.
    assert!(watch.look(at(300.0)).call >= Call::Check);
}

#[test]
fn a_k_nobody_learned_asks_for_one_drop_and_a_drop_settles_it() {
    let mut guessed = boil();
    guessed.k = None;
    let mut readings = read_until(118.0);
    let before = Watch::replay(guessed, &readings).look(at(118.0));
    assert!(before.wants_brix, "{before:?}");
    assert!(call::why_a_drop(&before.brix, &before.k).contains("One drop"));
    readings.push(drop_read(119.5, brix_at(118.0)));
    let after = Watch::replay(guessed, &readings).look(at(119.5));
    let wide = |s: Spread| s.high - s.low;
    assert!(wide(after.brix) < 0.6 * wide(before.brix), "{after:?}");
    let taught = Watch::replay(boil(), &read_until(118.0)).look(at(118.0));
    assert!(!taught.wants_brix);
}

#[test]
fn a_drawn_fire_stops_the_boil() {
    let mut watch = Watch::replay(boil(), &read_until(132.0));
    watch.fire_drawn(at(132.0));
    let seen = watch.look(at(170.0));
    let burning = Watch::replay(boil(), &read_until(132.0)).look(at(170.0));
    assert!(
        seen.brix.middle < 82.0 && burning.brix.middle > 90.0,
        "{seen:?}"
    );
    assert!(seen.rate_l_m2_h.middle < 2.0, "{seen:?}");
}

#[test]
fn a_probe_that_sends_every_five_seconds_tells_no_more_than_it_knows() {
    let mut readings = Vec::new();
    for five_seconds in 0..1440 {
        let minute = f64::from(five_seconds) / 12.0;
        let temp = if minute < COMES_TO_THE_BOIL {
            20.0 + 79.5 * minute / COMES_TO_THE_BOIL
        } else {
            // It shows half a degree too much all the time.
            0.5 + shown(minute, 1.1).temp.unwrap().get()
        };
        readings.push(Reading {
            at: at(minute),
            temp: Some(c(temp)),
            brix: None,
            done: None,
            by: By::Probe,
            sure: false,
        });
    }
    let seen = Watch::replay(boil(), &readings).look(at(120.0));
    let brix = brix_at(120.0);
    assert!(
        seen.brix.low < brix && brix < seen.brix.high,
        "{seen:?} {brix}"
    );
    assert!(seen.brix.high - seen.brix.low > 2.0, "{seen:?}");
    assert!(seen.doubtful.is_empty(), "{:?}", seen.doubtful);
}

#[test]
fn a_figure_with_two_digits_swapped_is_read_back() {
    let mut watch = Watch::replay(boil(), &read_until(90.0));
    let typed = |value| Typed::Temp(value, Units::Us);
    // At 29 °Bx it boils at 212.6 °F.
    assert_eq!(watch.surprise(at(91.0), typed(212.5)), None);
    let asked = watch.surprise(at(91.0), typed(221.5)).unwrap();
    assert_eq!(asked.meant, Some(212.5));
    assert!(asked.chance < 0.01);
    let asked = watch.surprise(at(91.0), typed(2125.0)).unwrap();
    assert_eq!(asked.meant, Some(212.5));
    let asked = watch
        .surprise(at(91.0), Typed::Temp(212.5, Units::Metric))
        .unwrap();
    assert!((asked.meant.unwrap() - 100.3).abs() < 0.05, "{asked:?}");
    let asked = watch.surprise(at(91.0), Typed::Brix(92.0)).unwrap();
    assert_eq!(asked.meant, Some(29.0));
    assert_eq!(watch.surprise(at(91.0), Typed::Brix(29.3)), None);
}
