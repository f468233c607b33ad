//! Empty jars: what is left of those counted and bought, and how many the next day needs. Knows no database.

use crate::units::Grams;

/// Empty jars of one kind since they were last counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Stock {
    /// Stood there when they were last counted; nought: never counted.
    pub counted: i64,
    /// Jars that came in since they were counted.
    pub bought: i64,
    /// Jars that were filled since they were counted.
    pub used: i64,
}

impl Stock {
    /// How many are left; below nought: more were filled than were ever counted.
    pub fn left(self) -> i64 {
        self.counted + self.bought - self.used
    }
}

/// A size of jar: what one holds, and how much syrup went into jars of it so far.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Size {
    /// Syrup that one jar of this size holds, above nought.
    pub net: Grams,
    /// Syrup filled into that size this season.
    pub filled: Grams,
}

/// Syrup to expect from cane: `cane × juice % × Brix × recovery ÷ target`, to the nearest gram. `brix` and `target_bx` in °Bx at
/// 20 °C; `recovery` a part of one.
pub fn syrup_of_cane(
    cane: Grams,
    juice_pct: f64,
    brix: f64,
    (recovery, target_bx): (f64, f64),
) -> Grams {
    if target_bx <= 0.0 {
        return Grams::ZERO;
    }
    let solids = cane.as_f64() * juice_pct / 100.0 * brix / 100.0;
    Grams::nearest(solids * recovery * 100.0 / target_bx)
}

/// Jars of each size that so much syrup needs: as the season filled them so far, else the same weight into each size. Each is
/// rounded up to whole jars, so that the jars hold the syrup.
pub fn needed(syrup: Grams, sizes: &[Size]) -> Vec<i64> {
    let so_far: i128 = sizes.iter().map(|s| i128::from(s.filled.get())).sum();
    let many = i128::try_from(sizes.len()).unwrap_or(1);
    let jars = |size: &Size| {
        let (part, of) = if so_far > 0 {
            (i128::from(size.filled.get()), so_far)
        } else {
            (1, many)
        };
        let net = i128::from(size.net.get().max(1)) * of;
        let jars = (i128::from(syrup.get().max(0)) * part + net - 1) / net;
        i64::try_from(jars).unwrap_or(i64::MAX)
    };
    sizes.iter().map(jars).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn size(net: i64, filled: i64) -> Size {
        Size {
            net: Grams::new(net),
            filled: Grams::new(filled),
        }
    }

    #[test]
    fn what_is_left_is_counted_and_bought_less_what_was_filled() {
        let stock = Stock {
            counted: 40,
            bought: 24,
            used: 31,
        };
        assert_eq!(stock.left(), 33);
    }

    #[test]
    fn the_next_day_needs_jars_as_the_season_filled_them() {
        // 1,000 kg of cane × 45 % juice × 15 °Bx × 0.8 ÷ 78 = 69.231 kg of syrup.
        let syrup = syrup_of_cane(Grams::new(1_000_000), 45.0, 15.0, (0.8, 78.0));
        assert_eq!(syrup, Grams::new(69_231));
        // Three quarters of the syrup went into quarts: 51,923 ÷ 1,247 = 41.6; 17,308 ÷ 624 = 27.7.
        let sizes = [size(1247, 75_000), size(624, 25_000)];
        assert_eq!(needed(syrup, &sizes), [42, 28]);
        // Nothing was filled yet: half of it each, 34,616 ÷ 1,247 = 27.8 and ÷ 624 = 55.5.
        assert_eq!(needed(syrup, &[size(1247, 0), size(624, 0)]), [28, 56]);
        assert_eq!(needed(syrup, &[]), [0_i64; 0]);
        assert_eq!(needed(Grams::ZERO, &sizes), [0, 0]);
    }

    proptest! {
        #[test]
        fn prop_the_jars_hold_the_syrup_with_less_than_one_jar_of_each_size_to_spare(
            syrup in 0_i64..900_000, sizes in proptest::collection::vec((50_i64..10_000, 0_i64..500_000), 1..6),
        ) {
            let sizes: Vec<Size> = sizes.iter().map(|(net, filled)| size(*net, *filled)).collect();
            let jars = needed(Grams::new(syrup), &sizes);
            let room: i64 = jars.iter().zip(&sizes).map(|(n, s)| n * s.net.get()).sum();
            let spare: i64 = sizes.iter().map(|s| s.net.get()).sum();
            prop_assert!(room >= syrup && room < syrup + spare, "{room} g for {syrup} g");
        }
    }
}
