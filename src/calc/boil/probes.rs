//! A probe: a thermometer in a pan that sends by itself. Which boil its readings belong to, which of
//! them are kept, how far it is off, and when it has fallen silent. Pure.

use crate::calc::RuleRefusal;
use crate::units::{BoilId, Celsius, CelsiusDifference, Units, UtcSecond};

/// A temperature and when it was read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TempAt {
    /// When the probe read it.
    pub at: UtcSecond,
    /// The temperature that it showed.
    pub temp: Celsius,
}

/// Seconds after a kept reading within which another is kept only if the temperature moved.
pub const KEEP_EVERY_S: i64 = 15;
/// A move of the temperature that is kept at once, °C: half a degree Fahrenheit, which at 75 °Bx is
/// about 0.5 °Bx of an open pan.
pub const MOVED_C: f64 = 0.3;
/// Seconds after a kept reading within which nothing more is kept: a batch that is sent twice comes with ages
/// rounded otherwise, and no thermometer in syrup answers faster.
pub const SAME_S: i64 = 2;
/// Seconds without a reading after which a probe has fallen silent.
pub const SILENT_S: i64 = 120;
/// In boiling water a fit thermometer is not farther off than this, °C (common practice: one that is more
/// than some degrees off is thrown away).
pub const OFF_MOST_C: f64 = 5.0;
/// Greatest age, in seconds, of a probe's reading from which its offset is learned.
pub const FRESH_S: i64 = 60;

/// Those of `sent` that are to be kept beside what is kept already, by time. One is left out if a kept one
/// lies within [`KEEP_EVERY_S`] of it and within [`MOVED_C`]; so the same instants sent twice are kept once.
pub fn thin(kept: &[TempAt], sent: &[TempAt]) -> Vec<TempAt> {
    let mut sent = sent.to_vec();
    sent.sort_by_key(|one| one.at);
    let mut fresh: Vec<TempAt> = Vec::new();
    for one in sent {
        let tells_nothing = |other: &TempAt| {
            let seconds = (one.at.get() - other.at.get()).abs();
            let moved = one.temp.above(other.temp).get().abs();
            // A hair less than the limit, since 104.3 − 104.0 is not quite 0.3 in binary.
            seconds <= SAME_S || (seconds < KEEP_EVERY_S && moved < MOVED_C - 1e-9)
        };
        if !kept.iter().chain(&fresh).any(tells_nothing) {
            fresh.push(one);
        }
    }
    fresh
}

/// A boil under which the fire burns or burnt.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Fire {
    /// The boil.
    pub boil: BoilId,
    /// When it was lit.
    pub lit_at: UtcSecond,
    /// When it was drawn off; `None`: it is on the fire.
    pub finished_at: Option<UtcSecond>,
}

impl Fire {
    /// Whether it was on the fire then.
    fn burnt_at(&self, at: UtcSecond) -> bool {
        self.lit_at <= at && self.finished_at.is_none_or(|end| at <= end)
    }
}

/// The boil that was on the fire then; of several, the one that was lit last.
pub fn boil_at(fires: &[Fire], at: UtcSecond) -> Option<BoilId> {
    fires
        .iter()
        .filter(|fire| fire.burnt_at(at))
        .max_by_key(|fire| (fire.lit_at, fire.boil))
        .map(|fire| fire.boil)
}

/// How much too high a probe reads in boiling water.
///
/// # Errors
/// It is farther off than [`OFF_MOST_C`]: it does not stand in boiling water, or is not fit.
pub fn offset(
    read: Celsius,
    water: Celsius,
    units: Units,
) -> Result<CelsiusDifference, RuleRefusal> {
    let off = read.above(water);
    if off.get().abs() > OFF_MOST_C {
        return Err(RuleRefusal::new(
            "probe-not-in-water",
            format!(
                "The probe shows {}, but water boils at {} today. Please hold it in water that boils hard, \
                 clear of the bottom, and wait until its figure stands still. If it shows the same then, it \
                 is not fit for the pan.",
                read.show(units),
                water.show(units)
            ),
        ));
    }
    Ok(off)
}

/// A reading with the probe's offset taken off.
pub fn corrected(read: Celsius, offset: CelsiusDifference) -> Celsius {
    // An offset is small: only at the ends of the range can the difference leave it.
    Celsius::new(read.get() - offset.get()).unwrap_or(read)
}

/// How long ago a probe was last heard.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Heard {
    /// It was heard this many seconds ago.
    Ago(i64),
    /// It has fallen silent, and was last heard then.
    NotSince(UtcSecond),
}

/// Whether a probe that read last at `last` still speaks at the moment `at`.
pub fn heard(last: UtcSecond, at: UtcSecond) -> Heard {
    let seconds = (at.get() - last.get()).max(0);
    if seconds > SILENT_S {
        Heard::NotSince(last)
    } else {
        Heard::Ago(seconds)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use uuid::Uuid;

    fn at(s: i64, celsius: f64) -> TempAt {
        TempAt {
            at: UtcSecond::new(s),
            temp: Celsius::new(celsius).unwrap(),
        }
    }

    fn times(of: &[TempAt]) -> Vec<i64> {
        of.iter().map(|one| one.at.get()).collect()
    }

    #[test]
    fn a_steady_probe_is_kept_once_in_fifteen_seconds() {
        let sent: Vec<TempAt> = (0..=60).step_by(5).map(|s| at(s, 104.0)).collect();
        assert_eq!(times(&thin(&[], &sent)), [0, 15, 30, 45, 60]);
        assert_eq!(times(&thin(&[at(0, 104.0)], &sent)), [15, 30, 45, 60]);
    }

    #[test]
    fn a_move_of_three_tenths_is_kept_at_once_and_less_is_not() {
        let sent = [at(0, 104.0), at(5, 104.3), at(10, 104.59), at(14, 103.7)];
        assert_eq!(times(&thin(&[], &sent)), [0, 5, 14]);
        assert_eq!(
            times(&thin(&[], &[at(0, 104.0), at(2, 109.0), at(3, 109.0)])),
            [0, 3]
        );
        // A billionth short of three tenths is three tenths as a thermometer is read.
        let sent = [at(0, 0.0), at(5, 0.3 - 1e-9)];
        assert_eq!(times(&thin(&[], &sent)), [0, 5]);
    }

    #[test]
    fn a_late_batch_is_put_between_what_is_kept() {
        let kept = [at(0, 100.0), at(60, 102.0)];
        let sent = [at(50, 102.0), at(20, 100.6), at(40, 101.4), at(10, 100.1)];
        assert_eq!(times(&thin(&kept, &sent)), [20, 40]);
    }

    proptest! {
        /// Sent again with the same instants a batch adds nothing; with every age rounded a second
        /// otherwise it adds none that a kept one tells already.
        #[test]
        fn prop_what_is_sent_twice_is_kept_once(
            steps in prop::collection::vec((3_i64..40, -0.6_f64..0.9), 1..60),
            shift in -1_i64..=1,
        ) {
            let (mut s, mut t) = (1_000_i64, 99.0_f64);
            let sent: Vec<TempAt> = steps
                .iter()
                .map(|(wait, rise)| {
                    (s, t) = (s + wait, (t + rise).clamp(90.0, 120.0));
                    at(s, t)
                })
                .collect();
            let kept = thin(&[], &sent);
            prop_assert!(!kept.is_empty());
            let again: Vec<TempAt> = sent
                .iter()
                .map(|one| TempAt { at: one.at.plus(shift), temp: one.temp })
                .collect();
            let added = thin(&kept, &again);
            if shift == 0 {
                prop_assert_eq!(&added, &Vec::new());
            }
            for (n, one) in added.iter().enumerate() {
                for other in kept.iter().chain(&added[..n]) {
                    let seconds = (one.at.get() - other.at.get()).abs();
                    let moved = one.temp.above(other.temp).get().abs();
                    let tells = seconds >= KEEP_EVERY_S || moved >= MOVED_C - 1e-6;
                    prop_assert!(seconds > SAME_S && tells, "{one:?} beside {other:?}");
                }
            }
        }

        /// Whatever is left out, something as good is kept close by.
        #[test]
        fn prop_what_is_left_out_is_told_by_a_neighbour(
            temps in prop::collection::vec(95.0_f64..112.0, 1..50),
        ) {
            let sent: Vec<TempAt> = (0_i64..).step_by(5).zip(&temps).map(|(s, t)| at(s, *t)).collect();
            let kept = thin(&[], &sent);
            for one in &sent {
                let near = kept.iter().any(|k| {
                    (k.at.get() - one.at.get()).abs() < KEEP_EVERY_S
                        && one.temp.above(k.temp).get().abs() < MOVED_C
                });
                prop_assert!(near, "{one:?} is told by nothing");
            }
        }
    }

    #[test]
    fn a_reading_belongs_to_the_boil_that_was_lit_then() {
        let boil = |n| BoilId::new(Uuid::from_u128(n));
        let fire = |n, lit, end: Option<i64>| Fire {
            boil: boil(n),
            lit_at: UtcSecond::new(lit),
            finished_at: end.map(UtcSecond::new),
        };
        let fires = [
            fire(1, 100, Some(200)),
            fire(2, 300, None),
            fire(3, 400, None),
        ];
        let of = |s| boil_at(&fires, UtcSecond::new(s));
        assert_eq!(of(99), None);
        assert_eq!((of(100), of(200)), (Some(boil(1)), Some(boil(1))));
        assert_eq!(of(201), None);
        assert_eq!((of(399), of(400)), (Some(boil(2)), Some(boil(3))));
    }

    #[test]
    fn the_offset_is_what_it_shows_too_much_and_is_taken_off() {
        let c = |t| Celsius::new(t).unwrap();
        let off = offset(c(99.6), c(99.2), Units::Us).unwrap();
        assert!((off.get() - 0.4).abs() < 1e-9);
        assert!((corrected(c(108.4), off).get() - 108.0).abs() < 1e-9);
        for read in [94.1, 104.3] {
            let said = offset(c(read), c(99.2), Units::Us).unwrap_err();
            assert_eq!(said.code, "probe-not-in-water");
            assert!(said.sentence.contains("water boils at 210.6 °F"), "{said}");
        }
        assert!(offset(c(94.3), c(99.2), Units::Us).is_ok());
        // Five degrees off either way is still within it.
        for read in [94.0, 104.0] {
            assert!(offset(c(read), c(99.0), Units::Us).is_ok(), "{read}");
        }
    }

    #[test]
    fn after_two_minutes_it_has_fallen_silent() {
        let last = UtcSecond::new(1_000);
        let of = |s| heard(last, UtcSecond::new(s));
        assert_eq!((of(1_012), of(990)), (Heard::Ago(12), Heard::Ago(0)));
        assert_eq!(
            (of(1_120), of(1_121)),
            (Heard::Ago(120), Heard::NotSince(last))
        );
    }
}
