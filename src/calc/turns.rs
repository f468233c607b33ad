//! Turns on a press day: how long the mill is taken, which starts are free, and why a turn cannot
//! stand. Never holds who has a turn.

use super::Unmet;
use crate::units::{Grams, MinuteOfDay, Minutes, PressDate, Units, UtcSecond, Zone, fixed};

/// Turns start and end on full five minutes: five minutes are the least the schema keeps apart.
pub const STEP_MIN: i64 = 5;
/// How many free starts a refusal names.
const NAMED: usize = 3;

/// A press day as turns are reckoned on it.
#[derive(Debug, Clone, Copy)]
pub struct Day<'a> {
    /// Civil date in the co-op's place.
    pub date: PressDate,
    /// The mill starts.
    pub opens: MinuteOfDay,
    /// The mill stops; a turn ends by then, its change-over included.
    pub closes: MinuteOfDay,
    /// Whether it was closed and takes no more turns.
    pub closed: bool,
    /// Cane the mill takes in an hour; above nought.
    pub mill_per_h: Grams,
    /// Cleaning between two members' cane.
    pub changeover: Minutes,
    /// The co-op's time zone.
    pub zone: &'a Zone,
}

/// The minutes that a turn takes of its day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Span {
    /// Its start.
    pub start: MinuteOfDay,
    /// Pressing and change-over.
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
    /// The minute of the day at which it ends; 1440 at most on any sound day.
    pub const fn end(self) -> i64 {
        self.start.after(self.minutes)
    }

    /// Whether two turns share a minute.
    pub const fn overlaps(self, other: Self) -> bool {
        self.start.get() < other.end() && other.start.get() < self.end()
    }

    /// The start of each five minutes that it holds.
    pub fn fives(self) -> impl Iterator<Item = i64> {
        (self.start.get()..self.end()).step_by(5)
    }

    /// For reading: "09:30–10:40".
    pub fn show(self) -> String {
        let end =
            MinuteOfDay::new(self.end()).map_or_else(|_| "24:00".to_owned(), MinuteOfDay::show);
        format!("{}–{end}", self.start.show())
    }
}

impl Day<'_> {
    /// The minutes the mill is taken by that much cane: pressing (to a tenth of a minute) and
    /// change-over, together rounded up to full five minutes, at least five.
    ///
    /// # Errors
    /// No cane, or more than the mill can press from opening to closing.
    pub fn minutes_for(&self, cane: Grams, units: Units) -> Result<Minutes, Unmet> {
        if cane <= Grams::ZERO {
            return Err(Unmet::beside(
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
        let open = self.open_minutes();
        if minutes > open {
            return Err(Unmet::beside(
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

    /// From opening to closing.
    fn open_minutes(&self) -> Minutes {
        Minutes::new(self.closes.get() - self.opens.get())
    }

    /// The starts at which a turn of so many minutes finds room among the turns held, in order.
    pub fn free_starts(&self, held: &[Span], minutes: Minutes, asker: Asker) -> Vec<MinuteOfDay> {
        if self.closed {
            return Vec::new();
        }
        let fives: Vec<i64> = (self.opens.get()..self.closes.get()).step_by(5).collect();
        let mut room = 0;
        let mut free = Vec::new();
        for five in fives.into_iter().rev() {
            let Ok(start) = MinuteOfDay::new(five) else {
                continue;
            };
            let one = Span {
                start,
                minutes: Minutes::new(STEP_MIN),
            };
            let taken = held.iter().any(|turn| turn.overlaps(one));
            let instant = self.zone.instant(self.date, start).ok();
            room = if taken || instant.is_none() {
                0
            } else {
                room + STEP_MIN
            };
            if room >= minutes.get() && instant.is_some_and(|at| self.ahead(at, asker)) {
                free.push(start);
            }
        }
        free.reverse();
        free
    }

    /// Whether a start is still to come; to crew the whole of the present day is.
    fn ahead(&self, start: UtcSecond, asker: Asker) -> bool {
        start > asker.at || (asker.crew && self.date >= self.zone.local(asker.at).0)
    }

    /// Whether a turn may be put there, among the turns held.
    ///
    /// # Errors
    /// The day is closed; the start is no full five minutes, is skipped by the clocks or is past;
    /// the turn is not within the hours; or a minute of it is taken: the nearest free starts are
    /// named then.
    pub fn place(&self, held: &[Span], wanted: Span, asker: Asker) -> Result<(), Unmet> {
        let free = self.free_starts(held, wanted.minutes, asker);
        self.answer(&free, wanted, asker)
    }

    /// Whether a turn may be put there, given the starts that are free for it.
    ///
    /// # Errors
    /// As [`Day::place`].
    pub fn answer(&self, free: &[MinuteOfDay], wanted: Span, asker: Asker) -> Result<(), Unmet> {
        self.may_stand(wanted, asker)?;
        if free.contains(&wanted.start) {
            return Ok(());
        }
        let takes = wanted.minutes.show();
        let Some(names) = nearest_words(free, wanted.start) else {
            return Err(Unmet::beside(
                "start",
                "no-room",
                format!(
                    "{} is taken, and there is no room for a turn of {takes} left on {}. Please choose another press \
                     day, or call the crew.",
                    wanted.show(),
                    self.date.show()
                ),
            ));
        };
        Err(Unmet::beside(
            "start",
            "taken",
            format!(
                "{} is not free for a turn of {takes}. The nearest free starts are {names}.",
                wanted.start.show(),
            ),
        ))
    }

    /// Whether the turn could stand on an empty day.
    ///
    /// # Errors
    /// Closed, outside the hours, past, or no such time.
    pub(super) fn may_stand(&self, wanted: Span, asker: Asker) -> Result<(), Unmet> {
        let beside = |code, sentence| Err(Unmet::beside("start", code, sentence));
        let date = self.date.show();
        if self.closed {
            return Err(Unmet::new(
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
        if wanted.start < self.opens || wanted.end() > self.closes.get() {
            let last = MinuteOfDay::new(self.closes.get() - wanted.minutes.get());
            return beside(
                "outside-hours",
                match last {
                    Ok(last) if last >= self.opens => format!(
                        "The mill runs from {} to {} on {date}: a turn of {} starts from {} to {}.",
                        self.opens.show(),
                        self.closes.show(),
                        wanted.minutes.show(),
                        self.opens.show(),
                        last.show()
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
        let start = self
            .zone
            .instant(self.date, wanted.start)
            .map_err(|refused| Unmet::refused("start", &refused))?;
        if !self.ahead(start, asker) {
            return beside(
                "start-past",
                format!(
                    "{} on {date} is past. Please choose a later start.",
                    wanted.start.show()
                ),
            );
        }
        Ok(())
    }
}

/// The free starts nearest to a wanted one, at most so many, in order of the day; of two as near
/// the earlier.
pub fn nearest(free: &[MinuteOfDay], wanted: MinuteOfDay, most: usize) -> Vec<MinuteOfDay> {
    let mut near = free.to_vec();
    near.sort_by_key(|start| ((start.get() - wanted.get()).abs(), *start));
    near.truncate(most);
    near.sort_unstable();
    near
}

/// The free starts nearest to a wanted one, in words; none: there is none.
pub(super) fn nearest_words(free: &[MinuteOfDay], wanted: MinuteOfDay) -> Option<String> {
    let near = nearest(free, wanted, NAMED);
    let names: Vec<String> = near.into_iter().map(MinuteOfDay::show).collect();
    (!names.is_empty()).then(|| list(&names))
}

/// The starts worth a button each: every quarter of an hour, and the first and last of each run,
/// which leave no gap beside another turn.
pub fn offered(free: &[MinuteOfDay]) -> Vec<MinuteOfDay> {
    let beside =
        |start: &MinuteOfDay, step: i64| free.iter().any(|f| f.get() == start.get() + step);
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
#[path = "turns_tests.rs"]
mod tests;
