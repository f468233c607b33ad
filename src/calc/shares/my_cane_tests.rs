//! The states of a member's cane, and the line of steps.

use super::*;
use proptest::prelude::*;

fn at(minute: i64) -> UtcSecond {
    UtcSecond::new(minute * 60)
}

fn lit() -> LotMarks {
    LotMarks {
        poured_at: at(100),
        finished_at: None,
        syrup: Grams::new(10_000),
        jarred: Grams::ZERO,
        filled_at: None,
        lost_at: None,
        divided_at: None,
        reopened: false,
        set_aside: 0,
        handed: 0,
        handed_at: None,
    }
}

fn divided(set_aside: i64, handed: i64) -> LotMarks {
    LotMarks {
        finished_at: Some(at(300)),
        filled_at: Some(at(310)),
        divided_at: Some(at(320)),
        set_aside,
        handed,
        handed_at: (handed > 0).then(|| at(400)),
        ..lit()
    }
}

fn pressed(lots: Vec<LotMarks>) -> CaneMarks {
    CaneMarks {
        turn_at: Some(at(10)),
        here_at: Some(at(15)),
        pressed_at: Some(at(40)),
        standing: lots.is_empty(),
        went_home: false,
        not_weighed: false,
        lots,
    }
}

#[test]
fn each_thing_written_down_takes_the_cane_one_step_further() {
    let booked = CaneMarks {
        turn_at: Some(at(10)),
        ..CaneMarks::default()
    };
    let here = CaneMarks {
        here_at: Some(at(15)),
        ..booked.clone()
    };
    let drawn = LotMarks {
        finished_at: Some(at(300)),
        ..lit()
    };
    let begun = LotMarks {
        filled_at: Some(at(305)),
        jarred: Grams::new(9_499),
        ..drawn
    };
    // Of 10,000 g five in a hundred may be in no jar, unasked.
    let filled = LotMarks {
        jarred: Grams::new(9_500),
        ..begun
    };
    let way = [
        (booked, CaneState::Booked, Step::Booked),
        (here, CaneState::Here, Step::Here),
        (pressed(vec![]), CaneState::Pressed, Step::Pressed),
        (
            pressed(vec![lit()]),
            CaneState::InLot(LotState::OnFire),
            Step::InPan,
        ),
        (
            pressed(vec![drawn]),
            CaneState::InLot(LotState::DrawnOff),
            Step::InPan,
        ),
        (
            pressed(vec![begun]),
            CaneState::InLot(LotState::BeingJarred),
            Step::InPan,
        ),
        (
            pressed(vec![filled]),
            CaneState::InLot(LotState::InJars),
            Step::InJars,
        ),
        (
            pressed(vec![divided(3, 1)]),
            CaneState::InLot(LotState::ToFetch(2)),
            Step::ToFetch,
        ),
        (
            pressed(vec![divided(3, 3)]),
            CaneState::InLot(LotState::Fetched),
            Step::Fetched,
        ),
        (
            pressed(vec![divided(0, 0)]),
            CaneState::InLot(LotState::Shared),
            Step::ShareKnown,
        ),
    ];
    for (marks, state, step) in way {
        assert_eq!(marks.state(), state);
        assert_eq!(marks.state().step(), step);
        let line = marks.line();
        let at_one = line.iter().filter(|mark| mark.place == Place::At);
        assert_eq!(at_one.map(|mark| mark.step).collect::<Vec<_>>(), [step]);
        let ahead = line.iter().filter(|mark| mark.place == Place::Ahead);
        assert!(ahead.into_iter().all(|mark| mark.at.is_none()), "{line:?}");
    }
}

#[test]
fn a_step_that_was_reached_says_when() {
    let times = |marks: CaneMarks| marks.line().map(|mark| mark.at.map(UtcSecond::get));
    let minutes = |all: [i64; 8]| all.map(|minute| (minute > 0).then_some(minute * 60));
    assert_eq!(
        times(pressed(vec![divided(3, 3)])),
        minutes([10, 15, 40, 100, 310, 320, 320, 400])
    );
    // Two lots: when the last of them came so far.
    let later = LotMarks {
        filled_at: Some(at(330)),
        divided_at: Some(at(350)),
        ..divided(2, 0)
    };
    assert_eq!(
        times(pressed(vec![divided(3, 1), later])),
        minutes([10, 15, 40, 100, 330, 350, 350, 0])
    );
    let filled = LotMarks {
        divided_at: None,
        jarred: Grams::new(10_000),
        ..divided(0, 0)
    };
    assert_eq!(
        times(pressed(vec![filled])),
        minutes([10, 15, 40, 100, 310, 0, 0, 0])
    );
}

#[test]
fn juice_comes_into_the_pan_when_it_is_poured_and_never_before_it_is_pressed() {
    let pour = |pressed_at, noted_at, with_first| PourMarks {
        pressed_at: at(pressed_at),
        noted_at: at(noted_at),
        with_first,
    };
    for (pour, finished, poured) in [
        // The fire was lit under it, and that was written down later.
        (pour(40, 130, true), None, 100),
        // Added to a boil that was lit already; the first juice too, where it was not pressed before the fire was lit.
        (pour(230, 235, false), None, 235),
        (pour(230, 235, true), None, 235),
        (pour(40, 150, false), Some(300), 150),
        // Noted only after the draw: at the earliest that it can have been.
        (pour(230, 400, false), Some(300), 230),
        (pour(40, 400, false), Some(300), 100),
    ] {
        assert_eq!(
            pour.poured_at(at(100), finished.map(at)),
            at(poured),
            "{pour:?}"
        );
    }
}

#[test]
fn cane_of_a_lot_that_is_put_right_is_under_way_again() {
    let fetched = divided(2, 2);
    assert!(!pressed(vec![fetched]).under_way());
    let reopened = LotMarks {
        reopened: true,
        ..fetched
    };
    assert!(pressed(vec![divided(0, 0), reopened]).under_way());
    assert!(pressed(vec![lit()]).under_way());
}

proptest! {
    #[test]
    fn prop_no_step_from_the_mill_on_is_said_to_be_later_than_one_after_it(
        here in 0_i64..500,
        juice in proptest::option::of(0_i64..500),
        lots in proptest::collection::vec(any_lot(), 0..4),
    ) {
        let marks = CaneMarks {
            turn_at: Some(at(600)),
            here_at: Some(at(here)),
            pressed_at: juice.map(at),
            lots,
            ..CaneMarks::default()
        };
        let line = marks.line();
        let times: Vec<UtcSecond> = line[1..].iter().filter_map(|mark| mark.at).collect();
        prop_assert!(times.is_sorted(), "{times:?}");
        // The last time that is known is never left out.
        let reached = marks.state().step();
        let last = Step::ALL.into_iter().rev().filter(|step| *step <= reached).find_map(|step| marks.at(step));
        prop_assert_eq!(times.last().copied(), last);
    }
}

/// A lot whose times stand in any order, as hands may write them down.
fn any_lot() -> impl Strategy<Value = LotMarks> {
    let time = || proptest::option::of((0_i64..500).prop_map(at));
    (0_i64..500, time(), time(), time(), time(), 0_i64..3).prop_map(
        |(poured, finished_at, filled_at, divided_at, handed_at, set_aside)| LotMarks {
            poured_at: at(poured),
            finished_at,
            jarred: Grams::new(10_000),
            filled_at,
            divided_at,
            set_aside,
            handed: i64::from(handed_at.is_some()).min(set_aside),
            handed_at,
            ..lit()
        },
    )
}

#[test]
fn cane_in_two_places_is_where_it_is_least_far() {
    let both = pressed(vec![divided(2, 2), lit()]);
    assert_eq!(both.state(), CaneState::InLot(LotState::OnFire));
    assert!(both.state().under_way());
    let mut left = pressed(vec![divided(2, 2)]);
    left.standing = true;
    assert_eq!(left.state(), CaneState::Pressed);
    let waits = pressed(vec![divided(2, 2), divided(1, 0)]);
    assert_eq!(waits.state(), CaneState::InLot(LotState::ToFetch(1)));
}

#[test]
fn what_is_lost_or_poured_away_is_not_under_way_and_hides_nothing_else() {
    let lost = LotMarks {
        lost_at: Some(at(40)),
        ..lit()
    };
    assert_eq!(
        pressed(vec![lost]).state(),
        CaneState::InLot(LotState::Lost)
    );
    assert!(!pressed(vec![lost]).state().under_way());
    assert_eq!(pressed(vec![lost]).lost_at(), Some(at(40)));
    let other = pressed(vec![lost, divided(1, 0)]);
    assert_eq!(other.lost_at(), None);
    assert_eq!(other.state(), CaneState::InLot(LotState::ToFetch(1)));
    assert_eq!(pressed(Vec::new()).state(), CaneState::Pressed);
    let spilt = CaneMarks {
        standing: false,
        ..pressed(Vec::new())
    };
    assert_eq!(spilt.state(), CaneState::JuiceLost);
    assert_eq!(spilt.state().step(), Step::Pressed);
    assert!(!spilt.state().under_way());
}

#[test]
fn cane_that_went_home_or_was_never_weighed_is_not_under_way_and_juice_tells_more_than_either() {
    let home = CaneMarks {
        here_at: Some(at(15)),
        went_home: true,
        ..CaneMarks::default()
    };
    let struck = CaneMarks {
        here_at: Some(at(15)),
        not_weighed: true,
        ..CaneMarks::default()
    };
    for (marks, state) in [(home, CaneState::WentHome), (struck, CaneState::NotWeighed)] {
        assert_eq!(marks.state(), state);
        assert_eq!(marks.state().step(), Step::Here);
        assert!(!marks.state().under_way());
        let juice = CaneMarks {
            standing: true,
            pressed_at: Some(at(20)),
            ..marks
        };
        assert_eq!(juice.state(), CaneState::Pressed);
    }
}
