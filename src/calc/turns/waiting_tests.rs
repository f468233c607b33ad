//! Tests of `waiting`.

use super::*;
use crate::calc::boil::pan::Settings;
use crate::calc::physics::energy::Fuel;
use crate::calc::turns::day_room::{AfterMill, Setup};
use crate::calc::turns::starts::Day;
use crate::units::{DayMinute, Millilitres, PressDate, SquareMetres};
use proptest::prelude::*;

/// 500 lb an hour and ten minutes of change-over; 07:00 to 12:00.
fn day() -> Day {
    let zone = Zone::parse("America/Chicago").unwrap();
    Day {
        clock: zone.clock(PressDate::parse("2026-10-10").unwrap()),
        opens: MinuteOfDay::new(420).unwrap(),
        closes: MinuteOfDay::new(720).unwrap(),
        closed: false,
        mill_per_h: lb(500),
        changeover: Minutes::new(10),
    }
}

fn lb(pounds: i64) -> Grams {
    Grams::parse(&pounds.to_string(), Units::Us).unwrap()
}

fn boiling(pans: &[Settings]) -> AfterMill {
    AfterMill::new(&Setup {
        juice_pct: 45.0,
        juice_turns: 0,
        floor_bx: 15.0,
        target_bx: 78.0,
        hold: Minutes::new(120),
        pans,
        vessels: &[],
    })
    .unwrap()
}

fn small_pan() -> Settings {
    Settings {
        area: SquareMetres::parse("12", Units::Us).unwrap(),
        least: Millilitres::parse("10", Units::Us).unwrap(),
        most: Millilitres::parse("40", Units::Us).unwrap(),
        rate_l_m2_h: crate::calc::boil::pan::parse_rate("1", Units::Us).unwrap(),
        fuel: Fuel::Wood,
        efficiency_pct: 40.0,
    }
}

fn waits(pounds: i64) -> Waiter {
    Waiter {
        state: State::Waiting,
        cane: lb(pounds),
        pools: true,
        free: true,
        barred: Vec::new(),
    }
}

fn declined(pounds: i64) -> Waiter {
    Waiter {
        state: State::Declined,
        ..waits(pounds)
    }
}

fn span(start: i64, minutes: i64) -> Span {
    Span {
        start: DayMinute::new(start),
        minutes: Minutes::new(minutes),
    }
}

fn held(start: i64, minutes: i64) -> TurnHeld {
    TurnHeld {
        span: span(start, minutes),
        cane: lb((minutes - 10).max(1) * 500 / 60),
        pools: true,
    }
}

fn rooms<'a>(boiling: &'a AfterMill, held: &'a [TurnHeld]) -> DayWithTurns<'a> {
    DayWithTurns {
        day: day(),
        boiling,
        held,
        line: &[],
        stands: &[],
    }
}

/// Room of that day with those turns; offers end once this many minutes of the day have run.
fn allotted(
    turns: &[TurnHeld],
    before: Option<&[TurnHeld]>,
    list: &[Waiter],
    ends: i64,
) -> Vec<(usize, i64)> {
    let boiling = boiling(&[]);
    let before = before.map(|held| rooms(&boiling, held));
    let ends_at = day().clock.instant(DayMinute::new(ends));
    allot(rooms(&boiling, turns), before, list, ends_at)
        .into_iter()
        .map(|a| (a.index, a.span.start.get()))
        .collect()
}

/// Worked by hand in `tests/by_hand.md`.
#[test]
fn who_came_first_is_asked_first_and_a_smaller_one_only_for_what_is_too_small_for_the_first() {
    let list = [waits(415), waits(83), waits(249)];
    // Full but for 09:00 to 09:40: forty minutes. An hour for the first finds none; 20 minutes for
    // the second do; the third needs 40 and 20 are left.
    let full = [held(420, 120), held(580, 140)];
    assert_eq!(allotted(&full, None, &list, 430), [(1, 540)]);
    // The turn after it is given up, too: 160 minutes. 60, 20 and 40 of them, in order.
    let freed = [held(420, 120), held(700, 20)];
    assert_eq!(
        allotted(&freed, None, &list, 430),
        [(0, 540), (1, 600), (2, 620)]
    );
}

#[test]
fn an_offer_never_outlives_its_start() {
    let turns = [held(420, 60), held(540, 180)];
    // Free is 08:00 to 09:00. An offer until 08:10 is for 08:15, not for 08:00 or 08:10.
    assert_eq!(allotted(&turns, None, &[waits(83)], 490), [(0, 495)]);
    assert_eq!(allotted(&turns, None, &[waits(83)], 489), [(0, 490)]);
    // Until 08:50 there is no start left that is long enough.
    assert_eq!(allotted(&turns, None, &[waits(83)], 525), []);
    // Not on a day that is over, nor on one that is closed.
    assert_eq!(allotted(&turns, None, &[waits(83)], 1440), []);
    let boiling = boiling(&[]);
    let closed = DayWithTurns {
        day: Day {
            closed: true,
            ..day()
        },
        boiling: &boiling,
        held: &[],
        line: &[],
        stands: &[],
    };
    assert_eq!(
        allot(closed, None, &[waits(83)], UtcSecond::new(0)),
        Vec::<Allotted>::new()
    );
}

#[test]
fn who_declined_is_asked_last_and_only_for_room_that_came_free_since() {
    let list = [declined(83), waits(83)];
    let was = [held(420, 60), held(540, 60), held(600, 120)];
    let is = [held(420, 60), held(600, 120)];
    // 08:00 to 09:00 was free before; 09:00 to 10:00 has come free. Who waits goes first and has
    // 08:00; who declined is offered the first start that was not free before.
    assert_eq!(allotted(&is, Some(&was), &list, 430), [(1, 480), (0, 525)]);
    // Nothing came free, or nothing is known of before: who declined is not asked.
    assert_eq!(allotted(&is, Some(&is), &list, 430), [(1, 480)]);
    assert_eq!(allotted(&is, None, &list, 430), [(1, 480)]);
}

#[test]
fn minutes_declined_or_withdrawn_are_not_offered_to_the_same_person_again() {
    let turns = [held(420, 60), held(540, 180)];
    let barred = |span| Waiter {
        barred: vec![span],
        ..waits(83)
    };
    let list = [barred(span(480, 20)), waits(83)];
    assert_eq!(
        allotted(&turns, None, &list, 430),
        [(0, 500), (1, 480)],
        "the first minutes are for the next, and the order is kept"
    );
    assert_eq!(allotted(&turns, None, &[barred(span(480, 60))], 430), []);
}

#[test]
fn who_missed_has_an_offer_has_a_turn_or_left_is_not_asked() {
    let mut list: Vec<Waiter> = [State::Missed, State::Placed, State::Left]
        .into_iter()
        .map(|state| Waiter { state, ..waits(83) })
        .collect();
    list.push(Waiter {
        free: false,
        ..waits(83)
    });
    list.push(waits(9_000));
    assert_eq!(allotted(&[], Some(&[]), &list, 430), []);
}

#[test]
fn every_state_is_reached_and_a_list_can_always_be_left_and_once_left_is_over() {
    let mut reached = vec![State::Waiting];
    let mut at = 0;
    while at < reached.len() {
        for step in Step::ALL {
            let next = reached[at].after(step);
            reached.extend(next.filter(|state| !reached.contains(state)));
        }
        at += 1;
    }
    assert_eq!(reached.len(), State::ALL.len(), "{reached:?}");
    for state in State::ALL {
        assert_eq!(state.after(Step::Leaves).is_some(), state.on_list());
        assert_eq!(state.after(Step::Placed).is_some(), state.on_list());
        // A place that became a turn comes back when the turn is undone, and by nothing else.
        let back = |step: &Step| (state, *step) == (State::Placed, Step::Undone);
        for step in Step::ALL.iter().filter(|_| !state.on_list()) {
            let next = back(step).then_some(State::Waiting);
            assert_eq!(state.after(*step), next, "{state:?}, {step:?}");
        }
        assert_eq!(State::of_word(state.word()), Some(state));
    }
    for answer in Answer::ALL {
        assert_eq!(Answer::of_word(answer.word()), Some(answer));
    }
    assert_eq!(State::of_word("gone"), None);
    assert_eq!(Answer::of_word(""), None);
}

#[test]
fn a_place_is_said_as_people_say_it() {
    let said: Vec<String> = [0, 1, 2, 3, 10, 11, 12, 20, 111]
        .into_iter()
        .map(|n| place_words(n, 120))
        .collect();
    assert_eq!(
        said.join(", "),
        "1st of 120, 2nd of 120, 3rd of 120, 4th of 120, 11th of 120, 12th of 120, 13th of 120, 21st of 120, \
         112th of 120"
    );
    let states = [
        State::Declined,
        State::Left,
        State::Waiting,
        State::Missed,
        State::Waiting,
    ];
    assert_eq!(order(&states), [2, 4, 0]);
}

/// Turns of five-minute lengths that do not overlap, packed from opening with gaps.
fn some_turns() -> impl Strategy<Value = Vec<TurnHeld>> {
    prop::collection::vec((0_i64..8, 1_i64..14), 0..8).prop_map(|parts| {
        let mut at = 420;
        let mut turns = Vec::new();
        for (gap, fives) in parts {
            at += gap * 5;
            if at + fives * 5 > 720 {
                break;
            }
            turns.push(held(at, fives * 5));
            at += fives * 5;
        }
        turns
    })
}

fn some_list() -> impl Strategy<Value = Vec<Waiter>> {
    let one = (1_i64..900, 0_usize..5, 0_i64..60, any::<bool>());
    prop::collection::vec(one, 0..7).prop_map(|all| {
        all.into_iter()
            .map(|(pounds, state, five, bars)| Waiter {
                state: State::ALL[state],
                barred: if bars {
                    vec![span(420 + five * 5, 30)]
                } else {
                    Vec::new()
                },
                ..waits(pounds)
            })
            .collect()
    })
}

proptest! {
    /// Offers share no minute with turns or each other, lie in the hours, begin after their time, and
    /// their juice can be boiled; nobody in order is passed by for a start that he or she could have
    /// had; and what is still free afterwards nobody who waits could use.
    #[test]
    fn offers_hold_what_turns_hold_and_nobody_is_passed_by(
        turns in some_turns(), freed in 0_usize..8, list in some_list(), ends in 400_i64..740, pans in 0_usize..2,
    ) {
        let pans = vec![small_pan(); pans];
        let boiling = boiling(&pans);
        let mut left = turns.clone();
        if freed < turns.len() {
            left.remove(freed);
        }
        let ends_at = day().clock.instant(DayMinute::new(ends));
        let asker = Asker { at: ends_at, crew: false };
        let fitted = boiling.takes(day().mill_per_h, &left).is_ok();
        let out = allot(rooms(&boiling, &left), Some(rooms(&boiling, &turns)), &list, ends_at);
        let mut holding = left.clone();
        let mut offered = out.iter();
        let mut next = offered.next();
        let states: Vec<State> = list.iter().map(|w| w.state).collect();
        for index in order(&states) {
            let waiter = &list[index];
            let Ok(minutes) = day().minutes_for(waiter.cane, Units::Us) else { continue };
            let wanted = TurnWanted { minutes, cane: waiter.cane, pools: true };
            let mut could = rooms(&boiling, &holding).free(wanted, asker).starts;
            could.retain(|s| !waiter.barred.iter().any(|b| b.overlaps(Span { start: *s, minutes })));
            if waiter.state == State::Declined {
                let known = rooms(&boiling, &turns).free(wanted, asker).starts;
                could.retain(|s| !known.contains(s));
            }
            match next.filter(|a| a.index == index) {
                None => prop_assert!(could.is_empty(), "{index} was passed by"),
                Some(a) => {
                    prop_assert_eq!(Some(a.span.start), could.first().copied());
                    prop_assert!(holding.iter().all(|h| !h.span.overlaps(a.span)));
                    prop_assert!(a.span.start.get() >= 420 && a.span.end() <= 720);
                    prop_assert!(day().clock.instant(a.span.start) > ends_at);
                    holding.push(TurnHeld { span: a.span, cane: waiter.cane, pools: true });
                    next = offered.next();
                }
            }
        }
        prop_assert!(next.is_none(), "offered to somebody who is not asked");
        prop_assert!(!fitted || boiling.takes(day().mill_per_h, &holding).is_ok());
        for waiter in list.iter().filter(|w| w.state == State::Waiting && w.barred.is_empty()) {
            let has = out.iter().any(|a| std::ptr::eq(&raw const list[a.index], waiter));
            let Ok(minutes) = day().minutes_for(waiter.cane, Units::Us) else { continue };
            let free = rooms(&boiling, &holding).free(TurnWanted { minutes, cane: waiter.cane, pools: true }, asker);
            prop_assert!(has || free.starts.is_empty());
        }
    }

    /// Where only the mill counts, a later waiter is asked before an earlier one only with less cane.
    #[test]
    fn only_less_cane_goes_before(turns in some_turns(), canes in prop::collection::vec(1_i64..900, 1..7)) {
        let list: Vec<Waiter> = canes.iter().map(|pounds| waits(*pounds)).collect();
        let asked: Vec<usize> = allotted(&turns, None, &list, 400).into_iter().map(|(i, _)| i).collect();
        for later in &asked {
            for earlier in (0..*later).filter(|i| !asked.contains(i)) {
                prop_assert!(list[*later].cane < list[earlier].cane);
            }
        }
    }

    /// A list that is asked and never answers comes to rest: each is asked once and then counts as missed.
    #[test]
    fn a_list_that_nobody_answers_comes_to_rest(turns in some_turns(), list in some_list()) {
        let mut list = list;
        for _ in 0..=list.len() {
            let out = allotted(&turns, Some(&turns), &list, 400);
            if out.is_empty() {
                return Ok(());
            }
            for (index, _) in out {
                list[index].state = list[index].state.after(Step::Lapses).unwrap();
            }
        }
        prop_assert!(false, "still asking");
    }
}

#[test]
fn an_answer_is_due_by_day_and_for_a_turn_far_off_after_two_days_at_least() {
    let zone = Zone::parse("America/Chicago").unwrap();
    let at = |date: &str, minute| {
        let date = PressDate::parse(date).unwrap();
        zone.instant(date, MinuteOfDay::new(minute).unwrap())
            .unwrap()
    };
    let (four_hours, start) = (Minutes::new(240), at("2026-10-31", 480));
    let due = |from, offer, start| answer_due(from, offer, start, &zone);
    // Sent at 22:00 seven weeks before: until nine in the morning of the third day; sent at noon, until noon two days on.
    assert_eq!(
        due(at("2026-09-12", 1320), four_hours, start),
        at("2026-09-15", 540)
    );
    assert_eq!(
        due(at("2026-09-12", 720), four_hours, start),
        at("2026-09-14", 720)
    );
    // Nearer: the season's time, but not in the night.
    assert_eq!(
        due(at("2026-10-27", 600), four_hours, start),
        at("2026-10-27", 840)
    );
    assert_eq!(
        due(at("2026-10-27", 1320), four_hours, start),
        at("2026-10-28", 540)
    );
    assert_eq!(
        due(at("2026-10-27", 1080), four_hours, start),
        at("2026-10-28", 540)
    );
    // A season that gives longer keeps that; nothing outlives the start.
    assert_eq!(
        due(at("2026-09-12", 720), Minutes::new(5 * 1440), start),
        at("2026-09-17", 720)
    );
    assert_eq!(due(at("2026-10-30", 1320), four_hours, start), start);
}
