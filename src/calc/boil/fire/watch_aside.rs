//! How a watch takes in a figure, with what is believed without it where nobody expected it; and what it asks back.

use super::alone::{Before, LastFigure};
use super::aside::{Aside, Settled, Unexpected};
use super::belief::Belief;
use super::belief_at::LessThanBefore;
use super::call::{self, Call};
use super::forecast::{Ends, FOLLOWED};
use super::on_fire::{By, Figure, Reading};
use super::surprise::{self, Surprise, Typed};
use super::thickness::u_of;
use super::watch::{Watch, minutes_between};
use crate::units::{Celsius, UtcSecond};

/// A probe's newest figure says something of the pan for so long, minutes.
const PROBE_SAYS_MIN: f64 = 3.0;

/// A thermometer that shows so many °C less than it did so many minutes before at most is asked about; a phone without network
/// asks by as much.
const ASKED_LESS_C: f64 = 2.0;
const LESS_WITHIN_MIN: f64 = 30.0;

/// What is foretold without a figure that nobody expected.
pub(super) struct WithoutIt {
    chances: call::Chances,
    /// When the next reading is due by it, in minutes since the fire was lit.
    pub next: f64,
}

impl Watch {
    /// Takes in one figure.
    pub(super) fn figure(
        &mut self,
        at: f64,
        figure: Figure,
        (place, sure): (usize, bool),
        share: f64,
    ) {
        self.hold();
        self.belief.advance(&self.conditions, at);
        let was_back = self.decide(at, figure, place);
        let (conditions, boil) = (&self.conditions, &self.boil);
        let past = u_of(boil.target.get() + call::PAST_BRIX);
        let before = Before::of(&self.belief, conditions, figure, (boil.water.get(), past));
        self.put_aside(at, (figure, place), (before, sure));
        let (conditions, boil) = (&self.conditions, &self.boil);
        // What was confirmed against a belief that is given up needs no weight against the other.
        let taken = if sure && !was_back {
            let told = (place, share);
            self.belief
                .take_sure(conditions, boil, figure, told, before.less)
        } else {
            self.belief.take(conditions, boil, figure, place, share)
        };
        if taken.mistyped > 0.5 && !self.doubtful.contains(&place) {
            self.doubtful.push(place);
        }
        // A reading that was doubted counts after all once the next one agrees with it.
        let belief = &self.belief;
        self.doubtful
            .retain(|p| belief.share(|c| c.made_by == Some(*p)) < 0.5);
        let last = self.last_figure.map(|last| (last, self.doubts(&last)));
        self.last_figure = Some(LastFigure::after(last, before, figure, (at, place)));
        self.ends = None;
        self.open_or_answer_drop();
        self.foresee_check();
        self.ahead = self.belief.clone();
    }

    pub(super) fn doubts(&self, of: &LastFigure) -> bool {
        self.doubtful.contains(&of.place)
    }

    /// Decides by a figure between what is believed with one that nobody expected and without it; says whether it went
    /// back to the one without.
    fn decide(&mut self, at: f64, figure: Figure, place: usize) -> bool {
        let Some(mut aside) = self.aside.take() else {
            return false;
        };
        let water = self.boil.water.get();
        let of = (at, figure, place);
        match aside.decide(&self.belief, &self.conditions, water, of) {
            Settled::Open => self.aside = Some(aside),
            Settled::With | Settled::Without => {}
            Settled::GoBack => {
                self.belief = aside.belief;
                self.conditions.checked_at = aside.checked_at;
                self.foreseen_at = aside.foreseen_at;
                self.last_figure = None;
                self.doubtful.extend(aside.places);
                return true;
            }
        }
        false
    }

    /// Keeps what is believed before a figure that nobody expected.
    fn put_aside(
        &mut self,
        at: f64,
        (figure, place): (Figure, usize),
        (before, sure): (Before, bool),
    ) {
        let boiled = self.belief.boil_seen() || !self.brix.is_empty();
        let sure = sure && before.odd;
        if self.aside.is_none() && (before.unlikely || sure) && boiled {
            let drops = self.brix.iter().map(|(then, _)| *then);
            let of = Unexpected {
                at,
                place,
                figure,
                less: before.less,
                warm: self.warm,
                drop_at: drops.rev().find(|then| *then < at),
            };
            let mut aside = Aside::new(self.belief.clone(), &self.conditions, &of);
            aside.foreseen_at = self.foreseen_at;
            self.aside = Some(aside);
        }
        if let (Some(aside), true) = (&mut self.aside, sure) {
            aside.confirmed(at, self.held.call);
        }
        if let (None, Figure::Temp(read) | Figure::Probe(read)) = (&self.aside, figure) {
            self.warm = Some((at, read));
        }
    }

    /// What is foretold without a figure that nobody expected, where that is undecided.
    pub(super) fn foresee_aside(&mut self, minute: f64, counts_from: f64) -> Option<WithoutIt> {
        let drawing = call::drawing_min(&self.boil);
        let (marks, seed) = self.followed_by();
        let conditions = &self.conditions;
        let aside = self.aside.as_mut()?;
        let again = aside.again();
        let follow = |of: &Belief| Ends::of(of, conditions, marks, FOLLOWED, seed);
        let ends = aside.ends(follow);
        Some(WithoutIt {
            chances: call::chances(ends, minute, drawing),
            next: call::next_reading(ends, counts_from).min(again.unwrap_or(f64::MAX)),
        })
    }

    /// The call where a figure that nobody expected is undecided, or a probe shows what the finish shows.
    pub(super) fn undecided(
        &self,
        call: Call,
        without: Option<&WithoutIt>,
        (minute, silent): (f64, bool),
    ) -> Call {
        let bound = match (&self.aside, without) {
            (Some(aside), Some(of)) => {
                let own = aside.own(&of.chances, call::call(&of.chances, false, silent));
                aside.bounds(call, own.min(call::loudest(silent, true)))
            }
            _ => call,
        };
        if self
            .probe_ends
            .is_some_and(|at| (minute - at).abs() <= PROBE_SAYS_MIN)
        {
            bound.max(Call::Check)
        } else {
            bound
        }
    }

    /// A figure that says less than was believed, while it is undecided.
    pub(super) fn less(&self) -> Option<LessThanBefore> {
        let less = self.aside.as_ref()?.less()?;
        Some(LessThanBefore {
            since: self.second(less.since),
            than: less.than.map(|then| self.second(then)),
            agree: less.agree,
        })
    }

    /// Since when a confirmed figure that is far from what was believed before it stands undecided.
    pub(super) fn confirmed_at(&self) -> Option<UtcSecond> {
        let sure = self.aside.as_ref()?.sure;
        sure.map(|minute| self.second(minute))
    }

    /// When a probe showed what the finish shows, if that is its newest figure: whatever else is believed, the
    /// refractometer is to be taken up.
    pub fn probe_at_finish(&mut self, at: Option<UtcSecond>) {
        self.probe_ends = at.map(|at| minutes_between(self.boil.lit, at));
    }

    /// Takes note of a thermometer and a refractometer read together.
    pub(super) fn pair(&mut self, at: f64, temp: f64, brix: f64) {
        let Some(learned) = self.boil.k else { return };
        if self.conditions.drawn_at.is_some() || at < self.warms_until {
            return;
        }
        self.belief.advance(&self.conditions, at);
        let known = (self.boil.water.get(), learned.value);
        let (belief, conditions) = (&mut self.belief, &self.conditions);
        self.pairs.take(belief, conditions, known, (temp, brix));
    }

    /// Whether a figure typed at a moment is one that nobody would expect of this boil, and what
    /// may have been meant. Nothing is noted by asking.
    pub fn surprise(&mut self, at: UtcSecond, typed: Typed) -> Option<Surprise> {
        let belief = self.belief_at(minutes_between(self.boil.lit, at));
        let water = self.boil.water.get();
        if let Figure::Temp(temp) = surprise::figure(typed)
            && self.conditions.drawn_at.is_none()
        {
            if self.shows_less(minutes_between(self.boil.lit, at), temp) {
                let of = surprise::asked_back(&belief, &self.conditions, water, typed);
                return Some(of);
            }
            let call = self.call_at(at);
            if self.is_on_the_way(&belief, temp, call) {
                return None;
            }
        }
        surprise::surprise(&belief, &self.conditions, water, typed).or_else(|| {
            let past = self.alone_past(at, typed);
            past.then(|| Surprise {
                past,
                ..surprise::asked_back(&belief, &self.conditions, water, typed)
            })
        })
    }

    /// Whether a thermometer shows clearly less than it did when it was read last: a pan that boils grows no colder, however
    /// little is known of it otherwise.
    pub(super) fn shows_less(&self, minute: f64, temp: f64) -> bool {
        let boiled = self.belief.boil_seen() || !self.brix.is_empty();
        self.read.is_some_and(|(then, showed, place)| {
            boiled
                && minute - then <= LESS_WITHIN_MIN
                && temp < showed - ASKED_LESS_C
                && !self.doubtful.contains(&place)
        })
    }

    /// Whether one temperature alone would put the boil past its target, where it is not believed to be yet.
    fn alone_past(&mut self, at: UtcSecond, typed: Typed) -> bool {
        let Figure::Temp(celsius) = surprise::figure(typed) else {
            return false;
        };
        let Ok(temp) = Celsius::new(celsius) else {
            return false;
        };
        if self.conditions.drawn_at.is_some() || self.call_at(at) >= Call::There {
            return false;
        }
        let mut with = self.clone();
        with.take(&Reading {
            at,
            temp: Some(temp),
            brix: None,
            done: None,
            by: By::Hand,
            sure: true,
        });
        with.foresee(minutes_between(self.boil.lit, at).max(0.0))
            .told
            >= Call::Past
    }
}
