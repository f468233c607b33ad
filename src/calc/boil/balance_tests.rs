//! The balance of a boil and of a day, by hand.

use super::*;
use crate::calc::cane::learned::learn;
use proptest::prelude::*;

fn of(poured: i64, skimmed: i64, syrup: i64) -> BoilSolids {
    BoilSolids {
        poured: Grams::new(poured),
        skimmed: Grams::new(skimmed),
        spilt: Grams::ZERO,
        syrup: Grams::new(syrup),
    }
}

#[test]
fn an_ordinary_boil_raises_no_question() {
    let found = boil(&of(50_000, 2_000, 42_000), None).unwrap();
    assert_eq!(found.unexplained, Grams::new(6_000));
    assert!((found.recovery - 0.84).abs() < 1e-12);
    assert!(found.questions.is_empty(), "{:?}", found.questions);
}

#[test]
fn a_recovery_just_above_100_is_questioned_and_far_above_it_refused() {
    let little = boil(&of(50_000, 0, 51_000), None).unwrap();
    assert_eq!(little.questions.len(), 1);
    assert!(
        little.questions[0].contains("102.0"),
        "{:?}",
        little.questions
    );
    let said = boil(&of(50_000, 0, 56_000), None).unwrap_err();
    assert_eq!(said.code, "more-out-than-in");
    assert_eq!(
        boil(&of(50_000, 10_000, 48_000), None).unwrap_err().code,
        said.code
    );
}

#[test]
fn a_boil_far_from_the_season_s_habit_is_questioned() {
    let habit = learn(&[0.84, 0.86, 0.85, 0.85, 0.87]);
    let low = boil(&of(50_000, 0, 37_000), habit).unwrap();
    assert!(low.questions[0].contains("5 boils"), "{:?}", low.questions);
    let high = boil(&of(50_000, 0, 47_500), habit).unwrap();
    assert!(high.questions[0].contains("juice missing"));
    assert!(
        boil(&of(50_000, 0, 41_000), habit)
            .unwrap()
            .questions
            .is_empty()
    );
    // The same low boil is nothing odd to a mill that has no habit yet.
    assert!(
        boil(&of(50_000, 0, 37_000), None)
            .unwrap()
            .questions
            .is_empty()
    );
    assert!(
        !boil(&of(50_000, 0, 30_000), learn(&[0.6]))
            .unwrap()
            .questions
            .is_empty()
    );
}

#[test]
fn what_was_spilt_is_counted_and_not_asked_about() {
    let spilt = BoilSolids {
        spilt: Grams::new(12_000),
        ..of(50_000, 1_000, 30_000)
    };
    assert_eq!(
        boil(&of(50_000, 1_000, 30_000), None)
            .unwrap()
            .questions
            .len(),
        1
    );
    let found = boil(&spilt, None).unwrap();
    assert_eq!(found.unexplained, Grams::new(7_000));
    assert!((found.recovery - 0.6).abs() < 1e-12);
    assert!(found.questions.is_empty(), "{:?}", found.questions);
}

#[test]
fn nothing_poured_and_figures_below_nought_are_refused() {
    assert_eq!(boil(&of(0, 0, 0), None).unwrap_err().code, "boil-empty");
    assert_eq!(boil(&of(10, -1, 5), None).unwrap_err().at, Some("skimmed"));
}

#[test]
fn a_day_counts_sediment_and_tanks_and_asks_for_a_missing_draw() {
    let whole = DaySolids {
        measured: Grams::new(200_000),
        sediment: Grams::new(6_000),
        not_boiled: Grams::new(10_000),
        boils: of(184_000, 5_000, 150_000),
    };
    let found = day(&whole, None).unwrap();
    assert_eq!(found.unexplained, Grams::new(29_000));
    assert!(found.questions.is_empty(), "{:?}", found.questions);
    let missing = DaySolids {
        not_boiled: Grams::ZERO,
        boils: of(170_000, 0, 140_000),
        ..whole
    };
    assert!(day(&missing, None).unwrap().questions[0].contains("12 of every 100"));
    let more = DaySolids {
        boils: of(230_000, 0, 180_000),
        ..whole
    };
    assert_eq!(
        day(&more, None).unwrap_err().code,
        "more-poured-than-measured"
    );
}

#[test]
fn what_is_just_at_a_bound_is_not_asked_about() {
    // As much out as in; as far off the habit as is allowed; ten in a hundred of a day missing.
    let same = boil(&of(50_000, 0, 50_000), Some(habit(1.0, 0.0))).unwrap();
    assert!(same.questions.is_empty(), "{:?}", same.questions);
    let most = Grams::nearest(50_000.0 * IMPOSSIBLE).get();
    assert!(boil(&of(50_000, 0, most), None).is_ok());
    assert!(boil(&of(50_000, 0, most + 1), None).is_err());
    let usual = Some(habit(0.75, 0.0));
    let edge = 0.75 - ASK.0;
    let asked = |syrup: f64| {
        let syrup = Grams::nearest(syrup).get();
        boil(&of(100_000, 0, syrup), usual).unwrap().questions.len()
    };
    assert_eq!(asked(100_000.0 * edge + 10.0), 0);
    assert_eq!(asked(100_000.0 * edge - 10.0), 1);
}

fn habit(middle: f64, spread: f64) -> Learned {
    Learned {
        middle,
        spread,
        boils: 3,
    }
}

/// Whether a boil is asked about that gave this many grams of syrup's solids for 100,000 g poured in.
fn asked(syrup: i64, habit: Option<Learned>) -> bool {
    !boil(&of(100_000, 0, syrup), habit)
        .unwrap()
        .questions
        .is_empty()
}

#[test]
fn what_is_usual_is_80_in_100_until_three_boils_say_otherwise() {
    // Before three boils, 15 in 100 either way are allowed.
    let none: Vec<bool> = [64_900, 65_100, 94_900, 95_100, 100_000]
        .map(|syrup| asked(syrup, None))
        .to_vec();
    assert_eq!(none, [true, false, false, true, true]);
    // Afterwards eight in 100, or three times the spread of the boils where that is more.
    for (spread, allowed) in [(0.0, 8_000), (0.02, 8_000), (0.04, 12_000)] {
        let usual = Some(habit(0.75, spread));
        for (off, ask) in [(allowed - 100, false), (allowed + 100, true)] {
            assert_eq!(asked(75_000 - off, usual), ask, "{spread} {off}");
            assert_eq!(asked(75_000 + off, usual), ask, "{spread} {off}");
        }
    }
    let two = Learned {
        boils: 2,
        ..habit(0.5, 0.0)
    };
    assert!(!asked(80_000, Some(two)) && asked(80_000, Some(habit(0.5, 0.0))));
}

#[test]
fn what_was_spilt_is_a_share_of_what_was_poured_in() {
    // 50 in 100 as syrup and 10 spilt are 60 that are known, against 80.
    let spilt = BoilSolids {
        spilt: Grams::new(5_000),
        ..of(50_000, 0, 25_000)
    };
    let asked = &boil(&spilt, None).unwrap().questions[0];
    assert!(
        asked.starts_with("60 of sugar") && asked.contains("against 80"),
        "{asked}"
    );
}

#[test]
fn less_and_more_than_the_habit_are_asked_about_differently() {
    let usual = Some(habit(0.7, 0.0));
    let less = &boil(&of(100_000, 0, 40_000), usual).unwrap().questions[0];
    assert!(
        less.starts_with("40 of sugar") && less.contains("against 70"),
        "{less}"
    );
    assert!(less.ends_with("or is a fill missing?"), "{less}");
    let more = &boil(&of(100_000, 0, 95_000), usual).unwrap().questions[0];
    assert!(more.ends_with("read from a hot sample?"), "{more}");
}

#[test]
fn more_out_than_in_says_how_much_and_is_asked_about_once() {
    let more = boil(&of(100_000, 1_000, 102_000), Some(habit(0.8, 0.01))).unwrap();
    assert_eq!(more.questions.len(), 1);
    assert!(more.questions[0].contains("103.0"), "{:?}", more.questions);
    let said = boil(&of(100_000, 10_000, 102_000), None).unwrap_err();
    assert!(said.to_string().contains("gave 112 of sugar"), "{said}");
}

#[test]
fn what_a_day_misses_is_added_to_what_its_boils_miss() {
    let of_day = |kept: i64| DaySolids {
        measured: Grams::new(100_000),
        sediment: Grams::ZERO,
        not_boiled: Grams::new(kept),
        boils: of(50_000, 1_000, 42_000),
    };
    // 7,000 g in the boils, 9,000 g of the day.
    let found = day(&of_day(41_000), None).unwrap();
    assert_eq!(found.unexplained, Grams::new(16_000));
    let at_bound = 5_000;
    let questions = |missing: i64| {
        day(&of_day(50_000 - missing), None)
            .unwrap()
            .questions
            .len()
    };
    assert_eq!((questions(at_bound), questions(at_bound + 1)), (0, 1));
    assert_eq!((questions(-at_bound), questions(-at_bound - 1)), (0, 1));
    let most = Grams::nearest(100_000.0 * (IMPOSSIBLE - 1.0)).get();
    assert!(day(&of_day(50_000 + most), None).is_ok());
    assert!(day(&of_day(50_000 + most + 1), None).is_err());
}

proptest! {
    #[test]
    fn prop_what_went_in_is_what_came_out_and_what_is_unexplained(
        poured in 1_000_i64..500_000, skimmed in 0.0..0.1_f64, syrup in 0.3..0.99_f64,
        sediment in 0_i64..20_000, kept in 0_i64..50_000,
    ) {
        let scaled = |share: f64| Grams::nearest(Grams::new(poured).as_f64() * share).get();
        let boils = of(poured, scaled(skimmed), scaled(syrup));
        let found = boil(&boils, None).unwrap();
        prop_assert_eq!(
            found.unexplained + boils.skimmed + boils.spilt + boils.syrup, boils.poured
        );
        let of_day = DaySolids {
            measured: Grams::new(poured + sediment + kept),
            sediment: Grams::new(sediment),
            not_boiled: Grams::new(kept),
            boils,
        };
        let whole = day(&of_day, None).unwrap();
        prop_assert_eq!(whole.unexplained, found.unexplained);
    }
}
