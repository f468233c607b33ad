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
