//! How much of a member's row is left after the turns and tickets of a season: a row is cut once.

use crate::units::{Grams, Metres};

/// The cane of one turn, or of a ticket without one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CaneOfRow {
    /// Metres of row that the turn was booked by; none: booked otherwise, or walked in.
    pub row_m: Option<f64>,
    /// Net weight on the scale; before that, what is expected.
    pub cane: Grams,
}

/// What is left of rows of `planted` metres together, at `kg_per_m` kg of stripped cane a metre; never below zero.
/// A turn that was booked by a length of row takes that length, whatever it weighed.
pub fn row_left(planted: Metres, taken: &[CaneOfRow], kg_per_m: f64) -> Metres {
    let of_one = |one: &CaneOfRow| {
        one.row_m
            .unwrap_or_else(|| one.cane.kg() / kg_per_m.max(f64::MIN_POSITIVE))
    };
    let used: f64 = taken.iter().map(of_one).sum();
    Metres::new((planted.get() - used).max(0.0)).unwrap_or(planted)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Units;

    #[test]
    fn a_row_that_was_pressed_and_booked_is_not_offered_again() {
        // 420 ft at 2 kg a metre (the default) is 256 kg or 564 lb: 417 lb pressed and 350 lb booked are more.
        let planted = Metres::parse("420", Units::Us).unwrap();
        let weight = |lb| CaneOfRow {
            row_m: None,
            cane: Grams::parse(lb, Units::Us).unwrap(),
        };
        let left = |taken: &[CaneOfRow]| row_left(planted, taken, 2.0).get();
        assert!((left(&[]) - 128.016).abs() < 1e-9);
        // 417 lb are 189.148 kg (0.453 592 37 kg a pound), 94.574 m of row.
        assert!((left(&[weight("417")]) - (128.016 - 94.574)).abs() < 0.001);
        assert!(left(&[weight("417"), weight("350")]).abs() < 1e-9);
        let by_row = CaneOfRow {
            row_m: Some(100.0),
            cane: Grams::parse("417", Units::Us).unwrap(),
        };
        assert!((left(&[by_row]) - 28.016).abs() < 1e-9);
    }
}
