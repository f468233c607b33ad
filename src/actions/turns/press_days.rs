//! Planning, changing, closing and opening press days.

use super::asker::zone;
use super::turn_place::latest_habit;
use super::{offering, waiting_overrides};
use crate::actions::shares::statements;
use crate::actions::{Act, Done, Stop, as_seen, begin};
use crate::calc::RuleRefusal;
use crate::calc::season::years;
use crate::calc::turns::day_board::{hours_hold, may_close};
use crate::facts::turns::press_days::{open_work, turns_by_name};
use crate::store::WriteTx;
use crate::store::season::season_close;
use crate::store::season::seasons::{self, Season};
use crate::store::turns::possible_days;
use crate::store::turns::press_days::{self, PressDay};
use crate::units::{Grams, MinuteOfDay, Minutes, PressDate, PressDayId, SeasonId};

/// A press day as a steward fills it in.
#[derive(Debug, Clone)]
pub struct NewPressDay {
    /// Civil date in the co-op's place.
    pub date: PressDate,
    /// The mill starts; a multiple of five minutes.
    pub opens: MinuteOfDay,
    /// The mill stops; a multiple of five minutes.
    pub closes: MinuteOfDay,
    /// Cane the mill takes in an hour.
    pub mill_per_h: Grams,
    /// Cleaning between two members' cane.
    pub changeover: Minutes,
    /// Remark, shown to members.
    pub note: String,
}

pub(super) fn sound(new: &NewPressDay) -> Done<()> {
    if new.closes <= new.opens {
        return Err(RuleRefusal::beside(
            "closes",
            "closes-before-opening",
            "The mill must stop after it starts.",
        )
        .into());
    }
    for (at, time) in [("opens", new.opens), ("closes", new.closes)] {
        if time.get() % 5 != 0 {
            return Err(RuleRefusal::beside(
                at,
                "not-five-minutes",
                "Please choose a time on a full five minutes.",
            )
            .into());
        }
    }
    if !(Grams::new(1_000)..=Grams::new(10_000_000)).contains(&new.mill_per_h) {
        return Err(RuleRefusal::beside(
            "mill_per_h",
            "mill-rate",
            "Please write a mill rate from 1 kg to 10 t (2 to 22,000 lb) an hour.",
        )
        .into());
    }
    if !(0..=120).contains(&new.changeover.get()) {
        return Err(RuleRefusal::beside(
            "changeover",
            "changeover",
            "Please write a change-over from 0 to 120 minutes.",
        )
        .into());
    }
    Ok(())
}

/// Most press days that are planned at once.
const AT_ONCE: usize = 40;

/// Plans a press day in a season.
pub async fn plan(act: &Act, season: SeasonId, new: NewPressDay) -> Done<PressDayId> {
    plan_weekly(act, season, new, None).await
}

/// Plans a press day in a season, and one of the same hours each week after it as far as `until`; all of them or none.
pub async fn plan_weekly(
    act: &Act,
    season: SeasonId,
    new: NewPressDay,
    until: Option<PressDate>,
) -> Done<PressDayId> {
    act.steward()?;
    sound(&new)?;
    let mut tx = begin!(act, "plan_press_day");
    let season = seasons::find(season)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    nothing_shared_out(&mut tx, &season, new.date).await?;
    let dates = weekly(new.date, until)?;
    let mut first = None;
    for date in dates {
        let id = plan_one(
            act,
            &mut tx,
            &season,
            NewPressDay {
                date,
                ..new.clone()
            },
        )
        .await?;
        first = first.or(Some(id));
    }
    act.finish(tx, "plan_press_day", first.ok_or(Stop::Missing)?)
        .await
}

/// Refuses a further day of a season whose losses or margin were shared out: who presses on it would have no part of them.
pub(super) async fn nothing_shared_out(
    tx: &mut WriteTx,
    season: &Season,
    date: PressDate,
) -> Done<()> {
    let what = if season_close::losses_borne(season.id).ask(tx).await? {
        ("losses-borne", "losses", "were shared out over")
    } else if season_close::margin_returned(season.id).ask(tx).await? {
        ("margin-returned", "margin", "went back to")
    } else {
        return Ok(());
    };
    let (rule, shared, how) = what;
    Err(RuleRefusal::new(
        rule,
        format!(
            "The {shared} of the season of {} {how} all who pressed in it, so no further day is pressed in it. {}",
            season.year,
            where_else(season, &seasons::list().ask(tx).await?, date)
        ),
    )
    .into())
}

/// Where cane is pressed that still comes once no further day of a season is: on that day, if it may be of the season after.
fn where_else(season: &Season, open: &[Season], date: PressDate) -> String {
    let next = season.year + 1;
    let is_open = open.iter().any(|other| other.year == next);
    match (years::of_season(next, date), is_open) {
        (true, true) => format!("Please plan {} in the season of {next}.", date.show()),
        (true, false) => format!("Please open the season of {next} for that day."),
        (false, true) => format!(
            "{} is of no other season: cane that still comes is pressed on a day of the season of {next}, which begins at New Year.",
            date.show()
        ),
        (false, false) => format!(
            "{} is of no other season: cane that still comes is pressed on a day of the season of {next}, which begins at New Year. \
             Please open that season first.",
            date.show()
        ),
    }
}

/// A date, and the same day of every week after it as far as `until`.
fn weekly(first: PressDate, until: Option<PressDate>) -> Result<Vec<PressDate>, RuleRefusal> {
    let Some(until) = until else {
        return Ok(vec![first]);
    };
    let wrong = |sentence: &str| RuleRefusal::beside("until", "until", sentence);
    if until < first {
        return Err(wrong("Please write a date after the first press day."));
    }
    let weeks = (0_i64..).map(|week| first.plus_days(7 * week));
    let all: Vec<PressDate> = weeks
        .take_while(|date| *date <= until)
        .take(AT_ONCE + 1)
        .collect();
    if all.len() > AT_ONCE {
        return Err(wrong("Please write a date at most 40 weeks on."));
    }
    Ok(all)
}

async fn plan_one(
    act: &Act,
    tx: &mut WriteTx,
    season: &Season,
    new: NewPressDay,
) -> Done<PressDayId> {
    if !years::of_season(season.year, new.date) {
        return Err(RuleRefusal::beside(
            "date",
            "other-year",
            format!(
                "{} is not in the season of {}.",
                new.date.show(),
                season.year
            ),
        )
        .into());
    }
    if press_days::of_date(new.date).ask(tx).await?.is_some() {
        return Err(RuleRefusal::beside(
            "date",
            "day-planned",
            format!("{} is a press day already.", new.date.show()),
        )
        .into());
    }
    let day = PressDay {
        id: PressDayId::new(act.id()),
        season_id: season.id,
        date: new.date,
        opens: new.opens,
        closes: new.closes,
        mill_per_h: new.mill_per_h,
        changeover: new.changeover,
        note: new.note,
        closed_at: None,
        version: 1,
    };
    press_days::insert(tx, &day, act.actor.id, act.at).await?;
    // A possible day is planned now, so it leaves the list of possible ones.
    possible_days::remove(tx, day.date).await?;
    Ok(day.id)
}

/// Changes a press day; its date stays. Turns already held keep their minutes, whatever the mill
/// rate becomes, and must lie within the new hours. `seen` is the version the form was filled in
/// from.
pub async fn change(act: &Act, id: PressDayId, seen: i64, new: NewPressDay) -> Done<PressDayId> {
    act.steward()?;
    sound(&new)?;
    let habit = latest_habit(&act.reader).await?;
    let mut tx = begin!(act, "change_press_day");
    let before = press_days::find(id)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    as_seen(before.version, seen, || "This day was changed".to_owned())?;
    let after = PressDay {
        opens: new.opens,
        closes: new.closes,
        mill_per_h: new.mill_per_h,
        changeover: new.changeover,
        note: new.note,
        ..before
    };
    let zone = zone(&mut tx).await?;
    let (reckoned, held) = turns_by_name(&mut tx, &after, &zone).await?;
    hours_hold(&reckoned, &held)?;
    let room_before = offering::room_before(&mut tx, habit, (id, act.at)).await?;
    press_days::update(&mut tx, &after).await?;
    waiting_overrides::withdraw_outside(act, &mut tx, &after).await?;
    offering::offer_room(act, &mut tx, id, room_before).await?;
    act.finish(tx, "change_press_day", id).await
}

/// Closes a press day, once its turns are over or moved, its tickets measured and its boils divided; or opens it again. A
/// day that is so already stays so. Who has a share in its lots is told of the statement.
pub async fn set_closed(act: &Act, id: PressDayId, closed: bool) -> Done<PressDayId> {
    act.steward()?;
    let habit = latest_habit(&act.reader).await?;
    let mut tx = begin!(act, "close_press_day");
    let before = press_days::find(id)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    match (before.closed_at.is_some(), closed) {
        (false, true) => close(act, &mut tx, &before).await?,
        (true, false) => {
            let season = seasons::find(before.season_id).ask(&mut tx).await?;
            let season = season.ok_or(Stop::Missing)?;
            nothing_shared_out(&mut tx, &season, before.date).await?;
            let after = PressDay {
                closed_at: None,
                ..before
            };
            press_days::update(&mut tx, &after).await?;
            offering::offer_room(act, &mut tx, id, offering::RoomBefore::unknown(habit)).await?;
        }
        _ => {}
    }
    act.finish(tx, "close_press_day", id).await
}

/// Closes an open day.
pub(super) async fn close(act: &Act, tx: &mut WriteTx, day: &PressDay) -> Done<()> {
    let zone = zone(tx).await?;
    may_close(&open_work(tx, day, (act.at, &zone)).await?)?;
    let after = PressDay {
        closed_at: Some(act.at),
        ..day.clone()
    };
    press_days::update(tx, &after).await?;
    waiting_overrides::withdraw_all(act, tx, day.id).await?;
    statements::day_closed(act, tx, &after).await
}
