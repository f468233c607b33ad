//! A boil being watched: takes readings as they are noted and says at any moment where the boil is,
//! when it will be done and what to do. Everything said comes from one belief, carried on to the
//! moment of looking. Never knows of clocks or pages.
//!
//! Temperature guides, the refractometer decides.

use super::alone::{Alone, LastFigure};
use super::aside::Aside;
use super::belief::Belief;
use super::call::{self, Call, Chances};
use super::course::{BoilConditions, Course};
use super::forecast::{Ends, FOLLOWED, FOLLOWED_AHEAD, Mark};
use super::held::CallBefore;
use super::pairs::Pairs;
use super::probe_merge::Merged;
use super::rise_table::RiseTable;
use super::said::Said;
use super::sensors;
use super::thickness::{brix_of, u_of};
use crate::units::{Grams, UtcSecond};

use super::belief_at::{BeliefAt, Forecast};
use super::on_fire::{Boil, By, Figure, Reading, Spread};

/// A watched boil; keeps what was believed at the last reading.
#[derive(Debug, Clone)]
pub struct Watch {
    /// With all that is in it by the last reading.
    pub(super) boil: Boil,
    pub(super) conditions: BoilConditions,
    seed: u64,
    /// As of the last reading taken in.
    pub(super) belief: Belief,
    /// The same carried on in whole steps to the last look.
    pub(super) ahead: Belief,
    taken: usize,
    /// How many were taken when the belief last changed by one.
    changed: usize,
    /// When it was last worked out when the cook is told to check.
    pub(super) foreseen_at: Option<f64>,
    pub(super) last: Option<f64>,
    last_temp: Option<f64>,
    /// Where the courses of the last reading end, once worked.
    pub(super) ends: Option<Ends>,
    pub(super) brix: Vec<(f64, f64)>,
    pub(super) doubtful: Vec<usize>,
    pub(super) last_figure: Option<LastFigure>,
    /// What is believed without a figure that nobody expected, until another decides.
    pub(super) aside: Option<Aside>,
    /// When a thermometer was last believed, and what it showed, °C.
    pub(super) warm: Option<(f64, f64)>,
    /// When a thermometer was last read by hand, what it showed, °C, and its place, since the pan boils undisturbed.
    pub(super) read: Option<(f64, f64, usize)>,
    pub(super) pairs: Pairs,
    /// When a probe showed what the finish shows, if that was its newest figure.
    pub(super) probe_ends: Option<f64>,
    /// Since when what a probe sends counts for nothing, if it does not.
    pub(super) probe_out: Option<f64>,
    /// The call that was made before the last figure: it falls back only where that is clearly not so.
    pub(super) held: CallBefore,
    /// Whether a drop is asked for until one tells the K of this boil.
    pub(super) drop_open: bool,
    merged: Merged,
    /// Since when the next reading counts anew: the fire was lit again, or juice was poured in.
    pub(super) anew: f64,
    /// Until when a thermometer may show that the pan is not back at the boil.
    pub(super) warms_until: f64,
}

/// What is foretold for a moment; times in minutes since the fire was lit.
pub(super) struct Foreseen {
    call: Call,
    said: Said,
    /// What the belief calls, whatever stands alone or is undecided.
    pub told: Call,
    chances: Chances,
    /// Earliest, middle and latest, when they can be told.
    finish: Option<[f64; 3]>,
    /// When the next reading is due.
    next: f64,
    /// Whether that reading is overdue.
    silent: bool,
    /// In what way the last figure stands alone, where that changes the call.
    alone: Option<Alone>,
}

/// Two thermometer readings closer together than this share their errors, minutes.
const APART_MIN: f64 = 1.5;
/// Two readings of a probe closer together than this share their errors, which last longer, minutes.
const PROBE_APART_MIN: f64 = 1.0;
/// It is worked out at most so often when the cook is told to check, minutes.
const FORESEE_MIN: f64 = 2.5;

/// Minutes from one moment to another.
pub(super) fn minutes_between(from: UtcSecond, to: UtcSecond) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "a boil lasts hours")]
    let seconds = (to.get() - from.get()) as f64;
    seconds / 60.0
}

impl Watch {
    /// Begins to watch. The seed is the boil's own: the second it was lit.
    pub fn start(boil: Boil) -> Self {
        let conditions = BoilConditions {
            rise: RiseTable::new(boil.water.get()),
            goal: u_of(boil.target.get()),
            checked_at: None,
            drawn_at: None,
            fire_said: None,
        };
        let seed = boil.lit.get().unsigned_abs();
        let belief = Belief::start(&boil, &conditions, seed);
        Self {
            boil,
            conditions,
            seed,
            ahead: belief.clone(),
            belief,
            taken: 0,
            changed: 0,
            foreseen_at: None,
            last: None,
            last_temp: None,
            ends: None,
            brix: Vec::new(),
            doubtful: Vec::new(),
            last_figure: None,
            aside: None,
            warm: None,
            read: None,
            pairs: Pairs::default(),
            probe_ends: None,
            probe_out: None,
            held: CallBefore::default(),
            drop_open: false,
            merged: Merged::default(),
            anew: 0.0,
            warms_until: 0.0,
        }
    }

    /// The watch of a boil whose readings are all known.
    pub fn replay(boil: Boil, readings: &[Reading]) -> Self {
        let mut watch = Self::start(boil);
        for reading in readings {
            watch.take(reading);
        }
        watch
    }

    /// The boil, with all that was poured in by the last reading.
    pub const fn boil(&self) -> &Boil {
        &self.boil
    }

    /// Takes in a reading; one from before the last counts as noted with it.
    pub fn take(&mut self, reading: &Reading) {
        let at = minutes_between(self.boil.lit, reading.at).max(0.0);
        let place = self.taken;
        (self.held.at, self.held.seed) = (at, self.followed_by().1);
        self.taken += 1;
        if let Some(done) = reading.done {
            self.take_done(at, done);
        }
        if reading.temp.is_none() && reading.brix.is_none() {
            return;
        }
        self.last = Some(self.last.map_or(at, |last| last.max(at)));
        self.ends = None;
        match reading.by {
            By::Hand => self.changed = self.taken,
            By::Probe => self.held.probe_at = at,
        }
        if let (By::Probe, Some(temp)) = (reading.by, reading.temp) {
            let near = self.near();
            let stretch = self.merged.add(at, temp.get(), place, near);
            self.take_stretch(stretch);
        } else {
            let stretch = self.merged.end();
            self.take_stretch(stretch);
        }
        if let (By::Hand, Some(temp), Some(brix)) = (reading.by, reading.temp, reading.brix) {
            self.pair(at, temp.get(), brix.get());
        }
        if let Some(brix) = reading.brix {
            self.brix.push((at, brix.get()));
            self.figure(at, Figure::Brix(brix.get()), (place, reading.sure), 1.0);
        }
        if let (By::Hand, Some(temp)) = (reading.by, reading.temp) {
            let share = self.temp_share(at, APART_MIN);
            let figure = Figure::Temp(temp.get());
            if !self.takes_as_cool(at, figure, share) {
                self.figure(at, figure, (place, reading.sure), share);
                self.read = Some((at, temp.get(), place));
            }
        }
    }

    fn take_stretch(&mut self, stretch: Option<(f64, f64, usize)>) {
        if let Some((at, temp, place)) = stretch {
            self.changed = self.taken;
            let share = self.temp_share(at, PROBE_APART_MIN);
            let figure = Figure::Probe(temp);
            if !self.takes_as_cool(at, figure, share) {
                self.figure(at, figure, (place, false), share);
            }
        }
    }

    /// Ends the stretch of a probe's sendings that is being gathered, for something was done to the pan.
    pub(super) fn end_stretch(&mut self) {
        let stretch = self.merged.end();
        self.take_stretch(stretch);
    }

    /// What a temperature tells, as a share of one by itself: the less the closer it follows on
    /// another.
    fn temp_share(&mut self, at: f64, apart_min: f64) -> f64 {
        let last = self.last_temp.replace(at);
        last.map_or(1.0, |last| ((at - last) / apart_min).clamp(0.1, 1.0))
    }

    /// Works out when the cook is told to check, for the fire may be eased then: by the readings
    /// alone, whether anybody looks or not.
    pub(super) fn foresee_check(&mut self) {
        let at = self.belief.at;
        if self.conditions.checked_at.is_some_and(|told| told <= at) {
            return;
        }
        let just_now = self
            .foreseen_at
            .is_some_and(|before| at - before < FORESEE_MIN);
        if just_now || !self.near() {
            return;
        }
        self.foreseen_at = Some(at);
        let told = call::checked_at(&self.follow(FOLLOWED_AHEAD));
        self.conditions.checked_at = Some(told.max(at));
    }

    /// Whether the end may be near, so that a probe is listened to closely.
    pub(super) fn near(&self) -> bool {
        let conditions = &self.conditions;
        self.belief
            .share(|c| (c.u - conditions.goal) < 25.0 * c.speed(conditions))
            > 0.1
    }

    /// The belief at a moment, not before the last reading.
    pub(super) fn belief_at(&mut self, at: f64) -> Belief {
        let whole = self.belief.at + (at - self.belief.at).floor();
        if self.ahead.at > whole {
            self.ahead = self.belief.clone();
        }
        self.ahead.advance(&self.conditions, whole);
        let mut belief = self.ahead.clone();
        belief.advance(&self.conditions, at);
        belief
    }

    /// Where the courses of the last reading end: worked once, since nothing is learned between
    /// readings but that time goes on.
    fn ends(&mut self) -> &Ends {
        if self.ends.is_none() {
            self.ends = Some(self.follow(FOLLOWED));
        }
        self.ends.get_or_insert_default()
    }

    fn follow(&self, many: usize) -> Ends {
        let (marks, seed) = self.followed_by();
        Ends::of(&self.belief, &self.conditions, marks, many, seed)
    }

    /// The marks that courses are followed to from the last reading, and the seed of their chance.
    pub(super) fn followed_by(&self) -> ([f64; 4], u64) {
        // Of one belief always the same: a probe's sendings that are gathered still change nothing that is shown.
        let changed = u64::try_from(self.changed).unwrap_or(u64::MAX);
        let marks = call::marks(self.boil.target.get());
        (marks, self.seed.wrapping_add(changed))
    }

    pub(super) fn second(&self, minute: f64) -> UtcSecond {
        #[expect(clippy::cast_possible_truncation, reason = "within days")]
        self.boil.lit.plus((minute * 60.0).round() as i64)
    }

    /// The call of a moment, for whoever needs nothing else of it: none of the courses is carried on to it.
    pub fn call_at(&mut self, at: UtcSecond) -> Call {
        self.foresee(minutes_between(self.boil.lit, at).max(0.0))
            .call
    }

    /// What is said at a moment, as loudly as it is.
    pub fn said_at(&mut self, at: UtcSecond) -> Said {
        self.foresee(minutes_between(self.boil.lit, at).max(0.0))
            .said
    }

    /// What is foretold for a moment from where the courses of the last reading end.
    pub(super) fn foresee(&mut self, minute: f64) -> Foreseen {
        let drawing = call::drawing_min(&self.boil);
        let last = self.last;
        let counts_from = last.unwrap_or(0.0).max(self.anew);
        let figure = self.last_figure.map(|last| (last, self.doubts(&last)));
        let drawn = self.is_drawn();
        let aside = self.foresee_aside(minute, counts_from);
        let (without_probe, held) = (self.due_without_probe(), self.held.call);
        let ends = self.ends();
        let chances = call::chances(ends, minute, drawing);
        let finish = ends.at(Mark::Goal, [0.1, 0.5, 0.9]);
        let due = call::next_reading(ends, counts_from);
        let finish = (!drawn && self.tells(finish, minute)).then_some(finish);
        let again = figure.and_then(|(last, doubted)| last.again(doubted));
        let next = due
            .min(again.unwrap_or(f64::MAX))
            .min(without_probe)
            .min(aside.as_ref().map_or(f64::MAX, |aside| aside.next));
        // Once the fire is drawn nothing boils on, and nobody has to read by the clock.
        let silent = !drawn && call::overdue(next, minute);
        let made = call::call(&chances, finish.is_some(), silent);
        let told = call::held(&chances, made, held).min(call::loudest(silent, last.is_some()));
        let alone = figure.and_then(|(last, doubted)| last.alone(doubted, silent, told));
        let bound = alone.map_or(told, |alone| alone.bounds(told));
        let bound = self.undecided(bound, aside.as_ref(), (minute, silent));
        // What is told with a confirmed figure says nothing where the call may go by the belief without it.
        let finish = finish.filter(|_| bound < Call::Check || self.confirmed_at().is_none());
        let call = if drawn { Call::Drawn } else { bound };
        Foreseen {
            call,
            said: Said::of(call, next, minute),
            told,
            alone: alone.filter(|_| !drawn),
            chances,
            finish,
            next,
            silent,
        }
    }

    fn forecast(&self, [early, middle, late]: [f64; 3]) -> Forecast {
        Forecast {
            earliest: self.second(early),
            finish: self.second(middle),
            latest: self.second(late),
        }
    }

    /// What is believed at a moment; a moment before the last reading is taken as that reading's.
    pub fn look(&mut self, at: UtcSecond) -> BeliefAt {
        let minute = minutes_between(self.boil.lit, at).max(0.0);
        let (mut belief, drawn) = (self.belief_at(minute), self.is_drawn());
        if drawn {
            belief = belief.without_burning();
        }
        let foreseen = self.foresee(minute);
        let finish = foreseen.finish.map(|told| self.forecast(told));
        let (conditions, boil) = (&self.conditions, &self.boil);
        let [u_high, u, u_low] = belief.quantiles(|c| c.u, [0.1, 0.5, 0.9]);
        let juice_u = u_of(boil.juice.get().max(2.0));
        let two_short = u_of((boil.target.get() - 2.0).max(1.0));
        let per_m2_h = 60.0 * boil.solids.kg() / boil.pan.area_m2;
        let said = (boil.pan.kg_min() / boil.solids.kg().max(0.01)).ln();
        let solids = boil.solids.as_f64();
        let spread = |figure: &dyn Fn(&Course) -> f64| {
            let [low, middle, high] = belief.quantiles(figure, [0.1, 0.5, 0.9]);
            Spread { low, middle, high }
        };
        let k = spread(&|c| c.k);
        let said_drawn = conditions.drawn_at.map(|m| self.second(m));
        let boiling = |c: &Course| belief.at > c.boils_at;
        BeliefAt {
            at,
            call: foreseen.call,
            said: foreseen.said,
            chances: foreseen.chances,
            brix: Spread {
                low: brix_of(u_low),
                middle: brix_of(u),
                high: brix_of(u_high),
            },
            evaporated: Grams::nearest(solids * (juice_u - u).max(0.0)),
            water_left: Grams::nearest(solids * (u - conditions.goal).max(0.0)),
            rate_l_m2_h: spread(&|c| {
                if boiling(c) {
                    per_m2_h * c.speed(conditions)
                } else {
                    0.0
                }
            }),
            k,
            rate_against_said: spread(&|c| (c.ln_rate - said).exp()),
            finish,
            next_reading: self.second(foreseen.next),
            silent_since: (foreseen.silent).then(|| self.second(self.last.unwrap_or(0.0))),
            drawn_at: said_drawn.filter(|_| drawn),
            burns_on: said_drawn.filter(|_| !drawn),
            last_two_s: 60.0
                * belief.quantiles(
                    |c| c.minutes_between(two_short, conditions.goal, conditions),
                    [0.5],
                )[0],
            alone: foreseen.alone,
            less: self.less().filter(|_| !drawn),
            confirmed: self.confirmed_at().filter(|_| !drawn),
            last_reading: self.last.map(|m| self.second(m)),
            begun_anew: self.anew > 0.0,
            wants_brix: call::wants_brix(&k, &foreseen.chances, boil.k.is_some()),
            drop_open: self.drop_open && call::k_is_open(&k),
            draw_off: self.draw_off(&belief),
            temp_expected: spread(&|c| {
                sensors::temp_of(c, conditions, boil.water.get(), belief.at).0
            }),
            doubtful: self.doubtful.clone(),
        }
    }
}

#[cfg(test)]
#[path = "watch_tests.rs"]
mod tests;

#[cfg(test)]
#[path = "watch_belief_tests.rs"]
mod belief_tests;
