//! Tests of the opening checks.

use super::*;
use proptest::prelude::*;

const LB: f64 = 453.592_37;

fn weighed(d_lb: f64, known_lb: f64, reading_lb: f64) -> CheckWeight {
    CheckWeight {
        scale: ScaleId::parse("01920000-0000-7000-8000-000000000000").unwrap(),
        graduation: Graduation::new(d_lb * LB).unwrap(),
        capacity: Grams::nearest(2000.0 * LB),
        known: Grams::nearest(known_lb * LB),
        reading: Grams::nearest(reading_lb * LB),
    }
}

fn code(found: Found, feet: &str) -> Option<&'static str> {
    let height = Altitude::parse(feet, Units::Us).unwrap();
    let verdict = found.verdict(height, Units::Us).unwrap().unwrap();
    verdict.doubt.map(|d| d.code)
}

fn weight(d_lb: f64, known_lb: f64, reading_lb: f64) -> Option<&'static str> {
    code(Found::Weight(weighed(d_lb, known_lb, reading_lb)), "0")
}

#[test]
fn a_scale_may_be_out_by_one_step_to_500_steps_and_two_above() {
    // NIST Handbook 44, section 2.20, table 6: Class III maintenance tolerance.
    assert_eq!(weight(0.5, 250.0, 250.5), None);
    assert_eq!(weight(0.5, 250.0, 249.5), None);
    assert_eq!(weight(0.5, 250.0, 251.0), Some("scale-out"));
    assert_eq!(weight(0.5, 251.0, 252.0), None);
    assert_eq!(weight(0.5, 251.0, 252.5), Some("scale-out"));
    // 20 kg on a scale in half pounds: 44.09 lb lies between 44.0 and 44.5.
    assert_eq!(weight(0.5, 20_000.0 / LB, 44.0), None);
    assert_eq!(weight(0.5, 50.0, 50.3), Some("off-graduation"));
    assert_eq!(weight(0.5, 5.0, 5.0), Some("light-check-weight"));
}

#[test]
fn a_check_weight_of_nothing_or_beyond_the_scale_is_refused() {
    let refused = |known, reading| -> Vec<_> {
        let amiss = weighed(0.5, known, reading).verdict(Units::Us).unwrap_err();
        amiss.iter().map(|u| (u.at.unwrap(), u.code)).collect()
    };
    assert_eq!(refused(0.0, 0.0), [("known", "no-check-weight")]);
    assert_eq!(refused(50.0, 2500.0), [("reading", "over-capacity")]);
}

#[test]
fn a_refractometer_reads_nought_in_water_within_two_tenths() {
    let read = |b| code(Found::Zero(WaterBrix::parse(b).unwrap()), "0");
    assert_eq!(read("0"), None);
    assert_eq!(read("-0,2"), None);
    assert_eq!(read("0.3"), Some("refractometer-out"));
    assert_eq!(read("-0.3"), Some("refractometer-out"));
    assert!(WaterBrix::parse("15").is_err());
}

#[test]
fn boiling_water_is_asked_about_beyond_a_degree_and_a_half() {
    // Water at the sea boils at 99.974 °C (IAPWS R7-97(2012), US Standard Atmosphere 1976).
    let read = |c, feet| code(Found::WaterBoil(Celsius::new(c).unwrap()), feet);
    assert_eq!(read(100.0, "0"), None);
    assert_eq!(read(98.5, "0"), None);
    assert_eq!(read(98.4, "0"), Some("water-boil-far"));
    assert_eq!(read(101.5, "0"), Some("water-boil-far"));
    // About 1 °F lower for 550 ft (common practice): 93 °C is not far at 7,000 ft.
    assert_eq!(read(93.0, "7000"), None);
    let cold = Found::WaterBoil(Celsius::new(60.0).unwrap());
    let sea = Altitude::new(0.0).unwrap();
    let amiss = cold.verdict(sea, Units::Us).unwrap_err();
    assert_eq!(amiss[0].at, Some("water_boil"));
}

#[test]
fn the_first_ticket_waits_for_every_item_and_names_what_is_missing() {
    assert!(may_open_ticket(&Item::ALL).is_ok());
    let refusal = may_open_ticket(&Item::ALL[..6]).unwrap_err();
    assert_eq!(refusal.code, "morning-checks");
    assert!(
        refusal
            .sentence
            .ends_with(": pan clean, drinking water and first aid."),
        "{refusal}"
    );
}

#[test]
fn the_words_read_back_and_a_figure_cannot_be_skipped() {
    let sea = Altitude::new(0.0).unwrap();
    for item in Item::ALL {
        assert_eq!(Item::parse(item.word()), Some(item));
        assert_eq!(
            Found::Seen(item).verdict(sea, Units::Us).is_err(),
            item.measured()
        );
        assert_eq!(Found::Waived(item).verdict(sea, Units::Us), Ok(None));
    }
}

proptest! {
    #[test]
    fn prop_a_scale_that_shows_the_nearest_step_is_never_out(
        known in 20.0_f64..1900.0, d in prop_oneof![Just(0.1), Just(0.5), Just(1.0)],
    ) {
        let reading = (known / d).round() * d;
        prop_assert_eq!(weight(d, known, reading), None);
    }
}
