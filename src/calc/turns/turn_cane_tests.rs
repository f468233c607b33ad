//! Tests of cane as a member tells it.

use super::*;
use proptest::prelude::*;

/// A heavy stand: 4.5 kg a metre and 450 g a stalk.
const YIELDS: Yields = Yields {
    row_kg_per_m: 4.5,
    row_from: RowFrom::Rules,
    stalk: Grams::new(450),
};

fn expect(told: AmountTold, corrected: Option<&str>, sure: bool) -> Result<Expected, RuleRefusal> {
    let corrected = corrected.map(|c| Grams::parse(c, Units::Us).unwrap());
    Expected::reckon(told, YIELDS, corrected, sure, Units::Us)
}

#[test]
fn row_and_stalks_are_converted_with_the_sum_written_out() {
    let words = |told, typed, units| {
        let told = AmountTold::parse(told, typed, units).unwrap();
        Expected::reckon(told, YIELDS, None, false, units)
            .unwrap()
            .words(YIELDS, units)
    };
    assert_eq!(
        words("row", "300", Units::Us),
        "300 ft of row × 3.0239 lb a foot (the season’s rules) = 907.2 lb"
    );
    assert_eq!(
        words("row", "91,5 m", Units::Metric),
        "91.5 m of row × 4.500 kg a metre (the season’s rules) = 411.8 kg"
    );
    assert_eq!(
        words("stalks", "900", Units::Us),
        "900 stalks × 0.9921 lb each = 892.9 lb"
    );
    assert_eq!(
        words("stalks", "1", Units::Metric),
        "1 stalk × 0.450 kg each = 0.5 kg"
    );
    assert_eq!(words("weight", "412.5", Units::Us), "412.5 lb of cane");
}

#[test]
fn a_number_that_can_be_read_two_ways_is_asked_about_and_stalks_may_be_called_stalks() {
    let read = |told, typed, units| AmountTold::parse(told, typed, units);
    for (told, typed, units) in [
        ("weight", "1.200", Units::Metric),
        ("weight", "1,200", Units::Metric),
        ("weight", "12.500 kg", Units::Metric),
        ("weight", "12,00", Units::Us),
        ("row", "1.200", Units::Metric),
    ] {
        let said = read(told, typed, units).unwrap_err();
        assert!(said.sentence().contains("two ways"), "{typed}: {said}");
    }
    for (told, typed, units, amount) in [
        // A hundred tons and more come on no trailer.
        ("weight", "187.107", Units::Metric, 187_107.0),
        ("weight", "1200", Units::Metric, 1_200_000.0),
        ("row", "91.5", Units::Metric, 91.5),
        ("weight", "1,000", Units::Us, 453_592.0),
        ("stalks", "200 stalks", Units::Us, 200.0),
        ("stalks", "1 Stalk", Units::Metric, 1.0),
        ("stalks", "1,000", Units::Metric, 1000.0),
    ] {
        let read = read(told, typed, units).unwrap();
        assert!((read.amount() - amount).abs() < 1e-9, "{typed}: {read:?}");
    }
    assert!(read("stalks", "200 bundles", Units::Us).is_err());
}

#[test]
fn a_correction_is_taken_when_near_questioned_when_far_and_refused_when_it_cannot_be() {
    let row = AmountTold::parse("row", "300 ft", Units::Us).unwrap();
    let taken = expect(row, Some("1200"), false).unwrap();
    assert_eq!(
        taken.words(YIELDS, Units::Us),
        "300 ft of row × 3.0239 lb a foot (the season’s rules) = 907.2 lb, corrected to 1,200.0 lb"
    );
    for far in ["4000", "200"] {
        assert_eq!(
            expect(row, Some(far), false).unwrap_err().code,
            "far-from-told"
        );
        assert!(expect(row, Some(far), true).is_ok());
    }
    for slip in ["19000", "40"] {
        assert_eq!(expect(row, Some(slip), true).unwrap_err().code, "cannot-be");
    }
    // Nine tonnes do not come off ten metres of row.
    let short = AmountTold::parse("row", "10 m", Units::Us).unwrap();
    let said = expect(short, Some("9000 kg"), true).unwrap_err();
    assert!(
        said.sentence
            .starts_with("32.8 ft of row would come to about 99.2 lb"),
        "{said}"
    );
}

#[test]
fn a_row_is_reckoned_with_what_turns_taught_and_the_sum_says_from_how_many() {
    let row = |boils| {
        Some(Learned {
            middle: 2.1,
            boils,
            spread: 0.3,
        })
    };
    let told = AmountTold::parse("row", "300 ft", Units::Us).unwrap();
    let words = |yields, units| {
        let expected = Expected::reckon(told, yields, None, false, units).unwrap();
        expected.words(yields, units)
    };
    let few = YIELDS.learned(row(7));
    assert_eq!((few, few.to_keep(told)), (YIELDS, None));
    let learned = YIELDS.learned(row(14));
    // 2.1 kg a metre are 2.1 × 0.3048 ÷ 0.45359237 = 1.4111 lb a foot; × 300 = 423.3.
    assert_eq!(
        words(learned, Units::Us),
        "300 ft of row × 1.4111 lb a foot (learned from 14 turns, mostly 1.21 to 1.61) = 423.3 lb"
    );
    assert_eq!(
        words(learned, Units::Metric),
        "91.4 m of row × 2.100 kg a metre (learned from 14 turns, mostly 1.80 to 2.40) = 192.0 kg"
    );
    // What the turn keeps gives the same sum, whatever is learned later; only a row needs it.
    let kept = learned.to_keep(told);
    assert_eq!(kept, Some(2.1));
    assert_eq!(learned.to_keep(AmountTold::Stalks(900)), None);
    assert_eq!(
        words(YIELDS.kept(kept), Units::Us),
        "300 ft of row × 1.4111 lb a foot (as learned when it was booked) = 423.3 lb"
    );
    assert_eq!(YIELDS.kept(None), YIELDS);
}

#[test]
fn nothing_and_nonsense_are_refused() {
    for (told, amount) in [
        ("weight", "0"),
        ("row", "0"),
        ("stalks", "0"),
        ("stalks", "3.5"),
        ("stalks", "many"),
        ("acres", "2"),
        ("row", "-5"),
        ("weight", ""),
    ] {
        assert!(
            AmountTold::parse(told, amount, Units::Us).is_err(),
            "{told} {amount}"
        );
    }
    let row = AmountTold::parse("row", "100000 m", Units::Metric).unwrap();
    assert_eq!(expect(row, None, false).unwrap_err().code, "no-such-cane");
    let row = AmountTold::parse("row", "300 ft", Units::Us).unwrap();
    assert_eq!(
        expect(row, Some("0"), true).unwrap_err().code,
        "no-such-cane"
    );
}

proptest! {
    #[test]
    fn prop_what_is_stored_reads_back(amount in 1_i64..1_000_000, which in 0..3) {
        let told = match which {
            0 => AmountTold::Weight(Grams::new(amount)),
            1 => AmountTold::Row(Metres::new(Grams::new(amount).as_f64() / 16.0).unwrap()),
            _ => AmountTold::Stalks(amount),
        };
        prop_assert_eq!(AmountTold::stored(told.word(), told.amount()).unwrap(), told);
    }
}
