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

    /// Ends the stretch.
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
