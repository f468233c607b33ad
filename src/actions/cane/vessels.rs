//! The vessel that a juice is measured into: in use, and by the book empty.

use crate::actions::Done;
use crate::calc::RuleRefusal;
use crate::store::Question;
use crate::store::cane::juice::{self, JuiceRow};
use crate::store::cane::mill::Vessel;
use crate::units::{Grams, Units};

/// The vessel, unless it was taken out of use.
pub(super) fn vessel_in_use(vessel: Option<Vessel>) -> Done<Vessel> {
    let vessel = vessel
        .ok_or_else(|| RuleRefusal::beside("vessel", "no-vessel", "Please choose the vessel."))?;
    if vessel.retired_at.is_some() {
        return Err(RuleRefusal::beside(
            "vessel",
            "vessel-retired",
            format!(
                "{} was taken out of use. Please choose another vessel.",
                vessel.name
            ),
        )
        .into());
    }
    Ok(vessel)
}

/// Asks what is left of some juices.
pub(super) fn left_of(
    juices: impl IntoIterator<Item = JuiceRow>,
) -> Question<Vec<(JuiceRow, Grams)>> {
    Question::all(juices.into_iter().map(|of| {
        juice::drawn(of.id).try_map(|drawn| {
            let left = drawn.left(of.reckon()?.mass);
            Ok((of, left))
        })
    }))
}

/// Refuses a vessel in which juice stands, of this ticket or of anybody.
pub(super) fn nothing_stands_in(
    vessel: &Vessel,
    own: &[(JuiceRow, Grams)],
    inside: &[(JuiceRow, Grams)],
    units: Units,
) -> Done<()> {
    let beside = |code, sentence| Err(RuleRefusal::beside("vessel", code, sentence).into());
    if own.iter().any(|(_, left)| *left > Grams::ZERO) {
        return beside(
            "vessel-measured",
            format!(
                "The juice of this ticket in {} was measured already. Correct that measuring \
                 instead, or choose another vessel.",
                vessel.name
            ),
        );
    }
    let Some((other, left)) = inside.iter().find(|(_, left)| *left > Grams::ZERO) else {
        return Ok(());
    };
    beside(
        "vessel-full",
        format!(
            "{} still holds {} of {}’s juice (ticket {}) by the book, and two members’ \
             juice is not mixed here. Choose another vessel; or, if it stands empty, tick \
             the box for it.",
            vessel.name,
            left.show(units),
            other.member_name,
            other.ticket
        ),
    )
}
