//! Days on which nothing is to be proposed: said by a steward, and so until one allows them again.

use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::store::season::{forbidden_days as store, seasons};
use crate::units::{PressDate, SeasonId};

/// Says whether anything may be proposed on a day. Where that is so already, it stays with whoever said it first.
///
/// # Errors
/// A date of another year.
pub async fn say(
    act: &Act,
    season: SeasonId,
    (date, forbidden): (PressDate, bool),
) -> Done<SeasonId> {
    act.steward()?;
    let mut tx = begin!(act, "forbid_day");
    let of = seasons::find(season)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    if i64::from(date.date().year()) != of.year {
        let said = format!("That date is not in the season of {}.", of.year);
        return Err(RuleRefusal::new("forbidden-day", said).into());
    }
    let said = store::of_season(season).ask(&mut tx).await?;
    let latest = said.iter().find(|day| day.date == date);
    if latest.is_some_and(|day| day.forbidden) != forbidden {
        let version = latest.map_or(1, |day| day.version + 1);
        let by = (act.actor.id, act.at);
        store::insert(&mut tx, (season, date, version), forbidden, by).await?;
    }
    act.finish(tx, "forbid_day", season).await
}
