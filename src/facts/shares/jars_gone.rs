//! Whether jars as they are counted anew are enough for those that are no longer on the shelf.

use super::division_inputs::DivisionInputs;
use crate::calc::RuleRefusal;
use crate::calc::shares::correction::{HeldJars, not_below_gone};
use crate::calc::shares::split::Sharer;
use crate::store::boil::boils::{self, FillRow};
use crate::store::boil::boils_write::NewFillRow;
use crate::store::people::members;
use crate::store::{Conn, Stored};
use crate::units::{Grams, LotCode, Units};
use std::collections::BTreeMap;

/// Refuses a filling put right, beside its box, where of its kind, or of the kind that it was before, fewer jars would be left than were
/// handed over, broke or are missing.
///
/// # Errors
/// The store failed.
pub async fn enough_filled(
    conn: &mut Conn,
    lot: &LotCode,
    (before, new): (&FillRow, &NewFillRow),
    (at, units): (&'static str, Units),
) -> Stored<Result<(), RuleRefusal>> {
    let Some(inputs) = DivisionInputs::read(conn, lot).await? else {
        return Ok(Ok(()));
    };
    let Some(correction) = inputs.correction else {
        return Ok(Ok(()));
    };
    let mut names: BTreeMap<Sharer, String> = BTreeMap::new();
    for share in &correction.held {
        if let Some(id) = share.sharer.member()
            && share.jars.iter().any(|jars| jars.gone > 0)
            && let Some(member) = members::find(id).ask(conn).await?
        {
            names.insert(share.sharer, member.name.to_string());
        }
    }
    let name = |of: Sharer| {
        names
            .get(&of)
            .cloned()
            .unwrap_or_else(|| "the mill".to_owned())
    };
    let fills = boils::fills(inputs.boil.id).ask(conn).await?;
    let was = kind(&before.size_name, before.net, before.part);
    let is = kind(&new.size_name, new.net, new.part);
    for kind in [&was, &is] {
        let same = |f: &&FillRow| {
            f.number != new.number
                && (&f.size_name, f.net, f.part) == (&kind.name, kind.net, kind.part)
        };
        let others: i64 = fills.iter().filter(same).map(|f| f.count).sum();
        let count = others + if *kind == is { new.count } else { 0 };
        if let Err(refusal) = not_below_gone((at, units), (kind, count), &correction.held, name) {
            return Ok(Err(refusal));
        }
    }
    Ok(Ok(()))
}

fn kind(name: &str, net: Grams, part: bool) -> HeldJars {
    HeldJars {
        name: name.to_owned(),
        net,
        part,
        count: 0,
        gone: 0,
        noted: Vec::new(),
    }
}
