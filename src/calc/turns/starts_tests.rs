//! Tests of `starts`.

use super::*;
use crate::units::{PressDate, Zone};
use proptest::prelude::*;

fn zone() -> Zone {
    Zone::parse("America/Chicago").unwrap()
}

fn day(zone: &Zone, date: &str, opens: i64, closes: i64) -> Day {
    Day {
        clock: zone.clock(PressDate::parse(date).unwrap()),
        opens: MinuteOfDay::new(opens).unwrap(),
        closes: MinuteOfDay::new(closes).unwrap(),
        closed: false,
        mill_per_h: Grams::new(226_796), // 500 lb
        changeover: Minutes::new(10),
    }
}

fn span(start: i64, minutes: i64) -> Span {
    Span {
        start: DayMinute::new(start),
        minutes: Minutes::new(minutes),
    }
}

const BEFORE: Asker = Asker {
    at: UtcSecond::new(0),
    crew: false,
};

fn shown(day: &Day, starts: &[DayMinute]) -> Vec<String> {
    starts.iter().map(|start| day.clock.show(*start)).collect()
}

#[test]
fn minutes_follow_from_the_cane_with_the_sum_written_out() {
    let zone = zone();
    let day = day(&zone, "2026-09-19", 420, 1020);
    let minutes = |lb: &str| day.minutes_for(Grams::parse(lb, Units::Us).unwrap(), Units::Us);
    // 500 lb an hour: 907.2 lb are 108.9 min, and 10 min for the change-over make 118.9.
    assert_eq!(minutes("907.2").unwrap().get(), 120);
    assert_eq!(minutes("0.1").unwrap().get(), 10);
    assert_eq!(minutes("2").unwrap().get(), 15);
    assert_eq!(minutes("4915").unwrap().get(), 600);
    // A round sum stays round, though 500 lb are kept as 226,796 g: 240 min and 10 min.
    assert_eq!(minutes("2000").unwrap().get(), 250);
    assert_eq!(minutes("5000").unwrap_err().code, "longer-than-day");
    assert_eq!(minutes("0").unwrap_err().code, "no-cane");
    assert_eq!(
        day.minutes_words(
            Grams::parse("907.2", Units::Us).unwrap(),
            Minutes::new(120),
            Units::Us
        ),
        "907.2 lb × 60 ÷ 500.0 lb an hour = 108.9 min of pressing; 10 min for the change-over; together, \
         rounded up to full five minutes, 120 min"
    );
    let quick = Day {
        changeover: Minutes::new(0),
        ..day
    };
    assert_eq!(
        quick.minutes_for(Grams::new(1), Units::Us).unwrap().get(),
        5
    );
}

#[test]
fn a_taken_start_is_answered_with_the_nearest_free_ones() {
    let zone = zone();
    let day = day(&zone, "2026-09-19", 420, 600);
    let held = [span(420, 60), span(510, 30)];
    let free = day.free_starts(&held, Minutes::new(30), BEFORE);
    assert_eq!(
        shown(&day, &free),
        [
            "08:00", "09:00", "09:05", "09:10", "09:15", "09:20", "09:25", "09:30"
        ]
    );
    assert_eq!(
        shown(&day, &offered(&free)),
        ["08:00", "09:00", "09:15", "09:30"]
    );
    let said = day.place(&held, span(515, 30), BEFORE).unwrap_err();
    assert_eq!(
        (said.code, said.sentence.as_str()),
        (
            "taken",
            "08:35 is not free for a turn of 30 min. The nearest free starts are 08:00, 09:00 and 09:05."
        )
    );
    let full = day.place(&held, span(420, 70), BEFORE).unwrap_err();
    assert_eq!(full.code, "no-room");
}

#[test]
fn a_turn_that_cannot_stand_is_refused_with_what_would() {
    let zone = zone();
    let day = day(&zone, "2026-09-19", 420, 1020);
    let code = |day: Day, wanted, asker| day.place(&[], wanted, asker).unwrap_err().code;
    assert_eq!(code(day, span(415, 30), BEFORE), "outside-hours");
    assert_eq!(code(day, span(1000, 30), BEFORE), "outside-hours");
    assert_eq!(code(day, span(423, 30), BEFORE), "not-five-minutes");
    assert_eq!(code(day, span(420, 0), BEFORE), "not-five-minutes");
    let closed = Day {
        closed: true,
        ..day
    };
    assert_eq!(code(closed, span(480, 30), BEFORE), "day-closed");
    assert_eq!(closed.free_starts(&[], Minutes::new(30), BEFORE), []);
    // 08:00 there on that day is 13:00 UTC.
    let at = UtcSecond::new(1_789_822_800);
    let member = Asker { at, crew: false };
    assert_eq!(code(day, span(480, 30), member), "start-past");
    assert_eq!(day.place(&[], span(485, 30), member), Ok(()));
    let crew = Asker { at, crew: true };
    assert_eq!(day.place(&[], span(420, 30), crew), Ok(()));
    let late = Asker {
        at: at.plus(86_400),
        crew: true,
    };
    assert_eq!(code(day, span(480, 30), late), "start-past");
    assert_eq!(day.free_starts(&[], Minutes::new(30), late), []);
}

/// The clocks of Chicago skip 02:00 to 03:00 on 8 March 2026 (tz database).
#[test]
fn a_day_of_23_hours_has_no_turn_in_the_hour_skipped_and_turns_run_across_it() {
    let zone = zone();
    let day = day(&zone, "2026-03-08", 0, 300);
    assert_eq!(day.open_minutes().get(), 240);
    let free = day.free_starts(&[], Minutes::new(60), BEFORE);
    assert_eq!(
        shown(&day, &offered(&free)),
        [
            "00:00", "00:15", "00:30", "00:45", "01:00", "01:15", "01:30", "01:45", "03:00",
            "03:15", "03:30", "03:45", "04:00"
        ]
    );
    let said = day.find(ClockTyped::parse("2:30").unwrap()).unwrap_err();
    assert!(said.sentence.contains("The clocks skip 02:30"), "{said}");
    // An hour from 01:30 on ends when the clocks show 03:30.
    assert_eq!(span(90, 60).show(&day.clock), "01:30–03:30");
    assert_eq!(
        day.minutes_for(Grams::parse("1700", Units::Us).unwrap(), Units::Us)
            .unwrap()
            .get(),
        215
    );
}

/// They show 01:00 to 02:00 twice on 1 November 2026 (tz database).
#[test]
fn a_day_of_25_hours_has_both_of_the_hour_that_comes_twice() {
    let zone = zone();
    let day = day(&zone, "2026-11-01", 30, 180);
    assert_eq!(day.open_minutes().get(), 210);
    let free = day.free_starts(&[], Minutes::new(60), BEFORE);
    assert_eq!(
        shown(&day, &offered(&free)),
        [
            "00:30",
            "00:45",
            "01:00, first time",
            "01:15, first time",
            "01:30, first time",
            "01:45, first time",
            "01:00, second time",
            "01:15, second time",
            "01:30, second time",
            "01:45, second time",
            "02:00"
        ]
    );
    let typed = |text| day.find(ClockTyped::parse(text).unwrap());
    assert!(
        typed("1:30")
            .unwrap_err()
            .sentence
            .contains("01:30 comes twice")
    );
    let (first, second) = (typed("1:30 first").unwrap(), typed("1:30 second").unwrap());
    let hour = |start| Span {
        start,
        minutes: Minutes::new(60),
    };
    // The same clock time, and no minute in common.
    assert!(!hour(first).overlaps(hour(second)));
    assert_eq!(day.place(&[hour(first)], hour(second), BEFORE), Ok(()));
    assert_eq!(
        hour(first).show(&day.clock),
        "01:30, first time–01:30, second time"
    );
    assert_eq!(
        day.clock
            .instant(second)
            .minutes_since(day.clock.instant(first)),
        60
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn prop_free_starts_never_overlap_and_every_one_books(
        opens in 0_i64..200, length in 1_i64..88, crew: bool,
        wishes in proptest::collection::vec((1_i64..24, any::<prop::sample::Index>()), 1..14),
    ) {
        let zone = zone();
        let day = day(&zone, "2026-09-19", opens * 5, (opens + length) * 5);
        let asker = Asker { at: UtcSecond::new(1_789_790_400), crew };
        let mut held: Vec<Span> = Vec::new();
        for (fives, pick) in wishes {
            let minutes = Minutes::new(fives * 5);
            let free = day.free_starts(&held, minutes, asker);
            for five in (0..1440).step_by(5) {
                let wanted = span(five, minutes.get());
                let clear = !held.iter().any(|turn| turn.overlaps(wanted));
                let books = day.place(&held, wanted, asker).is_ok();
                prop_assert_eq!(books, free.contains(&wanted.start));
                prop_assert!(clear || !books);
                prop_assert!(!books || (wanted.start >= day.begins() && wanted.end() <= day.ends().get()));
            }
            prop_assert!(offered(&free).iter().all(|start| free.contains(start)));
            prop_assert_eq!(offered(&free).is_empty(), free.is_empty());
            if !free.is_empty() {
                held.push(Span { start: *pick.get(&free), minutes });
            }
        }
        let mut fives: Vec<DayMinute> = held.iter().flat_map(|turn| turn.fives()).collect();
        let sum: i64 = held.iter().map(|turn| turn.minutes.get()).sum();
        prop_assert_eq!(i64::try_from(fives.len()).unwrap() * 5, sum);
        fives.sort_unstable();
        fives.dedup();
        prop_assert_eq!(i64::try_from(fives.len()).unwrap() * 5, sum);
        prop_assert!(sum <= length * 5);
    }

    #[test]
    fn prop_minutes_are_the_least_full_five_that_hold_the_pressing_and_the_change_over(
        cane in 1_i64..2_000_000, per_h in 1_000_i64..10_000_000, changeover in 0_i64..120,
    ) {
        let zone = zone();
        let day = Day {
            mill_per_h: Grams::new(per_h),
            changeover: Minutes::new(changeover),
            ..day(&zone, "2026-09-19", 0, 1440)
        };
        if let Ok(minutes) = day.minutes_for(Grams::new(cane), Units::Metric) {
            let needs = Grams::new(cane).as_f64() * 60.0 / Grams::new(per_h).as_f64();
            let needs = needs + Grams::new(changeover).as_f64();
            let held = Grams::new(minutes.get()).as_f64();
            prop_assert!(minutes.get() % 5 == 0 && minutes.get() >= 5);
            prop_assert!(held >= needs - 0.051 && (minutes.get() == 5 || held < needs + 5.051));
        }
    }
}
