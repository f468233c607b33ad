//! Empty jars counted, and empty jars that came in.

use crate::actions::{Act, Done, begin};
use crate::store::boil::empty_jars;

/// A count or a purchase as the form has it.
#[derive(Debug, Clone)]
pub struct NewEmptyJars {
    /// The size's name.
    pub size_name: String,
    /// Whether `count` is what was counted where they stand; otherwise it is what came in.
    pub counted: bool,
    /// How many jars.
    pub count: i64,
    /// Remark.
    pub note: String,
}

/// Writes down how many empty jars stand there, or how many came in.
pub async fn note(act: &Act, new: NewEmptyJars) -> Done<()> {
    act.crew()?;
    let mut tx = begin!(act, "note_empty_jars");
    let jars = (new.size_name.as_str(), new.counted, new.count);
    empty_jars::insert(&mut tx, jars, &new.note, (act.actor.id, act.at)).await?;
    act.finish(tx, "note_empty_jars", ()).await
}
