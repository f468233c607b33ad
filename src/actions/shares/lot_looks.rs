//! What a lot is like, written down beside it.

use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::store::boil::boils;
use crate::store::shares::lot_looks::{self, Look};
use crate::units::LotCode;

/// Writes down what a lot looks and tastes like.
pub async fn note(act: &Act, lot: &LotCode, look: Look) -> Done<()> {
    act.crew()?;
    let mut tx = begin!(act, "note_look");
    let boil = boils::find(lot).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    let words = [&look.colour, &look.taste, &look.smell];
    let read = look.brix.is_some() || look.temp.is_some() || look.ph.is_some();
    if !read && words.iter().all(|w| w.is_empty()) {
        return Err(RuleRefusal::new(
            "nothing-looked",
            "Please fill in at least one of these boxes.",
        )
        .into());
    }
    let card = lot_looks::colours().ask(&mut tx).await?;
    let on_card = |c: &lot_looks::Colour| c.in_use && c.name == look.colour;
    if !look.colour.is_empty() && card.iter().any(|c| c.in_use) && !card.iter().any(on_card) {
        return Err(RuleRefusal::beside(
            "colour",
            "not-on-card",
            "Please choose a colour of the card.",
        )
        .into());
    }
    lot_looks::insert(&mut tx, boil.id, &look, (act.actor.id, act.at)).await?;
    act.finish(tx, "note_look", ()).await
}

/// Adds a colour to the co-op's card. `shade` is red, green and blue: "#c07a1e".
pub async fn add_colour(act: &Act, name: String, shade: String) -> Done<()> {
    act.steward()?;
    let mut tx = begin!(act, "add_colour");
    let card = lot_looks::colours().ask(&mut tx).await?;
    if card
        .iter()
        .any(|c| c.name.to_lowercase() == name.to_lowercase())
    {
        return Err(RuleRefusal::beside(
            "colour_name",
            "name-taken",
            "There is a colour of that name. Please name this one otherwise.",
        )
        .into());
    }
    lot_looks::insert_colour(&mut tx, &name, &shade).await?;
    act.finish(tx, "add_colour", ()).await
}

/// Takes a colour out of use, or back into it. What was written with it stands.
pub async fn retire_colour(act: &Act, number: i64, out: bool) -> Done<()> {
    act.steward()?;
    let mut tx = begin!(act, "retire_colour");
    let card = lot_looks::colours().ask(&mut tx).await?;
    let colour = card.iter().find(|c| c.number == number);
    if colour.ok_or(Stop::Missing)?.in_use == out {
        lot_looks::retire_colour(&mut tx, number, out.then_some(act.at)).await?;
    }
    act.finish(tx, "retire_colour", ()).await
}
