//! What a lot is like, written down beside it.

use crate::actions::{Act, Done, Stop, begin};
use crate::calc::Unmet;
use crate::store::boil::boils;
use crate::store::shares::lot_looks::{self, Look};
use crate::units::LotCode;

/// Writes down what a lot looks and tastes like.
pub async fn note(act: &Act, lot: &LotCode, look: Look) -> Done<()> {
    act.crew()?;
    let mut tx = begin!(act, "note_look");
    let boil = boils::find(&mut tx, lot).await?.ok_or(Stop::Missing)?;
    let words = [&look.colour, &look.taste, &look.smell];
    let read = look.brix.is_some() || look.temp.is_some() || look.ph.is_some();
    if !read && words.iter().all(|w| w.is_empty()) {
        return Err(Unmet::new(
            "nothing-looked",
            "Please fill in at least one of these boxes.",
        )
        .into());
    }
    lot_looks::insert(&mut tx, boil.id, &look, (act.actor.id, act.at)).await?;
    act.finish(tx, "note_look", ()).await
}
