//! Full jars by weight: what the scale should show, how many of a lot to weigh, and whether the lot holds what its
//! label says.
//!
//! Two rules, both of NIST Handbook 133, chapter 1: on average the jars of a lot hold what the label says, and no jar
//! is short by more than the maximum allowable variation (MAV) of its weight.

use super::jar_tolerance::allowed_g;
use crate::calc::cane::scale::Graduation;
use crate::units::{Grams, Units, fixed};

/// What the scale shows when a jar is filled right, net of its tare, g. All are readings that the scale has.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FillTarget {
    /// The weight to aim for, g.
    pub target_g: f64,
    /// Below this the jar may be short by more than is allowed.
    pub least_g: f64,
    /// Above this more is given away than has to be.
    pub most_g: f64,
}

/// What to fill a jar to that declares so much. The scale may be out by its tolerance: the target lies that far over
/// the label, so that a jar that shows it holds what the label says; the least keeps the same distance
/// from the allowed shortage. The most is as far over the target as the least is below.
pub fn fill_target(declared: Grams, d: Graduation) -> FillTarget {
    let out_by = d.tolerance_g(declared);
    let up = |g: f64| (g / d.get() - 1e-9).ceil() * d.get();
    let target_g = up(declared.as_f64() + out_by);
    let least_g = up(declared.as_f64() - allowed_g(declared) + out_by).min(target_g);
    FillTarget {
        target_g,
        least_g,
        most_g: target_g + (target_g - least_g),
    }
}

/// One ounce, g (NIST Handbook 44, appendix C; exact).
const OZ_G: f64 = 28.349_523_125;

/// Whether a scale shows ounces: its step is a two-hundredth of an ounce or a multiple of it, and no whole tenth of a gram.
pub fn in_ounces(d: Graduation) -> bool {
    let whole = |x: f64| (x - x.round()).abs() < 1e-6;
    whole(d.get() / OZ_G * 200.0) && !whole(d.get() * 10.0)
}

/// Grams in one of the unit that a scale shows.
pub fn unit_g(d: Graduation) -> f64 {
    if in_ounces(d) { OZ_G } else { 1.0 }
}

/// A weight (g) as a scale shows it: "682 g", "24.06 oz".
pub fn shown(grams: f64, d: Graduation, units: Units) -> String {
    let step = d.get() / unit_g(d);
    let decimals = if step >= 1.0 - 1e-9 {
        0
    } else if step >= 0.1 - 1e-9 {
        1
    } else if step >= 0.01 - 1e-9 {
        2
    } else {
        3
    };
    let unit = if in_ounces(d) { "oz" } else { "g" };
    format!("{} {unit}", fixed(grams / unit_g(d), decimals, units))
}

/// How many jars to weigh of a lot of this many: all of up to 11, 12 of up to 250, 24 of up to 3,200, 48 of more.
///
/// Source: NIST Handbook 133, table 2-1 (category A sampling plans), from memory; the factors beside it follow from
/// Student's t and are checked by [`sample_factor`]'s published rows.
pub fn sample_of(lot: i64) -> i64 {
    match lot {
        ..=11 => lot.max(0),
        12..=250 => 12,
        251..=3200 => 24,
        _ => 48,
    }
}

/// Two-sided 97.5 % points of Student's t by degrees of freedom, from 1; from 30 on a few, the rest by the one
/// below. Source: any table of Student's t; computed again in `tests/reference`.
const T_975: [f64; 30] = [
    12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228, 2.201, 2.179, 2.160,
    2.145, 2.131, 2.120, 2.110, 2.101, 2.093, 2.086, 2.080, 2.074, 2.069, 2.064, 2.060, 2.056,
    2.052, 2.048, 2.045, 2.042,
];

/// What the deviation of this many weights is multiplied by to say how far chance may have put their mean: Student's t
/// at 97.5 %, over the root of their count. `None`: fewer than two, or every jar of the lot was weighed and
/// chance has no part in it.
pub fn sample_factor(weighed: usize) -> Option<f64> {
    let freedom = weighed.checked_sub(2)?;
    let t = match freedom {
        0..30 => T_975[freedom],
        30..46 => 2.042,
        _ => 2.012,
    };
    let count = f64::from(u32::try_from(weighed).unwrap_or(u32::MAX));
    Some(t / count.sqrt())
}

/// Whether a lot holds what its label says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Holds {
    /// No jar was weighed.
    NotWeighed,
    /// Fewer jars were weighed than the rule asks for.
    TooFew,
    /// The lot holds what its label declares.
    Yes,
    /// The mean is below the label, by no more than chance may do.
    MeanLow,
    /// The mean is below the label, by more than chance.
    MeanShort,
    /// A jar is short by more than is allowed.
    JarShort,
}

impl Holds {
    /// Whether label and hand-over ask before they go on.
    pub fn asks(self) -> bool {
        matches!(self, Self::MeanLow | Self::MeanShort | Self::JarShort)
    }
}

/// What the weights of some jars of a lot say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weighed {
    /// How many jars were weighed.
    pub weighed: usize,
    /// How many jars the rule asks to weigh.
    pub asked: i64,
    /// Mean net, g; nought when none was weighed.
    pub mean_g: f64,
    /// How far chance may have moved the mean, g.
    pub chance_g: f64,
    /// The lightest, g; nought when none was weighed.
    pub lightest_g: f64,
    /// By how much a single jar may be short, g.
    pub allowed_g: f64,
    /// Jars short by more than that.
    pub short: usize,
    /// Whether the lot holds what its label declares.
    pub holds: Holds,
}

/// Judges the net weights (g) of some jars that declare this weight, out of `lot` such jars.
pub fn judge(net_g: &[f64], declared: Grams, lot: i64) -> Weighed {
    let asked = sample_of(lot);
    let allowed_g = allowed_g(declared);
    let count = f64::from(u32::try_from(net_g.len()).unwrap_or(u32::MAX));
    let mean_g = if net_g.is_empty() {
        0.0
    } else {
        net_g.iter().sum::<f64>() / count
    };
    let squares: f64 = net_g.iter().map(|g| (g - mean_g).powi(2)).sum();
    let all_weighed = i64::try_from(net_g.len()).is_ok_and(|n| n >= lot);
    let chance_g = match sample_factor(net_g.len()) {
        Some(factor) if !all_weighed => factor * (squares / (count - 1.0)).sqrt(),
        _ => 0.0,
    };
    let label = declared.as_f64();
    let short = net_g
        .iter()
        .filter(|g| label - **g > allowed_g + 1e-9)
        .count();
    let holds = if net_g.is_empty() {
        Holds::NotWeighed
    } else if short > 0 {
        Holds::JarShort
    } else if mean_g + chance_g < label - 1e-9 {
        Holds::MeanShort
    } else if mean_g < label - 1e-9 {
        Holds::MeanLow
    } else if i64::try_from(net_g.len()).is_ok_and(|n| n < asked) {
        Holds::TooFew
    } else {
        Holds::Yes
    };
    Weighed {
        weighed: net_g.len(),
        asked,
        mean_g,
        chance_g,
        lightest_g: net_g.iter().copied().reduce(f64::min).unwrap_or(0.0),
        allowed_g,
        short,
        holds,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn gram() -> Graduation {
        Graduation::new(1.0).unwrap()
    }

    #[test]
    fn the_target_keeps_the_label_true_though_the_scale_is_out_by_its_tolerance() {
        // 680 g on a scale of 1 g: 680 divisions, which may be out by 2 g (over 500 d). MAV of 680 g: 25.4 g.
        let t = fill_target(Grams::new(680), gram());
        assert!((t.target_g - 682.0).abs() < 1e-9, "{t:?}");
        // 680 − 25.4 + 2 = 656.6, up to 657; as far over the target: 707.
        assert!((t.least_g - 657.0).abs() < 1e-9 && (t.most_g - 707.0).abs() < 1e-9);
        // On a scale of 5 g: 136 divisions, out by 5 g: 685; 659.6 up to 660.
        let t = fill_target(Grams::new(680), Graduation::new(5.0).unwrap());
        assert!((t.target_g - 685.0).abs() < 1e-9 && (t.least_g - 660.0).abs() < 1e-9);
        // On one too coarse for a jar the least is never over the target.
        let t = fill_target(Grams::new(200), Graduation::new(200.0).unwrap());
        assert!(t.least_g <= t.target_g);
    }

    #[test]
    fn a_weight_is_shown_in_the_unit_of_the_scale() {
        assert_eq!(shown(682.0, gram(), Units::Us), "682 g");
        let tenth = Graduation::new(2.834_952_312_5).unwrap();
        assert!(in_ounces(tenth) && !in_ounces(gram()));
        assert_eq!(shown(680.388_555, tenth, Units::Us), "24.0 oz");
        assert!((unit_g(tenth) - 28.349_523_125).abs() < 1e-12);
    }

    #[test]
    fn all_of_a_few_jars_are_weighed_and_a_dozen_of_many() {
        let asked: Vec<i64> = [0, 1, 11, 12, 250, 251, 3200, 3201].map(sample_of).to_vec();
        assert_eq!(asked, [0, 1, 11, 12, 12, 24, 24, 48]);
    }

    #[test]
    fn the_factor_is_that_of_the_handbook() {
        // NIST Handbook 133, table 2-1, column "sample correction factor", from memory.
        for (n, factor) in [
            (2, 8.985),
            (3, 2.484),
            (6, 1.050),
            (11, 0.672),
            (12, 0.635),
            (24, 0.422),
        ] {
            let found = sample_factor(n).unwrap();
            assert!((found - factor).abs() < 0.001, "{n}: {found}");
        }
        assert_eq!(sample_factor(1), None);
    }

    #[test]
    fn a_lot_is_judged_by_its_mean_and_by_its_lightest_jar() {
        let of = |net: &[f64], lot| judge(net, Grams::new(680), lot).holds;
        assert_eq!(of(&[], 5), Holds::NotWeighed);
        assert_eq!(of(&[681.0, 682.0], 2), Holds::Yes);
        assert_eq!(of(&[681.0, 682.0], 5), Holds::TooFew);
        // All weighed: chance has no part, a mean of 679.5 is short.
        assert_eq!(of(&[679.0, 680.0], 2), Holds::MeanShort);
        // Mean 679.5, deviation 1.914: chance may do 1.591 × 1.914 = 3.05 g.
        let some = [677.0, 679.0, 681.0, 681.0];
        assert_eq!(of(&some, 40), Holds::MeanLow);
        let judged = judge(&some, Grams::new(680), 40);
        assert!((judged.chance_g - 1.591 * (11.0_f64 / 3.0).sqrt()).abs() < 0.01);
        // 680 − 25.4 = 654.6: 654 g is short by more than is allowed though the mean holds.
        assert_eq!(of(&[654.0, 720.0], 2), Holds::JarShort);
        assert_eq!(of(&[655.0, 720.0], 2), Holds::Yes);
        assert!(Holds::MeanLow.asks() && !Holds::TooFew.asks());
    }

    proptest! {
        #[test]
        fn prop_a_jar_at_the_target_is_never_short_and_one_at_the_least_never_by_too_much(
            declared in 40_i64..20_000, step in prop_oneof![Just(1.0), Just(2.0), Just(5.0), Just(10.0)],
        ) {
            let d = Graduation::new(step).unwrap();
            let t = fill_target(Grams::new(declared), d);
            let out = d.tolerance_g(Grams::new(declared));
            let label = Grams::new(declared).as_f64();
            prop_assert!(t.target_g - out >= label - 1e-6);
            if t.least_g < t.target_g {
                prop_assert!(t.least_g - out >= label - allowed_g(Grams::new(declared)) - 1e-6);
            }
            prop_assert!(t.most_g >= t.target_g && t.target_g >= t.least_g);
        }

        #[test]
        fn prop_more_in_every_jar_never_makes_a_lot_that_holds_one_that_does_not(
            net in proptest::collection::vec(640.0_f64..720.0, 1..30), more in 0.0_f64..20.0,
        ) {
            let lot = 100;
            let before = judge(&net, Grams::new(680), lot).holds;
            let fuller: Vec<f64> = net.iter().map(|g| g + more).collect();
            let after = judge(&fuller, Grams::new(680), lot).holds;
            prop_assert!(before.asks() || !after.asks());
        }
    }
}
