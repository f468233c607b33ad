//! Noting what is added to a boil beside juice, and putting it right.

use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::boil::additions::may_put_right;
use crate::store::boil::additions::{self, Addition, NewAddition};
use crate::store::boil::boils;
use crate::units::LotCode;

/// Notes an addition, or puts one right; until the boil is divided.
pub async fn add(act: &Act, lot: &LotCode, new: NewAddition) -> Done<()> {
    act.crew()?;
    let mut tx = begin!(act, "add_addition");
    let boil = boils::find(lot).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    if boil.divided_at.is_some() {
        return Err(RuleRefusal::new(
            "boil-divided",
            "This boil is divided; what went into it is closed.",
        )
        .into());
    }
    let before = additions::of_boil(boil.id).ask(&mut tx).await?;
    let noted: Vec<_> = before.iter().map(Addition::noted).collect();
    may_put_right(&noted, new.replaces, &new.why)?;
    if new.void && new.replaces.is_none() {
        return Err(RuleRefusal::beside(
            "replaces",
            "nothing-to-cross-out",
            "Please choose the addition that never went in.",
        )
        .into());
    }
    let number = before.last().map_or(1, |last| last.number + 1);
    additions::insert(&mut tx, boil.id, number, &new, act.actor.id, act.at).await?;
    act.finish(tx, "add_addition", ()).await
}
