//! What the thermometer is expected to show as time goes on.

use super::*;

#[test]
fn the_temperatures_foretold_begin_with_what_is_expected_and_rise_as_the_pan_does() {
    let mut watch = Watch::replay(boil(), &read_until(110.0));
    let at_first = watch.look(at(111.0)).temp_expected;
    let told = watch.expects(at(111.0));
    assert_eq!(told.len(), 10);
    assert!(
        (told[0] - at_first.middle).abs() < 0.3,
        "{at_first:?} {told:?}"
    );
    assert!(told.is_sorted(), "{told:?}");
    for (n, told) in (0_u8..4).zip(&told) {
        let minute = 111.0 + 5.0 * f64::from(n);
        let truth = shown(minute, 1.1).temp.unwrap().get();
        assert!((told - truth).abs() < 1.0, "{minute}: {told} {truth}");
    }
    // The same readings, looked at the same moment, foretell the same.
    assert_eq!(watch.expects(at(111.0)), told);
    let mut anew = Watch::replay(boil(), &read_until(110.0));
    assert_eq!(anew.expects(at(111.0)), told);
}
