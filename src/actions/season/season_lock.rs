//! A season closed and locked, and the lock lifted with a reason. What a locked season refuses is refused by the file itself; here it
//! gets its words.

use super::season_close::{all_closed, all_pressed};
use crate::actions::{Act, Done, Stop, begin};
use crate::calc::Unmet;
use crate::store::StoreError;
use crate::store::season::season_close as close;
use crate::units::SeasonId;

impl From<StoreError> for Stop {
    fn from(error: StoreError) -> Self {
        if error.of_locked_season() {
            return Unmet::new(
                "season-locked",
                "This season is closed and locked: nothing of it is changed any more, but for payments. A steward can lift the \
                 lock, with a reason, from the page of the season’s close.",
            )
            .into();
        }
        Self::Fault(error)
    }
}

/// Closes a season: every boil is divided or lost, every press day over, and what the season bears of lost boils is settled.
pub async fn lock(act: &Act, season: SeasonId, why: &str) -> Done<()> {
    act.steward()?;
    let mut tx = begin!(act, "lock_season");
    all_closed(&mut tx, season).await?;
    all_pressed(act, &mut tx, season).await?;
    if close::locks(&mut tx, season)
        .await?
        .last()
        .is_some_and(|l| l.locked)
    {
        return Err(
            Unmet::new("locked-before", "This season is closed and locked already.").into(),
        );
    }
    close::insert_lock(&mut tx, season, (true, why), (act.actor.id, act.at)).await?;
    act.finish(tx, "lock_season", ()).await
}

/// Lifts the lock of a season.
pub async fn lift(act: &Act, season: SeasonId, why: &str) -> Done<()> {
    act.steward()?;
    let mut tx = begin!(act, "lift_lock");
    if !close::locks(&mut tx, season)
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
