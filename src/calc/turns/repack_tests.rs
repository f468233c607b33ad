//! Tests of `repack`.

use super::*;
use crate::calc::boil::pan::Settings;
use crate::calc::physics::energy::Fuel;
use crate::calc::turns::day_room::{AfterMill, Setup};
use crate::calc::turns::starts::Day;
use crate::units::{Grams, Millilitres, MinuteOfDay, PressDate, SquareMetres, Units, Zone};
use proptest::prelude::*;

/// A press day from 07:00 to 17:00.
fn day() -> Day {
    Day {
        clock: Zone::parse("America/Chicago")
            .unwrap()
            .clock(PressDate::parse("2026-09-19").unwrap()),
        opens: MinuteOfDay::new(420).unwrap(),
        closes: MinuteOfDay::new(1020).unwrap(),
        closed: false,
        mill_per_h: Grams::new(226_796),
        changeover: Minutes::new(10),
    }
}

fn boiling(pans: &[Settings]) -> AfterMill {
    AfterMill::new(&Setup {
        juice_pct: 45.0,
        juice_turns: 0,
        floor_bx: 15.0,
        target_bx: 78.0,
        hold: Minutes::new(300),
        pans,
        vessels: &[],
    })
    .unwrap()
}

fn pan() -> Settings {
    Settings {
        area: SquareMetres::parse("24", Units::Us).unwrap(),
        least: Millilitres::parse("40", Units::Us).unwrap(),
        most: Millilitres::parse("100", Units::Us).unwrap(),
        rate_l_m2_h: crate::calc::boil::pan::parse_rate("1", Units::Us).unwrap(),
        fuel: Fuel::Wood,
        efficiency_pct: 40.0,
    }
}

fn span(start: i64, minutes: i64) -> Span {
    Span {
        start: DayMinute::new(start),
        minutes: Minutes::new(minutes),
    }
}

fn held(start: i64, minutes: i64, kg: i64) -> TurnHeld {
    TurnHeld {
        span: span(start, minutes),
        cane: Grams::new(kg * 1000),
        pools: true,
    }
}

fn queued(one: TurnHeld, not_before: i64) -> Queued {
    Queued {
        wanted: TurnWanted {
            minutes: one.span.minutes,
            cane: one.cane,
            pools: one.pools,
        },
        not_before: DayMinute::new(not_before),
    }
}

fn starts(rooms: &DayWithTurns<'_>, queue: &[Queued], before: &[TurnHeld]) -> Vec<Option<i64>> {
    repack(rooms, queue, before)
        .into_iter()
        .map(|start| start.map(DayMinute::get))
        .collect()
}

#[test]
fn a_delay_is_swallowed_by_the_first_gap() {
    let boiling = boiling(&[]);
    // 09:00–10:00, 10:00–10:40 and 12:00–13:00; the mill stands from 09:00 to 09:45.
    let turns = [held(540, 60, 300), held(600, 40, 200), held(720, 60, 300)];
    let rooms = DayWithTurns {
        day: day(),
        boiling: &boiling,
        held: &[],
        line: &[],
        stands: &[],
    };
    let on = standstill(DayMinute::new(540), &[], Minutes::new(45)).end();
    let queue = turns.map(|turn| queued(turn, turn.span.start.get().max(on)));
    assert_eq!(
        starts(&rooms, &queue, &turns),
        [Some(585), Some(645), Some(720)]
    );
}

#[test]
fn a_turn_at_the_mill_is_finished_after_the_delay() {
    let from = DayMinute::new(600);
    // Begun 09:40 and to end 10:20: with half an hour's stop at 10:00 it ends 10:50.
    let stands = |busy: &[Span]| {
        let lost = standstill(from, busy, Minutes::new(30));
        (lost.start.get(), lost.end())
    };
    assert_eq!(stands(&[span(580, 40)]), (620, 650));
    assert_eq!(stands(&[span(540, 60)]), (600, 630));
    let odd = standstill(DayMinute::new(603), &[], Minutes::new(30));
    assert_eq!((odd.start.get(), odd.end()), (600, 635));
}

#[test]
fn who_finds_no_room_is_named_and_smaller_ones_behind_stay() {
    let boiling = boiling(&[]);
    let rooms = DayWithTurns {
        day: day(),
        boiling: &boiling,
        held: &[],
        line: &[],
        stands: &[],
    };
    let turns = [held(840, 60, 300), held(900, 100, 600), held(1000, 20, 50)];
    let queue = turns.map(|turn| queued(turn, 880));
    // 14:40–15:40, then 80 minutes are left: not for 100, but for 20.
    assert_eq!(starts(&rooms, &queue, &turns), [Some(880), None, Some(940)]);
}

#[test]
fn turns_find_their_place_between_those_of_the_other_day() {
    let boiling = boiling(&[]);
    let fixed = [held(480, 60, 300), held(600, 30, 100)];
    let rooms = DayWithTurns {
        day: day(),
        boiling: &boiling,
        held: &fixed,
        line: &[],
        stands: &[],
    };
    let queue = [queued(held(0, 60, 300), 420), queued(held(0, 45, 200), 420)];
    // Whoever is second does not slip into the hole before 10:00: it is too small.
    assert_eq!(starts(&rooms, &queue, &[]), [Some(420), Some(540)]);
}

#[test]
fn the_pan_is_heeded_unless_the_day_was_too_much_for_it_already() {
    let boiling = boiling(&[pan()]);
    let rooms = DayWithTurns {
        day: day(),
        boiling: &boiling,
        held: &[],
        line: &[],
        stands: &[],
    };
    // 850 kg are some 95 gal of juice, a charge that takes the pan four hours and a half: the next
    // straight behind it would wait for six.
    let turns = [held(420, 140, 850), held(560, 140, 850)];
    let queue = turns.map(|turn| queued(turn, 420));
    let fresh = starts(&rooms, &queue, &[]);
    assert_eq!(fresh[0], Some(420));
    assert!(fresh[1].is_some_and(|start| start > 560), "{fresh:?}");
    assert!(rooms.takes(&turns).is_err());
    assert_eq!(starts(&rooms, &queue, &turns), [Some(420), Some(560)]);
}

#[test]
fn killed_cane_is_pressed_within_48_hours() {
    let frost = UtcSecond::new(1_000_000);
    assert!(!too_late(frost, frost.plus(48 * 3600)));
    assert!(too_late(frost, frost.plus(48 * 3600 + 1)));
}

#[test]
fn a_delay_has_a_length() {
    assert!(may_put_off(Minutes::new(5)).is_ok() && may_put_off(Minutes::new(600)).is_ok());
    for minutes in [0, -30, 601] {
        let said = may_put_off(Minutes::new(minutes)).unwrap_err();
        assert_eq!((said.at, said.code), (Some("minutes"), "no-such-delay"));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]
    #[test]
    fn prop_turns_keep_their_order_hit_nobody_and_none_could_start_earlier(
        fixed in proptest::collection::vec((0_i64..110, 1_i64..12, 20_i64..600), 0..6),
        turns in proptest::collection::vec((1_i64..24, 20_i64..900, 0_i64..130), 0..9),
        with_pan: bool,
    ) {
        let pans = [pan()];
        let boiling = boiling(if with_pan { &pans } else { &[] });
        let mut stands: Vec<TurnHeld> = Vec::new();
        for (five, length, kg) in fixed {
            let one = held(420 + five * 5, length * 5, kg);
            if one.span.end() <= 1020 && !stands.iter().any(|h| h.span.overlaps(one.span)) {
                stands.push(one);
            }
        }
        let rooms = DayWithTurns { day: day(), boiling: &boiling, held: &stands, line: &[], stands: &[] };
        let heeds = rooms.takes(&stands).is_ok();
        let queue: Vec<Queued> = turns
            .iter()
            .map(|(fives, kg, five)| queued(held(0, fives * 5, *kg), 400 + five * 5))
            .collect();
        let put = repack(&rooms, &queue, &[]);
        prop_assert_eq!(put.len(), queue.len());
        let mut all = stands.clone();
        let mut after = 420;
        for (turn, start) in queue.iter().zip(&put) {
            let fits = |start: i64| {
                let one = TurnHeld {
                    span: Span { start: DayMinute::new(start), minutes: turn.wanted.minutes },
                    cane: turn.wanted.cane,
                    pools: true,
                };
                let mut with = all.clone();
                with.push(one);
                one.span.end() <= 1020
                    && !all.iter().any(|h| h.span.overlaps(one.span))
                    && (!heeds || rooms.takes(&with).is_ok())
            };
            let earliest = (420..1020)
                .step_by(5)
                .find(|start| *start >= after && *start >= turn.not_before.get() && fits(*start));
            prop_assert_eq!(start.map(DayMinute::get), earliest);
            if let Some(start) = start {
                let span = Span { start: *start, minutes: turn.wanted.minutes };
                all.push(TurnHeld { span, cane: turn.wanted.cane, pools: true });
                after = span.end();
            }
        }
    }
}
