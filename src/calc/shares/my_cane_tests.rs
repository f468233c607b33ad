//! The states of a member's cane, and the line of steps.

use super::*;

fn at(minute: i64) -> UtcSecond {
    UtcSecond::new(minute * 60)
}

fn lit() -> LotMarks {
    LotMarks {
        lit_at: at(100),
        finished_at: None,
        filled_at: None,
        lost: false,
        divided_at: None,
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
        crossed_out: false,
        dropped: false,
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
    let filled = LotMarks {
        filled_at: Some(at(305)),
        ..drawn
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
        ..divided(0, 0)
    };
    assert_eq!(
        times(pressed(vec![filled])),
        minutes([10, 15, 40, 100, 310, 0, 0, 0])
    );
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
        lost: true,
        ..lit()
    };
    assert_eq!(
        pressed(vec![lost]).state(),
        CaneState::InLot(LotState::Lost)
    );
    assert!(!pressed(vec![lost]).state().under_way());
    let other = pressed(vec![lost, divided(1, 0)]);
    assert_eq!(other.state(), CaneState::InLot(LotState::ToFetch(1)));
    let away = CaneMarks {
        here_at: Some(at(15)),
        crossed_out: true,
        ..CaneMarks::default()
    };
    assert_eq!(away.state(), CaneState::PouredAway);
    // Crossed out, or gone home unpressed: nothing is to come of it, and it got no further than the scale.
    let dropped = CaneMarks {
        here_at: Some(at(15)),
        dropped: true,
        ..CaneMarks::default()
    };
    assert_eq!(dropped.state(), CaneState::Dropped);
    assert_eq!(dropped.state().step(), Step::Here);
    assert!(!dropped.state().under_way());
    assert!(!away.state().under_way());
}
