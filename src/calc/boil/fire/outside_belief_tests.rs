//! What is outside what was believed possible, at its edges.

use super::*;
use crate::calc::boil::fire::call::{Call, Chances};
use crate::calc::boil::fire::said::Said;
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
        said: Said::of(Call::Going, 1.0, 0.0),
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
        begun_anew: false,
        silent_since: None,
        drawn_at: None,
        burns_on: None,
        last_two_s: 60.0,
        alone: None,
        less: None,
        confirmed: None,
        wants_brix: false,
        drop_open: false,
        draw_off: None,
        temp_expected: any,
        doubtful: Vec::new(),
    }
}

#[test]
fn only_what_lies_wholly_outside_is_odd() {
    let usual = spread(0.9, 1.0, 1.1);
    let k = |low, high| odd(&looked(spread(low, 1.0, high), usual), None);
    // Pure sugar is 1.00 and impure syrup at most 1.30, each with 0.03 for instruments.
    assert_eq!(k(0.8, 0.971), []);
    assert!(matches!(k(0.8, 0.969)[..], [OutsideBelief::KLow(_)]));
    assert_eq!(k(1.329, 1.6), []);
    assert!(matches!(k(1.331, 1.6)[..], [OutsideBelief::KHigh(_)]));
    let rate = |low, high| odd(&looked(spread(1.0, 1.1, 1.2), spread(low, 1.0, high)), None);
    assert_eq!(rate(0.4, 0.601), []);
    assert!(matches!(rate(0.4, 0.599)[..], [OutsideBelief::RateLow(_)]));
    assert_eq!(rate(1.599, 2.0), []);
    assert!(matches!(rate(1.601, 2.0)[..], [OutsideBelief::RateHigh(_)]));
    // A range that ends exactly at the limit does not lie outside.
    assert_eq!((k(0.8, 1.0 - 0.03), k(1.3 + 0.03, 1.6)), (vec![], vec![]));
    assert_eq!((rate(0.4, 0.6), rate(1.6, 2.0)), (vec![], vec![]));
    let both = odd(&looked(spread(1.4, 1.5, 1.6), spread(1.7, 1.8, 1.9)), None);
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
    // A call to check asks for it as well, and not why; one to draw the fire is graver.
    assert!(asks(true, 8.5, Call::Check));
    assert!(!asks(true, 8.5, Call::There) && !asks(true, 8.5, Call::Drawn));
    let open = BeliefAt {
        drop_open: true,
        brix: spread(60.0, 62.0, 64.0),
        ..looked(one, one)
    };
    assert!(open.asks_drop(), "until a drop tells the K");
}

#[test]
fn a_k_unlike_the_one_that_was_learned_is_told_once_and_by_the_belief() {
    let one = spread(0.9, 1.0, 1.1);
    let told = |low, k, high, learned| odd(&looked(spread(low, k, high), one), Some(learned));
    let [OutsideBelief::KUnlike { k, learned }] = told(1.41, 1.51, 1.59, 1.12)[..] else {
        panic!("{:?}", told(1.41, 1.51, 1.59, 1.12));
    };
    assert_eq!((k, learned), (spread(1.41, 1.51, 1.59), 1.12));
    let words = told(1.41, 1.51, 1.59, 1.12)[0].words();
    assert!(
        words.contains("K is 1.51 (1.41 to 1.59), and the mill learned 1.12."),
        "{words}"
    );
    // Within 15 % it is a syrup like others; where what was learned is still possible nothing is told.
    assert_eq!(told(1.2, 1.26, 1.3, 1.1), []);
    assert!(!told(1.2, 1.27, 1.3, 1.1).is_empty());
    assert_eq!(told(1.1, 1.28, 1.32, 1.1), []);
    assert!(matches!(
        told(0.8, 0.92, 1.0, 1.12)[..],
        [OutsideBelief::KUnlike { .. }]
    ));
}
