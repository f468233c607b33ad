//! What a false figure would bring whoever gives it, by the basis of the split, so that the members know it when they vote on one.
//! Never accuses anybody.

use crate::calc::physics::refractometer::correction;
use crate::units::{BrixRead, Celsius};

/// How much more one of `members` equal members gets, as a share of what was due, who pours in `part` of the own juice in water where
/// the split goes by weight or volume of juice (the solids stay what they were, and all others pay for it).
pub fn by_water(part: f64, members: u32) -> f64 {
    let own = 1.0 + part;
    let all = f64::from(members) + part;
    own / all * f64::from(members) - 1.0
}

/// How much more solids a reading of a plain refractometer counts for, as a share, when `written` is written down where the drop was at
/// `truly`.
pub fn by_wrong_temperature(read: BrixRead, truly: Celsius, written: Celsius) -> f64 {
    let counts = |at| read.get() + correction(read, at);
    counts(written) / counts(truly) - 1.0
}

/// What the rules' page says where the basis is chosen. Worked for three equal members, and for juice of 15 °Bx at 20 °C.
pub fn words() -> String {
    let water = 100.0 * by_water(0.1, 3);
    let wrong = match (BrixRead::new(15.0), Celsius::new(20.0), Celsius::new(40.0)) {
        (Ok(read), Ok(cool), Ok(hot)) => 100.0 * by_wrong_temperature(read, cool, hot),
        _ => f64::NAN,
    };
    format!(
        "Dissolved solids weigh sweet juice as sweet; cane weight is the oldest way. By weight or volume of juice, \
         10 % of water poured in pays its owner {water:.1} % more where three share alike, and the others pay for it. \
         By solids water pays nothing, but a temperature of 40 °C (104 °F) written for one of 20 °C (68 °F) makes \
         a plain refractometer’s 15 °Bx count for {wrong:.0} % more: use one that compensates, or let two people read."
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ten_percent_of_water_pays_six_and_a_half_percent_among_three() {
        // 110 of 310 instead of 100 of 300: 0.354839 against 0.333333.
        assert!((by_water(0.1, 3) - 0.064_516).abs() < 1e-6);
        // Alone it pays nothing.
        assert!(by_water(0.1, 1).abs() < 1e-12);
        // 105 of 1005 instead of 100 of 1000.
        assert!((by_water(0.05, 10) - 0.044_776).abs() < 1e-6);
    }

    #[test]
    fn a_wrong_temperature_pays_twelve_percent_with_a_plain_refractometer() {
        let at = |t| Celsius::new(t).unwrap();
        let read = BrixRead::new(15.0).unwrap();
        // ICUMSA's printed correction at 15 °Bx and 40 °C is 1.74 (from memory, to 0.05).
        let gain = by_wrong_temperature(read, at(20.0), at(40.0));
        assert!((gain - 1.74 / 15.0).abs() < 0.005, "{gain}");
        assert!(by_wrong_temperature(read, at(30.0), at(20.0)) < -0.04);
        assert!(by_wrong_temperature(read, at(25.0), at(25.0)).abs() < 1e-12);
    }

    #[test]
    fn the_words_carry_both_figures() {
        let said = words();
        assert!(said.contains("pays its owner 6.5 % more"), "{said}");
        assert!(said.contains("count for 12 % more"), "{said}");
    }
}
