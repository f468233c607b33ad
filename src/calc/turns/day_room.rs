//! How much cane a press day still has room for: what the mill presses, what the vessels hold, and
//! what the pans boil within the time juice may be held. Never holds who has a turn.
//!
//! The pans are planned in charges, as they will be lit, with each juice in vessels of its own: see
//! `pan_charges`. A turn finds room if no juice of the day overflows a vessel or is held too long.

use super::pan_charges::{Cellar, PanSize, Plan, TurnJuice, plan};
use crate::calc::Unmet;
use crate::calc::boil::day_sum::OVERHEAD;
use crate::calc::boil::pan::{Settings, suits};
use crate::calc::physics::density::kg_m3;
use crate::calc::season::season_plan::SETTLES;
use crate::calc::turns::starts::{Asker, Day, STEP_MIN, Span, nearest_words};
use crate::units::{BrixAt20C, Celsius, DayMinute, Grams, Millilitres, Minutes, Units, fixed};

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
    /// Whether its juice may be boiled together with that of others.
    pub pools: bool,
}

/// What happens to juice after the mill.
#[derive(Debug, Clone, PartialEq)]
pub struct Boiling {
    juice_pct: f64,
    juice_turns: u32,
    kg_per_l: f64,
    pans: Vec<Settings>,
    cellar: Cellar,
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
    /// What each vessel in use holds; empty when none is kept.
    pub vessels: &'a [Millilitres],
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
        // Of a litre of juice this much is water to drive off, kg.
        let water = kg_per_l * (1.0 - of.floor_bx / of.target_bx);
        let size = |pan: &Settings| {
            let litres_per_h = pan.for_plan().kg_min() * 60.0 / water;
            PanSize {
                least: pan.least.get(),
                most: pan.most.get().max(1),
                ml_per_h: Millilitres::nearest(litres_per_h * 1000.0).get().max(1),
                round_s: OVERHEAD.get() * 60,
            }
        };
        Ok(Self {
            juice_pct: of.juice_pct,
            juice_turns: of.juice_turns,
            kg_per_l,
            pans: of.pans.to_vec(),
            cellar: Cellar {
                vessels: of.vessels.iter().map(|vessel| vessel.get()).collect(),
                pans: of.pans.iter().map(size).collect(),
                // A season that holds juice for less than four hours settles it for half of that.
                settles_s: SETTLES.get().min(of.hold.get() / 2) * 60,
                hold_s: of.hold.get() * 60,
            },
        })
    }

    /// Juice to expect of so much cane, at 20 °C.
    pub fn juice_of(&self, cane: Grams) -> Millilitres {
        Millilitres::nearest(cane.as_f64() * self.juice_pct / 100.0 / self.kg_per_l)
    }

    /// The pan that the juice of so much cane is boiled in, were it alone: the smallest that takes it,
    /// else the largest.
    fn pan_for(&self, juice: Millilitres) -> Option<(&Settings, &PanSize)> {
        let place = suits(&self.pans, juice)?;
        Some((&self.pans[place], &self.cellar.pans[place]))
    }

    /// How long a pan is taken by so much cane, boiled alone, and in how many charges; rounded up to a
    /// minute; none: no pan is in use.
    pub fn pan_minutes(&self, cane: Grams) -> Option<(i64, Minutes)> {
        let juice = self.juice_of(cane).get();
        let (_, pan) = self.pan_for(Millilitres::new(juice))?;
        let charges = (juice + pan.most - 1) / pan.most;
        let seconds = pan.seconds(juice) + (charges - 1).max(0) * pan.round_s;
        Some((charges, Minutes::new((seconds + 59) / 60)))
    }

    /// The sum behind [`Boiling::pan_minutes`]; empty without a pan.
    pub fn words(&self, cane: Grams, units: Units) -> String {
        let juice = self.juice_of(cane);
        let (Some((settings, pan)), Some((charges, minutes))) =
            (self.pan_for(juice), self.pan_minutes(cane))
        else {
            return String::new();
        };
        let from = match self.juice_turns {
            0 => "the season’s rules".to_owned(),
            turns => format!("learned from {turns} turns"),
        };
        let charges = match charges {
            0 | 1 => "one charge".to_owned(),
            more => format!("{more} charges"),
        };
        format!(
            "{} × {} % ({from}) = about {} of juice. It settles {}, then takes the pan {}: {charges} of {} at most, \
             boiled down at {} an hour, and {} for each to heat up, finish, draw off and clean",
            cane.show(units),
            fixed(self.juice_pct, 1, units),
            juice.show(units),
            Minutes::new(self.cellar.settles_s / 60).show(),
            minutes.show(),
            settings.most.show(units),
            Millilitres::new(pan.ml_per_h).show(units),
            Minutes::new(pan.round_s / 60).show(),
        )
    }

    /// The juice of turns as it runs from the mill, in the order of their starts, and the place of each
    /// turn that has any.
    fn juices(&self, mill_per_h: Grams, turns: &[Held]) -> (Vec<TurnJuice>, Vec<usize>) {
        let mut order: Vec<usize> = (0..turns.len())
            .filter(|n| self.juice_of(turns[*n].cane) > Millilitres::ZERO)
            .collect();
        order.sort_by_key(|n| turns[*n].span.start);
        let per_h = mill_per_h.get().max(1);
        let juice = |n: &usize| {
            let turn = &turns[*n];
            // Kept minutes stand, whatever the mill's rate has become since.
            let most_s = turn.span.minutes.get().max(1) * 60;
            TurnJuice {
                start_s: turn.span.start.get() * 60,
                presses_s: (turn.cane.get() * 3600 / per_h).clamp(1, most_s),
                ml: self.juice_of(turn.cane).get(),
                pools: turn.pools,
            }
        };
        (order.iter().map(juice).collect(), order)
    }

    /// The charges of a day's pans, and what they come to; none: no pan is in use, so nothing is known
    /// of how fast juice goes.
    pub fn plan(&self, mill_per_h: Grams, turns: &[Held]) -> Option<Plan> {
        if self.pans.is_empty() {
            return None;
        }
        Some(plan(&self.cellar, &self.juices(mill_per_h, turns).0))
    }

    /// Whether the juice of all these turns can be held and boiled in time, at a mill that presses so
    /// much in an hour.
    ///
    /// # Errors
    /// What stops it.
    pub fn takes(&self, mill_per_h: Grams, turns: &[Held]) -> Result<(), Limit> {
        match self.plan(mill_per_h, turns) {
            None => Ok(()),
            Some(plan) if plan.overflow.is_some() => Err(Limit::Vessels),
            Some(plan) if self.longest(&plan) > self.cellar.hold_s => Err(Limit::Pan),
            Some(_) => Ok(()),
        }
    }

    fn longest(&self, plan: &Plan) -> i64 {
        plan.waits_s.iter().copied().max().unwrap_or(0)
    }

    /// Why the last of these turns cannot be taken beside the others, in a sentence or two.
    fn why_not(&self, day: &Day, turns: &[Held], limit: Limit) -> String {
        let (juices, order) = self.juices(day.mill_per_h, turns);
        let plan = plan(&self.cellar, &juices);
        let starts = |n: usize| day.clock.show(turns[order[n]].span.start);
        let own = |n: usize| order[n] + 1 == turns.len();
        if limit == Limit::Vessels {
            return match plan.overflow {
                Some(over) if !own(over.turn) => format!(
                    "the vessels could not hold its juice beside that of the turn at {}",
                    starts(over.turn)
                ),
                _ => "the vessels could not hold its juice: each holds one member’s, until it is on the fire".to_owned(),
            };
        }
        let late = |n: &usize| plan.waits_s[*n] > self.cellar.hold_s;
        let said = (0..juices.len())
            .filter(late)
            .max_by_key(|n| (own(*n), plan.waits_s[*n]));
        let Some(worst) = said else {
            return "the pan could not boil its juice before it is held too long".to_owned();
        };
        let hold = Minutes::new(self.cellar.hold_s / 60).show();
        // In full five minutes, upwards: never as long as what the season allows.
        let waits = Minutes::new((plan.waits_s[worst] + 299) / 300 * 5).show();
        if own(worst) {
            format!(
                "the pan could not boil its juice before it is held too long. Your juice would wait about {waits} \
                 before it is boiled; the season allows {hold}"
            )
        } else {
            format!(
                "the pan could not boil its juice before that of others is held too long. The juice of the turn \
                 at {} would wait about {waits} before it is boiled; the season allows {hold}",
                starts(worst)
            )
        }
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
    /// Whether its juice may be boiled together with that of others.
    pub pools: bool,
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

    /// The turns held, with one more behind them.
    fn and(&self, start: DayMinute, wanted: Wanted) -> Vec<Held> {
        let one = Held {
            span: Span {
                start,
                minutes: wanted.minutes,
            },
            cane: wanted.cane,
            pools: wanted.pools,
        };
        self.held.iter().copied().chain([one]).collect()
    }

    /// Whether the juice of all these turns can be held and boiled in time.
    ///
    /// # Errors
    /// What stops it.
    pub fn takes(&self, turns: &[Held]) -> Result<(), Limit> {
        self.boiling.takes(self.day.mill_per_h, turns)
    }

    fn with(&self, start: DayMinute, wanted: Wanted) -> Result<(), Limit> {
        self.takes(&self.and(start, wanted))
    }

    /// The starts free at the mill whose juice can be boiled, too.
    pub fn free(&self, wanted: Wanted, asker: Asker) -> Free {
        self.among(
            &self.day.free_starts(&self.spans(), wanted.minutes, asker),
            wanted,
        )
    }

    fn among(&self, at_mill: &[DayMinute], wanted: Wanted) -> Free {
        let mut stopped = Some(Limit::Mill);
        let mut starts = Vec::new();
        for start in at_mill {
            match self.with(*start, wanted) {
                Ok(()) => starts.push(*start),
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
        if at_mill.contains(&start) {
            if let Err(limit) = self.with(start, wanted) {
                let free = self.among(&at_mill, wanted);
                let said = format!("The mill is free at {} on", self.day.clock.show(start));
                return Err(self.no_juice_room(&said, limit, (start, wanted), &free.starts));
            }
            self.day.answer(&at_mill, span, asker)?;
            return Ok(span);
        }
        let free = self.among(&at_mill, wanted);
        if let (Some(limit @ (Limit::Pan | Limit::Vessels)), Some(last)) =
            (free.stopped, at_mill.last())
        {
            self.day.may_stand(span, asker)?;
            let said = "The mill could press it later or earlier on";
            return Err(self.no_juice_room(said, limit, (*last, wanted), &[]));
        }
        self.day.answer(&free.starts, span, asker)?;
        Ok(span)
    }

    fn no_juice_room(
        &self,
        said: &str,
        limit: Limit,
        (start, wanted): (DayMinute, Wanted),
        free: &[DayMinute],
    ) -> Unmet {
        let code = match limit {
            Limit::Vessels => "vessels-full",
            _ => "pan-full",
        };
        let why = self
            .boiling
            .why_not(&self.day, &self.and(start, wanted), limit);
        let rest = match nearest_words(&self.day.clock, free, start) {
            Some(names) => format!("The nearest free starts are {names}."),
            None => {
                "Please choose another press day, bring less cane, or call the crew.".to_owned()
            }
        };
        Unmet::beside(
            "start",
            code,
            format!("{said} {}, but {why}. {rest}", self.day.clock.date().show()),
        )
    }

    /// The most cane one more turn could bring, pooled, to the kilogram, and what says so.
    pub fn room(&self, asker: Asker) -> Room {
        let spans = self.spans();
        // The starts for so much cane, of those that are still looked at.
        let fits = |kg: i64, only: Option<&[DayMinute]>| -> Result<Vec<DayMinute>, Limit> {
            let cane = Grams::new(kg * 1000);
            let minutes = self
                .day
                .minutes_for(cane, Units::Metric)
                .map_err(|_| Limit::Mill)?;
            let mut at_mill = self.day.free_starts(&spans, minutes, asker);
            at_mill.retain(|start| only.is_none_or(|only| only.contains(start)));
            let wanted = Wanted {
                minutes,
                cane,
                pools: true,
            };
            let free = self.among(&at_mill, wanted);
            free.stopped.map_or(Ok(free.starts), Err)
        };
        // Least turn worth the name: what the mill presses in five minutes.
        let least = (self.day.mill_per_h.get() * STEP_MIN / 60_000).max(1);
        let mut starts = match fits(least, None) {
            Ok(starts) => starts,
            Err(limit) => {
                return Room {
                    most: Grams::ZERO,
                    limit,
                };
            }
        };
        let (mut yes, mut no) = (least, self.day.mill_per_h.get() * 25 / 1000 + least);
        let mut limit = Limit::Mill;
        while no - yes > 1 {
            let middle = yes.midpoint(no);
            // A start that has no room for less has none for more.
            match fits(middle, Some(&starts)) {
                Ok(found) => {
                    yes = middle;
                    starts = found;
                }
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
