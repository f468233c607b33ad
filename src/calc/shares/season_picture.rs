//! A member's season in a few figures, and how long the bars of its picture are.

use crate::calc::cane::juice::median;
use crate::units::Grams;

/// Fewest members whose juice the mill's median is told of: of fewer it would tell a neighbour's figure.
const MEMBERS_LEAST: usize = 3;

/// What a season brought one member.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct MySeason {
    /// Net cane weighed in.
    pub cane: Grams,
    /// Cane of those tickets whose juice was measured.
    pub pressed: Grams,
    /// Juice of that cane that counts.
    pub juice: Grams,
    /// Juice that was spilt or spoilt before it came into a pan.
    pub lost: Grams,
    /// Dissolved solids in that juice.
    pub solids: Grams,
    /// Median Brix of the mill's tickets, °Bx by mass at 20 °C; none while too few members have juice.
    pub mill_brix: Option<f64>,
    /// Syrup that is the member's by the divisions.
    pub entitled: Grams,
    /// Syrup in the member's jars, without those that broke at the mill or are missing there.
    pub jarred: Grams,
    /// Syrup in jars of the member that broke at the mill or are missing there.
    pub off_shelf: Grams,
    /// Syrup of the member's lots that was lost: what of it would have been the member's.
    pub syrup_lost: Grams,
    /// Syrup that the season bearing losses made good, and that the member gave up for them.
    pub by_losses: (Grams, Grams),
    /// Syrup carried at the season's end so far, from all seasons; below nought: had in advance.
    pub carried: Grams,
}

impl MySeason {
    /// Brix of all the juice together, percent of solids by mass; none without juice.
    pub fn brix(&self) -> Option<f64> {
        (self.juice > Grams::ZERO).then(|| 100.0 * self.solids.as_f64() / self.juice.as_f64())
    }

    /// Juice from 100 of the cane that was pressed, by mass; none while nothing is.
    pub fn juice_of_100(&self) -> Option<f64> {
        (self.pressed > Grams::ZERO).then(|| 100.0 * self.juice.as_f64() / self.pressed.as_f64())
    }

    /// Whether anything was weighed in, or given out.
    pub fn is_empty(&self) -> bool {
        [
            self.cane,
            self.juice,
            self.entitled,
            self.jarred,
            self.syrup_lost,
        ]
        .iter()
        .all(|grams| *grams == Grams::ZERO)
    }
}

/// The median Brix of a mill's tickets, each with a number that stands for its member.
pub fn mill_brix<M: Ord + Copy>(tickets: &[(M, f64)]) -> Option<f64> {
    let mut members: Vec<M> = tickets.iter().map(|(member, _)| *member).collect();
    members.sort_unstable();
    members.dedup();
    if members.len() < MEMBERS_LEAST {
        return None;
    }
    let figures: Vec<f64> = tickets.iter().map(|(_, brix)| *brix).collect();
    median(&figures)
}

/// Length of a bar, of 1,000, beside the longest of its kind; any figure above nought shows.
pub fn bar(figure: f64, longest: f64) -> u32 {
    if longest <= 0.0 || figure <= 0.0 || !figure.is_finite() {
        return 0;
    }
    let part = (1000.0 * figure / longest).round().clamp(4.0, 1000.0);
    // Between 4 and 1,000, so that it fits.
    (4..=1000).find(|n| f64::from(*n) >= part).unwrap_or(1000)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn juice_is_of_the_cane_that_was_pressed_and_not_of_what_waits() {
        let season = MySeason {
            cane: Grams::new(400_000),
            pressed: Grams::new(200_000),
            juice: Grams::new(92_000),
            ..MySeason::default()
        };
        assert_eq!(season.juice_of_100(), Some(46.0));
        assert_eq!(MySeason::default().juice_of_100(), None);
    }

    #[test]
    fn brix_is_of_all_juice_together() {
        let season = MySeason {
            juice: Grams::new(100_000),
            solids: Grams::new(15_200),
            ..MySeason::default()
        };
        let brix = season.brix().unwrap();
        assert!((brix - 15.2).abs() < 1e-9, "{brix}");
        assert_eq!(MySeason::default().brix(), None);
    }

    #[test]
    fn the_mills_median_is_not_told_of_two_members() {
        let two = [(1, 14.0), (1, 15.0), (2, 17.0)];
        assert_eq!(mill_brix(&two), None);
        let three = [(1, 14.0), (1, 15.0), (2, 17.0), (3, 16.0)];
        assert_eq!(mill_brix(&three), Some(15.5));
    }

    #[test]
    fn bars_are_as_long_as_their_figures_and_never_too_short_to_see() {
        let lengths = [0.0, 0.1, 25.0, 100.0, 130.0].map(|figure| bar(figure, 100.0));
        assert_eq!(lengths, [0, 4, 250, 1000, 1000]);
        assert_eq!(bar(5.0, 0.0), 0);
    }
}
