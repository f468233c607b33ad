//! Water per solids, the figure that falls as a boil thickens: 100/Brix − 1. At 15 °Bx it is 5.67, at 78 °Bx
//! 0.28.

/// Least water per solids a course can have: 94 °Bx, hard candy.
pub(super) const LEAST_U: f64 = 0.064;

/// The thickest that is reckoned with, °Bx: a little under that of [`LEAST_U`].
const THICKEST_BX: f64 = 93.9;

/// Whether a Brix stands for all that is thicker, too: no course goes further.
pub fn is_thickest(brix: f64) -> bool {
    brix >= THICKEST_BX
}

/// Water per solids of a Brix.
pub(super) fn u_of(brix: f64) -> f64 {
    100.0 / brix - 1.0
}

/// Brix of a water per solids.
pub(super) fn brix_of(u: f64) -> f64 {
    100.0 / (1.0 + u.max(LEAST_U))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn water_per_solids_is_what_is_no_sugar_over_what_is() {
        // 15 of 100 are solids and 85 water; half and half; 94 and 6.
        for (brix, u) in [(15.0, 85.0 / 15.0), (50.0, 1.0), (94.0, 6.0 / 94.0)] {
            assert!((u_of(brix) - u).abs() < 1e-12, "{brix}");
        }
        assert!((brix_of(85.0 / 15.0) - 15.0).abs() < 1e-12);
        // Nothing is thicker than hard candy, which is 94.
        for u in [LEAST_U, 0.01, -1.0] {
            assert!((brix_of(u) - 94.0).abs() < 0.05, "{u}: {}", brix_of(u));
        }
    }

    #[test]
    fn hard_candy_stands_for_all_that_is_thicker() {
        assert!(is_thickest(brix_of(LEAST_U)) && is_thickest(93.9));
        assert!(!is_thickest(93.8));
    }
}
