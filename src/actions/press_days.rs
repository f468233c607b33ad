//! Planning, changing, closing and opening press days.

use super::{Act, Done, Stop, begin};
use crate::calc::Unmet;
use crate::store::press_days::{self, PressDay};
use crate::store::seasons;
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

fn sound(new: &NewPressDay) -> Done<()> {
    if new.closes <= new.opens {
        return Err(Unmet::beside(
            "closes",
            "closes-before-opening",
            "The mill must stop after it starts.",
        )
        .into());
    }
    for (at, time) in [("opens", new.opens), ("closes", new.closes)] {
        if time.get() % 5 != 0 {
            return Err(Unmet::beside(
                at,
                "not-five-minutes",
                "Please choose a time on a full five minutes.",
            )
            .into());
        }
    }
    if !(Grams::new(1_000)..=Grams::new(10_000_000)).contains(&new.mill_per_h) {
        return Err(Unmet::beside(
            "mill_per_h",
            "mill-rate",
            "Please write a mill rate from 1 kg to 10 t (2 to 22,000 lb) an hour.",
        )
        .into());
    }
    if !(0..=120).contains(&new.changeover.get()) {
        return Err(Unmet::beside(
            "changeover",
            "changeover",
            "Please write a change-over from 0 to 120 minutes.",
        )
        .into());
    }
    Ok(())
}

/// Plans a press day in a season.
pub async fn plan(act: &Act, season: SeasonId, new: NewPressDay) -> Done<PressDayId> {
    act.steward()?;
    sound(&new)?;
    let mut tx = begin!(act, "plan_press_day");
    let season = seasons::find(&mut tx, season).await?.ok_or(Stop::Missing)?;
    if i64::from(new.date.date().year()) != season.year {
        return Err(Unmet::beside(
            "date",
            "other-year",
            format!("That date is not in the season of {}.", season.year),
        )
        .into());
    }
    if press_days::of_date(&mut tx, new.date).await?.is_some() {
        return Err(Unmet::beside(
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
    press_days::insert(&mut tx, &day, act.actor.id, act.at).await?;
    act.finish(tx, "plan_press_day", day.id).await
}
