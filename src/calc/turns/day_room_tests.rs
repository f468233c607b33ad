//! Tests of `day_room`.

use super::*;
use crate::calc::boil::pan::Settings;
use crate::calc::physics::energy::Fuel;
use crate::units::{Millilitres, MinuteOfDay, PressDate, SquareMetres, UtcSecond, Zone};
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

fn boiling(pans: &[Settings], vessels: &[&str], floor_bx: f64) -> AfterMill {
    AfterMill::new(&Setup {
        juice_pct: 45.0,
        juice_turns: 0,
        floor_bx,
        target_bx: 78.0,
        hold: Minutes::new(300),
        pans,
        vessels: &vessels
            .iter()
            .map(|gal| Millilitres::parse(gal, Units::Us).unwrap())
            .collect::<Vec<_>>(),
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

fn held(start: i64, minutes: i64, cane: &str) -> TurnHeld {
    TurnHeld {
        span: Span {
            start: DayMinute::new(start),
            minutes: Minutes::new(minutes),
        },
        cane: lb(cane),
        pools: true,
    }
}

/// Cane that gives so much juice, just.
fn cane_for(boiling: &AfterMill, litres: f64) -> Grams {
    Grams::nearest(litres * 1000.0 * boiling.kg_per_l * 100.0 / boiling.juice_pct)
}

#[test]
fn a_hundred_gallons_take_the_pan_3_6_hours_and_the_hour_of_its_round() {
    // Trade notes, section 4, “Pan hours” (computed there): 100 gal of 15 °Bx juice to 78 on 24 sq ft
    // at 1 gal a square foot an hour boil 3.6 h, at 2 gal 1.8 h; an hour a lot comes to it.
    for (rate, minutes) in [("1", 276), ("2", 168)] {
        let boiling = boiling(&[pan(rate)], &[], 15.0);
        let whole = boiling.pan_minutes(cane_for(&boiling, 378.54)).unwrap();
        assert_eq!(whole.0, 1);
        assert!((whole.1.get() - minutes).abs() < 3, "{whole:?}");
        // Half as much again is two charges, and two hours beside the boiling.
        let more = boiling.pan_minutes(cane_for(&boiling, 567.81)).unwrap();
        let boils = (minutes - 60) * 3 / 2 + 120;
        assert_eq!(more.0, 2);
        assert!((more.1.get() - boils).abs() < 4, "{more:?}");
    }
}

/// 600 kg at 600 kg an hour, of which 45 % is juice of 12 °Bx: 258 L in the hour. The pan takes 109.5 L
/// an hour, the hour of each charge of 300 L reckoned in.
fn quick_mill(vessels_l: &[i64]) -> Result<(), Limit> {
    let pan = Settings {
        area: SquareMetres::new(3.0).unwrap(),
        least: Millilitres::new(60_000),
        most: Millilitres::new(300_000),
        rate_l_m2_h: 50.9,
        fuel: Fuel::Wood,
        efficiency_pct: 40.0,
    };
    let vessels: Vec<Millilitres> = vessels_l
        .iter()
        .map(|litres| Millilitres::new(litres * 1000))
        .collect();
    let boiling = AfterMill::new(&Setup {
        juice_pct: 45.0,
        juice_turns: 0,
        floor_bx: 12.0,
        target_bx: 78.0,
        hold: Minutes::new(300),
        pans: &[pan],
        vessels: &vessels,
    })
    .unwrap();
    let kg = |kg: i64| Grams::new(kg * 1000);
    let juice = boiling.juice_of(kg(600)).litres();
    assert!((juice - 258.0).abs() < 0.1, "{juice}");
    // An hour of pressing and a quarter of change-over.
    let turn = TurnHeld {
        span: Span {
            start: DayMinute::new(420),
            minutes: Minutes::new(75),
        },
        cane: kg(600),
        pools: true,
    };
    boiling.takes(kg(600), &[turn])
}

#[test]
fn a_change_over_empties_no_vessel_while_juice_still_runs() {
    // After the hour 258 − 109.5 = 148.5 L wait were the pan a steady drain, and after the change-over
    // 121 L; it is none: all of it stands before the pan is lit.
    assert_eq!(quick_mill(&[122]), Err(Limit::Vessels));
    assert_eq!(quick_mill(&[122, 122]), Err(Limit::Vessels));
    assert_eq!(quick_mill(&[122, 137]), Ok(()));
    assert_eq!(quick_mill(&[259]), Ok(()));
    assert_eq!(quick_mill(&[]), Ok(()));
}

fn wanted(minutes: i64, cane: &str) -> TurnWanted {
    TurnWanted {
        minutes: Minutes::new(minutes),
        cane: lb(cane),
        pools: true,
    }
}

#[test]
fn on_a_day_that_runs_late_members_find_no_start_before_those_who_wait() {
    let zone = Zone::parse("America/Chicago").unwrap();
    let day = day(&zone);
    let boiling = boiling(&[], &[], 15.0);
    let planned = [held(480, 60, "800")];
    // Somebody walked in at 7:00 with cane for four hours; the turn of 8:00 begins when that is done, at 11:00.
    let line = [
        Coming {
            start: None,
            minutes: Minutes::new(240),
            weighed: Some((1, 420)),
            pressed: false,
        },
        Coming {
            start: Some(DayMinute::new(480)),
            minutes: Minutes::new(60),
            weighed: None,
            pressed: false,
        },
    ];
    let rooms = DayWithTurns {
        day,
        boiling: &boiling,
        held: &planned,
        line: &line,
        stands: &[],
    };
    let half_past_seven = |crew| Asker {
        at: day.clock.instant(DayMinute::new(450)),
        crew,
    };
    let (member, crew) = (half_past_seven(false), half_past_seven(true));
    let first = |asker| rooms.free(wanted(30, "330"), asker).starts[0].get();
    assert_eq!(first(member), 720);
    assert_eq!(rooms.left(member.at), Minutes::new(300));
    assert_eq!(rooms.behind(member.at), Some(Minutes::new(180)));
    let early = rooms.place(wanted(30, "330"), DayMinute::new(600), member);
    assert!(early.unwrap_err().sentence.contains("12:00"));
    // Crew may put cane that is there where they like.
    assert_eq!(first(crew), 420);
    // Once the walk-in is pressed nothing is late any more: the mill is free from the present minute on.
    let pressed = [
        Coming {
            pressed: true,
            ..line[0]
        },
        line[1],
    ];
    let on_time = DayWithTurns {
        line: &pressed,
        ..rooms
    };
    let starts = on_time.free(wanted(25, "250"), member).starts;
    assert_eq!((starts[0].get(), starts[1].get()), (455, 540));
    assert_eq!(on_time.left(member.at), Minutes::new(505));
}

#[test]
fn a_day_the_mill_could_press_but_the_pan_not_boil_is_full_and_says_so() {
    let zone = Zone::parse("America/Chicago").unwrap();
    let boiling = boiling(&[pan("1")], &[], 15.0);
    // 1,900 lb are 97 gal of juice: one charge, which takes the pan four hours and a half. The same
    // again straight after waits for that, though the mill is free all afternoon.
    let first = [held(420, 140, "1900")];
    let rooms = DayWithTurns {
        day: day(&zone),
        boiling: &boiling,
        held: &first,
        line: &[],
        stands: &[],
    };
    let wanted = wanted(140, "1900");
    let start = DayMinute::new;
    let said = rooms.place(wanted, start(560), BEFORE).unwrap_err();
    assert_eq!(said.code, "pan-full");
    assert!(
        said.sentence.starts_with(
            "The mill is free at 09:20 on Sat 19 Sep 2026, but the pan could not boil its juice before it is held \
             too long. Your juice would wait about 6 h"
        ) && said.sentence.contains(
            " before it is boiled; the season allows 5 h. The nearest free starts are "
        ),
        "{said}"
    );
    let free = rooms.free(wanted, BEFORE);
    let soonest = *free.starts.first().unwrap();
    assert!(soonest > start(560) && free.stopped.is_none());
    assert!(rooms.place(wanted, soonest, BEFORE).is_ok());
    // Placed before another turn, it would make that turn’s juice wait too long.
    let late = DayWithTurns {
        held: &[held(510, 140, "1900")],
        ..rooms
    };
    let small = self::wanted(90, "1400");
    let said = late.place(small, start(420), BEFORE).unwrap_err();
    assert!(
        said.sentence.contains(
            "but the pan could not boil its juice before that of others is held too long. The juice of the turn \
             at 08:30 would wait about 5 h"
        ),
        "{said}"
    );
    // Booked before the second pan was taken out of use: the mill is free for 40 minutes more, the
    // pan for nothing.
    let full: Vec<TurnHeld> = (0..4).map(|n| held(420 + n * 140, 140, "1900")).collect();
    let rooms = DayWithTurns {
        held: &full,
        ..rooms
    };
    let room = rooms.room(BEFORE);
    assert_eq!((room.most, room.limit), (Grams::ZERO, Limit::Pan));
    assert_eq!(room.words(Units::Us), "full: the pan is the limit");
    let small = self::wanted(20, "100");
    assert_eq!(rooms.free(small, BEFORE).stopped, Some(Limit::Pan));
    let said = rooms.place(small, start(960), BEFORE).unwrap_err();
    assert_eq!(said.code, "pan-full");
    assert!(
        said.sentence
            .starts_with("The mill could press it later or earlier on Sat 19")
    );
}

#[test]
fn who_does_not_pool_takes_a_charge_of_the_pan() {
    let zone = Zone::parse("America/Chicago").unwrap();
    let boiling = boiling(&[pan("1")], &["55"; 8], 15.0);
    // Three small turns are one charge together, and three charges apart, each with its hour.
    let day_of = |pools| {
        (0..3)
            .map(|n| TurnHeld {
                pools,
                ..held(420 + n * 60, 60, "800")
            })
            .collect::<Vec<_>>()
    };
    let (together, apart) = (day_of(true), day_of(false));
    let rooms = |held| DayWithTurns {
        day: day(&zone),
        boiling: &boiling,
        held,
        line: &[],
        stands: &[],
    };
    assert_eq!(rooms(&[]).takes(&together), Ok(()));
    assert_eq!(rooms(&[]).takes(&apart), Err(Limit::Pan));
    let one = wanted(60, "800");
    let alone = TurnWanted {
        pools: false,
        ..one
    };
    let (pooled, by_itself) = (
        rooms(&together[..2]).free(one, BEFORE),
        rooms(&together[..2]).free(alone, BEFORE),
    );
    assert!(pooled.starts.len() > by_itself.starts.len());
}

#[test]
fn a_season_that_holds_juice_for_little_settles_it_for_half_of_that() {
    let with = |hold| {
        let made = AfterMill::new(&Setup {
            juice_pct: 45.0,
            juice_turns: 0,
            floor_bx: 15.0,
            target_bx: 78.0,
            hold: Minutes::new(hold),
            pans: &[pan("1")],
            vessels: &[],
        });
        made.unwrap().equipment.settles_s
    };
    assert_eq!((with(300), with(240), with(120)), (7200, 7200, 3600));
}

#[test]
fn small_vessels_are_the_limit_before_the_pan_is() {
    let zone = Zone::parse("America/Chicago").unwrap();
    let boiling = boiling(&[pan("1")], &["30"], 15.0);
    let rooms = DayWithTurns {
        day: day(&zone),
        boiling: &boiling,
        held: &[],
        line: &[],
        stands: &[],
    };
    let room = rooms.room(BEFORE);
    assert_eq!(room.limit, Limit::Vessels);
    assert!(room.words(Units::Us).ends_with("the vessels are the limit"));
    // All of it stands in the one vessel before any is on the fire.
    let most = boiling.juice_of(room.most);
    let holds = Millilitres::parse("30", Units::Us).unwrap();
    assert!(most <= holds && most.get() > holds.get() - 500, "{most:?}");
    let large = wanted(60, "1500");
    assert_eq!(rooms.free(large, BEFORE).stopped, Some(Limit::Vessels));
    let said = rooms.place(large, DayMinute::new(420), BEFORE).unwrap_err();
    assert_eq!(said.code, "vessels-full");
    assert!(
        said.sentence
            .contains("the vessels could not hold its juice: each holds one member’s"),
        "{said}"
    );
    // Another small one before it is taken out finds the vessel full; and so does a turn behind it.
    let first = [held(480, 40, "400")];
    let rooms = DayWithTurns {
        held: &first,
        ..rooms
    };
    let said = rooms.place(wanted(40, "400"), DayMinute::new(420), BEFORE);
    let said = said.unwrap_err();
    assert!(
        said.sentence
            .contains("the vessels could not hold its juice beside that of the turn at 08:00"),
        "{said}"
    );
}

#[test]
fn without_a_pan_only_the_mill_limits() {
    let zone = Zone::parse("America/Chicago").unwrap();
    let boiling = boiling(&[], &["30"], 12.0);
    assert_eq!(boiling.pan_minutes(lb("1000")), None);
    assert_eq!(boiling.words(lb("1000"), Units::Us), "");
    let turns = [held(420, 550, "9000")];
    let rooms = DayWithTurns {
        day: day(&zone),
        boiling: &boiling,
        held: &turns,
        line: &[],
        stands: &[],
    };
    let room = rooms.room(BEFORE);
    // 50 minutes are left: 40 of pressing at 1,000 lb an hour.
    assert_eq!(room.limit, Limit::Mill);
    assert!((room.most.lb() - 666.7).abs() < 3.0, "{}", room.most.lb());
    let all = [held(420, 600, "9000")];
    let rooms = DayWithTurns {
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
    let words = boiling(&[pan("1")], &[], 15.0).words(lb("1000"), Units::Us);
    assert_eq!(
        words,
        "1,000.0 lb × 45.0 % (the season’s rules) = about 50.9 gal of juice. It settles 2 h, then takes the pan 2 h \
         49 min: one charge of 100.0 gal at most, boiled down at 28.1 gal an hour, and 1 h for each to heat up, \
         finish, draw off and clean"
    );
    let words = boiling(&[pan("1")], &[], 15.0).words(lb("4000"), Units::Us);
    assert!(
        words.contains(": 3 charges of 100.0 gal at most"),
        "{words}"
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
        let boiling = boiling(&[pan("1")], &["30", "20", "10"], 12.0);
        let mut all: Vec<TurnHeld> = Vec::new();
        for (five, length, kg) in turns {
            let one = TurnHeld {
                span: Span { start: DayMinute::new(420 + five * 5), minutes: Minutes::new(length * 5) },
                cane: Grams::new(kg * 1000),
                pools: kg % 5 > 0,
            };
            if one.span.end() <= 1020 && !all.iter().any(|h| h.span.overlaps(one.span)) {
                all.push(one);
            }
        }
        let rooms = DayWithTurns { day: day(&zone), boiling: &boiling, held: &all, line: &[], stands: &[] };
        let wanted = TurnWanted { minutes: Minutes::new(minutes * 5), cane: Grams::new(cane * 1000), pools: true };
        let free = rooms.free(wanted, BEFORE);
        prop_assert_eq!(free.starts.is_empty(), free.stopped.is_some());
        for start in (420..1020).step_by(5).map(DayMinute::new) {
            let placed = rooms.place(wanted, start, BEFORE);
            prop_assert_eq!(placed.is_ok(), free.starts.contains(&start));
            if let Ok(span) = placed {
                let mut with = all.clone();
                with.push(TurnHeld { span, cane: wanted.cane, pools: true });
                prop_assert!(rooms.takes(&with).is_ok());
            }
        }
    }
}
