//! How often a probe may send, a member send forms, books be taken out, and a passphrase be guessed: at one name from one
//! address, and from one address, within a window. Nobody is shut out for good: the window passes, and a steward's
//! invitation always opens another way.

use crate::units::{MemberId, UtcSecond};
use std::collections::HashMap;
use std::sync::{Arc, Mutex};

/// Guesses at one name from one address, or from one device that its owner signed in with, within the window.
const PAIR_TRIES: usize = 5;
/// Guesses at one name from everywhere, but for devices that its owner signed in with.
const NAME_TRIES: usize = 100;
/// Failures allowed from one address within the window: a whole mill may share one.
const ADDRESS_TRIES: usize = 30;
/// Lots that one address may look up within the window: a market stall shares one.
const LOT_LOOKS: usize = 40;
/// Forms that a member may send within the window: more than any hand fills in.
const MEMBER_FORMS: usize = 600;
/// Files of the books that one person may take out within the window.
const FILES: usize = 60;
/// How far back failures count, seconds.
const WINDOW_S: i64 = 15 * 60;
/// Times that a probe may send within [`PROBE_WINDOW_S`]: one in two seconds.
const PROBE_TIMES: usize = 30;
/// The window of a probe, in seconds.
const PROBE_WINDOW_S: i64 = 60;
/// Most names and addresses remembered at once.
const MOST: usize = 10_000;

/// Failures remembered, in memory: a restart forgets them.
#[derive(Debug, Clone, Default)]
pub struct Throttle(Arc<Mutex<HashMap<String, Vec<i64>>>>);

impl Throttle {
    fn with<T>(&self, look: impl FnOnce(&mut HashMap<String, Vec<i64>>) -> T) -> T {
        look(
            &mut self
                .0
                .lock()
                .unwrap_or_else(std::sync::PoisonError::into_inner),
        )
    }

    /// Counts a guess before it is looked at, so that of many sent at once no more are looked at than of as many one
    /// after another.
    ///
    /// # Errors
    /// There were too many tries: the seconds until the next is allowed.
    pub fn count(&self, guess: &Guess, at: UtcSecond) -> Result<(), i64> {
        self.with(|all| {
            guess.waits(all, at)?;
            for (key, _) in guess.counted() {
                note(all, key, at);
            }
            Ok(())
        })
    }

    /// Whether a guess would be looked at, without its being counted.
    ///
    /// # Errors
    /// There were too many tries: the seconds until the next is allowed.
    pub fn waits(&self, guess: &Guess, at: UtcSecond) -> Result<(), i64> {
        self.with(|all| guess.waits(all, at))
    }

    /// Notes that a guess was wrong.
    pub fn failed(&self, guess: &Guess, at: UtcSecond) {
        if let Some(key) = &guess.address {
            self.with(|all| note(all, key, at));
        }
    }

    /// Takes back the count of what was no guess.
    pub fn undo(&self, guess: &Guess) {
        self.with(|all| {
            for (key, _) in guess.counted() {
                if let Some(times) = all.get_mut(key) {
                    times.pop();
                }
            }
        });
    }

    /// Forgets what was counted from there after the right passphrase.
    pub fn succeeded(&self, guess: &Guess) {
        self.undo(guess);
        self.with(|all| all.remove(&guess.pair));
    }

    /// Notes that somebody looks a lot up by its code, unless that address did so too often: then the seconds until it
    /// may again. Counted whether there is such a lot or not: codes run on, and are not to be found by trying.
    pub fn looked_up_too_often(&self, address: &str, at: UtcSecond) -> Option<i64> {
        self.too_many(&format!("l:{address}"), (LOT_LOOKS, WINDOW_S), at)
    }

    /// Notes that a probe sends, unless it does so too often: then the seconds until it may again.
    pub fn too_often(&self, sender: &str, at: UtcSecond) -> Option<i64> {
        self.too_many(&format!("p:{sender}"), (PROBE_TIMES, PROBE_WINDOW_S), at)
    }

    /// Notes that a member sends a form, unless so many came that no person sends them: then the seconds until it
    /// may again. The crew's are not counted: a phone may send what it kept all day at once.
    pub fn sends_too_often(&self, member: MemberId, at: UtcSecond) -> Option<i64> {
        self.too_many(&format!("m:{member}"), (MEMBER_FORMS, WINDOW_S), at)
    }

    /// Notes that somebody takes a file of the books out, unless too often: then the seconds until it may again.
    pub fn takes_out_too_often(&self, member: MemberId, at: UtcSecond) -> Option<i64> {
        self.too_many(&format!("x:{member}"), (FILES, WINDOW_S), at)
    }

    /// Notes one more use of a key, unless it has had `times` within `window` seconds: then the seconds until the
    /// next. What is turned away does not count.
    fn too_many(&self, key: &str, (times, window): (usize, i64), at: UtcSecond) -> Option<i64> {
        self.with(|all| {
            forget_old(all, at);
            let noted = all.entry(key.to_owned()).or_default();
            noted.retain(|t| at.get() - t < window);
            if noted.len() >= times {
                return noted.first().map(|t| t + window - at.get());
            }
            noted.push(at.get());
            None
        })
    }
}

/// Lets go of what is past, once much is remembered.
fn forget_old(all: &mut HashMap<String, Vec<i64>>, at: UtcSecond) {
    if all.len() > MOST {
        all.retain(|_, times| times.last().is_some_and(|t| at.get() - t < WINDOW_S));
    }
}

/// Seconds until the next of a key, when it has had all its tries within the window.
fn wait(all: &HashMap<String, Vec<i64>>, key: &str, tries: usize, at: UtcSecond) -> Option<i64> {
    let recent = || {
        all.get(key)
            .into_iter()
            .flatten()
            .filter(|t| at.get() - **t < WINDOW_S)
    };
    let first = recent().next()?;
    (recent().count() >= tries).then(|| first + WINDOW_S - at.get())
}

fn note(all: &mut HashMap<String, Vec<i64>>, key: &str, at: UtcSecond) {
    let times = all.entry(key.to_owned()).or_default();
    times.retain(|t| at.get() - t < WINDOW_S);
    times.push(at.get());
}

/// A guess at a passphrase: at whose, and where it comes from.
#[derive(Debug, Clone)]
pub struct Guess {
    pair: String,
    name: Option<String>,
    address: Option<String>,
}

impl Guess {
    /// A guess at a name from this address.
    pub fn from_address(name: &str, address: &str) -> Self {
        Self {
            pair: format!("g:{name} {address}"),
            name: Some(format!("n:{name}")),
            address: Some(format!("a:{address}")),
        }
    }

    /// A guess at the code of a person's second factor: few are let through, wherever they come from.
    pub fn at_code(person: &str, address: &str) -> Self {
        Self {
            pair: format!("c:{person}"),
            name: None,
            address: Some(format!("a:{address}")),
        }
    }

    /// A guess from a device that the name's owner signed in with before: other people's guesses do not count for it.
    pub fn from_own_device(name: &str) -> Self {
        Self {
            pair: format!("d:{name}"),
            name: None,
            address: None,
        }
    }

    /// # Errors
    /// There were too many tries: the seconds until the next is allowed.
    fn waits(&self, all: &mut HashMap<String, Vec<i64>>, at: UtcSecond) -> Result<(), i64> {
        forget_old(all, at);
        let address = self.address.as_deref().map(|key| (key, ADDRESS_TRIES));
        let counted = self.counted().into_iter().chain(address);
        let longest = counted
            .filter_map(|(key, tries)| wait(all, key, tries, at))
            .max();
        longest.map_or(Ok(()), Err)
    }

    /// The keys that it is counted by, before it is looked at, with how many each may have.
    fn counted(&self) -> Vec<(&str, usize)> {
        let name = self.name.as_deref().map(|name| (name, NAME_TRIES));
        std::iter::once((self.pair.as_str(), PAIR_TRIES))
            .chain(name)
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(s: i64) -> UtcSecond {
        UtcSecond::new(1_000_000 + s)
    }

    #[test]
    fn the_sixth_guess_waits_and_the_window_passes() {
        let throttle = Throttle::default();
        let guess = Guess::from_address("ruth", "10.0.0.1");
        for s in 0..5 {
            assert_eq!(throttle.count(&guess, at(s)), Ok(()));
            throttle.failed(&guess, at(s));
        }
        assert_eq!(throttle.count(&guess, at(10)), Err(890));
        assert_eq!(
            throttle.count(&Guess::from_address("amos", "10.0.0.1"), at(10)),
            Ok(())
        );
        assert_eq!(throttle.count(&guess, at(905)), Ok(()));
        throttle.succeeded(&guess);
        assert_eq!(throttle.count(&guess, at(906)), Ok(()));
    }

    #[test]
    fn guesses_of_others_do_not_keep_the_owner_out() {
        let throttle = Throttle::default();
        for n in 0..400 {
            let stranger = Guess::from_address("ruth", &format!("10.0.{}.1", n / 5));
            if throttle.count(&stranger, at(n)).is_ok() {
                throttle.failed(&stranger, at(n));
            }
        }
        // Strangers have had their hundred together; her own telephone is let in, with tries of its own.
        assert!(
            throttle
                .count(&Guess::from_address("ruth", "10.9.9.9"), at(401))
                .is_err()
        );
        let own = Guess::from_own_device("ruth");
        for s in 0..5 {
            assert_eq!(throttle.count(&own, at(402 + s)), Ok(()));
        }
        assert!(throttle.count(&own, at(410)).is_err());
    }

    #[test]
    fn a_storm_of_right_ones_from_one_address_is_let_in_and_one_of_wrong_ones_is_not() {
        let throttle = Throttle::default();
        let each: Vec<Guess> = (0..300)
            .map(|n| Guess::from_address(&format!("grower{n}"), "10.0.0.1"))
            .collect();
        for guess in &each {
            assert_eq!(throttle.waits(guess, at(0)), Ok(()));
        }
        for guess in &each {
            assert_eq!(throttle.count(guess, at(1)), Ok(()));
            throttle.succeeded(guess);
        }
        let mut looked_at = 0;
        for guess in &each {
            if throttle.count(guess, at(3)).is_ok() {
                looked_at += 1;
                throttle.failed(guess, at(3));
            }
        }
        assert_eq!(looked_at, ADDRESS_TRIES);
    }

    #[test]
    fn forty_lots_are_looked_up_from_an_address_and_no_more_within_the_window() {
        let throttle = Throttle::default();
        for s in 0..40 {
            assert_eq!(throttle.looked_up_too_often("10.0.0.1", at(s)), None);
        }
        assert_eq!(throttle.looked_up_too_often("10.0.0.1", at(40)), Some(860));
        assert_eq!(throttle.looked_up_too_often("10.0.0.2", at(40)), None);
        assert_eq!(throttle.looked_up_too_often("10.0.0.1", at(900)), None);
    }

    #[test]
    fn a_probe_may_send_thirty_times_a_minute_and_each_for_itself() {
        let throttle = Throttle::default();
        for s in 0..30 {
            assert_eq!(throttle.too_often("a", at(s)), None);
        }
        assert_eq!(throttle.too_often("a", at(30)), Some(30));
        assert_eq!(throttle.too_often("b", at(30)), None);
        // What was turned away does not count: the first of the thirty leaves the window.
        assert_eq!(throttle.too_often("a", at(60)), None);
        assert_eq!(throttle.too_often("a", at(60)), Some(1));
    }
}
