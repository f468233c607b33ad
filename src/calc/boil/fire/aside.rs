//! What is believed without a figure that nobody expected. It is kept beside the belief with it until another figure
//! decides between the two, so that no figure alone, read back and confirmed or not, silences the end of a boil or says
//! that it is past. All limits here are our own allowances.

use super::alone::{AGAIN_MIN, Instrument};
use super::belief::{Belief, Taken};
use super::call::{self, Call, Chances};
use super::course::BoilConditions;
use super::forecast::Ends;
use super::on_fire::{Boil, Figure};
use super::surprise::{READ_BACK, chance_of};
use super::thickness::brix_of;
use super::weighted::quantiles_of;

/// A thermometer that shows by so many °C less than it did before shows a pan that grew colder.
const FALLS_C: f64 = 0.7;
/// The belief with a figure has lost what the one without it says, once that makes the next figure so many times likelier.
const LOST: f64 = 10.0;
/// Where the figure was confirmed by somebody, no other that makes one belief less than so many times likelier than the
/// other decides, while the two lie farther apart than this with it, °Bx.
const DECIDES: f64 = 3.0;
const APART_BX: f64 = 4.0;
/// And another is due so soon after each that decides nothing, minutes.
const SURE_AGAIN_MIN: f64 = 2.0;
/// A drop that was read so many minutes before a thermometer fell stands against it for a second reading as well.
const DROP_STANDS_MIN: f64 = 20.0;
/// A thermometer that fell is believed without a drop, once so many figures of it agree over so many minutes and have
/// climbed by so many °C: one that hangs in the steam, or stands still, does not climb.
const CLIMBS: usize = 3;
const CLIMBS_MIN: f64 = 10.0;
const CLIMBS_C: f64 = 0.4;
/// And by no more than this share of what the pan would have climbed by as it was believed to be before: a thermometer
/// that is off by one and the same difference climbs as the pan does.
const CLIMBS_SHARE: f64 = 0.5;

/// A figure that was read back and confirmed is so many times less often wrong than others; less so where a thermometer
/// shows less than was believed, since its bulb may be out of the syrup.
const SELDOMER_WHEN_SURE: f64 = 20.0;
const SELDOMER_WHEN_LESS: f64 = 4.0;

/// How the figure that nobody expected stands to what was believed.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Way {
    /// It says that the boil is farther on.
    Farther,
    /// It says that the boil is less far on.
    Back,
    /// It is a thermometer that shows less than it did at this minute, and a pan that boils grows no colder.
    Colder(f64),
}

/// What the next figure says of the two beliefs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Settled {
    /// Nothing yet.
    Open,
    /// The figure that nobody expected was right.
    With,
    /// It was not, and the belief with it knows that as well.
    Without,
    /// It was not, and the belief with it has lost what was believed before.
    GoBack,
}

/// A figure that says less than was believed, while it stands undecided.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Less {
    /// Since when, in minutes since the fire was lit.
    pub since: f64,
    /// When the thermometer showed more, if it is one that fell.
    pub than: Option<f64>,
    /// How many figures agree with it, itself among them.
    pub agree: usize,
}

/// What is believed without a figure that nobody expected.
#[derive(Debug, Clone)]
pub(super) struct Aside {
    pub belief: Belief,
    /// When the cook is told to check by it, and when that was worked out.
    pub checked_at: Option<f64>,
    pub foreseen_at: Option<f64>,
    /// Where its courses end, once worked.
    ends: Option<Ends>,
    /// When it was read, and what.
    first: (f64, Figure),
    way: Way,
    /// Places of the figures that agree with it, its own first.
    pub places: Vec<usize>,
    /// Whether a drop was read not long before.
    dropped: bool,
    /// What a thermometer was expected to show of the pan then, °C.
    expected: f64,
    /// Since when somebody says that such a figure is so, if anybody does.
    pub sure: Option<f64>,
    /// The call that stood before it was confirmed.
    held: Call,
    /// When the last figure came that decided nothing.
    asked: f64,
}

/// A figure that nobody expected, as it comes in.
#[derive(Debug, Clone, Copy)]
pub(super) struct Unexpected {
    pub at: f64,
    pub place: usize,
    pub figure: Figure,
    /// Whether it says that the boil is less far on.
    pub less: bool,
    /// When a thermometer was last believed, and what it showed, °C.
    pub warm: Option<(f64, f64)>,
    /// When the last drop was read.
    pub drop_at: Option<f64>,
}

impl Aside {
    /// Puts aside what is believed before a figure is taken in.
    pub(super) fn new(belief: Belief, conditions: &BoilConditions, of: &Unexpected) -> Self {
        let fell = match of.figure {
            Figure::Temp(read) | Figure::Probe(read) => {
                of.warm.filter(|(_, showed)| read < showed - FALLS_C)
            }
            Figure::Brix(_) => None,
        };
        let way = match (of.less, fell) {
            (true, Some((then, _))) => Way::Colder(then),
            (true, None) => Way::Back,
            (false, _) => Way::Farther,
        };
        let expected = rise_of(&belief, conditions);
        Self {
            belief,
            checked_at: conditions.checked_at,
            foreseen_at: None,
            ends: None,
            first: (of.at, of.figure),
            way,
            places: vec![of.place],
            dropped: of
                .drop_at
                .is_some_and(|then| of.at - then < DROP_STANDS_MIN),
            expected,
            sure: None,
            held: Call::Drawn,
            asked: of.at,
        }
    }

    /// Takes note that a figure which nobody expected was read back and confirmed at a minute, where `held` had been called.
    pub(super) fn confirmed(&mut self, at: f64, held: Call) {
        self.sure.get_or_insert(at);
        self.held = self.held.max(held);
        self.asked = at;
    }

    /// The call by the belief without the figure, where `made` is what its chances say: once it was called for somebody who
    /// confirmed a figure since, it falls back no sooner than any call does.
    pub(super) fn own(&self, chances: &Chances, made: Call) -> Call {
        if self.sure.is_some() {
            call::held(chances, made, self.held)
        } else {
            made
        }
    }

    /// Goes on to a figure and says which of the two beliefs it speaks for; `with`: the other one, at the same minute.
    pub(super) fn decide(
        &mut self,
        with: &Belief,
        conditions: &BoilConditions,
        water_c: f64,
        (at, figure, place): (f64, Figure, usize),
    ) -> Settled {
        self.advance(conditions, at);
        let likely = |of: &Belief| of.mean(|c| figure.sound(c, conditions, water_c, at));
        let (before, since) = (likely(&self.belief), likely(with));
        let apart = self.sure.is_some() && self.apart(with, conditions, (water_c, at), figure);
        if before > since {
            let fits = chance_of(&self.belief, conditions, water_c, figure) >= READ_BACK;
            return match (fits, before > LOST * since) {
                (true, true) => Settled::GoBack,
                (true, false) if !apart => Settled::Without,
                _ => self.stays_open(at),
            };
        }
        if since < figure.mistyped() || (apart && since < DECIDES * before) {
            return self.stays_open(at);
        }
        self.places.push(place);
        let another = Instrument::of(figure) != Instrument::of(self.first.1);
        let undecided = matches!(self.way, Way::Colder(_)) && !another;
        if undecided && !self.climbs(conditions, at, figure) {
            Settled::Open
        } else {
            Settled::With
        }
    }

    fn stays_open(&mut self, at: f64) -> Settled {
        if self.sure.is_some() {
            self.asked = at;
        }
        Settled::Open
    }

    /// Whether the two lie far apart even once each has a figure.
    fn apart(
        &self,
        with: &Belief,
        conditions: &BoilConditions,
        (water_c, at): (f64, f64),
        figure: Figure,
    ) -> bool {
        let middle = |of: &Belief| {
            let courses = of.courses.iter().zip(&of.weights);
            let weighed =
                courses.map(|(c, w)| (brix_of(c.u), w * figure.sound(c, conditions, water_c, at)));
            let [brix] = quantiles_of(&mut weighed.collect::<Vec<_>>(), [0.5]);
            brix
        };
        (middle(&self.belief) - middle(with)).abs() > APART_BX
    }

    /// Goes on to a minute.
    pub(super) fn advance(&mut self, conditions: &BoilConditions, at: f64) {
        self.belief.advance(conditions, at);
        self.ends = None;
    }

    /// Whether a thermometer that fell has climbed since as thinner syrup does.
    fn climbs(&self, conditions: &BoilConditions, at: f64, figure: Figure) -> bool {
        let of = |figure| match figure {
            Figure::Temp(read) | Figure::Probe(read) => read,
            Figure::Brix(_) => f64::NAN,
        };
        let climbed = of(figure) - of(self.first.1);
        let believed = rise_of(&self.belief, conditions) - self.expected;
        self.places.len() >= CLIMBS
            && at - self.first.0 >= CLIMBS_MIN
            && climbed >= CLIMBS_C
            && climbed <= CLIMBS_SHARE * believed
    }

    /// Where its courses end; worked by `follow` where it was not yet.
    pub(super) fn ends(&mut self, follow: impl FnOnce(&Belief) -> Ends) -> &Ends {
        let belief = &self.belief;
        self.ends.get_or_insert_with(|| follow(belief))
    }

    /// The call while the two stand beside each other; `own`: what the belief without the figure calls.
    pub(super) fn bounds(&self, call: Call, own: Call) -> Call {
        if self.way == Way::Farther {
            let bound = call.min(own.max(Call::There));
            return match self.sure {
                Some(_) if own >= Call::Check => bound.max(Call::Check),
                _ => bound,
            };
        }
        let stands = if self.dropped { 2 } else { 1 };
        let least = if self.places.len() > stands {
            own.min(Call::Check)
        } else {
            own
        };
        if least < Call::Check {
            call
        } else {
            call.max(least)
        }
    }

    /// When another reading is due after one that agrees with no other, minutes since the fire was lit.
    pub(super) fn again(&self) -> Option<f64> {
        let after = match self.sure {
            Some(_) => self.asked + SURE_AGAIN_MIN,
            None => self.first.0 + AGAIN_MIN,
        };
        (self.places.len() == 1).then_some(after)
    }

    /// What is said of a figure that says less.
    pub(super) fn less(&self) -> Option<Less> {
        let than = match self.way {
            Way::Farther => return None,
            Way::Back => None,
            Way::Colder(than) => Some(than),
        };
        Some(Less {
            since: self.first.0,
            than,
            agree: self.places.len(),
        })
    }
}

impl Belief {
    /// As [`Self::take`], for an unexpected figure that was read back and confirmed: it is seldom mistyped, and is
    /// explained in any case. `less`: it says that the boil is less far on than was believed; if not, it tells as much as two.
    pub(super) fn take_sure(
        &mut self,
        conditions: &BoilConditions,
        boil: &Boil,
        figure: Figure,
        (place, share): (usize, f64),
        less: bool,
    ) -> Taken {
        let (seldomer, share) = match figure {
            Figure::Temp(_) | Figure::Probe(_) if less => (SELDOMER_WHEN_LESS, share),
            _ if less => (SELDOMER_WHEN_SURE, share),
            _ => (SELDOMER_WHEN_SURE, 2.0 * share),
        };
        let wrong = figure.mistyped() / seldomer;
        self.weighed(conditions, boil, figure, (place, share, wrong))
    }
}

/// How far above water the pan is believed to boil, °C.
fn rise_of(belief: &Belief, conditions: &BoilConditions) -> f64 {
    belief.mean(|c| c.rise_at(c.u, conditions))
}

#[cfg(test)]
#[path = "aside_tests.rs"]
mod tests;
