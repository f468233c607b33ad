//! Pairs of thermometer and refractometer, by hand.

use super::*;
use crate::calc::boil::fire::course_kit::{WATER, boil, conditions, plain};

fn belief() -> Belief {
    let conditions = conditions();
    let mut belief = Belief::start(&boil(), &conditions, 1);
    belief.at = 60.0;
    // At 66.7 °Bx, and next to nothing goes by while a drop cools.
    let course = super::super::course::Course {
        u: 0.5,
        ln_rate: 1e-6_f64.ln(),
        slowing: 1e-9,
        ..plain()
    };
    belief.courses.fill(course);
    belief
}

/// Takes so many pairs at a K, each at a Brix.
fn with_pairs(many: usize, k: f64, brix: f64, learned: f64) -> Belief {
    let (mut belief, conditions) = (belief(), conditions());
    let mut pairs = Pairs::default();
    let shown = WATER + k * rise_c(brix, WATER, Factor::PURE);
    for _ in 0..many {
        pairs.take(&mut belief, &conditions, (WATER, learned), (shown, brix));
    }
    belief
}

fn knows(belief: &Belief, k: f64) -> f64 {
    belief.share(|c| (c.k / k - 1.0).abs() < WITHIN)
}

#[test]
fn three_pairs_that_agree_on_another_k_open_every_second_course_to_it() {
    let opened = with_pairs(3, 1.5, 70.0, 1.12);
    // A standard deviation of 6 %: four of five lie within 8 % of it; the few that a drawing anew unsettles are others.
    let share = knows(&opened, 1.5);
    assert!((0.33..0.52).contains(&share), "{share}");
    let [there] = opened.quantiles(|c| c.u, [0.25]);
    assert!((brix_of(there) - 70.0).abs() < 1.5, "{there}");
    // Two are too few; thin syrup boils hardly above water and says nothing; what the mill learned needs no other.
    for same in [
        with_pairs(2, 1.5, 70.0, 1.12),
        with_pairs(5, 1.5, 44.0, 1.12),
        with_pairs(5, 1.25, 70.0, 1.12),
    ] {
        assert!(knows(&same, 1.5) < 0.01);
        assert_eq!(same.courses, belief().courses);
    }
}

#[test]
fn a_belief_that_knows_of_the_k_is_left_as_it_is() {
    let mut known = belief();
    for course in known.courses.iter_mut().step_by(3) {
        course.k = 1.5;
    }
    let (before, conditions) = (known.courses.clone(), conditions());
    let mut pairs = Pairs(vec![1.5; 3]);
    let shown = WATER + 1.5 * rise_c(70.0, WATER, Factor::PURE);
    pairs.take(&mut known, &conditions, (WATER, 1.12), (shown, 70.0));
    assert_eq!(known.courses, before);
}
