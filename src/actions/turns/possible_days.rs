//! Days on which the mill could press, and on which of them people say that they can come.

use super::press_days::{NewPressDay, nothing_shared_out, sound};
use crate::actions::people::household::own;
use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::turns::roster::{Task, leaves_time};
use crate::store::WriteTx;
use crate::store::people::members;
use crate::store::season::seasons;
use crate::store::turns::possible_days::{self as store, DayAnswer};
use crate::store::turns::press_days::{self, PressDay};
use crate::units::{MemberId, PressDate, PressDayId, SeasonId};

/// Most possible days that are added at once: a season has no more weeks in which cane is ripe.
const MOST_AT_ONCE: usize = 60;

/// Possible days, as a steward writes them in: the same hours on some weekdays from one date to another.
#[derive(Debug, Clone)]
pub struct NewPossibleDays {
    /// The first, with hours, mill rate and change-over of all.
    pub first: NewPressDay,
    /// The last date that may be one of them.
    pub until: PressDate,
    /// The weekdays that are meant, Monday first.
    pub weekdays: [bool; 7],
}

impl NewPossibleDays {
    fn dates(&self) -> Vec<PressDate> {
        let mut dates = Vec::new();
        let mut date = self.first.date;
        while date <= self.until && dates.len() <= MOST_AT_ONCE {
            if self.weekdays[usize::from(date.date().weekday().number_days_from_monday())] {
                dates.push(date);
            }
            date = date.plus_days(1);
        }
        dates
    }
}

/// Adds possible days to a season; a date that is a press day or possible already stays as it is.
///
/// # Errors
/// Hours that cannot be; no weekday, or none between the dates; a date of another season; too many.
pub async fn add(act: &Act, season: SeasonId, new: NewPossibleDays) -> Done<SeasonId> {
    act.steward()?;
    sound(&new.first)?;
    let mut tx = begin!(act, "add_possible_days");
    let of = seasons::find(season)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    let stop = |at, sentence: String| -> Stop {
        RuleRefusal::beside(at, "possible-days", sentence).into()
    };
    for (at, date) in [("date", new.first.date), ("until", new.until)] {
        if i64::from(date.date().year()) != of.year {
            return Err(stop(
                at,
                format!("That date is not in the season of {}.", of.year),
            ));
        }
    }
    if new.until < new.first.date {
        return Err(stop(
            "until",
            "Please write a date that is not before the first.".to_owned(),
        ));
    }
    let dates = new.dates();
    if dates.is_empty() {
        let said = "Please tick a weekday that lies between the two dates.";
        return Err(stop("until", said.to_owned()));
    }
    if dates.len() > MOST_AT_ONCE {
        return Err(stop(
            "until",
            format!("Please add at most {MOST_AT_ONCE} days at once."),
        ));
    }
    for date in dates {
        if press_days::of_date(date).ask(&mut tx).await?.is_some() {
            continue;
        }
        let day = PressDay {
            id: PressDayId::new(act.id()),
            season_id: of.id,
            date,
            opens: new.first.opens,
            closes: new.first.closes,
            mill_per_h: new.first.mill_per_h,
            changeover: new.first.changeover,
            note: String::new(),
            closed_at: None,
            version: 1,
        };
        store::insert(&mut tx, &day, act.actor.id, act.at).await?;
    }
    act.finish(tx, "add_possible_days", season).await
}

/// Takes possible days off the list.
///
/// # Errors
/// None is named.
pub async fn remove(act: &Act, season: SeasonId, dates: Vec<PressDate>) -> Done<SeasonId> {
    act.steward()?;
    let mut tx = begin!(act, "remove_possible_days");
    if dates.is_empty() {
        let said = "Please tick the days to take off the list.";
        return Err(RuleRefusal::new("no-days", said).into());
    }
    for date in dates {
        store::remove(&mut tx, date).await?;
    }
    act.finish(tx, "remove_possible_days", season).await
}

/// Makes a possible day a press day; nothing when it is none.
///
/// # Errors
/// The season's losses or its margin were shared out already.
pub(super) async fn plan(
    act: &Act,
    tx: &mut WriteTx,
    season: SeasonId,
    date: PressDate,
) -> Done<Option<PressDay>> {
    let possible = store::of_season(season).ask(tx).await?;
    let Some(day) = possible.into_iter().find(|day| day.date == date) else {
        return Ok(None);
    };
    let of = seasons::find(season).ask(tx).await?.ok_or(Stop::Missing)?;
    nothing_shared_out(tx, &of, date).await?;
    press_days::insert(tx, &day, act.actor.id, act.at).await?;
    store::remove(tx, date).await?;
    Ok(Some(day))
}

/// A member's answers: on which days, and what work at the mill.
#[derive(Debug, Clone)]
pub struct NewAnswers {
    /// The answer for each day.
    pub days: Vec<DayAnswer>,
    /// The tasks that the member can do at the mill.
    pub tasks: Vec<Task>,
}

/// Notes on which days a member can come: one's own answer, that of a card acted for, or anybody's for crew.
///
/// # Errors
/// Somebody else's answer; hours that end before they begin.
pub async fn answer(act: &Act, member: MemberId, season: SeasonId, new: NewAnswers) -> Done<()> {
    let mut tx = begin!(act, "answer_days");
    own(act, &mut tx, member).await?;
    if new.days.iter().any(|day| day.member_id != member) {
        return Err(Stop::Missing);
    }
    members::find(member)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    seasons::find(season)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    // A day may have left the list while the page was open: nobody is asked about it any more.
    let asked = asked_dates(&mut tx, season).await?;
    for day in new.days.iter().filter(|day| asked.contains(&day.date)) {
        if !leaves_time(day.from, day.to) {
            let said = format!(
                "{}: please write hours that end after they begin.",
                day.date.show()
            );
            return Err(RuleRefusal::new("hours-backwards", said).into());
        }
        store::answer(&mut tx, season, day, act.actor.id, act.at).await?;
    }
    let words: Vec<&str> = new.tasks.iter().map(|task| task.word()).collect();
    store::set_tasks(&mut tx, member, &words).await?;
    act.finish(tx, "answer_days", ()).await
}

/// The days of a season that people are asked about: those planned and those possible.
async fn asked_dates(tx: &mut WriteTx, season: SeasonId) -> Done<Vec<PressDate>> {
    let planned = press_days::of_season(season).ask(tx).await?;
    let possible = store::of_season(season).ask(tx).await?;
    Ok(planned
        .iter()
        .chain(&possible)
        .map(|day| day.date)
        .collect())
}
