//! What a refractometer reading means at 20 °C: the temperature correction of a plain instrument,
//! Brix against refractive index, and which of two or three readings counts. Never corrects an
//! instrument that corrects itself.

use crate::calc::RuleRefusal;
use crate::units::{BrixAt20C, BrixRead, Celsius};

/// Kinds of refractometer, by what they do about temperature.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Instrument {
    /// Shows what the light does: its readings are corrected here.
    Plain,
    /// A hand instrument with automatic temperature compensation.
    SelfCompensating,
    /// An electronic instrument, which measures its prism and compensates.
    Digital,
}

impl Instrument {
    /// Every kind, in the order a form offers them.
    pub const ALL: [Self; 3] = [Self::Plain, Self::SelfCompensating, Self::Digital];

    /// The word a form and the store use.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Plain => "plain",
            Self::SelfCompensating => "self",
            Self::Digital => "digital",
        }
    }

    /// The name a page prints.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Plain => "plain (no temperature compensation)",
            Self::SelfCompensating => "self-compensating (ATC)",
            Self::Digital => "digital",
        }
    }

    /// Reads the word back; nothing for any other word.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }
}

/// A reading brought to 20 °C, with what was added and what to be wary of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corrected {
    /// Dissolved solids at 20 °C.
    pub brix: BrixAt20C,
    /// °Bx added to the reading; nought for an instrument that compensates.
    pub added: f64,
    /// A caution to print beside it.
    pub caution: Option<&'static str>,
}

const WARM_PRISM: &str = "Between 30 and 40 °C (86–104 °F) the correction is less sure, about ±0.05 °Bx. \
     Cool the sample if you can.";
const OUTSIDE_ATC: &str = "Most instruments compensate only from 10 to 30 °C (50–86 °F). Bring the sample \
     into that range and read again if you can.";

/// °Bx to add to a plain instrument's reading taken at `at`.
///
/// Our own fit: to the printed table of the international correction for 10–19 °C (within 0.023
/// °Bx of GOST Table A.1 and OIV-MA-AS2-02 Table I) and above 20 °C to a refraction model tuned on
/// it (±0.05). Range 10–40 °C, 0–80 °Bx; [`to_20c`] keeps to it.
pub fn correction(read: BrixRead, at: Celsius) -> f64 {
    let (d, x) = ((at.get() - 20.0) / 10.0, read.get() / 100.0);
    let linear = 0.6264 + x * (0.4778 + x * (-0.1476 - 0.3119 * x));
    let square = 0.1171 + x * (-0.1822 + 0.0483 * x);
    d * (linear + d * (square - 0.0017 * d))
}

/// Brings a reading to 20 °C. `at` is the temperature of the prism and the drop on it. A reading
/// that corrects to less than nothing is water and counts as 0 °Bx.
///
/// # Errors
/// A plain instrument outside 10–40 °C, or a result above 95 °Bx.
pub fn to_20c(
    read: BrixRead,
    instrument: Instrument,
    at: Celsius,
) -> Result<Corrected, RuleRefusal> {
    let t = at.get();
    let (added, caution) = match instrument {
        Instrument::Plain if !(10.0..=40.0).contains(&t) => {
            return Err(RuleRefusal::beside(
                "temp",
                "prism-temperature",
                "A plain refractometer can be corrected only from 10 to 40 °C (50–104 °F). \
                 Please let the sample come to that temperature and read it again.",
            ));
        }
        Instrument::Plain => (correction(read, at), (t > 30.0).then_some(WARM_PRISM)),
        Instrument::SelfCompensating | Instrument::Digital => {
            let inside = (10.0..=30.0).contains(&t);
            (0.0, (!inside).then_some(OUTSIDE_ATC))
        }
    };
    let brix = BrixAt20C::new((read.get() + added).max(0.0))
        .map_err(|refused| RuleRefusal::refused("brix_1", &refused))?;
    Ok(Corrected {
        brix,
        added,
        caution,
    })
}

/// Percent by mass from the refractive index at 20 °C and 589 nm: a fifth-degree polynomial fitted
/// to the ICUMSA table (public encyclopedia page). Within 0.04 °Bx of the CRC table to 66 °Bx, 0.07
/// at 80; range 0–85.
pub fn brix_of_index(n: f64) -> f64 {
    let powers = [
        11_758.74,
        -88_885.21,
        270_177.93,
        -413_145.80,
        318_417.95,
        -99_127.453_6,
    ];
    powers.iter().fold(0.0, |sum, c| sum * n + c)
}

/// Default greatest difference between two readings that agree, °Bx (common practice: instruments
/// read to ±0.2).
pub const AGREE_WITHIN: f64 = 0.5;

/// The reading that two or three readings come to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Agreed {
    /// The mean of two, or the middle one of three.
    pub read: BrixRead,
    /// Greatest less least of all that were taken, °Bx.
    pub spread: f64,
}

/// What readings of one juice come to: two that agree within `within` °Bx count by their mean; if
/// they do not, a third is needed and the middle one of three counts, provided two of them agree.
///
/// The middle one rather than the mean of the two closest: a wild third reading cannot move it
/// beyond the first two, equal gaps (14.0, 14.5, 15.0) leave nothing to choose, and anybody can
/// check it without arithmetic.
///
/// # Errors
/// Beside `brix_1`, `brix_2` or `brix_3`: a reading that is missing, or three that do not agree.
pub fn agree(readings: &[BrixRead], within: f64) -> Result<Agreed, RuleRefusal> {
    let mut sorted: Vec<f64> = readings.iter().map(|r| r.get()).collect();
    sorted.sort_by(f64::total_cmp);
    // A hair over, so that 15.5 and 15.0 agree within 0.5 whatever binary makes of them.
    let close = |a: f64, b: f64| (b - a).abs() <= within + 1e-9;
    let (read, spread) = match sorted[..] {
        [] => {
            return Err(RuleRefusal::beside(
                "brix_1",
                "brix-missing",
                "Please read the refractometer twice and write both readings.",
            ));
        }
        [_] => {
            return Err(RuleRefusal::beside(
                "brix_2",
                "brix-missing",
                "Please take a second reading from a fresh drop.",
            ));
        }
        [a, b] if close(a, b) => (f64::midpoint(a, b), b - a),
        [a, b] => {
            return Err(RuleRefusal::beside(
                "brix_3",
                "brix-apart",
                format!(
                    "{a:.1} and {b:.1} are more than {within} °Bx apart. Please stir the juice, \
                     wipe the prism and take a third reading."
                ),
            ));
        }
        [a, b, c] if close(a, b) || close(b, c) => (b, c - a),
        _ => {
            return Err(RuleRefusal::beside(
                "brix_3",
                "brix-apart",
                format!(
                    "No two of these readings agree within {within} °Bx. Please check the \
                     refractometer in clean water, stir the juice and read again."
                ),
            ));
        }
    };
    let read = BrixRead::new(read).map_err(|refused| RuleRefusal::refused("brix_1", &refused))?;
    Ok(Agreed { read, spread })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn read(value: f64) -> BrixRead {
        BrixRead::new(value).unwrap()
    }
    fn c(value: f64) -> Celsius {
        Celsius::new(value).unwrap()
    }
    fn agreed(values: &[f64]) -> Result<f64, RuleRefusal> {
        let readings: Vec<BrixRead> = values.iter().map(|v| read(*v)).collect();
        agree(&readings, AGREE_WITHIN).map(|a| a.read.get())
    }

    /// Refractive index at 20 °C of a solution, 0–85 °Bx: [`brix_of_index`] undone by halving.
    fn index_of_brix(brix: BrixAt20C) -> f64 {
        let (mut low, mut high) = (1.33_f64, 1.53_f64);
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            if brix_of_index(middle) < brix.get() {
                low = middle;
            } else {
                high = middle;
            }
        }
        f64::midpoint(low, high)
    }

    #[test]
    fn an_instrument_that_compensates_is_never_corrected() {
        for kind in [Instrument::SelfCompensating, Instrument::Digital] {
            for t in [5.0, 12.0, 25.0, 39.0] {
                let found = to_20c(read(15.4), kind, c(t)).unwrap();
                assert!((found.brix.get() - 15.4).abs() < 1e-12 && found.added == 0.0);
                assert_eq!(found.caution.is_some(), !(10.0..=30.0).contains(&t));
            }
        }
    }

    #[test]
    fn a_plain_instrument_is_refused_outside_10_to_40_c_and_flagged_above_30() {
        for t in [9.9, 40.1, -3.0] {
            let said = to_20c(read(15.0), Instrument::Plain, c(t)).unwrap_err();
            assert_eq!((said.at, said.code), (Some("temp"), "prism-temperature"));
        }
        let warm = to_20c(read(15.0), Instrument::Plain, c(35.0)).unwrap();
        assert!(warm.caution.is_some() && warm.added > 0.9);
        assert!(
            to_20c(read(15.0), Instrument::Plain, c(30.0))
                .unwrap()
                .caution
                .is_none()
        );
    }

    #[test]
    fn cold_water_counts_as_nothing_and_95_stays_the_most() {
        let cold = to_20c(read(0.2), Instrument::Plain, c(10.0)).unwrap();
        assert!(cold.brix.get() == 0.0 && cold.added < 0.0);
        assert!(to_20c(read(95.0), Instrument::Plain, c(38.0)).is_err());
    }

    #[test]
    fn two_readings_half_a_degree_apart_still_agree() {
        assert!((agreed(&[15.0, 15.5]).unwrap() - 15.25).abs() < 1e-12);
        assert!((agreed(&[0.1, 0.6]).unwrap() - 0.35).abs() < 1e-12);
        assert_eq!(agreed(&[15.0, 15.6]).unwrap_err().at, Some("brix_3"));
        assert_eq!(agreed(&[15.0]).unwrap_err().at, Some("brix_2"));
        assert_eq!(agreed(&[]).unwrap_err().at, Some("brix_1"));
    }

    #[test]
    fn of_three_readings_the_middle_one_counts() {
        assert!((agreed(&[15.0, 15.6, 15.2]).unwrap() - 15.2).abs() < 1e-12);
        assert!((agreed(&[14.0, 15.0, 14.5]).unwrap() - 14.5).abs() < 1e-12);
        assert!((agreed(&[15.0, 15.6, 61.0]).unwrap_err().sentence).contains("No two"));
        assert!(agreed(&[10.0, 14.0, 18.0]).is_err());
    }

    #[test]
    fn the_words_read_back() {
        for kind in Instrument::ALL {
            assert_eq!(Instrument::parse(kind.word()), Some(kind));
        }
        assert_eq!(Instrument::parse("ATC"), None);
    }

    proptest! {
        #[test]
        fn prop_the_refractive_index_and_brix_undo_each_other(brix in 0.0..85.0_f64) {
            let n = index_of_brix(BrixAt20C::new(brix).unwrap());
            prop_assert!((brix_of_index(n) - brix).abs() < 1e-8);
        }

        #[test]
        fn prop_a_reading_at_20_c_is_left_and_warmer_adds_more(
            brix in 0.0..80.0_f64, t in 10.0..39.0_f64,
        ) {
            prop_assert!(correction(read(brix), c(20.0)).abs() < 1e-15);
            prop_assert!(correction(read(brix), c(t + 1.0)) > correction(read(brix), c(t)));
        }

        #[test]
        fn prop_a_third_reading_never_moves_the_middle_beyond_the_first_two(
            a in 5.0..20.0_f64, b in 5.0..20.0_f64, third in 0.0..60.0_f64,
        ) {
            if let Ok(found) = agreed(&[a, b, third]) {
                prop_assert!(found >= a.min(b) && found <= a.max(b));
            }
        }
    }
}
