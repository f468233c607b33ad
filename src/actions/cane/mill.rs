//! What stands at the mill: scales and vessels; and the co-op's own card.

use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::cane::scale::Graduation;
use crate::store::cane::mill::{self, Scale, Vessel};
use crate::store::people::coop::{self, Coop};
use crate::units::{Grams, Millilitres, ScaleId, VesselId};

/// Adds a scale. `graduation_g` is one step of its display, g.
pub async fn add_scale(
    act: &Act,
    name: String,
    graduation_g: f64,
    capacity: Grams,
) -> Done<ScaleId> {
    act.steward()?;
    let graduation_g = Graduation::new(graduation_g)?.get();
    if capacity.as_f64() < graduation_g {
        return Err(RuleRefusal::beside(
            "capacity",
            "capacity",
            "Please write what the scale weighs at most: more than one step of its display.",
        )
        .into());
    }
    let mut tx = begin!(act, "add_scale");
    if mill::scales()
        .ask(&mut tx)
        .await?
        .iter()
        .any(|s| s.name == name)
    {
        return Err(RuleRefusal::beside(
            "scale_name",
            "name-taken",
            "There is a scale of that name. Please name this one otherwise.",
        )
        .into());
    }
    let scale = Scale {
        id: ScaleId::new(act.id()),
        name,
        graduation_g,
        capacity,
        retired_at: None,
    };
    mill::insert_scale(&mut tx, &scale).await?;
    act.finish(tx, "add_scale", scale.id).await
}

/// Adds a vessel.
pub async fn add_vessel(act: &Act, name: String, capacity: Millilitres) -> Done<VesselId> {
    act.steward()?;
    if capacity <= Millilitres::ZERO {
        return Err(RuleRefusal::beside(
            "capacity",
            "capacity",
            "Please write what the vessel holds.",
        )
        .into());
    }
    let mut tx = begin!(act, "add_vessel");
    if mill::vessels()
        .ask(&mut tx)
        .await?
        .iter()
        .any(|v| v.name == name)
    {
        return Err(RuleRefusal::beside(
            "vessel_name",
            "name-taken",
            "There is a vessel of that name. Please name this one otherwise.",
        )
        .into());
    }
    let vessel = Vessel {
        id: VesselId::new(act.id()),
        name,
        capacity,
        retired_at: None,
    };
    mill::insert_vessel(&mut tx, &vessel).await?;
    act.finish(tx, "add_vessel", vessel.id).await
}

/// Takes a scale `out` of use, or back into it; one that is so already stays as it is.
pub async fn retire_scale(act: &Act, id: ScaleId, out: bool) -> Done<ScaleId> {
    act.steward()?;
    let mut tx = begin!(act, "retire_scale");
    let scale = mill::scale(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    if scale.retired_at.is_some() != out {
        mill::retire_scale(&mut tx, id, out.then_some(act.at)).await?;
    }
    act.finish(tx, "retire_scale", id).await
}

/// Takes a vessel `out` of use, or back into it; one that is so already stays as it is.
pub async fn retire_vessel(act: &Act, id: VesselId, out: bool) -> Done<VesselId> {
    act.steward()?;
    let mut tx = begin!(act, "retire_vessel");
    let vessel = mill::vessel(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    if vessel.retired_at.is_some() != out {
        mill::retire_vessel(&mut tx, id, out.then_some(act.at)).await?;
    }
    act.finish(tx, "retire_vessel", id).await
}

/// Changes the co-op's own card.
pub async fn change_coop(act: &Act, card: Coop) -> Done<()> {
    act.steward()?;
    let mut tx = begin!(act, "change_coop");
    coop::put(&mut tx, &card).await?;
    act.finish(tx, "change_coop", ()).await
}
