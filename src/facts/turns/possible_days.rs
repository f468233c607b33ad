//! The days of a season on which somebody is asked to say whether they can come: those planned and those possible.

use crate::store::turns::possible_days::{self, DayAnswer};
use crate::store::turns::press_days::{self, PressDay};
use crate::store::{Conn, Stored, Together};
use crate::units::{MemberId, PressDate, SeasonId};

/// A day that is asked about.
#[derive(Debug, Clone)]
pub struct AskedDay {
    /// The day, with the hours of the mill.
    pub day: PressDay,
    /// Whether it is a press day already.
    pub planned: bool,
    /// The member's answer for that day; `None`: there is none yet.
    pub answer: Option<DayAnswer>,
}

/// The days of a season from a date on, in order, with what a member said of each.
///
/// # Errors
/// The store failed.
pub async fn days_with_answers(
    conn: &mut Conn,
    season: SeasonId,
    member: MemberId,
    from: PressDate,
) -> Stored<Vec<AskedDay>> {
    let found = (
        possible_days::answers_of(member, season),
        press_days::of_season(season),
        possible_days::of_season(season),
    );
    let (answers, planned, possible) = found.together().ask(conn).await?;
    let both = planned
        .into_iter()
        .filter(|day| day.closed_at.is_none())
        .map(|day| (day, true))
        .chain(possible.into_iter().map(|day| (day, false)));
    let mut days: Vec<AskedDay> = both
        .filter(|(day, _)| day.date >= from)
        .map(|(day, planned)| AskedDay {
            answer: answers.iter().find(|a| a.date == day.date).cloned(),
            day,
            planned,
        })
        .collect();
    days.sort_by_key(|d| d.day.date);
    Ok(days)
}
