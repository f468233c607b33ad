//! The watches of the boils on the fire, kept warm between looks: a look need not take in all readings anew. A kept
//! watch is used only where everything it took in is the same, so that a correction starts afresh and nothing said
//! depends on who looked before.

use crate::calc::boil::fire::on_fire::{Boil, Reading};
use crate::calc::boil::fire::watch::Watch;
use std::ops::{Deref, DerefMut};
use std::sync::{Mutex, PoisonError};

/// How many watched boils are kept; a mill has a pan or two.
const MOST: usize = 16;

static SHELF: Mutex<Vec<Kept>> = Mutex::new(Vec::new());

/// A watch with all that it took in.
#[derive(Debug, Clone)]
struct Kept {
    boil: Boil,
    readings: Vec<Reading>,
    watch: Watch,
}

impl Kept {
    /// Whether going on from here gives the same as beginning anew.
    fn leads_to(&self, boil: &Boil, readings: &[Reading]) -> bool {
        self.boil == *boil && readings.starts_with(&self.readings)
    }
}

/// A watch as it stands on the shelf; what it took in besides goes there when it is let go.
#[derive(Debug)]
pub struct KeptWatch(Option<Kept>);

impl KeptWatch {
    /// The watch of a boil with these readings.
    pub fn of(boil: Boil, readings: Vec<Reading>) -> Self {
        // It stays on the shelf: whoever looks at the same time need not take in all readings anew.
        let found = {
            let all = SHELF.lock().unwrap_or_else(PoisonError::into_inner);
            let mut found = all.iter().rev();
            found.find(|kept| kept.leads_to(&boil, &readings)).cloned()
        };
        let (mut watch, taken) = match found {
            Some(kept) => (kept.watch, kept.readings.len()),
            None => (Watch::start(boil), 0),
        };
        for reading in &readings[taken..] {
            watch.take(reading);
        }
        Self(Some(Kept {
            boil,
            readings,
            watch,
        }))
    }
}

/// A message that is never seen: the watch is taken out only when it is let go.
const IS_HERE: &str = "the watch is here until it is let go";

impl Deref for KeptWatch {
    type Target = Watch;
    #[expect(clippy::expect_used, reason = "only `drop` takes it out")]
    fn deref(&self) -> &Watch {
        &self.0.as_ref().expect(IS_HERE).watch
    }
}

impl DerefMut for KeptWatch {
    #[expect(clippy::expect_used, reason = "only `drop` takes it out")]
    fn deref_mut(&mut self) -> &mut Watch {
        &mut self.0.as_mut().expect(IS_HERE).watch
    }
}

impl Drop for KeptWatch {
    fn drop(&mut self) {
        let Some(kept) = self.0.take() else { return };
        let mut all = SHELF.lock().unwrap_or_else(PoisonError::into_inner);
        // Another look at the same boil may have come back first; of each boil the latest stays.
        all.retain(|other| other.boil.lit != kept.boil.lit || other.boil != kept.boil);
        if all.len() >= MOST {
            all.remove(0);
        }
        all.push(kept);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::boil::boil_plan::Pan;
    use crate::calc::boil::fire::on_fire::{By, Done, FireSaid, Taught};
    use crate::units::{BrixAt20C, Celsius, Grams, UtcSecond};

    /// A boil of its own for each test, by the second it was lit.
    fn boil(lit: i64) -> Boil {
        Boil {
            lit: UtcSecond::new(lit),
            solids: Grams::new(45_000),
            juice: BrixAt20C::new(15.0).unwrap(),
            target: BrixAt20C::new(78.0).unwrap(),
            water: Celsius::new(99.5).unwrap(),
            k: Some(Taught {
                value: 1.1,
                boils: 4,
            }),
            pan: Pan::new(2.23, 61.1).unwrap(),
            rate_boils: 4,
        }
    }

    fn read(boil: &Boil, minute: i64, temp: f64) -> Reading {
        Reading {
            at: boil.lit.plus(60 * minute),
            temp: Some(Celsius::new(temp).unwrap()),
            brix: None,
            done: None,
            by: By::Hand,
            sure: false,
        }
    }

    fn some(boil: &Boil) -> Vec<Reading> {
        [(30, 99.9), (60, 100.3), (90, 101.1), (110, 102.4)]
            .map(|(minute, temp)| read(boil, minute, temp))
            .to_vec()
    }

    fn kept_on_shelf(boil: &Boil) -> Option<usize> {
        let shelf = SHELF.lock().unwrap();
        let kept = shelf.iter().find(|kept| kept.boil == *boil);
        kept.map(|kept| kept.readings.len())
    }

    #[test]
    fn a_look_from_a_kept_watch_says_what_one_from_the_beginning_says() {
        let boil = boil(1_700_000_000);
        let readings = some(&boil);
        for many in 1..=readings.len() {
            for minutes in [1, 4] {
                let upto = readings[..many].to_vec();
                let at = upto[many - 1].at.plus(60 * minutes);
                let anew = Watch::replay(boil, &upto).look(at);
                assert_eq!(KeptWatch::of(boil, upto).look(at), anew, "{many}");
            }
            assert_eq!(kept_on_shelf(&boil), Some(many));
        }
    }

    #[test]
    fn a_corrected_reading_starts_afresh() {
        let boil = boil(1_700_100_000);
        let mut readings = some(&boil);
        let at = boil.lit.plus(60 * 115);
        let before = KeptWatch::of(boil, readings.clone()).look(at);
        readings[2] = read(&boil, 90, 100.6);
        let anew = Watch::replay(boil, &readings).look(at);
        assert_ne!(before, anew);
        assert_eq!(KeptWatch::of(boil, readings).look(at), anew);
    }

    #[test]
    fn a_fire_drawn_and_lit_again_is_told_as_from_the_beginning() {
        let boil = boil(1_700_200_000);
        let mut readings = some(&boil);
        for (minute, said) in [(112, FireSaid::Drawn), (121, FireSaid::Relit)] {
            readings.push(Reading {
                temp: None,
                done: Some(Done::Fire(said)),
                ..read(&boil, minute, 100.0)
            });
            let at = boil.lit.plus(60 * (minute + 4));
            let anew = Watch::replay(boil, &readings).look(at);
            assert_eq!(KeptWatch::of(boil, readings.clone()).look(at), anew);
        }
    }

    #[test]
    fn what_was_lit_again_does_not_boil_on_through_the_pause() {
        let boil = boil(1_700_300_000);
        let at = boil.lit.plus(60 * 141);
        let mut readings = some(&boil);
        let burning = KeptWatch::of(boil, readings.clone()).look(at).brix.middle;
        for (minute, said) in [(111, FireSaid::Drawn), (140, FireSaid::Relit)] {
            readings.push(Reading {
                temp: None,
                done: Some(Done::Fire(said)),
                ..read(&boil, minute, 100.0)
            });
        }
        let then = KeptWatch::of(boil, readings.clone()).look(boil.lit.plus(60 * 111));
        let paused = KeptWatch::of(boil, readings).look(at).brix.middle;
        assert!(paused < burning - 10.0, "{paused} {burning}");
        assert!(paused < then.brix.high + 3.0, "{paused} {then:?}");
    }
}
