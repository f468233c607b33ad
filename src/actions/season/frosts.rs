//! What is said of a season's first frost, for its proposal: each change is a new version.

use crate::actions::{Act, Done, Stop, begin};
use crate::calc::Unmet;
use crate::store::season::{frosts, seasons};
use crate::units::{PressDate, SeasonId, plain_text};

/// The dates of a climate table.
#[derive(Debug, Clone)]
pub struct NewFrost {
    /// In 10 of 100 years the first frost has come by then.
    pub early: PressDate,
    /// In 50.
    pub middle: PressDate,
    /// In 90.
    pub late: PressDate,
    /// Which table says so.
    pub source: String,
}

/// Says when the first frost of a season's year is expected.
///
/// # Errors
/// Dates out of order, or of another year; no source.
pub async fn say(act: &Act, season: SeasonId, new: NewFrost) -> Done<SeasonId> {
    act.steward()?;
    let mut tx = begin!(act, "say_frost");
    let of = seasons::find(season)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    let source =
        plain_text(&new.source, 1, 200).map_err(|refused| Unmet::refused("source", &refused))?;
    let other = |date: PressDate| i64::from(date.date().year()) != of.year;
    let stop = |at, sentence: String| Err(Unmet::beside(at, "frost-dates", sentence));
    if other(new.early) {
        return Ok(stop(
            "early",
            format!("Please write a date of {}.", of.year),
        )?);
    }
    if new.middle < new.early {
        return Ok(stop(
            "middle",
            "Please write a date that is not before the early one.".to_owned(),
        )?);
    }
    if new.late < new.middle {
        return Ok(stop(
            "late",
            "Please write a date that is not before the middle one.".to_owned(),
        )?);
    }
    let version = frosts::of_season(season)
        .ask(&mut tx)
        .await?
        .map_or(1, |f| f.version + 1);
    let dates = (new.early, new.middle, new.late);
    frosts::insert(
        &mut tx,
        (season, version),
        dates,
        &source,
        (act.actor.id, act.at),
    )
    .await?;
    act.finish(tx, "say_frost", season).await
}
