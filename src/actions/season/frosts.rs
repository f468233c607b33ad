//! What is said of a season's first frost, for its proposal: each change is a new version.

use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::store::season::{frosts, seasons};
use crate::units::{PressDate, SeasonId, plain_text};

/// The dates of a climate table.
#[derive(Debug, Clone)]
pub struct NewFrost {
    /// Date by which the first frost has come in 10 of 100 years.
    pub early: PressDate,
    /// Date by which it has come in 50 of 100 years.
    pub middle: PressDate,
    /// Date by which it has come in 90 of 100 years.
    pub late: PressDate,
    /// The climate table that says so.
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
    let source = plain_text(&new.source, 1, 200)
        .map_err(|refused| RuleRefusal::refused("source", &refused))?;
    let other = |date: PressDate| i64::from(date.date().year()) != of.year;
    let stop = |at, sentence: String| Err(RuleRefusal::beside(at, "frost-dates", sentence));
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

/// Says for which night frost is forecast; `None`: for none any more.
///
/// # Errors
/// A date of another year.
pub async fn forecast(act: &Act, season: SeasonId, night: Option<PressDate>) -> Done<SeasonId> {
    act.steward()?;
    let mut tx = begin!(act, "forecast_frost");
    let of = seasons::find(season)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    let other = |date: PressDate| i64::from(date.date().year()) != of.year;
    if night.is_some_and(other) {
        let said = format!("Please write a date of {}.", of.year);
        return Err(RuleRefusal::beside("night", "frost-night", said).into());
    }
    let version = frosts::forecast(season)
        .ask(&mut tx)
        .await?
        .map_or(1, |f| f.version + 1);
    let by = (act.actor.id, act.at);
    frosts::insert_forecast(&mut tx, (season, version), night, by).await?;
    act.finish(tx, "forecast_frost", season).await
}
