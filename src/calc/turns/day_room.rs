//! How much cane a press day still has room for: what the mill presses, what the vessels hold, and
//! what the pans boil within the time juice may be held. Never holds who has a turn.
//!
//! The pans are planned in charges, as they will be lit, with each juice in vessels of its own: see
//! `pan_charges`. A turn finds room if no juice of the day overflows a vessel or is held too long.

pub use super::day_boiling::{AfterMill, Limit, Setup, TurnHeld};

use crate::calc::RuleRefusal;
use crate::calc::turns::queue::{Coming, Stage, Stand, behind, done_at, stages};
use crate::calc::turns::starts::{Asker, Day, STEP_MIN, Span, nearest_words};
use crate::units::{DayMinute, Grams, Minutes, Units, UtcSecond};

/// The starts at which a turn finds room.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FreeStarts {
    /// The possible starts, in order.
    pub starts: Vec<DayMinute>,
    /// What leaves no start, when there is none.
    pub stopped: Option<Limit>,
}

/// A turn as it is wanted.
#[derive(Debug, Clone, Copy)]
pub struct TurnWanted {
    /// How long it takes the mill.
    pub minutes: Minutes,
    /// Cane to expect of it.
    pub cane: Grams,
    /// Whether its juice may be boiled together with that of others.
    pub pools: bool,
}

/// A press day with all that limits it.
#[derive(Debug, Clone, Copy)]
pub struct DayWithTurns<'a> {
    /// The mill's day.
    pub day: Day,
    /// How the juice is boiled after the mill.
    pub boiling: &'a AfterMill,
    /// The turns held.
    pub held: &'a [TurnHeld],
    /// Who is still to be pressed, while the day runs; else empty.
    pub line: &'a [Coming],
    /// When the mill stands, while the day runs; else empty.
    pub stands: &'a [Stand],
}

/// What a day still has room for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Room {
    /// The most cane that one more turn could bring; nought: the day is full.
    pub most: Grams,
    /// What keeps more cane out: mill, vessels or pan.
    pub limit: Limit,
    /// Minutes of the mill still to come that nobody holds.
    pub left: Minutes,
}

impl DayWithTurns<'_> {
    /// The minutes of the mill that are taken for whoever asks: as planned, and, to members, as the line at the mill
    /// comes out at that moment. Crew may put cane that is there before others.
    fn spans(&self, asker: Asker) -> Vec<Span> {
        let mut spans: Vec<Span> = self.held.iter().map(|turn| turn.span).collect();
        if !asker.crew {
            spans.extend(self.line_as_it_runs(asker.at));
        }
        spans
    }

    /// The minutes that the mill will take for those who are there or still expected, however late it runs. Whoever is late
    /// may not come at all, and keeps nobody from booking.
    fn line_as_it_runs(&self, at: UtcSecond) -> Vec<Span> {
        let minute = self.day.clock.run(at).get();
        let mut line = self.line.to_vec();
        line.retain(|one| {
            one.weighed.is_some() || one.start.is_some_and(|start| start.get() >= minute)
        });
        let spans = line.iter().zip(stages(&line, self.stands, minute));
        let spans = spans.filter_map(|(one, stage)| {
            let (start, minutes) = match stage {
                Stage::Done => return None,
                Stage::AtTheMill => {
                    let (_, since) = one.weighed?;
                    let done = done_at(since, one.minutes.get(), self.stands);
                    (minute, (done - minute).max(0))
                }
                Stage::Waits(about) | Stage::Expected(about) | Stage::Late(about) => (
                    about,
                    done_at(about, one.minutes.get(), self.stands) - about,
                ),
            };
            Some(Span {
                start: DayMinute::new(start),
                minutes: Minutes::new(minutes),
            })
        });
        spans.collect()
    }

    /// How far behind its plan the mill is; `None`: the day does not run, or nobody is left to tell it by.
    pub fn behind(&self, at: UtcSecond) -> Option<Minutes> {
        let minute = self.day.clock.run(at).get();
        behind(self.line, &stages(self.line, self.stands, minute))
    }

    /// Minutes of the day still to come that nobody holds, and that the line at the mill will not take.
    fn left(&self, at: UtcSecond) -> Minutes {
        let asker = Asker { at, crew: false };
        let step = Minutes::new(STEP_MIN);
        let free = self.day.free_starts(&self.spans(asker), step, asker);
        free.iter().map(|_| step).sum()
    }

    /// The turns held, with one more behind them.
    fn and(&self, start: DayMinute, wanted: TurnWanted) -> Vec<TurnHeld> {
        let one = TurnHeld {
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
    pub fn takes(&self, turns: &[TurnHeld]) -> Result<(), Limit> {
        self.boiling.takes(self.day.mill_per_h, turns)
    }

    fn with(&self, start: DayMinute, wanted: TurnWanted) -> Result<(), Limit> {
        self.takes(&self.and(start, wanted))
    }

    /// The starts free at the mill whose juice can be boiled, too.
    pub fn free(&self, wanted: TurnWanted, asker: Asker) -> FreeStarts {
        self.among(
            &self
                .day
                .free_starts(&self.spans(asker), wanted.minutes, asker),
            wanted,
        )
    }

    /// The first such start that will do, looked for no farther than that; `will_do` is asked before the juice is reckoned.
    pub fn first(
        &self,
        wanted: TurnWanted,
        asker: Asker,
        will_do: impl Fn(DayMinute) -> bool,
    ) -> Option<DayMinute> {
        let at_mill = self
            .day
            .free_starts(&self.spans(asker), wanted.minutes, asker);
        let mut at_mill = at_mill.into_iter();
        at_mill.find(|start| will_do(*start) && self.with(*start, wanted).is_ok())
    }

    fn among(&self, at_mill: &[DayMinute], wanted: TurnWanted) -> FreeStarts {
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
        FreeStarts { starts, stopped }
    }

    /// Whether a turn may be put there.
    ///
    /// # Errors
    /// As [`Day::answer`]; or the juice could not be held or boiled in time, which is said with the
    /// nearest starts where it could.
    pub fn place(
        &self,
        wanted: TurnWanted,
        start: DayMinute,
        asker: Asker,
    ) -> Result<Span, RuleRefusal> {
        let span = Span {
            start,
            minutes: wanted.minutes,
        };
        let at_mill = self
            .day
            .free_starts(&self.spans(asker), wanted.minutes, asker);
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
            self.day.check_alone(span, asker)?;
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
        (start, wanted): (DayMinute, TurnWanted),
        free: &[DayMinute],
    ) -> RuleRefusal {
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
        RuleRefusal::beside(
            "start",
            code,
            format!("{said} {}, but {why}. {rest}", self.day.clock.date().show()),
        )
    }

    /// The most cane one more turn could bring, pooled, to the kilogram, and what says so.
    pub fn room(&self, asker: Asker) -> Room {
        let spans = self.spans(asker);
        let left = self.left(asker.at);
        // The starts that have room for this much cane, among those still looked at.
        let fits = |kg: i64, only: Option<&[DayMinute]>| -> Result<Vec<DayMinute>, Limit> {
            let cane = Grams::new(kg * 1000);
            let minutes = self
                .day
                .minutes_for(cane, Units::Metric)
                .map_err(|_| Limit::Mill)?;
            let mut at_mill = self.day.free_starts(&spans, minutes, asker);
            at_mill.retain(|start| only.is_none_or(|only| only.contains(start)));
            let wanted = TurnWanted {
                minutes,
                cane,
                pools: true,
            };
            let free = self.among(&at_mill, wanted);
            free.stopped.map_or(Ok(free.starts), Err)
        };
        // The least turn that counts: what the mill presses in five minutes.
        let least = (self.day.mill_per_h.get() * STEP_MIN / 60_000).max(1);
        let mut starts = match fits(least, None) {
            Ok(starts) => starts,
            Err(limit) => {
                return Room {
                    most: Grams::ZERO,
                    limit,
                    left,
                };
            }
        };
        let (mut yes, mut no) = (least, self.day.mill_per_h.get() * 25 / 1000 + least);
        let mut limit = Limit::Mill;
        while no - yes > 1 {
            let middle = yes.midpoint(no);
            // A start that has no room for less cane has none for more.
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
            left,
        }
    }
}

impl Room {
    /// Whether no further turn finds room.
    pub fn is_full(self) -> bool {
        self.most == Grams::ZERO
    }

    /// "full: the pan is the limit", "a turn of up to 412 lb; the mill is the limit".
    pub fn words(self, units: Units) -> String {
        let verb = match self.limit {
            Limit::Vessels => "are",
            Limit::Mill | Limit::Pan => "is",
        };
        let limit = format!("{} {verb} the limit", self.limit.words());
        if self.is_full() {
            format!("full: {limit}")
        } else {
            format!("a turn of up to {}; {limit}", self.most.show(units))
        }
    }
}

#[cfg(test)]
#[path = "day_room_tests.rs"]
mod tests;
