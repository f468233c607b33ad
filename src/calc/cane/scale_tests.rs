//! Tests of weighing.

use super::*;
use crate::calc::cane::expected::Others;
use crate::calc::cane::tickets::load_net;
use proptest::prelude::*;

const LB: f64 = 453.592_37;

fn weighing(d_lb: f64, gross_lb: f64, tare_lb: f64) -> Weighing {
    Weighing {
        graduation: Graduation::new(d_lb * LB).unwrap(),
        capacity: Grams::nearest(2000.0 * LB),
        gross: Grams::nearest(gross_lb * LB),
        tare: Grams::nearest(tare_lb * LB),
        expected: None,
    }
}

#[test]
fn a_reading_between_two_steps_is_questioned_with_both() {
    let doubts = weighing(0.5, 187.3, 40.5).doubts(Units::Us);
    assert_eq!(doubts.len(), 1);
    assert_eq!(
        (doubts[0].at, doubts[0].code),
        (Some("gross"), "off-graduation")
    );
    assert_eq!(
        doubts[0].sentence,
        "This scale reads in steps of 0.5 lb: 187.0 lb or 187.5 lb, nothing between. Please \
         read it again."
    );
    assert!(weighing(0.5, 187.5, 40.0).doubts(Units::Us).is_empty());
    assert!(weighing(0.05, 187.35, 40.05).doubts(Units::Us).is_empty());
}

#[test]
fn exchanged_and_absurd_weights_are_refused_beside_their_boxes() {
    let codes = |gross, tare| -> Vec<_> {
        let refused = weighing(0.5, gross, tare).net(Units::Us).unwrap_err();
        refused.iter().map(|u| (u.at.unwrap(), u.code)).collect()
    };
    assert_eq!(codes(40.0, 187.0), [("tare", "tare-above-gross")]);
    assert_eq!(codes(40.0, 40.0), [("tare", "tare-above-gross")]);
    assert_eq!(codes(2001.0, 40.0), [("gross", "over-capacity")]);
    assert_eq!(
        codes(0.0, -1.0),
        [("gross", "gross-of-nothing"), ("tare", "tare-below-zero")]
    );
}

#[test]
fn pounds_are_subtracted_as_the_scale_showed_them() {
    // 85,049 g less 18,370 g are 66,679 g, but 147 lb are 66,678.08 g.
    let net = weighing(0.5, 187.5, 40.5).net(Units::Us).unwrap();
    assert_eq!(net, Grams::nearest(147.0 * LB));
    let pounds = Graduation::new(0.5 * LB).unwrap();
    let read = |lb: f64| Grams::nearest(lb * LB);
    let net = pounds.net(read(457.5), read(40.0));
    assert_eq!(
        (net.grams, net.lb),
        (Grams::new(189_375), Some(Pounds::new(4_175_000)))
    );
    // A scale in kilograms keeps grams; so does a reading that no scale in pounds shows.
    for graduation in [50.0, 100.0, 500.0, 1000.0, 2000.0] {
        let metric = Graduation::new(graduation).unwrap();
        let net = metric.net(Grams::new(207_550), Grams::new(18_150));
        assert_eq!((net.grams, net.lb), (Grams::new(189_400), None));
    }
}

#[test]
fn a_light_load_and_a_surprising_one_are_questioned() {
    let code = |w: Weighing| w.doubts(Units::Us).first().map(|d| d.code);
    assert_eq!(code(weighing(0.5, 49.5, 40.0)), Some("light-load"));
    assert_eq!(code(weighing(0.5, 50.0, 40.0)), None);
    let expecting = |lb: f64, gross| Weighing {
        expected: Expected::of_turn(Grams::nearest(lb * LB), Others::default()),
        ..weighing(0.5, gross, 40.0)
    };
    assert_eq!(code(expecting(300.0, 340.0)), None);
    assert_eq!(code(expecting(300.0, 490.0)), None);
    assert_eq!(code(expecting(300.0, 491.0)), Some("far-from-expected"));
    assert_eq!(code(expecting(300.0, 239.0)), Some("far-from-expected"));
    assert_eq!(code(expecting(300.0, 1040.0)), Some("far-from-expected"));
    assert_eq!(code(expecting(300.0, 99.0)), Some("far-from-expected"));
    assert_eq!(code(expecting(0.0, 1040.0)), None);
}

#[test]
fn a_tare_ten_times_off_and_one_that_was_forgotten_are_asked_about() {
    let lb = |lb: f64| Grams::nearest(lb * LB);
    let code = |tare, before: &[Grams], expected: Option<f64>| {
        let weighing = Weighing {
            expected: expected.and_then(|e| Expected::of_turn(lb(e), Others::default())),
            ..weighing(0.5, 800.0, tare)
        };
        weighing.tare_doubt(before, Units::Us).map(|d| d.code)
    };
    assert_eq!(code(450.0, &[lb(45.0)], None), Some("tare-far-off"));
    assert_eq!(code(4.5, &[lb(45.0), lb(40.0)], None), Some("tare-far-off"));
    assert_eq!(code(52.0, &[lb(45.0)], None), None);
    assert_eq!(code(450.0, &[lb(45.0), lb(430.0)], None), None);
    assert_eq!(code(450.0, &[], None), None);
    assert_eq!(code(0.0, &[lb(45.0)], None), Some("tare-forgotten"));
    assert_eq!(code(0.0, &[lb(45.0), lb(0.0)], None), None);
    assert_eq!(code(0.0, &[], Some(610.0)), Some("no-tare"));
    assert_eq!(code(0.0, &[], Some(620.0)), None);
}

#[test]
fn an_odd_net_is_told_with_its_two_figures_and_the_one_that_is_likely_a_place_off() {
    let asked = |gross, tare, before: &[Grams]| {
        let weighing = Weighing {
            capacity: Grams::nearest(9000.0 * LB),
            expected: Expected::of_turn(Grams::nearest(268.8 * LB), Others::default()),
            ..weighing(0.5, gross, tare)
        };
        let asked = load_net(&weighing, before, false, Units::Us).unwrap_err();
        (asked.at.unwrap_or_default(), asked.sentence)
    };
    let says = |gross, tare, before: &[Grams], at, words: &str| {
        let (beside, sentence) = asked(gross, tare, before);
        assert_eq!(beside, at, "{sentence}");
        assert!(sentence.contains(words), "{sentence}");
    };
    says(
        460.0,
        19.5,
        &[],
        "tare",
        "460.0 lb less 19.5 lb: 440.5 lb net is more than the 268.8 lb that the turn expects. Is the tare of 19.5 lb \
         right? With 195.0 lb it would be 265.0 lb net.",
    );
    let less = "Is the tare of 260.0 lb right? With 26.0 lb it would be 274.0 lb net.";
    says(300.0, 260.0, &[], "tare", less);
    let gross = "Is the gross of 4,600.0 lb right? With 460.0 lb it would be 265.0 lb net.";
    says(4600.0, 195.0, &[], "gross", gross);
    // Neither is likelier than the other.
    let (at, sentence) = asked(700.0, 195.0, &[]);
    assert_eq!(at, "gross");
    assert!(!sentence.contains("right?"), "{sentence}");
    // By the tares before it is told once, and so is that there is none.
    let before = [Grams::nearest(195.0 * LB)];
    let (at, sentence) = asked(460.0, 19.5, &before);
    assert_eq!(at, "tare");
    assert!(sentence.starts_with("A tare of 19.5 lb"), "{sentence}");
    assert!(!sentence.contains("turn expects"), "{sentence}");
    let (at, sentence) = asked(460.0, 0.0, &[]);
    assert_eq!(at, "tare");
    assert_eq!(sentence.matches("turn expects").count(), 1, "{sentence}");
    // None was taken, and the gross is odd besides.
    let (_, sentence) = asked(4600.0, 0.0, &before);
    assert!(sentence.contains("always had one"), "{sentence}");
    assert!(
        sentence.contains("4,600.0 lb net is more than"),
        "{sentence}"
    );
}

#[test]
fn a_graduation_has_a_size() {
    for d in [0.0, -1.0, f64::NAN, 1e9] {
        assert!(Graduation::new(d).is_err());
    }
}

proptest! {
    #[test]
    fn prop_every_multiple_kept_in_grams_can_be_shown(
        n in 0_u32..20_000, step in prop_oneof![
            Just(0.05 * LB), Just(0.5 * LB), Just(LB), Just(200.0), Just(5.0), Just(0.5),
        ],
    ) {
        let d = Graduation::new(step).unwrap();
        let reading = Grams::nearest(f64::from(n) * step);
        prop_assert!(d.can_show(reading));
        // Half a step further it cannot, when steps are coarser than the rounding.
        let between = Grams::nearest((f64::from(n) + 0.5) * step);
        prop_assert_eq!(d.can_show(between), step < 2.0);
        let (below, above) = d.beside(between);
        prop_assert!(below <= between && between <= above);
        prop_assert!(d.can_show(below) && d.can_show(above));
    }
}
