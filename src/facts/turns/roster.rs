//! A press day's roster: as it was saved, or as it is proposed from who said that they can help.

use super::room::day_of;
use crate::calc::turns::roster::{self as sums, Helper, Shift, Task};
use crate::calc::turns::starts::Span;
use crate::store::turns::possible_days::{self, DayHelper};
use crate::store::turns::press_days::PressDay;
use crate::store::turns::roster::{self, RosterShift};
use crate::store::turns::turn;
use crate::store::{Conn, Stored};
use crate::units::{DayMinute, Zone};

/// The minute after the last of a day.
const DAY_ENDS: i64 = 24 * 60;

/// Who does what on a day.
#[derive(Debug, Clone)]
pub struct DayRoster {
    /// Its shifts.
    pub shifts: Vec<RosterShift>,
    /// Whether it was saved; else it is only proposed.
    pub saved: bool,
    /// Who said that they can help.
    pub helpers: Vec<DayHelper>,
    /// Hours in which fewer than two people are down for the rollers, minutes since midnight.
    pub too_few: Vec<(i64, i64)>,
}

impl DayRoster {
    /// Reads a day's roster; `anew`: as it is proposed now, whatever was saved.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, day: &PressDay, zone: &Zone, anew: bool) -> Stored<Self> {
        let helpers = possible_days::helpers(day.season_id, day.date)
            .ask(conn)
            .await?;
        let saved = roster::of_day(day.id).ask(conn).await?;
        let (shifts, saved) = if saved.is_empty() || anew {
            (proposed(conn, day, zone, &helpers).await?, false)
        } else {
            (saved, true)
        };
        Ok(Self {
            too_few: too_few(&shifts),
            shifts,
            saved,
            helpers,
        })
    }
}

fn too_few(shifts: &[RosterShift]) -> Vec<(i64, i64)> {
    let as_sums: Vec<Shift> = shifts.iter().filter_map(shift_of).collect();
    // People by number: only whether two are the same matters.
    let who: Vec<Option<usize>> = shifts
        .iter()
        .map(|s| {
            let id = s.member_id?;
            shifts.iter().position(|o| o.member_id == Some(id))
        })
        .collect();
    sums::too_few_at_rollers(&as_sums, &who)
}

fn shift_of(shift: &RosterShift) -> Option<Shift> {
    Some(Shift {
        task: Task::of(&shift.task)?,
        from: shift.from,
        to: shift.to,
    })
}

/// From the first turn to the last; all day where there is none yet.
async fn proposed(
    conn: &mut Conn,
    day: &PressDay,
    zone: &Zone,
    helpers: &[DayHelper],
) -> Stored<Vec<RosterShift>> {
    let clock = day_of(day, zone).clock;
    let turns = turn::held_of_day(day.id).ask(conn).await?;
    let spans: Vec<Span> = turns
        .iter()
        .map(|turn| Span::kept(&clock, turn.start, turn.minutes))
        .collect();
    let shown = |at: i64| clock.shows(DayMinute::new(at)).get();
    let first = spans.iter().map(|s| s.start.get()).min().map(shown);
    let pressed = spans.iter().map(|s| s.end()).max().map(shown);
    let (opens, closes) = (day.opens.get(), day.closes.get());
    let shifts = sums::shifts(first.unwrap_or(opens), pressed.unwrap_or(closes), closes);
    let people: Vec<Helper> = helpers.iter().map(helper_of).collect();
    let by = sums::filled(&shifts, &people);
    Ok((1..)
        .zip(shifts.iter().zip(by))
        .map(|(number, (shift, by))| RosterShift {
            number,
            task: shift.task.word().to_owned(),
            from: shift.from,
            to: shift.to,
            member_id: by.map(|h| helpers[h].member_id),
            name: by.map(|h| helpers[h].name.clone()),
        })
        .collect())
}

fn helper_of(of: &DayHelper) -> Helper {
    Helper {
        from: of.from.unwrap_or(0),
        to: of.to.unwrap_or(DAY_ENDS),
        tasks: of.tasks.split(',').filter_map(Task::of).collect(),
        already: of.already,
    }
}
