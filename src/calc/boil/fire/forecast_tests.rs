//! When courses end, by hand: a pan without quirks takes its marks at a minute that a division gives.

use super::*;
use crate::calc::boil::boil_plan::{GAL_FT2_L_M2, Pan};
use crate::calc::boil::fire::course_kit::{Still, conditions, plain};
use crate::calc::boil::fire::on_fire::Boil;
use crate::units::{BrixAt20C, Celsius, Grams, UtcSecond};

/// Nobody eases the fire: the cook is told to check much later and the target lies far beyond candy.
fn steady() -> BoilConditions {
    BoilConditions {
        goal: -5.0,
        ..conditions()
    }
}

fn near(found: f64, wanted: f64) {
    assert!((found - wanted).abs() < 1e-6, "{found}, not {wanted}");
}

#[test]
fn a_steady_pan_passes_each_mark_after_its_water_over_its_rate() {
    // From u = 1 at 0.05 a minute: 0.5, 0.3, 0.25 and 0.2 after 10, 14, 15 and 16 minutes.
    let found = follow(plain(), &steady(), 60.0, [0.5, 0.3, 0.25, 0.2], &mut Still);
    for (found, wanted) in found.into_iter().zip([70.0, 74.0, 75.0, 76.0]) {
        near(found, wanted);
    }
}

#[test]
fn what_a_course_has_passed_lies_back_along_its_speed() {
    let found = follow(plain(), &steady(), 60.0, [1.5, 1.0, 0.9, 0.5], &mut Still);
    for (found, wanted) in found.into_iter().zip([50.0, 60.0, 62.0, 70.0]) {
        near(found, wanted);
    }
    // A mark passed already is dated back by 0.0001 a minute at least, so that a pan that stands still is not endless.
    let dead = Course {
        ln_rate: -40.0,
        ..plain()
    };
    let found = follow(dead, &steady(), 60.0, [1.1, 0.9, 0.8, 0.7], &mut Still);
    near(found[0], 60.0 - 1000.0);
    // The other marks are never passed: they are put at the end of what is forecast.
    assert!(
        found[1..]
            .iter()
            .all(|minute| (minute - 1500.0).abs() < 1e-9),
        "{found:?}"
    );
}

#[test]
fn a_cold_pan_comes_to_the_boil_first() {
    let cold = Course {
        boils_at: 75.0,
        ..plain()
    };
    let found = follow(cold, &steady(), 60.0, [0.5, 0.4, 0.3, 0.25], &mut Still);
    for (found, wanted) in found.into_iter().zip([85.0, 87.0, 89.0, 90.0]) {
        near(found, wanted);
    }
    // Just at the boil it is at the boil; what its fire strays meanwhile fades with the minutes it warms.
    let fire = Course {
        stray: 0.8,
        boils_at: 78.0,
        ..plain()
    };
    let [first, ..] = follow(fire, &steady(), 60.0, [0.99, 0.5, 0.4, 0.3], &mut Still);
    // 0.8 is 0.4 after 18 minutes: 0.01 at 0.05 e^0.4 a minute, and a little less as it fades on.
    let wanted = 78.0 + 0.01 / (0.05 * 0.4_f64.exp());
    assert!((first - wanted).abs() < 0.01, "{first} {wanted}");
}

#[test]
fn a_slowing_pan_is_followed_as_closely_as_by_the_second() {
    let conditions = BoilConditions {
        checked_at: Some(1e6),
        ..conditions()
    };
    let slow = Course {
        u: 2.2,
        slowing: 1.0,
        ..plain()
    };
    // The cook is told to check after all this, and in the last twelve minutes Still never eases unasked.
    let marks = [1.0, 0.5, 0.35, conditions.goal];
    let found = follow(slow, &conditions, 60.0, marks, &mut Still);
    let (mut u, mut at, mut next) = (slow.u, 60.0, 0);
    while next < marks.len() {
        let course = Course { u, ..slow };
        u -= course.speed(&conditions) / 600.0;
        at += 1.0 / 600.0;
        if u <= marks[next] {
            assert!((found[next] - at).abs() < 0.05, "{next}: {found:?} {at}");
            next += 1;
        }
    }
}

#[test]
fn steps_are_a_share_of_the_time_to_go_and_no_shorter_than_a_quarter_of_a_minute() {
    /// Counts the dice: one normal and one uniform draw a step.
    struct Counting(u32);
    impl rand::rand_core::TryRng for Counting {
        type Error = std::convert::Infallible;
        fn try_next_u32(&mut self) -> Result<u32, Self::Error> {
            unreachable!()
        }
        fn try_next_u64(&mut self) -> Result<u64, Self::Error> {
            self.0 += 1;
            Ok(1 << 63 | 1)
        }
        fn try_fill_bytes(&mut self, _: &mut [u8]) -> Result<(), Self::Error> {
            unreachable!()
        }
    }
    let steps = |to: f64| {
        let mut counting = Counting(0);
        let mut of = [to; MARKS];
        of[3] = to - 1e-9;
        follow(plain(), &steady(), 60.0, of, &mut counting);
        counting.0 / 2
    };
    // A minute to go: four quarters and what the last one leaves over.
    assert!((4..=5).contains(&steps(0.95)), "{}", steps(0.95));
    // Ten minutes: 1.5, then 0.15 of what is left each time down to 1.67 minutes, then quarters: 11 and 7.
    assert!((17..=19).contains(&steps(0.5)), "{}", steps(0.5));
    // Far away six minutes a step at most: 200 minutes are 27 of them to the last 38, then 20 by shares and 6 quarters.
    let far = Course { u: 10.2, ..plain() };
    let mut counting = Counting(0);
    follow(
        far,
        &steady(),
        60.0,
        [0.2, 0.2, 0.2, 0.2 - 1e-9],
        &mut counting,
    );
    assert!((52..=54).contains(&(counting.0 / 2)), "{}", counting.0 / 2);
    // One that comes to the boil just now has nothing to warm for: no draw but those of its steps.
    let mut counting = Counting(0);
    let boiling = Course {
        boils_at: 60.0,
        ..plain()
    };
    follow(
        boiling,
        &steady(),
        60.0,
        [0.95, 0.95, 0.95, 0.95 - 1e-9],
        &mut counting,
    );
    assert_eq!(counting.0, 2 * steps(0.95));
}

#[test]
fn shares_and_quantiles_are_counted_over_the_courses() {
    let ends = Ends::written(
        vec![10.0, 20.0, 30.0, 40.0],
        [
            vec![50.0, 60.0, 70.0, 80.0],
            vec![51.0, 61.0, 71.0, 81.0],
            vec![52.0, 62.0, 72.0, 82.0],
            vec![53.0, 63.0, 73.0, 83.0],
        ],
    );
    near(ends.boiling(9.9), 0.0);
    near(ends.boiling(30.0), 0.75);
    near(ends.share_by(Mark::Draw, 60.0), 0.5);
    near(ends.share_by(Mark::Goal, 60.0), 0.25);
    near(ends.share_by(Mark::Past, 82.0), 1.0);
    near(ends.share_by(Mark::Candy, 82.0), 0.75);
    let [low, middle, high] = ends.at(Mark::Goal, [0.1, 0.5, 0.9]);
    near(low, 51.0);
    near(middle, 61.0);
    near(high, 81.0);
}

#[test]
fn every_course_of_a_belief_that_is_followed_has_its_ends() {
    let boil = Boil {
        lit: UtcSecond::new(1_800_000_000),
        solids: Grams::new(40_000),
        juice: BrixAt20C::new(15.0).unwrap(),
        target: BrixAt20C::new(78.0).unwrap(),
        water: Celsius::new(100.0).unwrap(),
        k: None,
        pan: Pan::new(2.0, 1.5 * GAL_FT2_L_M2).unwrap(),
        rate_boils: 4,
    };
    let mut belief = Belief::start(&boil, &conditions(), 1);
    belief.at = 60.0;
    for course in &mut belief.courses {
        *course = plain();
    }
    let marks = [0.5, 0.4, 0.3, 0.25];
    let ends = Ends::of(&belief, &steady(), marks, 40, 7);
    assert_eq!((ends.boils.len(), ends.passed[3].len()), (40, 40));
    near(ends.boiling(20.0), 1.0);
    near(ends.boiling(19.9), 0.0);
    // The fire strays by a tenth: 10 minutes to the first mark, 15 to the last, each in its place.
    for (mark, minutes) in [
        (Mark::Draw, 10.0),
        (Mark::Goal, 12.0),
        (Mark::Past, 14.0),
        (Mark::Candy, 15.0),
    ] {
        let [middle] = ends.at(mark, [0.5]);
        assert!((middle - 60.0 - minutes).abs() < 1.0, "{mark:?}: {middle}");
    }
}
