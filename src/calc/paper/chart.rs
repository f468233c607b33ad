//! The geometry all charts share: a scale from figures to places in a picture, round ticks, lines as
//! text for a drawing. Never knows what is drawn, and nothing of colours.

/// A straight scale from figures to places.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Axis {
    /// The figures at the two ends of the scale.
    figures: (f64, f64),
    /// Where those two ends lie in the picture.
    places: (f64, f64),
}

impl Axis {
    /// A scale whose ends, two figures, lie at two places. Figures that are one and the same are
    /// set half a unit apart either way, so that there is always a scale.
    pub fn new(figures: (f64, f64), places: (f64, f64)) -> Self {
        let (low, high) = figures;
        let apart = (high - low).abs() > 1e-9;
        Self {
            figures: if apart {
                figures
            } else {
                (low - 0.5, high + 0.5)
            },
            places,
        }
    }

    /// Where a figure lies, to a tenth; one beyond an end lies on that end.
    pub fn at(self, figure: f64) -> f64 {
        let ((f0, f1), (p0, p1)) = (self.figures, self.places);
        let part = ((figure - f0) / (f1 - f0)).clamp(0.0, 1.0);
        tenth(p0 + part * (p1 - p0))
    }

    /// Whether a figure lies between the ends.
    pub fn holds(self, figure: f64) -> bool {
        let (low, high) = self.figures;
        (low.min(high)..=low.max(high)).contains(&figure)
    }

    /// Round figures to mark on it, at most `most` (four or more): 1, 2 or 5 of some power of ten
    /// apart.
    pub fn ticks(self, most: u32) -> Vec<f64> {
        let (low, high) = (
            self.figures.0.min(self.figures.1),
            self.figures.0.max(self.figures.1),
        );
        let step = round_step((high - low) / f64::from(most.max(4) - 1));
        let first = (low / step - 1e-9).ceil();
        (0..most.max(4))
            .map(|n| (first + f64::from(n)) * step)
            .take_while(|tick| *tick <= high + 1e-9 * step)
            .collect()
    }
}

/// The least of 1, 2 and 5 times a power of ten that is not below `least`.
fn round_step(least: f64) -> f64 {
    let power = 10_f64.powf(least.max(1e-9).log10().floor());
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|n| n * power)
        .find(|step| *step >= least * (1.0 - 1e-9))
        .unwrap_or(10.0 * power)
}

/// A place to a tenth of a unit, and never minus nought: what a drawing needs and a page prints.
pub fn tenth(place: f64) -> f64 {
    (place * 10.0).round() / 10.0 + 0.0
}

/// The points of a broken line, as a drawing takes them: `"x,y x,y"`.
pub fn points(places: &[(f64, f64)]) -> String {
    let pairs: Vec<String> = places.iter().map(|(x, y)| format!("{x},{y}")).collect();
    pairs.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_ends_of_a_scale_lie_where_they_were_put() {
        let axis = Axis::new((100.0, 110.0), (200.0, 20.0));
        assert!((axis.at(100.0) - 200.0).abs() < 1e-9);
        assert!((axis.at(105.0) - 110.0).abs() < 1e-9);
        assert!((axis.at(150.0) - 20.0).abs() < 1e-9);
        assert!(axis.holds(104.0) && !axis.holds(99.0));
    }

    #[test]
    fn ticks_are_round_and_inside() {
        let axis = Axis::new((0.0, 214.0), (0.0, 1.0));
        assert_eq!(axis.ticks(6), [0.0, 50.0, 100.0, 150.0, 200.0]);
        let axis = Axis::new((96.9, 111.2), (0.0, 1.0));
        assert_eq!(axis.ticks(5), [100.0, 105.0, 110.0]);
    }

    #[test]
    fn a_scale_of_one_figure_still_is_one() {
        assert!((Axis::new((5.0, 5.0), (0.0, 10.0)).at(5.0) - 5.0).abs() < 1e-9);
    }

    #[test]
    fn a_line_is_written_without_a_minus_nought() {
        assert_eq!(points(&[(tenth(-0.01), 1.25), (2.0, 3.0)]), "0,1.25 2,3");
    }

    proptest! {
        #[test]
        fn prop_a_scale_keeps_order_and_stays_in_the_picture(
            low in -50.0..50.0_f64, span in 0.1..300.0_f64, a in -100.0..400.0_f64, b in -100.0..400.0_f64,
        ) {
            let axis = Axis::new((low, low + span), (10.0, 700.0));
            let (one, two) = (axis.at(a), axis.at(b));
            prop_assert!((10.0..=700.0).contains(&one));
            prop_assert!(a > b || one <= two);
        }

        #[test]
        fn prop_there_are_never_too_many_ticks_and_never_none(
            low in -50.0..50.0_f64, span in 0.1..300.0_f64, most in 4_u32..9,
        ) {
            let axis = Axis::new((low, low + span), (0.0, 1.0));
            let ticks = axis.ticks(most);
            prop_assert!(ticks.len() <= most as usize && !ticks.is_empty());
            prop_assert!(ticks.iter().all(|t| *t >= low - 1e-6 && *t <= low + span + 1e-6));
        }
    }
}
