//! Leaves, tops and mud in a load, by a sample: weighed as it came, stripped, weighed again. By the season's rules the part
//! that was stripped off is taken off the cane's weight in the open, or it is only noted. Never knows whose cane it is.

use crate::calc::RuleRefusal;
use crate::units::{Grams, Units};

/// A sample before and after it was stripped.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sample {
    /// Weight of the sample as it came.
    pub before: Grams,
    /// Weight of the sample stripped and topped.
    pub after: Grams,
}

/// The least that a sample weighs: of less, one scale step is too much of it. 2.3 kg, 5 lb (common practice).
pub const SAMPLE_LEAST: Grams = Grams::new(2268);

/// Less left than this is asked about, of 100: more than half leaves and tops is a slip of the pen (common practice).
const LEFT_DOUBTED: f64 = 50.0;

impl Sample {
    /// A sample that can be; a doubt is waved through by `sure`. `net`: the cane of its ticket.
    ///
    /// # Errors
    /// Beside `before` or `after`: too little, more than the ticket's cane, more after than before, or half of it trash.
    pub fn new(
        (before, after): (Grams, Grams),
        net: Grams,
        sure: bool,
        units: Units,
    ) -> Result<Self, RuleRefusal> {
        if before < SAMPLE_LEAST {
            return Err(RuleRefusal::beside(
                "before",
                "sample-small",
                format!(
                    "Please take a sample of {} or more: of less, one step of the scale is too much of it.",
                    SAMPLE_LEAST.show(units)
                ),
            ));
        }
        if before > net {
            return Err(RuleRefusal::beside(
                "before",
                "sample-large",
                format!("That is more than the ticket’s cane, {}.", net.show(units)),
            ));
        }
        if after > before || after <= Grams::ZERO {
            return Err(RuleRefusal::beside(
                "after",
                "sample-grew",
                "Stripped it weighs less than before, and more than nothing.",
            ));
        }
        let sample = Self { before, after };
        if !sure && 100.0 - sample.trash_percent() < LEFT_DOUBTED {
            return Err(RuleRefusal::beside(
                "after",
                "sample-doubted",
                "More than half of it would be trash. If the scale really showed this, tap “Yes, it is so”.",
            ));
        }
        Ok(sample)
    }

    /// What was stripped off, as percent by weight.
    pub fn trash_percent(self) -> f64 {
        100.0 * (self.before - self.after).as_f64() / self.before.as_f64()
    }

    /// The cane that counts of a net weight: net × after ÷ before, to the nearest gram, a half up.
    pub fn clean(self, net: Grams) -> Grams {
        let (after, before) = (i128::from(self.after.get()), i128::from(self.before.get()));
        let clean = (2 * i128::from(net.get()) * after + before) / (2 * before);
        // No more than the net weight, so it fits into the number.
        i64::try_from(clean).map_or(net, Grams::new)
    }
}

/// The cane of a ticket that counts: all of it, or what a sample leaves where the rules take trash off.
pub fn counts(net: Grams, sample: Option<Sample>, taken_off: bool) -> Grams {
    match sample {
        Some(sample) if taken_off => sample.clean(net),
        _ => net,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample(before: i64, after: i64) -> Sample {
        Sample {
            before: Grams::new(before),
            after: Grams::new(after),
        }
    }

    #[test]
    fn by_hand_twelve_of_a_hundred_are_taken_off_and_a_half_gram_goes_up() {
        // By hand: a sample of 10.0 lb is 4,536 g, of 8.8 lb 3,992 g: 544 ÷ 4,536 = 11.993 of 100 is trash.
        // 163,974 g (361.5 lb) × 3,992 ÷ 4,536 = 654,584,208 ÷ 4,536 = 144,308.687…, so 144,309 g count.
        let of = sample(4536, 3992);
        assert_eq!(format!("{:.3}", of.trash_percent()), "11.993");
        assert_eq!(of.clean(Grams::new(163_974)), Grams::new(144_309));
        // 5 g × 1 ÷ 2 = 2.5 g: a half goes up.
        assert_eq!(sample(2, 1).clean(Grams::new(5)), Grams::new(3));
        assert_eq!(sample(4536, 4536).clean(Grams::new(7)), Grams::new(7));
    }

    #[test]
    fn without_a_rule_or_without_a_sample_all_of_it_counts() {
        let net = Grams::new(163_974);
        let of = sample(4536, 3992);
        assert_eq!(counts(net, Some(of), false), net);
        assert_eq!(counts(net, None, true), net);
        assert_eq!(counts(net, Some(of), true), Grams::new(144_309));
    }

    #[test]
    fn a_sample_that_cannot_be_is_refused_and_a_doubtful_one_asked_about() {
        let net = Grams::new(163_974);
        let new = |before: i64, after: i64, sure| {
            let of = (Grams::new(before), Grams::new(after));
            Sample::new(of, net, sure, Units::Us).map_err(|refusal| refusal.code)
        };
        assert_eq!(new(4536, 3992, false), Ok(sample(4536, 3992)));
        assert_eq!(new(2000, 1900, true), Err("sample-small"));
        assert_eq!(new(163_975, 1900, true), Err("sample-large"));
        assert_eq!(new(4536, 4537, true), Err("sample-grew"));
        assert_eq!(new(4536, 0, true), Err("sample-grew"));
        assert_eq!(new(4536, 2267, false), Err("sample-doubted"));
        assert_eq!(new(4536, 2267, true), Ok(sample(4536, 2267)));
        assert_eq!(new(4536, 2268, false), Ok(sample(4536, 2268)));
    }
}
