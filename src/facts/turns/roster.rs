//! A press day's roster: as it was saved, or as it is proposed from who said that they can help.

use crate::calc::turns::roster::{self as sums, Helper, Shift, Task};
use crate::calc::turns::starts::Span;
use crate::store::turns::possible_days::{self, DayHelper};
use crate::store::turns::press_days::PressDay;
use crate::store::turns::roster::{self, RosterShift};
use crate::store::turns::turn;
use crate::store::{Conn, Question, Stored, Together};
use crate::units::{ClockTime, DayClock, DayMinute, MemberId, Minutes, Zone};

/// The minute after the last of a day.
const DAY_ENDS: i64 = 24 * 60;

/// The roster of a press day: who does what.
#[derive(Debug, Clone)]
pub struct DayRoster {
    /// The shifts of the day.
    pub shifts: Vec<RosterShift>,
    /// Whether it was saved; else it is only proposed.
    pub saved: bool,
    /// The people who said that they can help.
    pub helpers: Vec<DayHelper>,
    /// Hours in which cane is pressed and fewer than two people are down for the rollers, minutes since midnight.
    pub too_few: Vec<(i64, i64)>,
    /// The hours of the turns that are held.
    turns: Vec<(i64, i64)>,
}

impl DayRoster {
    /// Reads a day's roster; `anew`: as it is proposed now, whatever was saved.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, day: &PressDay, zone: &Zone, anew: bool) -> Stored<Self> {
        let found = (
            possible_days::helpers(day.season_id, day.date),
            roster::of_day(day.id),
            pressed(day, zone),
        );
        let (helpers, saved, turns) = found.together().ask(conn).await?;
        let (shifts, saved) = if saved.is_empty() || anew {
            (proposed(day, &turns, &helpers), false)
        } else {
            (saved, true)
        };
        Ok(Self {
            too_few: too_few(&shifts, &turns),
            shifts,
            saved,
            helpers,
            turns,
        })
    }

    /// This roster with other shifts, as they were sent and not accepted.
    #[must_use]
    pub fn sent(self, shifts: Vec<RosterShift>) -> Self {
        Self {
            too_few: too_few(&shifts, &self.turns),
            shifts,
            saved: false,
            ..self
        }
    }

    /// The hours within a turn, given as hours from and to, in which fewer than two people are down for the rollers; empty, too, while nobody
    /// has said of that day that they can help.
    pub fn few_within(&self, (from, to): (i64, i64)) -> Vec<(i64, i64)> {
        if !self.saved && self.helpers.is_empty() {
            return Vec::new();
        }
        let few = self.too_few.iter();
        let both = few.map(|few| (few.0.max(from), few.1.min(to)));
        both.filter(|(from, to)| from < to).collect()
    }

    /// The hours in which somebody is down for the rollers with nobody beside them, or with nobody else in a part of them.
    pub fn alone(&self, member: MemberId) -> Vec<(i64, i64)> {
        let own =
            |s: &&RosterShift| s.member_id == Some(member) && Task::of(&s.task) == Some(Task::Feed);
        let own = self.shifts.iter().filter(own);
        let both = own.flat_map(|s| {
            let few = self.too_few.iter();
            few.map(move |(from, to)| ((*from).max(s.from), (*to).min(s.to)))
        });
        both.filter(|(from, to)| from < to).collect()
    }
}

fn too_few(shifts: &[RosterShift], turns: &[(i64, i64)]) -> Vec<(i64, i64)> {
    let as_sums: Vec<Shift> = shifts.iter().filter_map(shift_of).collect();
    // People by number: only whether two are the same matters.
    let who: Vec<Option<usize>> = shifts
        .iter()
        .map(|s| {
            let id = s.member_id?;
            shifts.iter().position(|o| o.member_id == Some(id))
        })
        .collect();
    sums::too_few_at_rollers(&as_sums, &who, turns)
}

fn shift_of(shift: &RosterShift) -> Option<Shift> {
    Some(Shift {
        task: Task::of(&shift.task)?,
        from: shift.from,
        to: shift.to,
    })
}

/// The hours of the turns that are held, minutes since midnight.
fn pressed(day: &PressDay, zone: &Zone) -> Question<Vec<(i64, i64)>> {
    let clock = zone.clock(day.date);
    turn::held_of_day(day.id).map(move |turns| {
        let turns = turns.iter();
        let hours = turns.map(|turn| hours_of(&clock, turn.start, turn.minutes));
        hours.collect()
    })
}

/// The hours of a turn, minutes since midnight.
pub fn hours_of(clock: &DayClock, start: ClockTime, minutes: Minutes) -> (i64, i64) {
    let span = Span::kept(clock, start, minutes);
    let shown = |at: i64| clock.shows(DayMinute::new(at)).get();
    (shown(span.start.get()), shown(span.end()))
}

/// Proposes shifts from the first turn to the last; for all day where there is no turn yet.
fn proposed(day: &PressDay, turns: &[(i64, i64)], helpers: &[DayHelper]) -> Vec<RosterShift> {
    let first = turns.iter().map(|turn| turn.0).min();
    let pressed = turns.iter().map(|turn| turn.1).max();
    let (opens, closes) = (day.opens.get(), day.closes.get());
    let people: Vec<Helper> = helpers.iter().map(helper_of).collect();
    let (first, pressed) = (first.unwrap_or(opens), pressed.unwrap_or(closes));
    let shifts = sums::shifts(first, pressed, closes, &people);
    let by = sums::filled(&shifts, &people);
    (1..)
        .zip(shifts.iter().zip(by))
        .map(|(number, (shift, by))| RosterShift {
            number,
            task: shift.task.word().to_owned(),
            from: shift.from,
            to: shift.to,
            member_id: by.map(|h| helpers[h].member_id),
            name: by.map(|h| helpers[h].name.clone()),
        })
        .collect()
}

fn helper_of(of: &DayHelper) -> Helper {
    Helper {
        from: of.from.unwrap_or(0),
        to: of.to.unwrap_or(DAY_ENDS),
        tasks: of.tasks.split(',').filter_map(Task::of).collect(),
        already: of.already,
    }
}
