//! How much cane a press day still has room for: what the mill presses, what the vessels hold, and
//! what the pans boil within the time juice may be held. Never holds who has a turn.
//!
//! Juice is reckoned as it runs from the rollers and is taken by the pans without pause; what is
//! not taken yet waits in the vessels. A pan-full costs an hour beside its boiling.

use crate::calc::Unmet;
use crate::calc::boil::pan::Settings;
use crate::calc::physics::density::kg_m3;
use crate::calc::turns::starts::{Asker, Day, STEP_MIN, Span, nearest_words};
use crate::units::{BrixAt20C, Celsius, DayMinute, Grams, Millilitres, Minutes, Units, fixed};

/// Heating up, finishing, drawing off and cleaning of one pan-full (common practice, one hour).
const ROUND_MIN: f64 = 60.0;

/// What stops a turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// No minutes left at the mill.
    Mill,
    /// The vessels could not hold the juice.
    Vessels,
    /// The pans could not boil the juice within its holding time.
    Pan,
}

impl Limit {
    /// "the mill", "the vessels", "the pan".
    pub const fn words(self) -> &'static str {
        match self {
            Self::Mill => "the mill",
            Self::Vessels => "the vessels",
            Self::Pan => "the pan",
        }
    }
}

/// A turn held, as room is reckoned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Held {
    /// Its minutes.
    pub span: Span,
    /// Cane to expect.
    pub cane: Grams,
}

/// What happens to juice after the mill.
#[derive(Debug, Clone, PartialEq)]
pub struct Boiling {
    juice_pct: f64,
    juice_turns: u32,
    kg_per_l: f64,
    hold: Minutes,
    vessels: Millilitres,
    per_h: Option<Millilitres>,
}

/// What [`Boiling::new`] is made from.
#[derive(Debug, Clone, Copy)]
pub struct Setup<'a> {
    /// Juice expected of 100 of cane, by mass.
    pub juice_pct: f64,
    /// Turns that is learned from; nought: it is the rules'.
    pub juice_turns: u32,
    /// The thinnest juice that is not warned about, °Bx: planned with, so that water is not underrated.
    pub floor_bx: f64,
    /// Brix that boils finish at.
    pub target_bx: f64,
    /// How long juice may be held.
    pub hold: Minutes,
    /// The pans in use.
    pub pans: &'a [Settings],
    /// What the vessels in use hold together; nought when none is kept.
    pub vessels: Millilitres,
}

impl Boiling {
    /// What the mill's pans and vessels come to.
    ///
    /// # Errors
    /// A Brix that is none.
    pub fn new(of: &Setup<'_>) -> Result<Self, Unmet> {
        let brix =
            BrixAt20C::new(of.floor_bx).map_err(|refused| Unmet::refused("floor_bx", &refused))?;
        let twenty = Celsius::new(20.0).map_err(|refused| Unmet::refused("temp", &refused))?;
        let kg_per_l = kg_m3(brix, twenty) / 1000.0;
        // Of 100 of juice this much is water to drive off.
        let water = 1.0 - of.floor_bx / of.target_bx;
        let each = |pan: &Settings| {
            let charge = pan.most.litres() * kg_per_l;
            let minutes = pan.for_plan().minutes_for(charge * water) + ROUND_MIN;
            pan.most.litres() * 60.0 / minutes
        };
        let litres: f64 = of.pans.iter().map(each).sum();
        Ok(Self {
            juice_pct: of.juice_pct,
            juice_turns: of.juice_turns,
            kg_per_l,
            hold: of.hold,
            vessels: of.vessels,
            per_h: (!of.pans.is_empty()).then(|| Millilitres::nearest(litres * 1000.0)),
        })
    }

    /// Juice that the pans take in an hour, pan-fulls changed in between; none: no pan is in use.
    pub const fn per_h(&self) -> Option<Millilitres> {
        self.per_h
    }

    /// Juice to expect of so much cane, at 20 °C.
    pub fn juice_of(&self, cane: Grams) -> Millilitres {
        Millilitres::nearest(cane.as_f64() * self.juice_pct / 100.0 / self.kg_per_l)
    }

    /// How long the pans are taken by so much cane, rounded up to a minute; none: no pan is in use.
    pub fn pan_minutes(&self, cane: Grams) -> Option<Minutes> {
        let per_h = self.per_h?.get().max(1);
        Some(Minutes::new(
            (self.juice_of(cane).get() * 60 + per_h - 1) / per_h,
        ))
    }

    /// The sum behind [`Boiling::pan_minutes`]; empty without a pan.
    pub fn words(&self, cane: Grams, units: Units) -> String {
        let (Some(per_h), Some(minutes)) = (self.per_h, self.pan_minutes(cane)) else {
            return String::new();
        };
        let from = match self.juice_turns {
            0 => "the season’s rules".to_owned(),
            turns => format!("learned from {turns} turns"),
        };
        format!(
            "{} × {} % ({from}) = about {} of juice; ÷ {} an hour = {} of the pan",
            cane.show(units),
            fixed(self.juice_pct, 1, units),
            self.juice_of(cane).show(units),
            per_h.show(units),
            minutes.show()
        )
    }

    /// Most juice that may wait at a time, and what says so; none: no pan is in use, so nothing is
    /// known of how fast juice goes.
    fn most_waiting(&self) -> Option<(Millilitres, Limit)> {
        let pan = Millilitres::new(self.per_h?.get() * self.hold.get() / 60);
        if self.vessels > Millilitres::ZERO && self.vessels < pan {
            Some((self.vessels, Limit::Vessels))
        } else {
            Some((pan, Limit::Pan))
        }
    }

    /// Whether the juice of all these turns can be held and boiled in time.
    ///
    /// # Errors
    /// What stops it.
    pub fn takes(&self, turns: &[Held]) -> Result<(), Limit> {
        let (Some(per_h), Some((most, limit))) = (self.per_h, self.most_waiting()) else {
            return Ok(());
        };
        let mut turns = turns.to_vec();
        turns.sort_by_key(|turn| turn.span.start);
        // In sixtieths of a millilitre, so that minutes divide without loss.
        let (mut waiting, mut clock) = (0_i64, 0_i64);
        for turn in turns {
            let (start, end) = (turn.span.start.get(), turn.span.end());
            waiting = (waiting - per_h.get() * (start - clock).max(0)).max(0);
            waiting += self.juice_of(turn.cane).get() * 60;
            // Minutes that two entries share boil once: the mill may stand while a turn was missed.
            waiting = (waiting - per_h.get() * (end - start.max(clock)).max(0)).max(0);
            if waiting > most.get() * 60 {
                return Err(limit);
            }
            clock = end.max(clock);
        }
        Ok(())
    }
}

/// The starts at which a turn finds room.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Free {
    /// In order.
    pub starts: Vec<DayMinute>,
    /// What leaves no start, when there is none.
    pub stopped: Option<Limit>,
}

/// A turn as it is wanted.
#[derive(Debug, Clone, Copy)]
pub struct Wanted {
    /// How long it takes the mill.
    pub minutes: Minutes,
    /// Its cane.
    pub cane: Grams,
}

/// A press day with all that limits it.
#[derive(Debug, Clone, Copy)]
pub struct Rooms<'a> {
    /// The mill's day.
    pub day: Day,
    /// What comes after the mill.
    pub boiling: &'a Boiling,
    /// The turns held.
    pub held: &'a [Held],
}

/// What a day still has room for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Room {
    /// The most cane that one more turn could bring; nought: the day is full.
    pub most: Grams,
    /// What says so.
    pub limit: Limit,
}

impl Rooms<'_> {
    fn spans(&self) -> Vec<Span> {
        self.held.iter().map(|turn| turn.span).collect()
    }

    fn with(&self, start: DayMinute, wanted: Wanted) -> Result<(), Limit> {
        let mut turns = self.held.to_vec();
        turns.push(Held {
            span: Span {
                start,
                minutes: wanted.minutes,
            },
            cane: wanted.cane,
        });
        self.boiling.takes(&turns)
    }

    /// The starts free at the mill whose juice can be boiled, too.
    pub fn free(&self, wanted: Wanted, asker: Asker) -> Free {
        self.among(
            self.day.free_starts(&self.spans(), wanted.minutes, asker),
            wanted,
        )
    }

    fn among(&self, at_mill: Vec<DayMinute>, wanted: Wanted) -> Free {
        let mut stopped = Some(Limit::Mill);
        let mut starts = Vec::new();
        for start in at_mill {
            match self.with(start, wanted) {
                Ok(()) => starts.push(start),
                Err(limit) => stopped = Some(limit),
            }
        }
        if !starts.is_empty() {
            stopped = None;
        }
        Free { starts, stopped }
    }

    /// Whether a turn may be put there.
    ///
    /// # Errors
    /// As [`Day::answer`]; or the juice could not be held or boiled in time, which is said with the
    /// nearest starts where it could.
    pub fn place(&self, wanted: Wanted, start: DayMinute, asker: Asker) -> Result<Span, Unmet> {
        let span = Span {
            start,
            minutes: wanted.minutes,
        };
        let at_mill = self.day.free_starts(&self.spans(), wanted.minutes, asker);
        let mill_has_it = at_mill.contains(&start);
        let free = self.among(at_mill, wanted);
        if mill_has_it && let Err(limit) = self.with(start, wanted) {
            return Err(self.no_juice_room(limit, start, &free.starts));
        }
        if let (false, Some(limit @ (Limit::Pan | Limit::Vessels))) = (mill_has_it, free.stopped) {
            self.day.may_stand(span, asker)?;
            return Err(self.no_juice_room(limit, start, &[]));
        }
        self.day.answer(&free.starts, span, asker)?;
        Ok(span)
    }

    fn no_juice_room(&self, limit: Limit, start: DayMinute, free: &[DayMinute]) -> Unmet {
        let (code, why) = match limit {
            Limit::Vessels => ("vessels-full", "the vessels could not hold its juice"),
            _ => (
                "pan-full",
                "the pan could not boil its juice before it is held too long",
            ),
        };
        let rest = match nearest_words(&self.day.clock, free, start) {
            Some(names) => format!("The nearest free starts are {names}."),
            None => {
                "Please choose another press day, bring less cane, or call the crew.".to_owned()
            }
        };
        Unmet::beside(
            "start",
            code,
            format!(
                "The mill is free at {} on {}, but {why}. {rest}",
                self.day.clock.show(start),
                self.day.clock.date().show()
            ),
        )
    }

    /// The most cane one more turn could bring, to the kilogram, and what says so.
    pub fn room(&self, asker: Asker) -> Room {
        let spans = self.spans();
        let fits = |kg: i64| -> Result<(), Limit> {
            let cane = Grams::new(kg * 1000);
            let minutes = self
                .day
                .minutes_for(cane, Units::Metric)
                .map_err(|_| Limit::Mill)?;
            let at_mill = self.day.free_starts(&spans, minutes, asker);
            self.among(at_mill, Wanted { minutes, cane })
                .stopped
                .map_or(Ok(()), Err)
        };
        // Least turn worth the name: what the mill presses in five minutes.
        let least = (self.day.mill_per_h.get() * STEP_MIN / 60_000).max(1);
        if let Err(limit) = fits(least) {
            return Room {
                most: Grams::ZERO,
                limit,
            };
        }
        let (mut yes, mut no) = (least, self.day.mill_per_h.get() * 25 / 1000 + least);
        let mut limit = Limit::Mill;
        while no - yes > 1 {
            let middle = yes.midpoint(no);
            match fits(middle) {
                Ok(()) => yes = middle,
                Err(by) => {
                    no = middle;
                    limit = by;
                }
            }
        }
        Room {
            most: Grams::new(yes * 1000),
            limit,
        }
    }
}

impl Room {
    /// "full: the pan is the limit", "a turn of up to 412 lb; the mill is the limit".
    pub fn words(self, units: Units) -> String {
        let verb = match self.limit {
            Limit::Vessels => "are",
            Limit::Mill | Limit::Pan => "is",
        };
        let limit = format!("{} {verb} the limit", self.limit.words());
        if self.most == Grams::ZERO {
            format!("full: {limit}")
        } else {
            format!("a turn of up to {}; {limit}", self.most.show(units))
        }
    }
}

#[cfg(test)]
#[path = "day_room_tests.rs"]
mod tests;
