//! What is outside what was believed possible, at its edges.

use super::*;
use crate::calc::boil::fire::call::{Call, Chances};
use crate::units::{Grams, UtcSecond};

fn spread(low: f64, middle: f64, high: f64) -> Spread {
    Spread { low, middle, high }
}

fn looked(k: Spread, rate: Spread) -> BeliefAt {
    let at = UtcSecond::new(1_800_000_000);
    let any = spread(0.0, 1.0, 2.0);
    BeliefAt {
        at,
        call: Call::Going,
        chances: Chances {
            boiling: 1.0,
            in_half_an_hour: 0.0,
            soon: 0.0,
            there: 0.0,
            past: 0.0,
            candy: 0.0,
        },
        brix: any,
        evaporated: Grams::ZERO,
        water_left: Grams::ZERO,
        rate_l_m2_h: any,
        k,
        rate_against_said: rate,
        finish: None,
        next_reading: at,
        last_reading: None,
        silent_since: None,
        drawn_at: None,
        burns_on: None,
        last_two_s: 60.0,
        alone: None,
        less: None,
        wants_brix: false,
        temp_expected: any,
        doubtful: Vec::new(),
    }
}

#[test]
fn only_what_lies_wholly_outside_is_odd() {
    let usual = spread(0.9, 1.0, 1.1);
    let k = |low, high| odd(&looked(spread(low, 1.0, high), usual));
    // Pure sugar is 1.00 and impure syrup at most 1.30, each with 0.03 for instruments.
    assert_eq!(k(0.8, 0.971), []);
    assert!(matches!(k(0.8, 0.969)[..], [OutsideBelief::KLow(_)]));
    assert_eq!(k(1.329, 1.6), []);
    assert!(matches!(k(1.331, 1.6)[..], [OutsideBelief::KHigh(_)]));
    let rate = |low, high| odd(&looked(spread(1.0, 1.1, 1.2), spread(low, 1.0, high)));
    assert_eq!(rate(0.4, 0.601), []);
    assert!(matches!(rate(0.4, 0.599)[..], [OutsideBelief::RateLow(_)]));
    assert_eq!(rate(1.599, 2.0), []);
    assert!(matches!(rate(1.601, 2.0)[..], [OutsideBelief::RateHigh(_)]));
    // A range that ends exactly at the limit does not lie outside.
    assert_eq!((k(0.8, 1.0 - 0.03), k(1.3 + 0.03, 1.6)), (vec![], vec![]));
    assert_eq!((rate(0.4, 0.6), rate(1.6, 2.0)), (vec![], vec![]));
    let both = odd(&looked(spread(1.4, 1.5, 1.6), spread(1.7, 1.8, 1.9)));
    assert!(matches!(
        both[..],
        [OutsideBelief::KHigh(_), OutsideBelief::RateHigh(_)]
    ));
}

#[test]
fn the_words_carry_the_figures_and_what_to_look_at() {
    let k = spread(1.401, 1.5, 1.604);
    assert!(
        OutsideBelief::KHigh(k)
            .words()
            .contains("K is 1.50 (1.40 to 1.60), more")
    );
    assert!(
        OutsideBelief::KLow(k)
            .words()
            .contains("K is 1.50 (1.40 to 1.60), less")
    );
    let rate = spread(0.404, 0.5, 0.596);
    assert!(
        OutsideBelief::RateLow(rate)
            .words()
            .contains("drives off 50 % of what was said of it (40 to 60)")
    );
    let rate = spread(1.7, 1.8, 1.9);
    assert!(
        OutsideBelief::RateHigh(rate)
            .words()
            .contains("drives off 1.8 times what was said of it (1.7 to 1.9)")
    );
    for one in [OutsideBelief::KHigh(k), OutsideBelief::KLow(k)] {
        assert!(one.words().contains("crushed ice"), "{one:?}");
    }
}

/// A drop is asked for while more than 8 °Bx are open, K is not learned, and no call asks for one by itself.
#[test]
fn a_drop_is_asked_for_only_where_it_tells_something() {
    let one = spread(1.0, 1.1, 1.3);
    let asks = |wants_brix, open: f64, call| {
        let looked = BeliefAt {
            wants_brix,
            call,
            brix: spread(40.0, 44.0, 40.0 + open),
            ..looked(one, one)
        };
        looked.asks_drop()
    };
    assert!(asks(true, 8.5, Call::Going) && asks(true, 8.5, Call::TooEarly));
    assert!(!asks(true, 8.0, Call::Going), "known well enough");
    assert!(!asks(false, 8.5, Call::Going), "K was learned");
    assert!(!asks(true, 8.5, Call::Check) && !asks(true, 8.5, Call::Past));
}

#[test]
fn three_pairs_that_say_another_k_than_was_learned_are_told() {
    let boil = Boil {
        k: Some(crate::calc::boil::fire::on_fire::Taught {
            value: 1.12,
            boils: 5,
        }),
        ..crate::calc::boil::fire::course_kit::boil()
    };
    let water = boil.water.get();
    let pair = |brix: f64, k: f64| Reading {
        at: boil.lit.plus(600),
        temp: crate::units::Celsius::new(water + k * rise_c(brix, water, Factor::PURE)).ok(),
        brix: crate::units::BrixAt20C::new(brix).ok(),
        done: None,
        by: By::Hand,
        sure: false,
    };
    let told = |ks: &[f64]| {
        let readings: Vec<Reading> = ks.iter().map(|k| pair(60.0, *k)).collect();
        unlike_learned(&boil, &readings)
    };
    let Some(OutsideBelief::KUnlike { k, learned, pairs }) = told(&[1.5, 1.48, 1.52]) else {
        panic!("nothing told");
    };
    assert!((k - 1.5).abs() < 1e-6 && (learned - 1.12).abs() < 1e-9 && pairs == 3);
    assert!(told(&[1.5, 1.5]).is_none(), "two are too few");
    assert!(told(&[1.5, 1.12, 1.12]).is_none(), "one is no three");
    assert!(told(&[1.28; 3]).is_none() && told(&[1.30; 3]).is_some());
    assert!(told(&[0.96; 3]).is_none() && told(&[0.94; 3]).is_some());
    let thin: Vec<Reading> = [30.0, 40.0, 44.0].map(|brix| pair(brix, 1.5)).to_vec();
    assert!(unlike_learned(&boil, &thin).is_none());
    let nobody = Boil { k: None, ..boil };
    assert!(unlike_learned(&nobody, &[pair(60.0, 1.5); 3]).is_none());
    let words = told(&[1.5; 4]).unwrap().words();
    assert!(
        words.contains("K is 1.50") && words.contains("learned 1.12"),
        "{words}"
    );
}
