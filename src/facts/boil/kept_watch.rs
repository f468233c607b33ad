//! The watches of the boils on the fire, kept warm between looks: a look need not take in all readings anew. A kept
//! watch is used only where everything it took in is the same, so that a correction starts afresh and nothing said
//! depends on who looked before.

use crate::calc::boil::on_fire::{Boil, Reading};
use crate::calc::boil::watch::Watch;
use crate::units::UtcSecond;
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
    drawn: Option<UtcSecond>,
    watch: Watch,
}

impl Kept {
    /// Whether going on from here gives the same as beginning anew: what is read before the fire was drawn is taken in
    /// before that, and the rest after it.
    fn leads_to(&self, boil: &Boil, readings: &[Reading], drawn: Option<UtcSecond>) -> bool {
        if self.boil != *boil || !readings.starts_with(&self.readings) {
            return false;
        }
        let first_new = readings.get(self.readings.len());
        match (self.drawn, drawn) {
            (None, None) => true,
            (None, Some(at)) => self.readings.last().is_none_or(|last| last.at <= at),
            (Some(was), Some(at)) => was == at && first_new.is_none_or(|new| new.at > at),
            (Some(_), None) => false,
        }
    }
}

/// A watch as it stands on the shelf; what it took in besides goes there when it is let go.
#[derive(Debug)]
pub struct KeptWatch(Option<Kept>);

impl KeptWatch {
    /// The watch of a boil with these readings, its fire drawn then.
    pub fn of(boil: Boil, readings: Vec<Reading>, drawn: Option<UtcSecond>) -> Self {
        // It stays on the shelf: whoever looks at the same time need not take in all readings anew.
        let found = {
            let all = SHELF.lock().unwrap_or_else(PoisonError::into_inner);
            let mut found = all.iter().rev();
            found
                .find(|kept| kept.leads_to(&boil, &readings, drawn))
                .cloned()
        };
        let (mut watch, taken, was_drawn) = match found {
            Some(kept) => (kept.watch, kept.readings.len(), kept.drawn),
            None => (Watch::start(boil), 0, None),
        };
        let mut to_draw = drawn.filter(|_| was_drawn.is_none());
        for reading in &readings[taken..] {
            if let Some(at) = to_draw.take_if(|at| reading.at > *at) {
                watch.fire_drawn(at);
            }
            watch.take(reading);
        }
        if let Some(at) = to_draw {
            watch.fire_drawn(at);
        }
        Self(Some(Kept {
            boil,
            readings,
            drawn,
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
    use crate::calc::boil::on_fire::{By, Taught};
    use crate::units::{BrixAt20C, Celsius, Grams};

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
            fire: None,
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
                assert_eq!(KeptWatch::of(boil, upto, None).look(at), anew, "{many}");
            }
            assert_eq!(kept_on_shelf(&boil), Some(many));
        }
    }

    #[test]
    fn a_corrected_reading_starts_afresh() {
        let boil = boil(1_700_100_000);
        let mut readings = some(&boil);
        let at = boil.lit.plus(60 * 115);
        let before = KeptWatch::of(boil, readings.clone(), None).look(at);
        readings[2] = read(&boil, 90, 100.6);
        let anew = Watch::replay(boil, &readings).look(at);
        assert_ne!(before, anew);
        assert_eq!(KeptWatch::of(boil, readings, None).look(at), anew);
    }

    #[test]
    fn a_fire_drawn_and_lit_again_is_told_as_from_the_beginning() {
        let boil = boil(1_700_200_000);
        let readings = some(&boil);
        let (drawn, at) = (boil.lit.plus(60 * 112), boil.lit.plus(60 * 130));
        let mut anew = Watch::replay(boil, &readings);
        let burning = anew.look(at);
        anew.fire_drawn(drawn);
        let out = anew.look(at);
        assert_ne!(burning.brix, out.brix);
        let kept = |drawn| KeptWatch::of(boil, readings.clone(), drawn).look(at);
        assert_eq!(kept(None), burning);
        assert_eq!(kept(Some(drawn)), out);
        assert_eq!(kept(None), burning);
    }
}
