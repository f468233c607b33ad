//! Holding a lot back and releasing it; writing a complaint about it down.

use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::store::boil::boils;
use crate::store::shares::holds;
use crate::units::LotCode;

/// Holds a lot, or releases one that is held. Anybody of the crew may hold; a steward releases.
pub async fn hold(act: &Act, lot: &LotCode, held: bool, why: String) -> Done<()> {
    act.crew()?;
    let mut tx = begin!(act, "hold_lot");
    let boil = boils::find(lot).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    let before = holds::of_boil(boil.id).ask(&mut tx).await?;
    let is_held = before.last().is_some_and(|last| last.held);
    if held == is_held {
        let what = if held { "held" } else { "free" };
        return Err(RuleRefusal::new(
            "held-already",
            format!("Lot {lot} is {what} already. Please open the page again."),
        )
        .into());
    }
    if !held && !act.actor.is_steward() {
        return Err(RuleRefusal::new(
            "steward-releases",
            "A lot is released by a steward. Please ask one.",
        )
        .into());
    }
    holds::insert(&mut tx, boil.id, held, &why, act.actor.id, act.at).await?;
    act.finish(tx, "hold_lot", ()).await
}

/// Writes a complaint about a lot down.
pub async fn complain(act: &Act, lot: &LotCode, says: String, from_whom: String) -> Done<()> {
    act.crew()?;
    let mut tx = begin!(act, "complain");
    let boil = boils::find(lot).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    let new = (says.as_str(), from_whom.as_str());
    holds::insert_complaint(&mut tx, boil.id, new, act.actor.id, act.at).await?;
    act.finish(tx, "complain", ()).await
}
