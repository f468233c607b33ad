//! A season closed and locked, and the lock lifted with a reason. What a locked season refuses is refused by the file itself.

use super::season_close::{all_closed, all_days_closed};
use crate::actions::{Act, Done, begin};
use crate::calc::RuleRefusal;
use crate::calc::chain::sha256_hex;
use crate::facts::season::season_close::to_bear;
use crate::store::season::season_close as close;
use crate::store::shares::ledger::{self, Balance};
use crate::units::SeasonId;

/// Closes a season: every boil is divided or lost, every press day is closed, so that all cane and juice is accounted for, and what the season bears of losses was shared out, so
/// that what is carried could be settled after that. Whose syrup or money is not settled is to be known; it is carried on.
///
/// # Errors
/// One of these is not so, or the season is locked.
pub async fn lock(act: &Act, season: SeasonId, (why, knows): (&str, Option<&str>)) -> Done<()> {
    act.steward()?;
    let mut tx = begin!(act, "lock_season");
    all_closed(&mut tx, season).await?;
    all_days_closed(act, &mut tx, season).await?;
    if close::is_locked(season).ask(&mut tx).await? {
        return Err(
            RuleRefusal::new("locked-before", "This season is closed and locked already.").into(),
        );
    }
    let lots: Vec<String> = to_bear(&mut tx, season)
        .await?
        .into_iter()
        .map(|loss| loss.lot.to_string())
        .collect();
    if !lots.is_empty() {
        return Err(RuleRefusal::new(
            "losses-open",
            format!(
                "The season is still to bear what was lost of {}. Please look on the page of each loss who gives what, let the \
                 season bear it, and settle what is carried after that.",
                lots.join(", ")
            ),
        )
        .into());
    }
    let unsettled = ledger::unsettled(season).ask(&mut tx).await?;
    if !unsettled.is_empty() && knows != Some(mark(&unsettled).as_str()) {
        let says = match knows {
            None => {
                "Not everybody is settled with: please read who is named above, and tick this if the season is to be closed all the same."
            }
            Some(_) => {
                "What is not settled changed while you had this page open: please read who is named above, and send it again."
            }
        };
        return Err(RuleRefusal::beside("knows", "not-settled", says).into());
    }
    close::insert_lock(&mut tx, season, (true, why), (act.actor.id, act.at)).await?;
    act.finish(tx, "lock_season", ()).await
}

/// The mark of balances as they were shown: another one as soon as any of them changes.
pub fn mark(unsettled: &[Balance]) -> String {
    let all = unsettled.iter().map(|b| {
        let who = b.member_id.map_or_else(String::new, |id| id.to_string());
        format!("{who} {} {}", b.grams.get(), b.cents.get())
    });
    sha256_hex(&all.collect::<Vec<_>>().join("\n"))
}

/// Lifts the lock of a season.
pub async fn lift(act: &Act, season: SeasonId, why: &str) -> Done<()> {
    act.steward()?;
    let mut tx = begin!(act, "lift_lock");
    if !close::is_locked(season).ask(&mut tx).await? {
        return Err(RuleRefusal::new("not-locked", "This season is not locked.").into());
    }
    if why.is_empty() {
        return Err(RuleRefusal::beside(
            "why",
            "no-reason",
            "Please say why the lock is lifted: the reason stands beside it.",
        )
        .into());
    }
    close::insert_lock(&mut tx, season, (false, why), (act.actor.id, act.at)).await?;
    act.finish(tx, "lift_lock", ()).await
}
