//! A figure that stands alone, by hand.

use super::*;
use crate::calc::boil::fire::course_kit::{WATER, boil, conditions, plain};
use crate::calc::boil::fire::thickness::u_of;

/// Five hundred courses without quirks at a water per solids, at 0.05 a minute.
fn belief(u: f64) -> (Belief, BoilConditions) {
    let conditions = conditions();
    let mut belief = Belief::start(&boil(), &conditions, 1);
    belief.at = 60.0;
    let course = super::super::course::Course {
        u,
        slowing: 1e-9,
        ..plain()
    };
    belief.courses.fill(course);
    (belief, conditions)
}

fn before(u: f64, figure: Figure) -> Before {
    let (belief, conditions) = belief(u);
    Before::of(&belief, &conditions, figure, (WATER, u_of(79.0)))
}

#[test]
fn a_drop_says_near_when_the_target_is_seven_and_a_half_minutes_from_it() {
    // 78 °Bx has 0.282 kg of water a kg of solids; 7.5 minutes at 0.05 are 0.375 more: 60.35 °Bx.
    let near = |brix| before(2.0, Figure::Brix(brix)).near;
    assert!(near(60.4) && near(78.0) && near(86.0));
    assert!(!near(60.3) && !near(15.0));
    // A figure that no syrup shows says nothing.
    assert!(!near(94.5));
}

#[test]
fn a_boil_is_past_before_a_figure_when_half_of_what_is_believed_is() {
    assert!(before(u_of(79.1), Figure::Brix(80.0)).past);
    assert!(!before(u_of(78.9), Figure::Brix(80.0)).past);
}

#[test]
fn only_one_reading_of_a_thermometer_confirmed_or_not_is_held_at_drawing() {
    let (thin, thick) = (u_of(60.0), u_of(80.0));
    let last = |u, figure| {
        let before = before(u, figure);
        LastFigure::after(None, before, figure, (60.0, 4)).alone(false, false, Call::Past)
    };
    let hot = Figure::Temp(110.0);
    assert_eq!(last(thin, hot), Some(Alone::Past));
    // A probe's and a drop are not held by this, though they fit nothing; nor is any once the boil is past.
    for other in [
        last(thin, Figure::Probe(110.0)),
        last(thin, Figure::Brix(81.0)),
    ] {
        assert_eq!(other, Some(Alone::Unlike));
    }
    assert_ne!(last(thick, hot), Some(Alone::Past));
    let of = LastFigure::after(None, before(thin, hot), hot, (60.0, 4));
    let (unlike, doubted) = (Some(Alone::Unlike), Some(Alone::Doubted));
    assert_eq!(
        of.alone(false, true, Call::Past),
        unlike,
        "silence counts as well"
    );
    assert_eq!(
        of.alone(false, false, Call::There),
        unlike,
        "it is not past"
    );
    assert_eq!(of.again(false), Some(61.0));
    // A reading that was expected never stands alone by itself, only once it is doubted.
    let (belief, conditions) = belief(thin);
    let shown = WATER + belief.mean(|c| c.rise_at(c.u, &conditions));
    let expected = Figure::Temp(shown);
    let of = LastFigure::after(None, before(thin, expected), expected, (60.0, 4));
    assert_eq!(
        (of.alone(false, false, Call::Going), of.again(false)),
        (None, None)
    );
    // A drop is a minute and a half old: 0.58 now was 0.655 then, 60.4 °Bx.
    let (near, thin) = (Figure::Brix(60.4), 0.58);
    let of = LastFigure::after(None, before(thin, near), near, (60.0, 4));
    assert_eq!(
        (of.alone(false, false, Call::Going), of.again(false)),
        (None, None)
    );
    assert_eq!(
        (of.alone(true, false, Call::Going), of.again(true)),
        (doubted, Some(61.0))
    );
}

#[test]
fn a_doubted_drop_stands_against_a_thermometer_for_ten_minutes() {
    let drop = Figure::Brix(80.0);
    let first = LastFigure::after(None, before(2.0, drop), drop, (60.0, 4));
    assert_eq!(first.alone(true, true, Call::Going), Some(Alone::Doubted));
    let hot = Figure::Temp(102.0);
    let then = |doubted, at, figure| {
        let of = before(2.0, figure);
        LastFigure::after(Some((first, doubted)), of, figure, (at, 5)).place
    };
    assert_eq!(then(true, 69.9, hot), 4);
    assert_eq!(then(true, 70.0, hot), 5);
    // Another drop takes its place, and so does any reading once the drop is not doubted any more.
    assert_eq!(then(true, 61.0, Figure::Brix(50.0)), 5);
    assert_eq!(then(false, 61.0, hot), 5);
}

#[test]
fn a_doubted_thermometer_stands_against_a_probe_that_sends_on() {
    let read = Figure::Temp(108.0);
    let first = LastFigure::after(None, before(2.0, read), read, (60.0, 4));
    let then = |doubted, at, figure| {
        let of = before(2.0, figure);
        LastFigure::after(Some((first, doubted)), of, figure, (at, 5)).place
    };
    let sent = Figure::Probe(101.0);
    assert_eq!(then(true, 69.9, sent), 4);
    assert_eq!(then(true, 70.0, sent), 5);
    // Another by hand decides, and so does a drop, and the probe itself once the other is not doubted.
    assert_eq!(then(true, 61.0, Figure::Temp(101.0)), 5);
    assert_eq!(then(true, 61.0, Figure::Brix(50.0)), 5);
    assert_eq!(then(false, 61.0, sent), 5);
}

#[test]
fn what_stands_alone_is_neither_quiet_nor_past() {
    for (told, doubted, past) in [
        (Call::Heating, Call::Check, Call::Heating),
        (Call::Going, Call::Check, Call::Going),
        (Call::Check, Call::Check, Call::Check),
        (Call::There, Call::There, Call::There),
        (Call::Past, Call::Past, Call::There),
        (Call::Candy, Call::Candy, Call::There),
    ] {
        assert_eq!(Alone::Doubted.bounds(told), doubted);
        assert_eq!(Alone::Unlike.bounds(told), doubted);
        assert_eq!(Alone::Past.bounds(told), past);
    }
}
