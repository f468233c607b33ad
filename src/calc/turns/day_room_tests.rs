//! Tests of `day_room`.

use super::*;
use crate::calc::physics::energy::Fuel;
use crate::units::{MinuteOfDay, PressDate, SquareMetres, UtcSecond, Zone};
use proptest::prelude::*;

const BEFORE: Asker = Asker {
    at: UtcSecond::new(0),
    crew: false,
};

/// 24 sq ft at 1 gal a square foot an hour, charged with 100 gal (trade notes, section 4).
fn pan(rate_gal: &str) -> Settings {
    Settings {
        area: SquareMetres::parse("24", Units::Us).unwrap(),
        least: Millilitres::parse("40", Units::Us).unwrap(),
        most: Millilitres::parse("100", Units::Us).unwrap(),
        rate_l_m2_h: crate::calc::boil::pan::parse_rate(rate_gal, Units::Us).unwrap(),
        fuel: Fuel::Wood,
        efficiency_pct: 40.0,
    }
}

fn boiling(pans: &[Settings], vessels_gal: &str, floor_bx: f64) -> Boiling {
    Boiling::new(&Setup {
        juice_pct: 45.0,
        juice_turns: 0,
        floor_bx,
        target_bx: 78.0,
        hold: Minutes::new(300),
        pans,
        vessels: Millilitres::parse(vessels_gal, Units::Us).unwrap(),
    })
    .unwrap()
}

fn day(zone: &Zone) -> Day {
    Day {
        clock: zone.clock(PressDate::parse("2026-09-19").unwrap()),
        opens: MinuteOfDay::new(420).unwrap(),
        closes: MinuteOfDay::new(1020).unwrap(),
        closed: false,
        mill_per_h: Grams::parse("1000", Units::Us).unwrap(),
        changeover: Minutes::new(10),
    }
}

fn lb(text: &str) -> Grams {
    Grams::parse(text, Units::Us).unwrap()
}

fn held(start: i64, minutes: i64, cane: &str) -> Held {
    Held {
        span: Span {
            start: DayMinute::new(start),
            minutes: Minutes::new(minutes),
        },
        cane: lb(cane),
    }
}

#[test]
fn a_hundred_gallons_take_the_pan_3_6_hours_and_the_hour_of_its_round() {
    // Trade notes, section 4, “Pan hours” (computed there): 100 gal of 15 °Bx juice to 78 on 24 sq ft
    // at 1 gal a square foot an hour boil 3.6 h, at 2 gal 1.8 h; an hour a lot comes to it.
    for (rate, hours) in [("1", 4.6), ("2", 2.8)] {
        let per_h = boiling(&[pan(rate)], "0", 15.0).per_h().unwrap().litres() / 3.785_411_784;
        assert!((100.0 / per_h - hours).abs() < 0.05, "{}", 100.0 / per_h);
    }
    let two = boiling(&[pan("1"), pan("1")], "0", 15.0).per_h().unwrap();
    let one = boiling(&[pan("1")], "0", 15.0).per_h().unwrap();
    assert!((two.get() - 2 * one.get()).abs() <= 1);
}

#[test]
fn a_day_the_mill_could_press_but_the_pan_not_boil_is_full_and_says_so() {
    let zone = Zone::parse("America/Chicago").unwrap();
    let boiling = boiling(&[pan("1")], "0", 15.0);
    // Some 22 gal an hour go into the pan, and 110 gal may wait: 2,100 lb of cane, 107 gal of juice,
    // fit once; the same again straight after does not, though the mill is free all afternoon.
    let first = [held(420, 140, "2100")];
    let rooms = Rooms {
        day: day(&zone),
        boiling: &boiling,
        held: &first,
    };
    let wanted = Wanted {
        minutes: Minutes::new(140),
        cane: lb("2100"),
    };
    let start = DayMinute::new;
    let said = rooms.place(wanted, start(560), BEFORE).unwrap_err();
    assert_eq!(said.code, "pan-full");
    assert!(
        said.sentence
            .contains("the pan could not boil its juice before it is held too long"),
        "{said}"
    );
    assert!(said.sentence.contains("The nearest free starts are"));
    let free = rooms.free(wanted, BEFORE);
    let soonest = *free.starts.first().unwrap();
    assert!(soonest > start(560) && free.stopped.is_none());
    assert!(rooms.place(wanted, soonest, BEFORE).is_ok());
    // Booked before the second pan was taken out of use: the mill is free for 40 minutes more, the
    // pan for nothing.
    let full: Vec<Held> = (0..4).map(|n| held(420 + n * 140, 140, "2100")).collect();
    let rooms = Rooms {
        held: &full,
        ..rooms
    };
    let room = rooms.room(BEFORE);
    assert_eq!((room.most, room.limit), (Grams::ZERO, Limit::Pan));
    assert_eq!(room.words(Units::Us), "full: the pan is the limit");
    let small = Wanted {
        minutes: Minutes::new(20),
        cane: lb("100"),
    };
    assert_eq!(rooms.free(small, BEFORE).stopped, Some(Limit::Pan));
    assert_eq!(
        rooms.place(small, start(960), BEFORE).unwrap_err().code,
        "pan-full"
    );
}

#[test]
fn small_vessels_are_the_limit_before_the_pan_is() {
    let zone = Zone::parse("America/Chicago").unwrap();
    let boiling = boiling(&[pan("1")], "30", 15.0);
    let rooms = Rooms {
        day: day(&zone),
        boiling: &boiling,
        held: &[],
    };
    let room = rooms.room(BEFORE);
    assert_eq!(room.limit, Limit::Vessels);
    assert!(room.words(Units::Us).ends_with("the vessels are the limit"));
    // 30 gal may stand, and the pan takes some meanwhile: more cane than 30 gal are pressed of.
    assert!(boiling.juice_of(room.most) > Millilitres::parse("30", Units::Us).unwrap());
    let wanted = |kg: i64| Wanted {
        minutes: Minutes::new(60),
        cane: Grams::new(kg * 1000),
    };
    assert_eq!(
        rooms.free(wanted(700), BEFORE).stopped,
        Some(Limit::Vessels)
    );
}

#[test]
fn without_a_pan_only_the_mill_limits() {
    let zone = Zone::parse("America/Chicago").unwrap();
    let boiling = boiling(&[], "30", 12.0);
    assert_eq!(boiling.pan_minutes(lb("1000")), None);
    assert_eq!(boiling.words(lb("1000"), Units::Us), "");
    let turns = [held(420, 550, "9000")];
    let rooms = Rooms {
        day: day(&zone),
        boiling: &boiling,
        held: &turns,
    };
    let room = rooms.room(BEFORE);
    // 50 minutes are left: 40 of pressing at 1,000 lb an hour.
    assert_eq!(room.limit, Limit::Mill);
    assert!((room.most.lb() - 666.7).abs() < 3.0, "{}", room.most.lb());
    let all = [held(420, 600, "9000")];
    let rooms = Rooms {
        held: &all,
        ..rooms
    };
    assert_eq!(
        rooms.room(BEFORE).words(Units::Us),
        "full: the mill is the limit"
    );
}

#[test]
fn pan_minutes_are_written_out() {
    let words = boiling(&[pan("1")], "0", 15.0).words(lb("1000"), Units::Us);
    assert_eq!(
        words,
        "1,000.0 lb × 45.0 % (the season’s rules) = about 50.9 gal of juice; ÷ 21.9 gal an hour = 2 h 20 min of the pan"
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn prop_whatever_is_free_can_be_placed_and_stays_within_its_limits(
        turns in proptest::collection::vec((0_i64..100, 1_i64..20, 50_i64..900), 0..8),
        cane in 50_i64..900, minutes in 1_i64..30,
    ) {
        let zone = Zone::parse("America/Chicago").unwrap();
        let boiling = boiling(&[pan("1")], "60", 12.0);
        let mut all: Vec<Held> = Vec::new();
        for (five, length, kg) in turns {
            let one = Held {
                span: Span { start: DayMinute::new(420 + five * 5), minutes: Minutes::new(length * 5) },
                cane: Grams::new(kg * 1000),
            };
            if one.span.end() <= 1020 && !all.iter().any(|h| h.span.overlaps(one.span)) {
                all.push(one);
            }
        }
        let rooms = Rooms { day: day(&zone), boiling: &boiling, held: &all };
        let wanted = Wanted { minutes: Minutes::new(minutes * 5), cane: Grams::new(cane * 1000) };
        let free = rooms.free(wanted, BEFORE);
        prop_assert_eq!(free.starts.is_empty(), free.stopped.is_some());
        for start in (420..1020).step_by(5).map(DayMinute::new) {
            let placed = rooms.place(wanted, start, BEFORE);
            prop_assert_eq!(placed.is_ok(), free.starts.contains(&start));
            if let Ok(span) = placed {
                let mut with = all.clone();
                with.push(Held { span, cane: wanted.cane });
                prop_assert!(boiling.takes(&with).is_ok());
            }
        }
    }
}
