//! A probe sends every few seconds, and what it sends shares its errors: a stretch of it is merged
//! into its middle figure before it is weighed as one reading.

/// Length of a stretch, minutes: far from the end and near it.
const STRETCH_MIN: (f64, f64) = (2.0, 0.5);

/// The stretch being gathered.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Merged {
    sent: Vec<(f64, f64, usize)>,
}

impl Merged {
    /// Adds what was sent; gives the stretch before it, when that is over: its time, middle figure
    /// and the place of its last reading.
    pub(super) fn add(
        &mut self,
        at: f64,
        temp: f64,
        place: usize,
        near: bool,
    ) -> Option<(f64, f64, usize)> {
        let long = if near { STRETCH_MIN.1 } else { STRETCH_MIN.0 };
        let over = self.sent.first().is_some_and(|first| at - first.0 >= long);
        let stretch = if over { self.end() } else { None };
        self.sent.push((at, temp, place));
        stretch
    }

    /// Ends the stretch: its time, middle figure and the place of its last reading.
    pub(super) fn end(&mut self) -> Option<(f64, f64, usize)> {
        let last = *self.sent.last()?;
        let mut temps: Vec<f64> = self.sent.iter().map(|s| s.1).collect();
        temps.sort_unstable_by(f64::total_cmp);
        let middle = f64::midpoint(temps[(temps.len() - 1) / 2], temps[temps.len() / 2]);
        let at = f64::midpoint(self.sent[0].0, last.0);
        self.sent.clear();
        Some((at, middle, last.2))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The stretches found when a probe sends every `every` minutes; each figure is its own place.
    fn stretches(every: f64, near: bool, many: u32) -> Vec<(f64, f64, usize)> {
        let mut merged = Merged::default();
        let mut found = Vec::new();
        for n in 0..many {
            let stretch = merged.add(every * f64::from(n), f64::from(n), n as usize, near);
            found.extend(stretch);
        }
        found
    }

    #[test]
    fn a_stretch_is_two_minutes_long_and_half_a_minute_near_the_end() {
        // Every half minute: 0, 0.5, 1 and 1.5 are a stretch, its middle 0.75, its figures 0 to 3.
        let far = stretches(0.5, false, 9);
        assert_eq!(far, [(0.75, 1.5, 3), (2.75, 5.5, 7)]);
        // Every eighth of a minute near the end: four again, of three eighths.
        let near = stretches(0.125, true, 9);
        assert_eq!(near, [(0.1875, 1.5, 3), (0.6875, 5.5, 7)]);
        assert_eq!(stretches(0.5, true, 3), [(0.0, 0.0, 0), (0.5, 1.0, 1)]);
    }

    #[test]
    fn one_figure_far_out_does_not_move_the_middle_of_a_stretch() {
        let mut merged = Merged::default();
        for (n, temp) in [(0, 104.0), (1, 140.0), (2, 104.2)] {
            assert_eq!(merged.add(0.1 * f64::from(n), temp, 5, false), None);
        }
        assert_eq!(merged.add(0.5, 104.1, 8, false), None);
        // 104.0, 104.1, 104.2, 140: between the second and the third.
        let (at, temp, place) = merged.end().unwrap();
        assert!((at - 0.25).abs() < 1e-9 && (temp - 104.15).abs() < 1e-9);
        assert_eq!(place, 8);
        assert_eq!(merged.end(), None);
        // Of three it is the second.
        for (n, temp) in [(0, 104.0), (1, 104.2), (2, 140.0)] {
            merged.add(0.5 * f64::from(n), temp, 0, false);
        }
        assert_eq!(merged.end(), Some((0.5, 104.2, 0)));
    }

    #[test]
    fn a_stretch_is_over_when_it_is_two_minutes_or_half_a_minute_old_and_not_before() {
        for (near, long) in [(false, 2.0), (true, 0.5)] {
            for (later, over) in [(long - 0.01, false), (long, true)] {
                let mut merged = Merged::default();
                merged.add(60.0, 104.0, 0, near);
                let stretch = merged.add(60.0 + later, 104.1, 1, near);
                assert_eq!(stretch.is_some(), over, "{later} min, near the end: {near}");
            }
        }
    }
}
