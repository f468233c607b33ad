//! Adding pans, and taking them out of use and back.

use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::boil::pan::Settings;
use crate::store::WriteTx;
use crate::store::boil::pans::{self, Pan};
use crate::units::{PanId, Units};

/// Adds a pan. Refusals are written in `units`.
pub async fn add(act: &Act, name: String, settings: Settings, units: Units) -> Done<PanId> {
    act.steward()?;
    let mut tx = begin!(act, "add_pan");
    if let Err(refusal) = settings.sound(units)
        && let Some(first) = refusal.into_iter().next()
    {
        return Err(first.into());
    }
    name_free(&mut tx, &name).await?;
    let pan = Pan {
        id: PanId::new(act.id()),
        name,
        settings,
        retired_at: None,
    };
    pans::insert(&mut tx, &pan).await?;
    act.finish(tx, "add_pan", pan.id).await
}

/// Takes a pan out of use, or back into it.
pub async fn retire(act: &Act, id: PanId, out: bool) -> Done<PanId> {
    act.steward()?;
    let mut tx = begin!(act, "retire_pan");
    let pan = pans::find(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    if pan.retired_at.is_some() != out {
        if !out {
            name_free(&mut tx, &pan.name).await?;
        }
        pans::retire(&mut tx, id, out.then_some(act.at)).await?;
    }
    act.finish(tx, "retire_pan", id).await
}

/// Two pans in use never share a name; a retired one's name may be used again.
async fn name_free(tx: &mut WriteTx, name: &str) -> Done<()> {
    let taken = pans::list().ask(tx).await?;
    if taken
        .iter()
        .any(|p| p.retired_at.is_none() && p.name == name)
    {
        return Err(RuleRefusal::beside(
            "pan_name",
            "name-taken",
            format!("There is a pan in use called “{name}”. Please name one of them otherwise."),
        )
        .into());
    }
    Ok(())
}
