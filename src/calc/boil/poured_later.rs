//! Which part of what is in a boil was poured in after its fire was lit, by when it was written down: the watch must not
//! take it as boiled from the beginning.

use crate::units::{Grams, UtcSecond};

/// What is written down within so many seconds of the lighting, or of the first that was written down of the boil, was in
/// the pan when it was lit (house rule: a crew keys in vessel by vessel, and some of it late).
const WITH_LIGHTING_S: i64 = 600;

/// Until when what is written down as poured was in the pan when it was lit: `first` is when anything was first written
/// down of the boil, and `first_read` when the first reading of the pan was, which ends it.
pub fn with_lighting_until(
    lit: UtcSecond,
    first: Option<UtcSecond>,
    first_read: Option<UtcSecond>,
) -> UtcSecond {
    let begun = lit.max(first.unwrap_or(lit));
    let until = begun.plus(WITH_LIGHTING_S);
    first_read.map_or(until, |read| until.min(read.max(begun)))
}

/// A part of one juice that was poured in later.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Later {
    /// When it was written down.
    pub at: UtcSecond,
    /// Which share of all that is in the boil of this juice, 0 to 1.
    pub share: f64,
    /// Whether it is the first that was written down of this juice; else it may put an amount right.
    pub plain: bool,
}

/// The parts of one juice that were written down after `until`, by time; `own`: how much of the juice was in the boil by
/// each version, and when that was written down, by version.
///
/// What a later version took out again was never in it.
pub fn poured_later(until: UtcSecond, own: &[(UtcSecond, Grams)]) -> Vec<Later> {
    let Some((_, all)) = own.last().filter(|(_, all)| *all > Grams::ZERO) else {
        return Vec::new();
    };
    let mut out = Vec::new();
    let mut before = Grams::ZERO;
    for (place, (at, _)) in own.iter().enumerate() {
        let stays = own[place..].iter().map(|(_, amount)| *amount).min();
        let stays = stays.unwrap_or(Grams::ZERO);
        if *at > until && stays > before {
            out.push(Later {
                at: *at,
                share: (stays - before).as_f64() / all.as_f64(),
                plain: place == 0,
            });
        }
        before = stays;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    const LIT: UtcSecond = UtcSecond::new(1_800_000_000);

    /// By minutes after lighting and kilograms.
    fn of(own: &[(i64, i64)]) -> Vec<(i64, f64, bool)> {
        let own: Vec<(UtcSecond, Grams)> = own
            .iter()
            .map(|(minute, kg)| (LIT.plus(60 * minute), Grams::new(1000 * kg)))
            .collect();
        let found = poured_later(with_lighting_until(LIT, Some(LIT), None), &own);
        found
            .iter()
            .map(|later| (later.at.minutes_since(LIT), later.share, later.plain))
            .collect()
    }

    #[test]
    fn what_is_written_down_with_the_lighting_was_lit_with() {
        assert_eq!(of(&[(0, 80)]), []);
        assert_eq!(of(&[(10, 80)]), []);
        assert_eq!(of(&[(11, 80)]), [(11, 1.0, true)]);
        assert_eq!(of(&[]), []);
    }

    #[test]
    fn that_lasts_ten_minutes_from_the_first_note_and_no_longer_than_to_the_first_reading() {
        let until = |first: i64, read: Option<i64>| {
            let at = |minute| LIT.plus(60 * minute);
            with_lighting_until(LIT, Some(at(first)), read.map(at)).minutes_since(LIT)
        };
        assert_eq!((until(0, None), until(-5, None)), (10, 10));
        // Lit at a time that lies back, all of it was written down later.
        assert_eq!(until(60, None), 70);
        assert_eq!((until(60, Some(63)), until(60, Some(90))), (63, 70));
        assert_eq!((until(0, Some(4)), until(60, Some(30))), (4, 60));
    }

    #[test]
    fn more_of_the_same_may_be_a_pour_or_a_correction_and_less_is_a_correction() {
        assert_eq!(of(&[(0, 60), (50, 80)]), [(50, 0.25, false)]);
        assert_eq!(of(&[(0, 80), (50, 60)]), []);
        assert_eq!(of(&[(40, 90), (50, 60)]), [(40, 1.0, true)]);
        // Taken out again and put in later: in it since then.
        assert_eq!(of(&[(0, 80), (40, 0), (50, 60)]), [(50, 1.0, false)]);
        assert_eq!(of(&[(0, 80), (40, 0)]), []);
    }
}
