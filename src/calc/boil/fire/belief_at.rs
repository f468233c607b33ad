//! What a watch says of a boil at a moment.

use super::alone::Alone;
use super::call::{Call, Chances, EVEN};
use super::on_fire::Spread;
use super::said::Said;
use crate::units::{Grams, UtcSecond};

/// When the boil will be done; the earliest may lie before the moment of looking.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Forecast {
    /// Nine times in ten not before this.
    pub earliest: UtcSecond,
    /// The middle: as likely before as after it.
    pub finish: UtcSecond,
    /// Nine times in ten not after this.
    pub latest: UtcSecond,
}

/// A figure that says that the boil is less far on than was believed, and no other has decided yet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LessThanBefore {
    /// When the first such figure was noted.
    pub since: UtcSecond,
    /// When the thermometer showed more, if it is a thermometer that fell.
    pub than: Option<UtcSecond>,
    /// How many figures agree, the first among them.
    pub agree: usize,
}

/// Width, °Bx, of the four-in-five range up to which the pan's Brix needs no drop: it tells nothing new (house rule).
const KNOWN_BX: f64 = 8.0;

/// By less than so many °C the temperature to draw off at is the one that the mill learned: half a degree of a thermometer
/// (house rule).
const DIFFERS_C: f64 = 0.5;

impl BeliefAt {
    /// Whether it is done, as likely as not, or its fire is drawn: no plan says anything of it any more.
    pub fn is_there(&self) -> bool {
        self.call == Call::Drawn || self.call >= Call::There
    }

    /// When its fire was drawn, while it is less likely than not that the syrup is done.
    pub fn drawn_early(&self) -> Option<UtcSecond> {
        self.drawn_at.filter(|_| self.chances.there < EVEN)
    }

    /// Whether a drop on the refractometer is asked for at this moment: not while one that was read lately says where the
    /// pan is, and not beside a call to draw the fire.
    pub fn asks_drop(&self) -> bool {
        let open = self.brix.high - self.brix.low;
        let rest = self.call < Call::There && self.call != Call::Drawn;
        (self.drop_open || self.wants_brix && open > KNOWN_BX) && rest
    }

    /// What the thermometer should show at the target, °C, where that is clearly other than `learned`, what the mill's
    /// finished boils say.
    pub fn draws_off_elsewhere(&self, learned: f64) -> Option<Spread> {
        self.draw_off
            .filter(|own| (own.middle - learned).abs() >= DIFFERS_C)
    }
}

/// What is believed of a boil at a moment.
#[derive(Debug, Clone, PartialEq)]
pub struct BeliefAt {
    /// The moment of looking.
    pub at: UtcSecond,
    /// The call of that moment.
    pub call: Call,
    /// What is said of it, and how loudly: the call, or that a reading is long overdue.
    pub said: Said,
    /// How likely it is at each stage: at the boil, at its target soon, there, past; 0 to 1.
    pub chances: Chances,
    /// Brix in the pan.
    pub brix: Spread,
    /// Water driven off so far, to the nearest gram.
    pub evaporated: Grams,
    /// Water still to drive off; nought when there.
    pub water_left: Grams,
    /// Water that the pan drives off at present, L a square metre an hour.
    pub rate_l_m2_h: Spread,
    /// This boil's factor K at the target.
    pub k: Spread,
    /// What the pan drove off over this boil against what was said of it before: 1 as said.
    pub rate_against_said: Spread,
    /// When it will be done, when that can be told.
    pub finish: Option<Forecast>,
    /// When the next reading is due.
    pub next_reading: UtcSecond,
    /// When the last reading was noted, if there is any.
    pub last_reading: Option<UtcSecond>,
    /// Whether its fire was lit again, or juice was poured in: what was planned at its lighting does not hold any more.
    pub begun_anew: bool,
    /// Whether the next reading is overdue, so that silence itself is said: since when.
    pub silent_since: Option<UtcSecond>,
    /// When the fire was drawn, if it was and is not lit again, and the readings do not say that it burns on.
    pub drawn_at: Option<UtcSecond>,
    /// When the fire was said to be drawn, if the pan has gone on boiling all the same.
    pub burns_on: Option<UtcSecond>,
    /// Seconds in which the last 2 °Bx before the target go by at the fire there is.
    pub last_two_s: f64,
    /// How far the last figure stands alone, so that another is wanted now.
    pub alone: Option<Alone>,
    /// A figure that says less than was believed, while it stands undecided.
    pub less: Option<LessThanBefore>,
    /// When a figure was confirmed that is far from what was believed before it, while that stands undecided.
    pub confirmed: Option<UtcSecond>,
    /// Whether one refractometer reading is asked for, since nobody has learned K.
    pub wants_brix: bool,
    /// Whether one is asked for until it tells this boil's K: the syrup is half thick, and none was read of it.
    pub drop_open: bool,
    /// What the thermometer should show at the target, °C, by what was read of this boil; none before.
    pub draw_off: Option<Spread>,
    /// What the thermometer is expected to show, °C.
    pub temp_expected: Spread,
    /// Readings, by place in the order they were taken, that do not fit and count for little.
    pub doubtful: Vec<usize>,
}
