//! What is kept beside a figure that nobody expected, by hand.

use super::*;
use crate::calc::boil::fire::course::Course;
use crate::calc::boil::fire::course_kit::{WATER, boil, conditions, plain};
use crate::calc::boil::fire::thickness::u_of;

/// Five hundred courses at a Brix at a minute that boil on by next to nothing.
fn belief(brix: f64, at: f64) -> Belief {
    let mut belief = Belief::start(&boil(), &conditions(), 1);
    belief.at = at;
    let course = Course {
        u: u_of(brix),
        ln_rate: 1e-6_f64.ln(),
        slowing: 1e-9,
        ..plain()
    };
    belief.courses.fill(course);
    belief
}

fn shown(brix: f64) -> f64 {
    WATER + rise_of(&belief(brix, 60.0), &conditions())
}

/// At 72 °Bx a figure of another Brix is put beside what is believed.
fn aside(figure: Figure, less: bool, drop_at: Option<f64>) -> Aside {
    let of = Unexpected {
        at: 60.0,
        place: 4,
        figure,
        less,
        warm: Some((57.0, shown(70.0))),
        drop_at,
    };
    Aside::new(belief(72.0, 60.0), &conditions(), &of)
}

fn settled(aside: &mut Aside, with: f64, at: f64, figure: Figure) -> Settled {
    aside.decide(&belief(with, at), &conditions(), WATER, (at, figure, 5))
}

#[test]
fn the_next_figure_decides_between_the_two() {
    let low = Figure::Brix(50.0);
    let next = |brix| settled(&mut aside(low, true, None), 50.0, 62.0, Figure::Brix(brix));
    assert_eq!(next(50.3), Settled::With);
    assert_eq!(next(72.2), Settled::GoBack);
    assert_eq!(next(61.0), Settled::Open, "it agrees with neither");
    // The belief with it may still hold the other for likely.
    let mut with = belief(50.0, 62.0);
    with.courses[..150].fill(belief(72.0, 62.0).courses[0]);
    let figure = Figure::Brix(72.0);
    let how = aside(low, true, None).decide(&with, &conditions(), WATER, (62.0, figure, 5));
    assert_eq!(how, Settled::Without);
}

#[test]
fn a_thermometer_that_fell_is_believed_by_a_drop_or_a_probe_and_not_by_itself() {
    let low = shown(50.0);
    let next = |figure| {
        settled(
            &mut aside(Figure::Temp(low), true, None),
            50.0,
            62.0,
            figure,
        )
    };
    assert_eq!(next(Figure::Temp(low)), Settled::Open);
    assert_eq!(next(Figure::Probe(low)), Settled::With);
    assert_eq!(next(Figure::Brix(50.0)), Settled::With);
    // One that shows more than it did before is only slower than was believed: two decide.
    let slower = shown(71.0);
    let mut other = aside(Figure::Temp(slower), true, None);
    let how = settled(&mut other, 71.0, 62.0, Figure::Temp(slower - 0.1));
    assert_ne!(how, Settled::Open);
}

#[test]
fn a_thermometer_that_fell_is_believed_once_it_climbs_as_thin_syrup_does() {
    let low = shown(50.0);
    let then = |last: f64, minutes: f64, believed: f64| {
        let mut of = aside(Figure::Temp(low), true, None);
        assert_eq!(
            settled(&mut of, 50.0, 64.0, Figure::Temp(low)),
            Settled::Open
        );
        // Meanwhile the pan as it was believed to be went on.
        of.belief
            .courses
            .iter_mut()
            .for_each(|c| c.u = u_of(believed));
        settled(&mut of, 50.0, 60.0 + minutes, Figure::Temp(low + last))
    };
    assert_eq!(then(0.45, 10.1, 82.0), Settled::With);
    assert_eq!(then(0.35, 10.1, 82.0), Settled::Open, "it stands still");
    assert_eq!(then(0.45, 9.9, 82.0), Settled::Open, "too soon");
    // As much as the pan itself would have climbed: it is off by one and the same difference.
    assert_eq!(then(0.45, 10.1, 72.5), Settled::Open);
}

#[test]
fn what_says_less_quiets_no_call_and_what_says_more_is_not_past() {
    let calls = |of: &Aside, call, own| of.bounds(call, own);
    let mut low = aside(Figure::Temp(shown(50.0)), true, None);
    assert_eq!(calls(&low, Call::TooEarly, Call::Past), Call::Past);
    assert_eq!(calls(&low, Call::TooEarly, Call::Check), Call::Check);
    assert_eq!(calls(&low, Call::TooEarly, Call::Going), Call::TooEarly);
    assert_eq!(calls(&low, Call::There, Call::Check), Call::There);
    assert_eq!(low.again(), Some(61.0));
    // Two that agree: a drop is asked for, no more.
    low.places.push(5);
    assert_eq!(calls(&low, Call::TooEarly, Call::Past), Call::Check);
    assert_eq!(low.again(), None);
    let mut dropped = aside(Figure::Temp(shown(50.0)), true, Some(40.1));
    dropped.places.push(5);
    assert_eq!(calls(&dropped, Call::TooEarly, Call::Past), Call::Past);
    dropped.places.push(6);
    assert_eq!(calls(&dropped, Call::TooEarly, Call::Past), Call::Check);
    let mut long_ago = aside(Figure::Temp(shown(50.0)), true, Some(39.9));
    long_ago.places.push(5);
    assert_eq!(calls(&long_ago, Call::TooEarly, Call::Past), Call::Check);
    let high = aside(Figure::Temp(shown(86.0)), false, None);
    assert_eq!(calls(&high, Call::Candy, Call::Going), Call::There);
    assert_eq!(calls(&high, Call::Check, Call::Going), Call::Check);
    assert_eq!(calls(&high, Call::Candy, Call::Past), Call::Past);
}

#[test]
fn a_confirmed_figure_waits_for_one_that_decides_and_quiets_nothing_that_was_called() {
    let sure = || {
        let mut of = aside(Figure::Brix(50.0), true, None);
        of.confirmed(60.0, Call::Check);
        of
    };
    // What makes one of them hardly likelier than the other decides nothing, and another is due two minutes later.
    let mut of = sure();
    assert_eq!(of.again(), Some(62.0));
    assert_eq!(
        settled(&mut of, 50.0, 61.0, Figure::Brix(60.9)),
        Settled::Open
    );
    assert_eq!(of.again(), Some(63.0));
    assert_eq!(
        settled(&mut sure(), 50.0, 62.0, Figure::Brix(50.3)),
        Settled::With
    );
    assert_eq!(
        settled(&mut sure(), 50.0, 62.0, Figure::Brix(72.2)),
        Settled::GoBack
    );
    // Once the two say the same there is nothing left to decide.
    let alike = Figure::Brix(71.0);
    assert_ne!(settled(&mut sure(), 70.5, 62.0, alike), Settled::Open);
    // A call that had been made falls back only where it is clearly not so.
    let soon = |soon| Chances {
        boiling: 1.0,
        in_half_an_hour: 1.0,
        soon,
        there: 0.0,
        past: 0.0,
        candy: 0.0,
    };
    assert_eq!(sure().own(&soon(0.1), Call::Going), Call::Check);
    assert_eq!(sure().own(&soon(0.01), Call::Going), Call::Going);
    let plain = aside(Figure::Brix(50.0), true, None);
    assert_eq!(plain.own(&soon(0.1), Call::Going), Call::Going);
    // What says more is never calmer than the refractometer where it was called for.
    let mut high = aside(Figure::Brix(86.0), false, None);
    high.confirmed(60.0, Call::Drawn);
    assert_eq!(high.bounds(Call::Going, Call::Check), Call::Check);
    assert_eq!(high.bounds(Call::Candy, Call::Going), Call::There);
}

#[test]
fn a_figure_that_says_less_is_said_with_since_when_and_than_when() {
    let fell = aside(Figure::Temp(shown(50.0)), true, None).less();
    let of = |than| Less {
        since: 60.0,
        than,
        agree: 1,
    };
    assert_eq!(fell, Some(of(Some(57.0))));
    // 0.7 °C below what it showed is where it begins to have fallen.
    let by = |less: f64| aside(Figure::Temp(shown(70.0) - less), true, None).less();
    assert_eq!((by(0.71), by(0.69)), (Some(of(Some(57.0))), Some(of(None))));
    assert_eq!(aside(Figure::Brix(50.0), true, None).less(), Some(of(None)));
    assert_eq!(aside(Figure::Brix(80.0), false, None).less(), None);
}
