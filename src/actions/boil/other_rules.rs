//! An undivided boil moved to another version of its season's rules than the day it was lit on has.

use super::boils::open_boil;
use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::store::boil::boils_rules as moves;
use crate::store::season::seasons;
use crate::units::{BoilId, LotCode};

/// Divides a boil by the confirmed version of that number, for a reason. Whatever was filled or measured stays.
///
/// # Errors
/// It is divided, the version is a draft, or it is the boil's own already.
pub async fn move_to_rules(act: &Act, lot: &LotCode, number: i64, why: String) -> Done<BoilId> {
    act.steward()?;
    let mut tx = begin!(act, "move_to_rules");
    let boil = open_boil(&mut tx, lot).await?;
    if moves::was_divided(boil.id).ask(&mut tx).await? {
        return Err(RuleRefusal::new(
            "divided-once",
            format!("Boil {lot} was divided before: a correction keeps the rules that it was divided by."),
        )
        .into());
    }
    let versions = seasons::rules_list(boil.season_id).ask(&mut tx).await?;
    let to = versions
        .into_iter()
        .find(|r| r.number == number && r.holds_from.is_some())
        .ok_or(Stop::Missing)?;
    if to.id == boil.rules_id {
        let sentence = format!("Boil {lot} is divided by version {number} already.");
        return Err(RuleRefusal::beside("version", "own-rules", sentence).into());
    }
    moves::insert(&mut tx, (boil.id, to.id), &why, (act.actor.id, act.at)).await?;
    act.finish(tx, "move_to_rules", boil.id).await
}
