//! Tests of the season's plan.

use super::*;
use crate::units::Metres;
use proptest::prelude::*;

fn date(text: &str) -> PressDate {
    PressDate::parse(text).unwrap()
}

fn planting(planted: &str, row: f64) -> Planting {
    Planting {
        planted: date(planted),
        days: 110,
        row: Metres::new(row).unwrap(),
    }
}

/// Trade notes, section 4: 24 sq ft at one gallon each drive off 24 gal of water an hour; 100 gal
/// (379 L) of juice of 15 Brix to 78 take 3.6 h, and an hour for lighting and cleaning.
const PAN: Pan = Pan {
    water_kg_h: 24.0 * 3.785,
    most: Millilitres::new(379_000),
    area_m2: 2.23,
};

const FIGURES: Figures = Figures {
    row_kg_per_m: 2.0,
    juice_pct: 45.0,
    brix: 15.0,
    target_bx: 78.0,
    recovery: 0.8,
    hold: Minutes::new(300),
    pan: Some(PAN),
};

fn day(text: &str) -> Day {
    Day {
        date: date(text),
        open: Minutes::new(600),
        mill_per_h: Grams::new(200_000),
        changeover: Minutes::new(10),
    }
}

#[test]
fn a_field_comes_in_over_its_three_weeks_and_the_pan_takes_longer_than_the_mill() {
    // Ready Wed 26 Aug to Tue 15 Sep: 5, 7, 7 and 2 of 21 days.
    let found = weeks(
        &[planting("2026-05-18", 2100.0)],
        &[day("2026-09-05")],
        &FIGURES,
    );
    let cane: Vec<i64> = found.iter().map(|w| w.cane.get()).collect();
    assert_eq!(cane, [1_000_000, 1_400_000, 1_400_000, 400_000]);
    let week = found[1];
    assert_eq!(week.monday.to_string(), "2026-08-31");
    assert_eq!((week.juice.get(), week.solids.get()), (630_000, 94_500));
    // 94.5 kg of solids are 121.2 kg of syrup at 78; four fifths of it in jars.
    assert_eq!(week.syrup.get(), 96_923);
    // 1,400 kg at 200 an hour are seven hours; the planting ripens in this week.
    assert_eq!(week.mill, (Minutes::new(430), Minutes::new(600)));
    // 508.8 kg of water at 90.84 an hour: 336 minutes; two boils, an hour each. The day has ten
    // hours, less two of settling, and five more until the last juice is too old.
    assert_eq!(week.pan, Some((Minutes::new(456), Minutes::new(780))));
    assert_eq!(week.limit(), Limit::Neither);
    assert_eq!(found[0].limit(), Limit::NoDay);
}

#[test]
fn a_hundred_gallons_take_the_pan_about_as_long_as_the_trade_says() {
    // 100 gal of 15 Brix are 401 kg: so much cane in one week.
    let week = weeks(
        &[planting("2026-05-18", 401.0 / 0.9 * 3.0)],
        &[day("2026-09-05")],
        &FIGURES,
    )[1];
    let hours = Grams::new(week.boiling.get()).as_f64() / 60.0;
    assert!((hours - 3.6).abs() < 0.1, "{hours}");
}

#[test]
fn where_the_pan_is_short_it_says_how_many_days_or_what_surface_would_do() {
    let week = weeks(
        &[planting("2026-05-18", 6300.0)],
        &[day("2026-09-05")],
        &FIGURES,
    )[1];
    // Three times the week above: mill 1,270 of 600, pan 1,009 + 5 × 60 of 780.
    assert_eq!(week.mill.0.get(), 1270);
    assert_eq!(week.limit(), Limit::Mill);
    assert_eq!(week.days_more(&day("2026-09-05"), FIGURES.hold), 2);
    let larger = week.pan_larger().unwrap();
    // 480 minutes are left for boiling that takes 1,008 to 1,009.
    assert!((larger - 1008.5 / 480.0).abs() < 0.01, "{larger}");
    let quick = Day {
        mill_per_h: Grams::new(2_000_000),
        ..day("2026-09-05")
    };
    let week = weeks(&[planting("2026-05-18", 6300.0)], &[quick], &FIGURES)[1];
    assert_eq!(week.limit(), Limit::Pan);
    assert_eq!(week.days_more(&quick, FIGURES.hold), 1);
    let without = Figures {
        pan: None,
        ..FIGURES
    };
    let week = weeks(&[planting("2026-05-18", 6300.0)], &[quick], &without)[1];
    assert_eq!(
        (week.pan, week.pan_larger(), week.limit()),
        (None, None, Limit::Neither)
    );
}

#[test]
fn a_season_without_plantings_or_days_has_no_weeks() {
    assert!(weeks(&[], &[], &FIGURES).is_empty());
    assert_eq!(weeks(&[], &[day("2026-09-05")], &FIGURES).len(), 1);
}

proptest! {
    #[test]
    fn prop_every_gram_of_every_planting_comes_in_once(
        fields in proptest::collection::vec((0_i64..60, 60_i64..200, 1_u32..5000), 0..12),
    ) {
        let fields: Vec<Planting> = fields.into_iter().map(|(later, days, row)| Planting {
            planted: date("2026-04-20").plus_days(later),
            days,
            row: Metres::new(f64::from(row) / 7.0).unwrap(),
        }).collect();
        let all: Grams = fields.iter().map(|p| Grams::nearest(p.row.get() * 2000.0)).sum();
        let found: Grams = weeks(&fields, &[], &FIGURES).iter().map(|w| w.cane).sum();
        prop_assert_eq!(found, all);
    }
}
