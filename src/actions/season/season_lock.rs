//! A season closed and locked, and the lock lifted with a reason. What a locked season refuses is refused by the file itself.

use super::season_close::{all_closed, all_pressed};
use super::season_losses::bear_all;
use crate::actions::{Act, Done, ReadBefore, begin};
use crate::calc::Unmet;
use crate::facts::season::season_close::season_solids;
use crate::store::season::season_close as close;
use crate::units::SeasonId;

/// Closes a season: every boil is divided or lost, and every press day is over. Losses that the season bears are shared out now,
/// over all who pressed.
pub async fn lock(act: &Act, season: SeasonId, why: &str) -> Done<()> {
    act.steward()?;
    let mut moment = act.reader.snapshot().await?;
    let solids = season_solids(&mut moment, season).await?;
    let solids = ReadBefore::new(solids, &mut moment).await?;
    drop(moment);
    let mut tx = begin!(act, "lock_season");
    all_closed(&mut tx, season).await?;
    all_pressed(act, &mut tx, season).await?;
    if close::locks(season)
        .ask(&mut tx)
        .await?
        .last()
        .is_some_and(|l| l.locked)
    {
        return Err(
            Unmet::new("locked-before", "This season is closed and locked already.").into(),
        );
    }
    bear_all(act, &mut tx, season, solids).await?;
    close::insert_lock(&mut tx, season, (true, why), (act.actor.id, act.at)).await?;
    act.finish(tx, "lock_season", ()).await
}

/// Lifts the lock of a season.
pub async fn lift(act: &Act, season: SeasonId, why: &str) -> Done<()> {
    act.steward()?;
    let mut tx = begin!(act, "lift_lock");
    if !close::locks(season)
        .ask(&mut tx)
        .await?
        .last()
        .is_some_and(|l| l.locked)
    {
        return Err(Unmet::new("not-locked", "This season is not locked.").into());
    }
    if why.is_empty() {
        return Err(Unmet::beside(
            "why",
            "no-reason",
            "Please say why the lock is lifted: the reason stands beside it.",
        )
        .into());
    }
    close::insert_lock(&mut tx, season, (false, why), (act.actor.id, act.at)).await?;
    act.finish(tx, "lift_lock", ()).await
}
