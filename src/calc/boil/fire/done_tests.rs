//! What is done to a boil, by hand: courses without quirks.

use super::*;
use crate::calc::boil::fire::course_kit::{Dice, boil, close, conditions, plain};

/// 50 °Bx: for each kg of solids 1 kg of water. Half a kg of solids is poured in with 2.5 kg of water, cold by 78 °C.
const HALF: Poured = Poured {
    solids: 0.5,
    water: 2.5,
    colder: 78.0,
    plain: true,
};

#[test]
fn poured_juice_is_mixed_in_by_mass_and_has_to_warm() {
    let mut course = Course {
        ease: 0.0,
        ..plain()
    };
    course.pour(&HALF, 60.0, &mut Dice::default().bell(0.0));
    // 3.5 kg of water on 1.5 of solids; 0.05 kg a minute a kg of solids is a third less for each of more of them.
    close(course.u, 3.5 / 1.5);
    close(course.ln_rate.exp(), 0.05 / 1.5);
    close(course.u_lit, (100.0 / 15.0 - 1.0 + 2.5) / 1.5);
    // 3 kg by 78 °C are 936 kJ, as much as 0.4147 kg of steam: 8.294 minutes.
    close(course.boils_again, 60.0 + 936.0 / 2257.0 / 0.05);
    close(course.ease, -6.0);
    assert!(course.recovers());
    // Before the boil it only comes to it later.
    let mut cold = Course {
        boils_at: 80.0,
        ..plain()
    };
    cold.pour(&HALF, 60.0, &mut Dice::default().bell(0.0));
    close(cold.boils_at, 80.0 + 936.0 / 2257.0 / 0.05);
    close(cold.boils_again, 0.0);
}

#[test]
fn a_pan_does_not_boil_before_it_is_back_at_the_boil_and_then_does() {
    let conditions = conditions();
    let mut course = Course {
        ease: OUT,
        boils_again: 63.0,
        stray_sd: 0.0,
        ..plain()
    };
    let mut still = crate::calc::boil::fire::course_kit::Still;
    for minute in 0..3 {
        course.step(&conditions, 60.0 + f64::from(minute), 1.0, &mut still);
    }
    assert!((course.u - 1.0).abs() < 0.001, "{}", course.u);
    for minute in 3..20 {
        course.step(&conditions, 60.0 + f64::from(minute), 1.0, &mut still);
    }
    // 17 minutes at 0.05, less what the first few fall short.
    assert!((0.3..0.65).contains(&course.u), "{}", course.u);
    assert!(!course.recovers());
}

#[test]
fn of_fires_said_to_be_drawn_a_few_burn_on_and_what_is_read_decides() {
    let mut conditions = conditions();
    let mut belief = Belief::start(&boil(), &conditions, 3);
    belief.at = 60.0;
    belief.courses.fill(Course {
        slowing: 1e-9,
        stray_sd: 0.01,
        ..plain()
    });
    conditions.drawn_at = Some(60.0);
    belief.drawn();
    close(belief.share(|c| c.burns_on), 16.0 / 500.0);
    belief.advance(&conditions, 70.0);
    let few = belief.share(|c| c.burns_on);
    assert!((16.0 / 500.0..0.08).contains(&few), "{few}");
    let drawn = belief.clone().without_burning();
    close(drawn.share(|c| c.burns_on), 0.0);
    // Two that show what burning shows; one that is far below.
    let shown = |of: &Belief| {
        let one = of.courses.iter().find(|c| c.burns_on).copied();
        one.map_or(0.0, |c| 100.0 + c.rise_at(c.u, &conditions) - c.behind)
    };
    let mut burns = belief.clone();
    let hot = Figure::Temp(shown(&burns));
    burns.cooled(&conditions, 100.0, hot, 1.0);
    burns.cooled(&conditions, 100.0, hot, 1.0);
    assert!(burns.share(|c| c.burns_on) > 0.5);
    belief.cooled(&conditions, 100.0, Figure::Temp(90.0), 1.0);
    assert!(belief.share(|c| c.burns_on) < 0.2 * few);
    // Said once more much later: it burnt on, ten times as likely, and burns no more.
    let mut again = drawn;
    again.drawn();
    again.drawn_again(2.9);
    close(again.share(|c| c.burns_on), 0.0);
}

#[test]
fn of_what_is_poured_a_little_was_in_the_pan_before() {
    for (plain_pour, least, most) in [(true, 0.03, 0.10), (false, 0.43, 0.57)] {
        let mut belief = Belief::start(&boil(), &conditions(), 5);
        belief.courses.fill(plain());
        belief.poured(&Poured {
            plain: plain_pour,
            ..HALF
        });
        let as_before = belief.share(|c| (c.u - 1.0).abs() < 1e-9);
        assert!((least..most).contains(&as_before), "{as_before}");
    }
}
