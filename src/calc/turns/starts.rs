//! Turns on a press day: how long the mill is taken, which starts are free, and why a turn cannot
//! stand. Never holds who has a turn.

use crate::calc::RuleRefusal;
use crate::units::{
    ClockTime, ClockTyped, DayClock, DayMinute, Grams, MinuteOfDay, Minutes, PressDate, Units,
    UtcSecond, fixed,
};

/// Turns start and end on full five minutes: five minutes are the least the schema keeps apart.
pub const STEP_MIN: i64 = 5;
/// How many free starts a refusal names.
const NAMED: usize = 3;

/// A press day as turns are reckoned on it.
#[derive(Debug, Clone, Copy)]
pub struct Day {
    /// Its civil date and how its clocks run.
    pub clock: DayClock,
    /// When the mill starts.
    pub opens: MinuteOfDay,
    /// The mill stops; a turn ends by then, its change-over included.
    pub closes: MinuteOfDay,
    /// Whether it was closed and takes no more turns.
    pub closed: bool,
    /// Cane the mill takes in an hour; above nought.
    pub mill_per_h: Grams,
    /// Cleaning between two members' cane.
    pub changeover: Minutes,
}

/// Refuses work at the mill on a press day that is closed.
///
/// # Errors
/// It is closed.
pub fn not_closed(date: PressDate, closed: bool) -> Result<(), RuleRefusal> {
    if !closed {
        return Ok(());
    }
    let sentence = format!(
        "{} is closed. A steward can open it again on its page.",
        date.show()
    );
    Err(RuleRefusal::new("day-closed", sentence))
}

/// The minutes that a turn takes of its day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Span {
    /// Its start, in minutes that the day has run.
    pub start: DayMinute,
    /// Minutes for pressing and change-over.
    pub minutes: Minutes,
}

/// Who asks for a turn, and when.
#[derive(Debug, Clone, Copy)]
pub struct Asker {
    /// The instant of asking.
    pub at: UtcSecond,
    /// Crew may put a turn anywhere into the present day, also where it has begun: the cane is there.
    pub crew: bool,
}

impl Span {
    /// A turn as it was kept.
    pub fn kept(clock: &DayClock, start: ClockTime, minutes: Minutes) -> Self {
        Self {
            start: clock.kept(start),
            minutes,
        }
    }

    /// When it ends, in minutes that the day has run.
    pub const fn end(self) -> i64 {
        self.start.plus(self.minutes).get()
    }

    /// Whether two turns share a minute.
    pub const fn overlaps(self, other: Self) -> bool {
        self.start.get() < other.end() && other.start.get() < self.end()
    }

    /// The start of each five minutes that it holds.
    pub fn fives(self) -> impl Iterator<Item = DayMinute> {
        (self.start.get()..self.end())
            .step_by(5)
            .map(DayMinute::new)
    }

    /// The time in words: "09:30–10:40".
    pub fn show(self, clock: &DayClock) -> String {
        let end = DayMinute::new(self.end());
        format!("{}–{}", clock.show(self.start), clock.show(end))
    }
}

impl Day {
    /// The minutes the mill is taken by that much cane: pressing (to a tenth of a minute) and
    /// change-over, together rounded up to full five minutes, at least five.
    ///
    /// # Errors
    /// No cane, or more than the mill can press from opening to closing.
    pub fn minutes_for(&self, cane: Grams, units: Units) -> Result<Minutes, RuleRefusal> {
        if cane <= Grams::ZERO {
            return Err(RuleRefusal::beside(
                "amount",
                "no-cane",
                "Please say how much cane to expect, more than nothing.",
            ));
        }
        // Pressing counts as it is printed, to a tenth of a minute: a pound kept in whole grams must
        // not push a round sum over the next five.
        let per_h = self.mill_per_h.get().max(1);
        let tenths = (cane.get() * 600 + per_h / 2) / per_h + self.changeover.get() * 10;
        let step = STEP_MIN * 10;
        let minutes = Minutes::new(((tenths + step - 1) / step).max(1) * STEP_MIN);
        // The store keeps a turn of a day at most, also on the one of 25 hours.
        let open = self.open_minutes().min(Minutes::new(1440));
        if minutes > open {
            return Err(RuleRefusal::beside(
                "amount",
                "longer-than-day",
                format!(
                    "{} would take {}; the mill runs {} that day. Please correct the amount, or part the cane into \
                     turns on several days.",
                    cane.show(units),
                    minutes.show(),
                    open.show()
                ),
            ));
        }
        Ok(minutes)
    }

    /// The sum behind [`Day::minutes_for`], as one does it with a pencil.
    pub fn minutes_words(&self, cane: Grams, minutes: Minutes, units: Units) -> String {
        let pressing = cane.as_f64() * 60.0 / self.mill_per_h.as_f64().max(1.0);
        format!(
            "{} × 60 ÷ {} an hour = {} min of pressing; {} min for the change-over; together, rounded up to full \
             five minutes, {} min",
            cane.show(units),
            self.mill_per_h.show(units),
            fixed(pressing, 1, units),
            self.changeover.get(),
            minutes.get()
        )
    }

    /// Minutes from opening to closing that the day truly has, also when the clocks change on it.
    pub fn open_minutes(&self) -> Minutes {
        Minutes::new(self.ends().get() - self.begins().get())
    }

    /// When the mill starts, in minutes that the day has run.
    pub fn begins(&self) -> DayMinute {
        self.clock.opens(self.opens)
    }

    /// When the mill stops, in minutes that the day has run.
    pub fn ends(&self) -> DayMinute {
        self.clock.closes(self.closes)
    }

    /// The starts at which a turn of this many minutes finds room among the turns held, in order.
    pub fn free_starts(&self, held: &[Span], minutes: Minutes, asker: Asker) -> Vec<DayMinute> {
        if self.closed {
            return Vec::new();
        }
        let fives: Vec<i64> = (self.begins().get()..self.ends().get())
            .step_by(5)
            .collect();
        let mut room = 0;
        let mut free = Vec::new();
        for five in fives.into_iter().rev() {
            let start = DayMinute::new(five);
            let one = Span {
                start,
                minutes: Minutes::new(STEP_MIN),
            };
            let taken = held.iter().any(|turn| turn.overlaps(one));
            room = if taken { 0 } else { room + STEP_MIN };
            if room >= minutes.get() && self.ahead(start, asker) {
                free.push(start);
            }
        }
        free.reverse();
        free
    }

    /// The minute of the day at which a start lies that somebody wrote.
    ///
    /// # Errors
    /// The clocks skip it, or show it twice and which of the two was not said.
    pub fn find(&self, typed: ClockTyped) -> Result<DayMinute, RuleRefusal> {
        self.clock
            .find(typed)
            .map_err(|refused| RuleRefusal::refused("start", &refused))
    }

    /// Whether a start is still to come; to crew the whole of the present day is.
    fn ahead(&self, start: DayMinute, asker: Asker) -> bool {
        self.clock.instant(start) > asker.at || (asker.crew && self.clock.ends() > asker.at)
    }

    /// Whether a turn may be put there, among the turns held.
    ///
    /// # Errors
    /// The day is closed; the start is no full five minutes, is skipped by the clocks or is past;
    /// the turn is not within the hours; or a minute of it is taken: the nearest free starts are
    /// named then.
    pub fn place(&self, held: &[Span], wanted: Span, asker: Asker) -> Result<(), RuleRefusal> {
        let free = self.free_starts(held, wanted.minutes, asker);
        self.answer(&free, wanted, asker)
    }

    /// Whether a turn may be put there, given the starts that are free for it.
    ///
    /// # Errors
    /// As [`Day::place`].
    pub fn answer(
        &self,
        free: &[DayMinute],
        wanted: Span,
        asker: Asker,
    ) -> Result<(), RuleRefusal> {
        self.check_alone(wanted, asker)?;
        if free.contains(&wanted.start) {
            return Ok(());
        }
        let takes = wanted.minutes.show();
        let Some(names) = nearest_words(&self.clock, free, wanted.start) else {
            return Err(RuleRefusal::beside(
                "start",
                "no-room",
                format!(
                    "{} is taken, and there is no room for a turn of {takes} left on {}. Please choose another press \
                     day, or call the crew.",
                    wanted.show(&self.clock),
                    self.clock.date().show()
                ),
            ));
        };
        Err(RuleRefusal::beside(
            "start",
            "taken",
            format!(
                "{} is not free for a turn of {takes}. The nearest free starts are {names}.",
                self.clock.show(wanted.start),
            ),
        ))
    }

    /// Whether the turn could stand on an empty day.
    ///
    /// # Errors
    /// Closed, outside the hours, past, or no such time.
    pub(in crate::calc) fn check_alone(
        &self,
        wanted: Span,
        asker: Asker,
    ) -> Result<(), RuleRefusal> {
        let beside = |code, sentence| Err(RuleRefusal::beside("start", code, sentence));
        let date = self.clock.date().show();
        if self.closed {
            return Err(RuleRefusal::new(
                "day-closed",
                format!(
                    "{date} is closed and takes no more turns. Please choose another press day."
                ),
            ));
        }
        if wanted.start.get() % STEP_MIN != 0
            || wanted.minutes.get() % STEP_MIN != 0
            || wanted.minutes.get() < STEP_MIN
        {
            return beside(
                "not-five-minutes",
                "Turns start on a full five minutes, like 9:35. Please choose such a start."
                    .to_owned(),
            );
        }
        if wanted.start < self.begins() || wanted.end() > self.ends().get() {
            let last = self.ends().get() - wanted.minutes.get();
            return beside(
                "outside-hours",
                match DayMinute::new(last) {
                    last if last >= self.begins() => format!(
                        "The mill runs from {} to {} on {date}: a turn of {} starts from {} to {}.",
                        self.opens.show(),
                        self.closes.show(),
                        wanted.minutes.show(),
                        self.opens.show(),
                        self.clock.show(last)
                    ),
                    _ => format!(
                        "The mill runs from {} to {} on {date}, too short for a turn of {}.",
                        self.opens.show(),
                        self.closes.show(),
                        wanted.minutes.show()
                    ),
                },
            );
        }
        if !self.ahead(wanted.start, asker) {
            return beside(
                "start-past",
                format!(
                    "{} on {date} is past. Please choose a later start.",
                    self.clock.show(wanted.start)
                ),
            );
        }
        Ok(())
    }
}

/// A turn as it was kept, for reading: "09:30–10:40".
pub fn span_words(clock: &DayClock, start: ClockTime, minutes: Minutes) -> String {
    Span::kept(clock, start, minutes).show(clock)
}

/// The free starts nearest to a wanted one, at most `most`, in order of the day; of two as near, the
/// earlier.
pub fn nearest(free: &[DayMinute], wanted: DayMinute, most: usize) -> Vec<DayMinute> {
    let mut near = free.to_vec();
    near.sort_by_key(|start| ((start.get() - wanted.get()).abs(), *start));
    near.truncate(most);
    near.sort_unstable();
    near
}

/// The free starts nearest to a wanted one, in words; none: there is none.
pub(in crate::calc) fn nearest_words(
    clock: &DayClock,
    free: &[DayMinute],
    wanted: DayMinute,
) -> Option<String> {
    let near = nearest(free, wanted, NAMED);
    let names: Vec<String> = near.into_iter().map(|start| clock.show(start)).collect();
    (!names.is_empty()).then(|| list(&names))
}

/// The starts worth a button each: every quarter of an hour, and the first and last of each run,
/// which leave no gap beside another turn.
pub fn offered(free: &[DayMinute]) -> Vec<DayMinute> {
    let beside = |start: &DayMinute, step: i64| free.iter().any(|f| f.get() == start.get() + step);
    free.iter()
        .filter(|s| s.get() % 15 == 0 || !beside(s, -STEP_MIN) || !beside(s, STEP_MIN))
        .copied()
        .collect()
}

fn list(names: &[String]) -> String {
    match names.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => names.join(""),
    }
}

#[cfg(test)]
#[path = "starts_tests.rs"]
mod tests;
