//! Tests of `juice`: worked sums, refusals, and what must always hold.

use super::*;
use crate::units::Units;
use proptest::prelude::*;

fn bx(value: f64) -> BrixAt20C {
    BrixAt20C::new(value).unwrap()
}
fn read(value: f64) -> BrixRead {
    BrixRead::new(value).unwrap()
}
fn c(value: f64) -> Celsius {
    Celsius::new(value).unwrap()
}

fn taken(amount: Amount, readings: &[BrixRead]) -> Measured<'_> {
    Measured {
        amount,
        sediment: None,
        readings,
        instrument: Instrument::Digital,
        sample: c(20.0),
        agree_within: 0.5,
    }
}

#[test]
fn a_hundred_gallons_at_16_brix_hold_64_kg_of_solids() {
    // Worked apart from this code: 402.6 kg of juice, 64.4 kg of solids.
    let gallons = Millilitres::parse("100 gal", Units::Us).unwrap();
    let readings = [read(16.0), read(16.0)];
    let found = measure(&taken(Amount::Volume(gallons, c(20.0)), &readings)).unwrap();
    assert!(
        (found.mass.kg() - 402.6).abs() < 0.05,
        "{}",
        found.mass.kg()
    );
    assert!((found.solids.kg() - 64.4).abs() < 0.05);
    assert_eq!(found.volume_20c, gallons);
}

#[test]
fn what_was_measured_twice_takes_its_part_of_the_solids_with_it() {
    // By hand: 1,000 g at 15.5 Brix hold 155 g; of 999 g that is 154.845, of 700 g 108.5, of nothing nothing.
    let readings = [read(15.5), read(15.5)];
    let whole = measure(&taken(Amount::Weight(Grams::new(1_000)), &readings)).unwrap();
    for (twice, counts) in [(0, 155), (1, 155), (300, 109), (1_000, 0)] {
        let left = (Grams::new(1_000 - twice), Grams::new(counts));
        assert_eq!(whole.counted_once(Grams::new(twice)), left);
    }
}

#[test]
fn the_solids_are_the_printed_mass_times_the_printed_brix() {
    let readings = [read(15.4), read(15.5)];
    let mut of = taken(Amount::Weight(Grams::new(187_654)), &readings);
    of.instrument = Instrument::Plain;
    of.sample = c(26.0);
    let found = measure(&of).unwrap();
    let hundredths: i64 = found
        .brix_20
        .show()
        .replace(['.', '°', 'B', 'x', ' '], "")
        .parse()
        .unwrap();
    assert_eq!(found.solids.get(), (187_654 * hundredths + 5_000) / 10_000);
    assert!(
        found.correction > 0.4 && found.correction < 0.5,
        "{}",
        found.correction
    );
}

#[test]
fn forgetting_the_heat_of_a_hot_tank_would_lose_most_of_a_hundredth() {
    let readings = [read(18.0), read(18.0)];
    let ml = Millilitres::new(200_000);
    let cold = measure(&taken(Amount::Volume(ml, c(20.0)), &readings)).unwrap();
    let hot = measure(&taken(Amount::Volume(ml, c(40.0)), &readings)).unwrap();
    let ratio = hot.solids.as_f64() / cold.solids.as_f64();
    assert!((ratio - 0.993_17).abs() < 1e-4);
    assert!(hot.volume_20c < ml);
}

#[test]
fn sediment_is_taken_off_by_weight_or_by_volume() {
    let readings = [read(15.0), read(15.0)];
    let mut of = taken(Amount::Weight(Grams::new(100_000)), &readings);
    of.sediment = Some(Amount::Weight(Grams::new(4_000)));
    let weighed = measure(&of).unwrap();
    assert_eq!((weighed.mass.get(), weighed.solids.get()), (96_000, 14_400));
    of.sediment = Some(Amount::Volume(Millilitres::new(2_000), c(20.0)));
    let gauged = measure(&of).unwrap();
    assert_eq!(gauged.mass.get(), 100_000 - 2_118);
    of.sediment = Some(Amount::Weight(Grams::new(100_000)));
    assert_eq!(measure(&of).unwrap_err().at, Some("sediment"));
}

#[test]
fn each_refusal_names_its_box() {
    let good = [read(15.0), read(15.2)];
    let weight = Amount::Weight(Grams::new(50_000));
    let at = |of: &Measured<'_>| measure(of).unwrap_err().at;
    assert_eq!(
        at(&taken(Amount::Weight(Grams::ZERO), &good)),
        Some("amount")
    );
    let boiling = Amount::Volume(Millilitres::new(1000), c(101.0));
    assert_eq!(at(&taken(boiling, &good)), Some("temp"));
    assert_eq!(at(&taken(weight, &good[..1])), Some("brix_2"));
    assert_eq!(
        at(&taken(weight, &[read(12.0), read(15.0)])),
        Some("brix_3")
    );
    let mut cold = taken(weight, &good);
    cold.instrument = Instrument::Plain;
    cold.sample = c(5.0);
    assert_eq!(at(&cold), Some("temp"));
}

#[test]
fn juice_per_100_of_cane_falls_in_three_bands_and_never_above_100() {
    let of = |juice| {
        extraction(
            Grams::new(juice),
            Grams::new(100_000),
            ExtractionBands::DEFAULT,
        )
    };
    assert_eq!(of(45_000).unwrap().1, Band::Green);
    assert_eq!(of(44_999).unwrap().1, Band::Amber);
    assert_eq!(of(37_999).unwrap().1, Band::Red);
    assert_eq!(of(120_000).unwrap_err().code, "more-juice-than-cane");
    assert!(extraction(Grams::new(1), Grams::ZERO, ExtractionBands::DEFAULT).is_err());
}

#[test]
fn the_median_of_none_is_nothing_and_of_an_even_number_lies_between() {
    assert_eq!(median(&[]), None);
    assert_eq!(median(&[3.0]), Some(3.0));
    assert_eq!(median(&[50.0, 40.0, 47.0, 44.0]), Some(45.5));
    assert_eq!(median(&[f64::NAN, 2.0, 9.0, 4.0]), Some(4.0));
}

#[test]
fn juice_turns_amber_at_four_hours_and_red_at_five() {
    let pressed = UtcSecond::new(1_000_000);
    let limits = WaitLimits {
        amber: Minutes::new(240),
        red: Minutes::new(300),
    };
    let after = |m: i64| juice_clock(pressed, pressed.plus(60 * m), limits);
    assert_eq!(after(239), (Freshness::Fresh, Minutes::new(61)));
    assert_eq!(after(240), (Freshness::Soon, Minutes::new(60)));
    assert_eq!(after(300), (Freshness::Late, Minutes::new(0)));
    assert_eq!(after(400), (Freshness::Late, Minutes::new(-100)));
}

#[test]
fn cane_keeps_four_warm_days() {
    assert_eq!(cane_clock(3, 4), (Freshness::Fresh, 1));
    assert_eq!(cane_clock(4, 4), (Freshness::Soon, 0));
    assert_eq!(cane_clock(5, 4), (Freshness::Late, -1));
}

#[test]
fn a_draw_of_nothing_or_of_more_than_is_left_is_refused() {
    let stock = Stock {
        volume: Millilitres::new(1_000),
        mass: Grams::new(1_060),
        solids: Grams::new(160),
    };
    let draw = |before, drawn| stock.draw(Millilitres::new(before), Millilitres::new(drawn));
    assert_eq!(draw(0, 0).unwrap_err().code, "draw-nothing");
    assert_eq!(draw(600, 401).unwrap_err().code, "draw-too-much");
    assert_eq!(draw(600, 400).unwrap().solids, Grams::new(64));
}

proptest! {
    #[test]
    fn prop_the_parts_of_a_juice_add_up_to_it_exactly(
        mass in 1_i64..2_000_000,
        brix in 0.0..30.0_f64,
        cuts in proptest::collection::vec(1_i64..200_000, 1..8),
    ) {
        let volume: i64 = cuts.iter().sum();
        let stock = Stock {
            volume: Millilitres::new(volume),
            mass: Grams::new(mass),
            solids: solids_of(Grams::new(mass), bx(brix)),
        };
        let (mut before, mut sum_mass, mut sum_solids) = (0, Grams::ZERO, Grams::ZERO);
        for cut in cuts {
            let part = stock.draw(Millilitres::new(before), Millilitres::new(cut)).unwrap();
            let exact = stock.solids.as_f64() * part.volume.as_f64() / stock.volume.as_f64();
            prop_assert!((part.solids.as_f64() - exact).abs() <= 1.0);
            before += cut;
            sum_mass += part.mass;
            sum_solids += part.solids;
        }
        prop_assert_eq!(sum_mass, stock.mass);
        prop_assert_eq!(sum_solids, stock.solids);
    }

    #[test]
    fn prop_pooled_juices_hold_what_their_members_brought(
        tanks in proptest::collection::vec((1_000_i64..500_000, 5.0..25.0_f64), 1..12),
    ) {
        // By mass: the pool's solids are the sum, and its Brix the mean weighed by mass.
        let solids: Grams = tanks.iter().map(|(g, b)| solids_of(Grams::new(*g), bx(*b))).sum();
        let mass: i64 = tanks.iter().map(|(g, _)| g).sum();
        let exact: f64 = tanks.iter()
            .map(|(g, b)| Grams::new(*g).as_f64() * (b * 100.0).round() / 10_000.0)
            .sum();
        #[expect(clippy::cast_precision_loss, reason = "at most twelve tanks")]
        let allowed = 0.5 * tanks.len() as f64 + 1e-6;
        prop_assert!((solids.as_f64() - exact).abs() <= allowed);
        prop_assert!(solids.get() <= mass);
    }

    #[test]
    fn prop_a_weighed_and_a_gauged_juice_hold_the_same(
        ml in 5_000_i64..1_000_000, brix in 8.0..22.0_f64, t in 5.0..45.0_f64,
    ) {
        let readings = [read(brix), read(brix)];
        let gauged = measure(&taken(Amount::Volume(Millilitres::new(ml), c(t)), &readings)).unwrap();
        let weighed = measure(&taken(Amount::Weight(gauged.mass), &readings)).unwrap();
        prop_assert_eq!(gauged.solids, weighed.solids);
        prop_assert_eq!(gauged.volume_20c, weighed.volume_20c);
    }

    #[test]
    fn prop_a_part_weighed_or_gauged_is_the_same_part(
        ml in 10_000_i64..1_000_000, part in 0.01..0.99_f64,
    ) {
        let volume = Millilitres::new(ml);
        let stock = Stock { volume, mass: mass_of(volume, bx(15.0), c(20.0)), solids: Grams::ZERO };
        let drawn = Millilitres::nearest(volume.as_f64() * part);
        let weighed = stock.draw(Millilitres::ZERO, drawn).unwrap().mass;
        prop_assert!((stock.volume_of_mass(weighed).get() - drawn.get()).abs() <= 1);
    }
}
