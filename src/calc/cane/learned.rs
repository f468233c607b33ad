//! What a mill learns from its own finished boils: the middle figure, from how many, how spread.
//! Never from a figure that cannot be true.

use super::juice::median;
use crate::calc::physics::elevation::{Factor, FactorFrom, rise};
use crate::units::{BrixAt20C, Celsius, Grams};

/// A figure learned from finished boils.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Learned {
    /// The median figure.
    pub middle: f64,
    /// How many boils it is from.
    pub boils: u32,
    /// Median distance from the median, times 1.4826 (the standard deviation, were they normal);
    /// nought from a single boil.
    pub spread: f64,
}

/// The median of what boils showed, with how many and the spread; nothing of none. Robust: up to
/// nearly half of the boils may be wild.
pub fn learn(figures: &[f64]) -> Option<Learned> {
    let sound: Vec<f64> = figures.iter().copied().filter(|f| f.is_finite()).collect();
    let middle = median(&sound)?;
    let apart: Vec<f64> = sound.iter().map(|f| (f - middle).abs()).collect();
    Some(Learned {
        middle,
        boils: u32::try_from(sound.len()).unwrap_or(u32::MAX),
        spread: 1.4826 * median(&apart)?,
    })
}

/// The factor K one finished boil shows: the thermometer's rise over boiling water against pure
/// sucrose's at the Brix of the cooled sample. Nothing under 60 °Bx, where the rise is too small to
/// tell, or outside 0.8 to 1.6, which is a misread instrument and no syrup.
pub fn factor_seen(finish: Celsius, water: Celsius, syrup: BrixAt20C) -> Option<f64> {
    let pure = rise(syrup, water, Factor::PURE).get();
    let seen = finish.above(water).get() / pure;
    (syrup.get() >= 60.0 && (0.8..=1.6).contains(&seen)).then_some(seen)
}

/// The mill's factor K over the season's finished boils, as they showed it, and what it was learned from; the
/// default while there are none.
pub fn factor(seen: &[f64]) -> (Factor, FactorFrom, Option<Learned>) {
    let learned = learn(seen);
    let kept = learned.and_then(|l| Factor::new(l.middle).ok());
    match (kept, learned) {
        (Some(k), Some(l)) => (k, FactorFrom::Learned(l.boils), learned),
        _ => (Factor::DEFAULT, FactorFrom::Guess, None),
    }
}

/// Water driven off in a square metre in an hour, L (kg), that a finished boil shows. `minutes` are
/// those at the boil. Nothing when it cannot be true: outside 5 to 400 L.
pub fn pan_rate_seen(
    (juice, brix): (Grams, BrixAt20C),
    syrup: BrixAt20C,
    minutes: u32,
    pan_m2: f64,
) -> Option<f64> {
    let water_kg = juice.kg() * (1.0 - brix.get() / syrup.get());
    let seen = water_kg * 60.0 / (f64::from(minutes) * pan_m2);
    (5.0..=400.0).contains(&seen).then_some(seen)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn bx(value: f64) -> BrixAt20C {
        BrixAt20C::new(value).unwrap()
    }
    fn c(value: f64) -> Celsius {
        Celsius::new(value).unwrap()
    }

    #[test]
    fn k_is_the_middle_of_the_boils_and_says_how_many() {
        let seen: Vec<f64> = [(109.6, 78.0), (109.1, 77.5), (108.7, 76.8), (110.9, 79.9)]
            .iter()
            .filter_map(|(t, b)| factor_seen(c(*t), c(99.9), bx(*b)))
            .collect();
        assert_eq!(seen.len(), 4);
        let (k, from, learned) = factor(&seen);
        assert!((1.15..1.22).contains(&k.get()), "{seen:?}");
        assert_eq!(from, FactorFrom::Learned(4));
        assert!(learned.unwrap().spread < 0.05);
    }

    #[test]
    fn one_misread_boil_hardly_moves_k() {
        let (steady, ..) = factor(&[1.12, 1.13, 1.14, 1.12, 1.13]);
        let (with_one_wild, ..) = factor(&[1.12, 1.13, 1.14, 1.12, 1.13, 1.58]);
        assert!((steady.get() - with_one_wild.get()).abs() < 0.011);
    }

    #[test]
    fn a_boil_that_cannot_be_true_teaches_nothing() {
        assert_eq!(factor_seen(c(101.0), c(99.9), bx(78.0)), None);
        assert_eq!(factor_seen(c(130.0), c(99.9), bx(78.0)), None);
        assert_eq!(factor_seen(c(102.0), c(99.9), bx(40.0)), None);
        assert_eq!(factor(&[]).1, FactorFrom::Guess);
        assert_eq!(learn(&[]), None);
        let juice = (Grams::new(400_000), bx(15.0));
        assert_eq!(pan_rate_seen(juice, bx(78.0), 0, 2.2), None);
        let seen = pan_rate_seen(juice, bx(78.0), 214, 2.23).unwrap();
        assert!((seen - 40.6).abs() < 0.1, "{seen}");
    }

    #[test]
    fn k_outside_what_syrup_has_is_not_pulled_back_inside() {
        assert!((factor(&[0.95, 0.96]).0.get() - 0.955).abs() < 1e-12);
        assert!((factor(&[1.5]).0.get() - 1.5).abs() < 1e-12);
    }

    proptest! {
        #[test]
        fn prop_the_middle_lies_among_the_figures(
            figures in proptest::collection::vec(0.5..2.0_f64, 1..40),
        ) {
            let found = learn(&figures).unwrap();
            let least = figures.iter().copied().fold(f64::INFINITY, f64::min);
            let most = figures.iter().copied().fold(0.0, f64::max);
            prop_assert!(found.middle >= least && found.middle <= most);
            prop_assert!(found.spread >= 0.0 && found.spread <= 1.4826 * (most - least) + 1e-12);
        }
    }
}
