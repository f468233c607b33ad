//! Water to thin a syrup that went past its target: only after the refractometer said so twice, and
//! only off the fire. A thermometer alone never asks for water, nor does one reading, nor two that are old or that what
//! was read since does not bear out.

use crate::units::{BrixAt20C, Grams, Units, UtcSecond};

/// A drop that says this much more than the target is past it, °Bx (instruments read to ±0.2 and a
/// drop is rarely quite cool; common practice).
const OVER_BRIX: f64 = 0.5;
/// Two drops agree when they are no farther apart than this, °Bx (common practice).
const AGREE_BRIX: f64 = 1.0;

/// Drops older than this, or farther apart, minutes, are read again: so long syrup is boiled on, topped up or thinned
/// (common practice).
const FRESH_MIN: i64 = 20;

/// A syrup as far as it may be thinned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Syrup {
    /// Dissolved solids in the syrup.
    pub solids: Grams,
    /// Brix it is to be finished at.
    pub target: BrixAt20C,
    /// Whether the fire is drawn.
    pub fire_drawn: bool,
    /// Brix that is believed at the moment by all that was read, as likely less as more.
    pub believed: f64,
    /// The moment at which it stands so.
    pub at: UtcSecond,
}

/// What stands in the way of thinning, or how much water it takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Thinning {
    /// No refractometer reading past the target: no water.
    NotPast,
    /// Only one reading says that it is past the target: read another drop first.
    ReadAgain,
    /// Two readings do not agree: read again.
    Disagree,
    /// Two agree, and the fire is still under it: draw it first.
    DrawFirst,
    /// Two agree, and they are old or far apart: read again.
    Old,
    /// Two agree, and what was read besides says that it is not past: read again.
    NotBelieved,
    /// This much water brings it back from this Brix, the middle of the two readings.
    Water(Grams, BrixAt20C),
}

/// Whether to thin, by the last refractometer readings in order, each with its time.
pub fn thinning(of: &Syrup, drops: &[(UtcSecond, BrixAt20C)]) -> Thinning {
    let (solids, target) = (of.solids, of.target);
    let past = |b: &BrixAt20C| b.get() >= target.get() + OVER_BRIX;
    let Some(((last_at, last), before)) = drops.split_last() else {
        return Thinning::NotPast;
    };
    if !past(last) || solids <= Grams::ZERO || target.get() <= 0.0 {
        return Thinning::NotPast;
    }
    let Some((first_at, first)) = before.last().filter(|(_, b)| past(b)) else {
        return Thinning::ReadAgain;
    };
    if (last.get() - first.get()).abs() > AGREE_BRIX {
        return Thinning::Disagree;
    }
    if !of.fire_drawn {
        return Thinning::DrawFirst;
    }
    if of.at.minutes_since(*last_at) > FRESH_MIN || last_at.minutes_since(*first_at) > FRESH_MIN {
        return Thinning::Old;
    }
    if of.believed < target.get() + OVER_BRIX {
        return Thinning::NotBelieved;
    }
    let at = f64::midpoint(first.get(), last.get());
    let Ok(brix) = BrixAt20C::new(at) else {
        return Thinning::NotPast;
    };
    // Water per solids at the target less the water per solids it has, times its solids.
    let water = solids.as_f64() * (100.0 / target.get() - 100.0 / at);
    Thinning::Water(Grams::nearest(water), brix)
}

/// How to thin, in sentences; nothing when it is not past.
pub fn words(of: Thinning, target: BrixAt20C, units: Units) -> Option<String> {
    Some(match of {
        Thinning::NotPast => return None,
        Thinning::ReadAgain => {
            "One drop says it is past. Cool another and read it at once, before any water \
                                goes in. Draw the fire if it says the same."
                .to_owned()
        }
        Thinning::Disagree => {
            "The last two drops do not agree. Draw the fire, cool another and read it.".to_owned()
        }
        Thinning::DrawFirst => "Two drops say it is past. Draw the fire or take the pan off it; \
                                then note that, and the amount of water is said here."
            .to_owned(),
        Thinning::Old => {
            "Two drops said it is past, and that was a while ago. Cool another two and \
                          read them before any water goes in."
                .to_owned()
        }
        Thinning::NotBelieved => {
            "Two drops say it is past, and by what was read besides it is not. \
                                  Cool another and read it before any water goes in."
                .to_owned()
        }
        Thinning::Water(water, at) => format!(
            "To bring it from {:.1} back to {:.0} °Bx takes about {} of clean hot water. With the \
             fire drawn, pour it in slowly at the edge and stand back: it spits and steams. Stir, \
             cool a drop and read again.",
            at.get(),
            target.get(),
            water.show(units)
        ),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bx(value: f64) -> BrixAt20C {
        BrixAt20C::new(value).unwrap()
    }
    const AT: UtcSecond = UtcSecond::new(1_800_000_000);

    /// Believed as the last drop says it, at a moment two minutes after that and four after the one before.
    fn syrup(solids: i64, target: f64, drawn: bool, believed: f64) -> Syrup {
        Syrup {
            solids: Grams::new(solids),
            target: bx(target),
            fire_drawn: drawn,
            believed,
            at: AT,
        }
    }
    fn read(drops: &[f64]) -> Vec<(UtcSecond, BrixAt20C)> {
        let ago = (1..=drops.len())
            .rev()
            .filter_map(|n| i64::try_from(n).ok());
        let drops = drops.iter().zip(ago);
        drops.map(|(b, n)| (AT.plus(-120 * n), bx(*b))).collect()
    }
    fn thin(drops: &[f64], drawn: bool) -> Thinning {
        let believed = drops.last().copied().unwrap_or(0.0);
        thinning(&syrup(45_000, 78.0, drawn, believed), &read(drops))
    }

    #[test]
    fn old_drops_and_drops_that_nothing_bears_out_name_no_water() {
        let two = read(&[80.0, 80.4]);
        let of = |believed| syrup(45_000, 78.0, true, believed);
        assert!(matches!(thinning(&of(78.5), &two), Thinning::Water(..)));
        assert_eq!(thinning(&of(78.4), &two), Thinning::NotBelieved);
        let later = |minutes: i64| Syrup {
            at: AT.plus(60 * minutes),
            ..of(80.2)
        };
        assert!(matches!(thinning(&later(18), &two), Thinning::Water(..)));
        assert_eq!(thinning(&later(19), &two), Thinning::Old);
        let apart = |minutes: i64| [(AT.plus(-60 * minutes), bx(80.0)), (AT, bx(80.4))];
        assert!(matches!(
            thinning(&of(80.2), &apart(20)),
            Thinning::Water(..)
        ));
        assert_eq!(thinning(&of(80.2), &apart(21)), Thinning::Old);
        // The fire comes first in any case.
        let lit = Syrup {
            fire_drawn: false,
            ..later(30)
        };
        assert_eq!(thinning(&lit, &two), Thinning::DrawFirst);
        for open in [Thinning::Old, Thinning::NotBelieved] {
            let said = words(open, bx(78.0), Units::Us).unwrap();
            assert!(said.contains("before any water goes in"), "{said}");
        }
    }

    #[test]
    fn water_is_named_after_two_drops_that_agree_and_with_the_fire_drawn() {
        // 45 kg of solids: 57.692 kg at 78 °Bx, 55.556 kg at 81.0: 2.137 kg of water.
        assert_eq!(
            thin(&[76.0, 80.8, 81.2], true),
            Thinning::Water(Grams::new(2137), bx(81.0))
        );
        assert_eq!(thin(&[80.8, 81.2], false), Thinning::DrawFirst);
    }

    #[test]
    fn one_drop_or_two_that_disagree_name_no_water() {
        assert_eq!(thin(&[], true), Thinning::NotPast);
        assert_eq!(thin(&[81.0], true), Thinning::ReadAgain);
        assert_eq!(thin(&[77.0, 81.0], true), Thinning::ReadAgain);
        assert_eq!(thin(&[80.0, 81.1], true), Thinning::Disagree);
        assert_eq!(thin(&[81.0, 78.4], true), Thinning::NotPast);
        assert!(matches!(thin(&[78.5, 79.5], true), Thinning::Water(..)));
    }

    #[test]
    fn half_a_brix_over_is_past_and_one_apart_still_agrees() {
        assert_eq!(thin(&[78.4, 78.5], true), Thinning::ReadAgain);
        assert_eq!(thin(&[78.5, 78.4], true), Thinning::NotPast);
        assert_eq!(thin(&[78.5, 78.49], true), Thinning::NotPast);
        assert!(matches!(thin(&[80.0, 81.0], true), Thinning::Water(..)));
        assert!(matches!(thin(&[81.0, 80.0], true), Thinning::Water(..)));
        assert_eq!(thin(&[81.1, 80.0], true), Thinning::Disagree);
        // An empty pan, or one without solids, takes no water.
        let drops = read(&[81.0; 2]);
        for nothing in [syrup(0, 78.0, true, 81.0), syrup(45_000, 0.0, true, 81.0)] {
            assert_eq!(thinning(&nothing, &drops), Thinning::NotPast);
        }
        // 1 kg of solids: 1000/0.78 − 1000/0.80 = 32 g of water.
        let drops = read(&[80.0; 2]);
        assert_eq!(
            thinning(&syrup(1000, 78.0, true, 80.0), &drops),
            Thinning::Water(Grams::new(32), bx(80.0))
        );
    }

    #[test]
    fn every_answer_but_not_past_says_what_to_do_with_the_fire() {
        for drops in [vec![81.0], vec![80.0, 81.5], vec![81.0, 81.0]] {
            let said = words(thin(&drops, false), bx(78.0), Units::Metric).unwrap();
            assert!(said.contains("Draw the fire"), "{said}");
        }
    }

    #[test]
    fn the_words_name_the_amount_and_the_danger() {
        let said = words(thin(&[80.8, 81.2], true), bx(78.0), Units::Us).unwrap();
        assert!(said.contains("from 81.0 back to 78 °Bx"), "{said}");
        assert!(
            said.contains("4.71 lb") || said.contains("4.7 lb"),
            "{said}"
        );
        assert!(said.contains("stand back"));
        assert_eq!(words(Thinning::NotPast, bx(78.0), Units::Us), None);
    }
}
