//! A turn as it is asked for: what was sent, what was meant.

use crate::calc::turns::turn_cane::Told;
use crate::units::{Grams, MemberId, Refused, Units};
use crate::web::form::Sheet;
use crate::web::session::Me;

/// Whose cane and how much; the start comes apart, with the button that was tapped.
#[derive(Debug, Clone, Copy)]
pub(super) struct Asked {
    /// Whose cane.
    pub(super) member: MemberId,
    /// How much, as the member puts it.
    pub(super) told: Told,
    /// The weight instead of what the season's figures make of it.
    pub(super) corrected: Option<Grams>,
    /// Yes, the correction is meant, far off as it is.
    pub(super) sure: bool,
}

/// Reads every box, then decides. A member who names nobody means oneself.
pub(super) fn asked(sheet: &mut Sheet, me: &Me, units: Units) -> Option<Asked> {
    let member = if me.is_crew() || !sheet.typed("member").is_empty() {
        sheet.read("member", |text| {
            MemberId::parse(text)
                .ok_or_else(|| Refused::new("Please choose the member whose cane it is."))
        })
    } else {
        Some(me.id)
    };
    let choice = sheet.typed("told").to_owned();
    let told = sheet.read("amount", |text| Told::parse(&choice, text, units));
    let corrected = sheet.read_optional("cane", |text| Grams::parse(text, units));
    Some(Asked {
        member: member?,
        told: told?,
        corrected: corrected?,
        sure: sheet.ticked("sure"),
    })
}
