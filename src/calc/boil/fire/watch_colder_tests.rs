//! Tests of a figure that shows less than the one before it, near the end of a boil that is read once a minute.

use super::*;
use crate::calc::boil::fire::surprise::Typed;

/// A watch of a boil that was read each minute from 120 on.
fn each_minute(of: Boil, to: f64) -> Watch {
    let mut watch = Watch::replay(of, &read_until(118.0));
    let minutes = (120..200).map(f64::from).take_while(|m| *m <= to);
    for minute in minutes {
        watch.take(&shown(minute, 1.1));
    }
    watch
}

/// With a K that the mill learned, and without.
fn both() -> [Boil; 2] {
    let wide = Boil {
        k: None,
        rate_boils: 0,
        ..boil()
    };
    [boil(), wide]
}

/// What the thermometer shows, so much less, °C.
fn less_at(minute: f64, less: f64) -> Reading {
    let sound = shown(minute, 1.1).temp.unwrap().get();
    hot(minute, sound - less)
}

#[test]
fn a_temperature_far_below_the_last_is_read_back_near_the_end() {
    // 206 °F after 225.2.
    for of in both() {
        for minute in [124.0, 130.0, 133.0, 135.0] {
            let mut watch = each_minute(of, minute);
            for less in [5.0, 10.7] {
                let read = less_at(minute + 1.0, less).temp.unwrap().get();
                let typed = Typed::Temp(read, Units::Metric);
                assert!(
                    watch.surprise(at(minute + 1.0), typed).is_some(),
                    "{minute}, {less}"
                );
            }
            // What the thermometer shows is not.
            let sound = shown(minute + 0.5, 1.1).temp.unwrap().get();
            let typed = Typed::Temp(sound, Units::Metric);
            assert_eq!(watch.surprise(at(minute + 0.5), typed), None, "{minute}");
        }
    }
}

#[test]
fn two_degrees_less_than_half_an_hour_ago_are_asked_about_and_not_once_something_was_done() {
    let mut watch = each_minute(boil(), 128.0);
    let last = shown(128.0, 1.1).temp.unwrap().get();
    assert!(watch.shows_less(129.0, last - 2.01));
    assert!(!watch.shows_less(129.0, last - 1.99));
    assert!(watch.shows_less(158.0, last - 2.01));
    assert!(!watch.shows_less(158.1, last - 2.01));
    // A figure that is doubted says nothing of the next.
    let (_, _, place) = watch.read.unwrap();
    watch.doubtful.push(place);
    assert!(!watch.shows_less(129.0, last - 2.01));
    let mut drawn = each_minute(boil(), 128.0);
    drawn.fire_drawn(at(128.5));
    assert!(!drawn.shows_less(131.0, 80.0));
    // A pan that is not at the boil yet may be stirred.
    let warm = Watch::replay(boil(), &warming());
    assert!(!warm.shows_less(26.0, 60.0));
}

#[test]
fn a_lone_colder_figure_neither_takes_a_draw_away_nor_makes_candy_of_it() {
    let mut wrong = Vec::new();
    for of in both() {
        for minute in [128.0, 132.0, 134.0] {
            for confirmed in [false, true] {
                let (mut with, mut plain) = (each_minute(of, minute), each_minute(of, minute));
                let cold = Reading {
                    sure: confirmed,
                    ..less_at(minute + 1.0, 10.7)
                };
                with.take(&cold);
                plain.take(&shown(minute + 1.0, 1.1));
                for then in [1.2, 2.2, 3.2] {
                    let (a, b) = (with.look(at(minute + then)), plain.look(at(minute + then)));
                    let candy = a.call == Call::Candy && b.call < Call::Candy;
                    let taken = b.call >= Call::There && a.call < Call::There;
                    if candy || taken {
                        wrong.push(format!(
                            "k {:?}, at {minute} and {then}, confirmed {confirmed}: {:?} at {:.1} °Bx where {:?} at {:.1}",
                            of.k.is_some(), a.call, a.brix.middle, b.call, b.brix.middle
                        ));
                    }
                    let next = shown((minute + then).ceil(), 1.1);
                    with.take(&next);
                    plain.take(&next);
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
