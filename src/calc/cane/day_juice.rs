//! Whether a juice was read at a temperature and a Brix like the day's other juices. A wrong temperature moves what a plain
//! refractometer reading counts for, so a pair that stands apart is asked about; it is never refused.

use crate::calc::RuleRefusal;
use crate::units::{BrixAt20C, Celsius, Units};

/// One juice of the day: the temperature of its drop and the Brix it came to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// Temperature of the drop on the prism.
    pub temp: Celsius,
    /// Brix at 20 °C.
    pub brix: BrixAt20C,
}

/// Fewest other juices of the day from which it is known what is usual.
const OTHERS_LEAST: usize = 3;
/// How many of the day's last juices are compared at most: juice warms with the day.
const OTHERS_MOST: usize = 5;
/// How far from the middle of the others it may lie before it is asked about, °C and °Bx (common practice: cane of
/// one morning lies in one shade; fresh juice is from 10 to 20 °Bx).
const TEMP_APART_C: f64 = 6.0;
const BRIX_APART: f64 = 6.0;

fn middle(mut of: Vec<f64>) -> f64 {
    of.sort_unstable_by(f64::total_cmp);
    f64::midpoint(of[(of.len() - 1) / 2], of[of.len() / 2])
}

/// What is asked about a juice, held against the day's others in the order they were pressed; nothing while they are fewer
/// than three.
pub fn unlike(own: Pair, others: &[Pair], units: Units) -> Option<RuleRefusal> {
    let last = &others[others.len().saturating_sub(OTHERS_MOST)..];
    if last.len() < OTHERS_LEAST {
        return None;
    }
    let temp = middle(last.iter().map(|pair| pair.temp.get()).collect());
    let brix = middle(last.iter().map(|pair| pair.brix.get()).collect());
    if (own.temp.get() - temp).abs() > TEMP_APART_C {
        let usual = Celsius::new(temp).unwrap_or(own.temp);
        return Some(RuleRefusal::beside(
            "temp",
            "temp-unlike-day",
            format!(
                "The day’s last juices were read at about {}, this one at {}. A wrong temperature moves what \
                 a plain refractometer’s reading counts for. Please read the thermometer once more.",
                usual.show(units),
                own.temp.show(units)
            ),
        ));
    }
    ((own.brix.get() - brix).abs() > BRIX_APART).then(|| {
        RuleRefusal::beside(
            "brix_1",
            "brix-unlike-day",
            format!(
                "The day’s last juices came to about {brix:.1} °Bx, this one to {}. Please stir it, wipe the \
                 prism and read a fresh drop.",
                own.brix.show()
            ),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pair(temp: f64, brix: f64) -> Pair {
        Pair {
            temp: Celsius::new(temp).unwrap(),
            brix: BrixAt20C::new(brix).unwrap(),
        }
    }

    fn code(own: Pair, others: &[Pair]) -> Option<&'static str> {
        unlike(own, others, Units::Metric).map(|refusal| refusal.code)
    }

    #[test]
    fn a_pair_unlike_the_last_juices_of_the_day_is_asked_about() {
        let day = [pair(18.0, 15.0), pair(19.0, 16.0), pair(20.0, 14.0)];
        assert_eq!(code(pair(25.0, 15.0), &day), None);
        assert_eq!(code(pair(25.1, 15.0), &day), Some("temp-unlike-day"));
        assert_eq!(code(pair(12.9, 15.0), &day), Some("temp-unlike-day"));
        assert_eq!(code(pair(19.0, 21.0), &day), None);
        assert_eq!(code(pair(19.0, 21.1), &day), Some("brix-unlike-day"));
        assert_eq!(code(pair(19.0, 8.9), &day), Some("brix-unlike-day"));
    }

    #[test]
    fn two_juices_are_not_yet_a_habit_and_the_morning_is_forgotten_by_noon() {
        let two = [pair(18.0, 15.0); 2];
        assert_eq!(code(pair(35.0, 15.0), &two), None);
        let mut day = vec![pair(10.0, 15.0); 6];
        day.extend([pair(20.0, 15.0); 3]);
        // Of the last five, 10 10 20 20 20, the middle is 20.
        assert_eq!(code(pair(25.0, 15.0), &day), None);
        assert_eq!(code(pair(13.0, 15.0), &day), Some("temp-unlike-day"));
        // Of four, 18 18 20 20, it lies half-way: 19.
        let four = [18.0, 18.0, 20.0, 20.0].map(|temp| pair(temp, 15.0));
        assert_eq!(code(pair(25.0, 15.0), &four), None);
        assert_eq!(code(pair(25.1, 15.0), &four), Some("temp-unlike-day"));
    }
}
