//! The call against figures written down by hand.

use super::*;
use crate::calc::boil::boil_plan::{GAL_FT2_L_M2, Pan};
use crate::units::{BrixAt20C, Celsius, Grams, UtcSecond};

/// Ten courses: the first comes to the boil at minute 11, passes the mark of drawing at 101, the target at 102, the mark of
/// past at 103 and of candy at 113; each further one ten minutes later.
fn ends() -> Ends {
    let from = |first: f64| (0..10_u32).map(|n| first + 10.0 * f64::from(n)).collect();
    Ends::written(
        from(11.0),
        [from(101.0), from(102.0), from(103.0), from(113.0)],
    )
}

#[test]
fn the_marks_are_a_tenth_under_the_target_itself_one_over_and_candy() {
    let brix = |target| marks(target).map(|u| 100.0 / (1.0 + u));
    let close = |found: [f64; 4], wanted: [f64; 4]| {
        found.iter().zip(wanted).all(|(f, w)| (f - w).abs() < 1e-9)
    };
    assert!(close(brix(78.0), [77.9, 78.0, 79.0, 85.0]));
    // Above 83 candy is two over the target.
    assert!(close(brix(84.5), [84.4, 84.5, 85.5, 86.5]));
}

#[test]
fn the_chances_are_the_shares_of_the_courses_at_their_minutes() {
    let of = |at, drawing| chances(&ends(), at, drawing);
    let near = |found: f64, wanted: f64| assert!((found - wanted).abs() < 1e-9, "{found} {wanted}");
    let seen = of(51.5, 0.25);
    // Boiling since 11, 21, 31, 41, 51.
    near(seen.boiling, 0.5);
    near(seen.there, 0.0);
    // 72.0 + 30 is the first course's target.
    near(of(71.9, 0.25).in_half_an_hour, 0.0);
    near(of(72.0, 0.25).in_half_an_hour, 0.1);
    // 94.5 + 7.5 is it as well.
    near(of(94.4, 0.25).soon, 0.0);
    near(of(94.5, 0.25).soon, 0.1);
    // The second course is drawn at 111.
    near(of(110.7, 0.25).there, 0.1);
    near(of(110.75, 0.25).there, 0.2);
    near(of(110.2, 0.8).there, 0.2);
    near(of(123.0, 0.25).past, 0.3);
    near(of(122.9, 0.25).past, 0.2);
    near(of(133.0, 0.25).candy, 0.3);
    // It is told to check 7.5 minutes before the fifth part is done: 112 − 7.5.
    near(checked_at(&ends()), 104.5);
}

#[test]
fn a_call_that_was_made_falls_back_only_where_it_is_clearly_not_so() {
    let of = |soon, there, past| Chances {
        boiling: 1.0,
        in_half_an_hour: 1.0,
        soon,
        there,
        past,
        candy: 0.0,
    };
    let held = |of: Chances, before| held(&of, call(&of, true, false), before);
    // Nothing was made before: as the chances are.
    assert_eq!(held(of(0.19, 0.0, 0.0), Call::Going), Call::Going);
    assert_eq!(held(of(0.19, 0.0, 0.0), Call::Check), Call::Check);
    assert_eq!(held(of(0.05, 0.0, 0.0), Call::Check), Call::Check);
    assert_eq!(held(of(0.04, 0.0, 0.0), Call::Check), Call::Going);
    assert_eq!(held(of(0.9, 0.2, 0.0), Call::There), Call::There);
    assert_eq!(held(of(0.9, 0.19, 0.0), Call::There), Call::Check);
    // From past it falls to what still holds, step by step.
    assert_eq!(held(of(1.0, 0.8, 0.2), Call::Past), Call::Past);
    assert_eq!(held(of(1.0, 0.3, 0.1), Call::Past), Call::There);
    assert_eq!(held(of(0.1, 0.1, 0.1), Call::Past), Call::Check);
    assert_eq!(held(of(0.01, 0.0, 0.0), Call::Past), Call::Going);
    // A graver one is made as ever.
    assert_eq!(held(of(1.0, 0.9, 0.6), Call::Check), Call::Past);
}

#[test]
fn each_call_begins_at_its_chance_and_the_graver_one_is_made() {
    let none = Chances {
        boiling: 1.0,
        in_half_an_hour: 0.0,
        soon: 0.0,
        there: 0.0,
        past: 0.0,
        candy: 0.0,
    };
    let made = |of: Chances| call(&of, true, false);
    assert_eq!(made(none), Call::Going);
    assert_eq!(call(&none, false, false), Call::TooEarly);
    assert_eq!(
        made(Chances {
            boiling: 0.49,
            ..none
        }),
        Call::Heating
    );
    assert_eq!(
        made(Chances {
            boiling: 0.5,
            ..none
        }),
        Call::Going
    );
    assert_eq!(
        made(Chances {
            soon: 0.2,
            boiling: 0.1,
            ..none
        }),
        Call::Check
    );
    assert_eq!(made(Chances { soon: 0.19, ..none }), Call::Going);
    assert_eq!(
        made(Chances {
            there: 0.5,
            soon: 1.0,
            ..none
        }),
        Call::There
    );
    assert_eq!(
        made(Chances {
            there: 0.49,
            soon: 1.0,
            ..none
        }),
        Call::Check
    );
    // On a fast pan the fire is drawn before it is as likely as not there.
    assert_eq!(
        made(Chances {
            there: 0.45,
            past: 0.42,
            ..none
        }),
        Call::There
    );
    assert_eq!(
        made(Chances {
            there: 0.45,
            past: 0.41,
            soon: 1.0,
            ..none
        }),
        Call::Check
    );
    assert_eq!(
        made(Chances {
            there: 1.0,
            past: 0.5,
            ..none
        }),
        Call::Past
    );
    assert_eq!(
        made(Chances {
            there: 1.0,
            past: 0.49,
            ..none
        }),
        Call::There
    );
    assert_eq!(
        made(Chances {
            past: 1.0,
            candy: 0.5,
            ..none
        }),
        Call::Candy
    );
    assert_eq!(
        made(Chances {
            past: 1.0,
            candy: 0.49,
            ..none
        }),
        Call::Past
    );
}

#[test]
fn while_a_reading_is_overdue_one_chance_in_twelve_calls_for_one() {
    let there = |there: f64| Chances {
        boiling: 0.4,
        in_half_an_hour: 0.19,
        soon: 0.19,
        there,
        past: there,
        candy: there,
    };
    for told in [true, false] {
        assert_eq!(call(&there(0.08), told, true), Call::Check);
        assert_eq!(call(&there(0.079), told, true), Call::Heating);
        assert_eq!(call(&there(0.08), told, false), Call::Heating);
    }
    // A graver call is left as it is.
    assert_eq!(call(&there(0.5), true, true), Call::Candy);
}

#[test]
fn a_finish_is_told_while_its_interval_is_no_wider_than_its_share_of_the_time_to_go() {
    // Twenty minutes to go: 30, 26 and 38 wide at most.
    for (by, wide) in [
        (FinishBasis::Refractometer, 30.0),
        (FinishBasis::Learned, 26.0),
        (FinishBasis::Guessed, 38.0),
    ] {
        assert!(
            finish_is_told([110.0, 120.0, 110.0 + wide], 100.0, (by, false)),
            "{by:?}"
        );
        assert!(
            !finish_is_told([110.0, 120.0, 110.1 + wide], 100.0, (by, false)),
            "{by:?}"
        );
        // Near the end eight minutes are narrow enough.
        assert!(finish_is_told([98.0, 101.0, 106.0], 100.0, (by, false)));
        assert!(!finish_is_told([98.0, 101.0, 106.1], 100.0, (by, false)));
        // Once it was told it goes on being told up to half as wide again.
        let half_more = 1.5 * wide;
        assert!(finish_is_told(
            [110.0, 120.0, 110.0 + half_more],
            100.0,
            (by, true)
        ));
        assert!(!finish_is_told(
            [110.0, 120.0, 110.1 + half_more],
            100.0,
            (by, true)
        ));
    }
}

#[test]
fn the_next_reading_is_due_half_way_to_the_earliest_finish_and_before_it_may_be_past() {
    // Of ten courses the first is at the target at 102 and past it at 103.
    let from = |minute| next_reading(&ends(), minute);
    for (minute, due) in [
        // A quarter of an hour at most.
        (0.0, 15.0),
        (71.0, 86.0),
        (72.0, 87.0),
        // Half-way to 102.
        (74.0, 88.0),
        (92.0, 97.0),
        // Two minutes at least, unless it may be past before; one minute in any case.
        (99.0, 101.0),
        (100.5, 102.5),
        (101.5, 103.0),
        (102.5, 103.5),
        (110.0, 111.0),
    ] {
        assert!(
            (from(minute) - due).abs() < 1e-9,
            "{minute}: {}",
            from(minute)
        );
    }
    // Four hundred courses, three seconds apart: past it is when five of a hundred are, and the earliest finish
    // that of ten of a hundred.
    let goal = |n: u32| 100.0 + 0.05 * f64::from(n);
    let many = |over: f64| (1..=400).map(|n| goal(n) + over).collect();
    let ends = Ends::written(many(-80.0), [many(-0.1), many(0.0), many(1.0), many(9.0)]);
    for (minute, due) in [(100.0, goal(20) + 1.0), (80.0, 0.5 * (80.0 + goal(40)))] {
        let found = next_reading(&ends, minute);
        assert!((found - due).abs() < 1e-9, "{minute}: {found}");
    }
    // It is overdue a minute later, not before.
    assert!(!overdue(97.0, 98.0) && overdue(97.0, 98.01) && !overdue(97.0, 96.5));
}

#[test]
fn candy_is_told_by_readings_alone_and_past_only_where_something_was_read() {
    assert_eq!(loudest(false, true), Call::Candy);
    assert_eq!(loudest(true, true), Call::Past);
    for silent in [true, false] {
        assert_eq!(loudest(silent, false), Call::There);
    }
}

#[test]
fn a_drop_is_wanted_while_k_is_open_by_more_than_a_seventh_and_the_end_is_near() {
    let k = |high| Spread {
        low: 1.0,
        middle: 1.05,
        high,
    };
    let near = |share| chances(&ends(), 72.0 + share, 0.25);
    // Half an hour on, at 112, two of ten are done.
    let (far, soon) = (near(9.9), near(10.0));
    assert!((soon.in_half_an_hour - 0.2).abs() < 1e-9);
    assert!(wants_brix(&k(1.16), &soon, false));
    assert!(!wants_brix(&k(1.15), &soon, false), "known well enough");
    assert!(!wants_brix(&k(1.16), &far, false), "too early");
    assert!(!wants_brix(&k(1.16), &soon, true), "learned");
    let low = Spread {
        low: 1.25,
        ..k(1.42)
    };
    assert!(!wants_brix(&low, &soon, false));
}

#[test]
fn the_fire_is_drawn_earlier_on_a_deep_pan() {
    let on = |solids: i64, area: f64, target: f64| {
        drawing_min(&Boil {
            lit: UtcSecond::new(1_800_000_000),
            solids: Grams::new(solids),
            juice: BrixAt20C::new(15.0).unwrap(),
            target: BrixAt20C::new(target).unwrap(),
            water: Celsius::new(99.0).unwrap(),
            k: None,
            pan: Pan::new(area, GAL_FT2_L_M2).unwrap(),
            rate_boils: 0,
        })
    };
    // 39 kg of solids are 50 kg of syrup at 78 °Bx, on 1 m²: 50 × 0.013.
    assert!((on(39_000, 1.0, 78.0) - 0.65).abs() < 1e-9);
    assert!((on(39_000, 2.0, 78.0) - 0.325).abs() < 1e-9);
    assert!((on(37_500, 1.0, 75.0) - 0.65).abs() < 1e-9);
    // Never less than a fifth of a minute, never more than one.
    assert!((on(3_900, 1.0, 78.0) - 0.2).abs() < 1e-9);
    assert!((on(390_000, 1.0, 78.0) - 1.0).abs() < 1e-9);
}

#[test]
fn silence_says_what_it_means_at_each_call() {
    let says = |call, words: &str| {
        let said = silence("11:25", call);
        assert_eq!(said, format!("No reading since 11:25: {words}."));
    };
    for early in [Call::Heating, Call::TooEarly, Call::Going] {
        says(early, "please note one");
    }
    says(Call::Check, "it may be near its target, please read it");
    says(
        Call::There,
        "it may be at its target, draw the fire and read it",
    );
    for late in [Call::Past, Call::Candy] {
        says(late, "it may be past, draw the fire and read it");
    }
}

#[test]
fn why_a_drop_is_asked_for_names_both_ranges() {
    let spread = |low, high| Spread {
        low,
        middle: f64::midpoint(low, high),
        high,
    };
    let said = why_a_drop(&spread(70.4, 76.6), &spread(1.02, 1.334));
    assert!(
        said.contains("may be at 70 to 77 °Bx (K 1.02 to 1.33)"),
        "{said}"
    );
}

#[test]
fn every_call_has_its_own_words_and_says_what_to_do() {
    let all = [
        Call::Heating,
        Call::TooEarly,
        Call::Going,
        Call::Check,
        Call::There,
        Call::Past,
        Call::Candy,
    ];
    for (n, one) in all.iter().enumerate() {
        assert!(one.advice().ends_with('.') && one.words().len() > 8);
        assert!(all[..n].iter().all(|other| other.words() != one.words()));
    }
    for late in [Call::There, Call::Past, Call::Candy] {
        assert!(late.advice().contains("raw the fire"), "{late:?}");
    }
}
