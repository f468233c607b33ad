//! The opening checks: what was sent, what was meant. An item left empty is left as it stands.

use crate::actions::cane::morning::NewCheck;
use crate::calc::cane::morning::{CheckWeight, Found, Item, WaterBrix};
use crate::calc::cane::scale::Graduation;
use crate::store::cane::mill::Scale;
use crate::units::{Altitude, Celsius, Grams, Refused, ScaleId, Units, plain_text};
use crate::web::form::Sheet;

/// The boxes of an item that every item has.
pub(super) struct Boxes {
    /// Name of the tick box “seen to”; measured items have none.
    pub(super) done: String,
    /// Name of the tick box “waived”.
    pub(super) waive: String,
    /// Name of the tick box “read again, it is so”.
    pub(super) sure: String,
    /// Name of the box for why it is waived, or a remark.
    pub(super) note: String,
}

/// The names of an item's boxes.
pub(super) fn boxes(item: Item) -> Boxes {
    let named = |what: &str| format!("{what}_{}", item.word());
    Boxes {
        done: named("done"),
        waive: named("waive"),
        sure: named("sure"),
        note: named("note"),
    }
}

/// The form before anything is filled in.
pub(super) fn blank(mut sheet: Sheet, scales: &[Scale]) -> Sheet {
    if let Some(first) = scales.first() {
        sheet.put("scale", first.id.to_string());
    }
    sheet
}

/// How one item of the form was filled in.
enum Filled {
    Nothing,
    Wrong,
    Found(Found),
}

fn read<T>(value: Option<T>, found: impl FnOnce(T) -> Found) -> Filled {
    value.map_or(Filled::Wrong, |value| Filled::Found(found(value)))
}

fn scale_of(text: &str, scales: &[Scale]) -> Result<Scale, Refused> {
    ScaleId::parse(text)
        .and_then(|id| scales.iter().find(|scale| scale.id == id))
        .cloned()
        .ok_or_else(|| Refused::new("Please choose the scale."))
}

fn weight(sheet: &mut Sheet, scales: &[Scale], units: Units) -> Filled {
    if sheet.typed("known").trim().is_empty() && sheet.typed("reading").trim().is_empty() {
        return Filled::Nothing;
    }
    let scale = sheet.read("scale", |t| scale_of(t, scales));
    let known = sheet.read("known", |t| Grams::parse(t, units));
    let reading = sheet.read("reading", |t| Grams::parse(t, units));
    let weighed = || {
        let scale = scale?;
        Some(CheckWeight {
            scale: scale.id,
            graduation: Graduation::new(scale.graduation_g).ok()?,
            capacity: scale.capacity,
            known: known?,
            reading: reading?,
        })
    };
    read(weighed(), Found::Weight)
}

fn filled(sheet: &mut Sheet, item: Item, scales: &[Scale], units: Units) -> Filled {
    let left_empty = |name: &str| sheet.typed(name).trim().is_empty();
    match item {
        Item::Weight => weight(sheet, scales, units),
        Item::Refractometer if left_empty("refractometer") => Filled::Nothing,
        Item::Refractometer => read(sheet.read("refractometer", WaterBrix::parse), Found::Zero),
        Item::WaterBoil if left_empty("water_boil") => Filled::Nothing,
        Item::WaterBoil => {
            let read_c = sheet.read("water_boil", |t| Celsius::parse(t, units));
            read(read_c, Found::WaterBoil)
        }
        seen if sheet.ticked(&boxes(seen).done) => Filled::Found(Found::Seen(seen)),
        _ => Filled::Nothing,
    }
}

/// Reads every box, then decides. `None` leaves each problem beside its box.
pub(super) fn checks(
    sheet: &mut Sheet,
    scales: &[Scale],
    height: Altitude,
    units: Units,
) -> Option<Vec<NewCheck>> {
    let mut checks = Vec::new();
    let mut wrong = false;
    for item in Item::ALL {
        let names = boxes(item);
        let note = sheet.read_optional(&names.note, |t| plain_text(t, 1, 200));
        let waived = sheet.ticked(&names.waive);
        let found = match (filled(sheet, item, scales, units), waived) {
            (Filled::Nothing, true) => Some(Found::Waived(item)),
            (Filled::Found(found), false) => Some(found),
            (Filled::Found(_), true) => {
                sheet.refuse(&names.waive, "Please either do it or waive it, not both.");
                None
            }
            (Filled::Nothing, false) | (Filled::Wrong, _) => None,
        };
        let note = note.flatten().unwrap_or_default();
        match found {
            None if !note.is_empty() && sheet.at(&names.waive).problem.is_none() => {
                let sentence =
                    "A remark alone is not kept. Please do the check or tick that it is waived.";
                sheet.refuse(&names.note, sentence);
            }
            None => {}
            Some(Found::Waived(_)) if note.is_empty() => {
                sheet.refuse(&names.note, "Please write why it is waived.");
            }
            Some(found) => {
                let sure = sheet.ticked(&names.sure);
                wrong |= !fits(sheet, &found, sure, height, units);
                checks.push(NewCheck { found, sure, note });
            }
        }
    }
    (!wrong && sheet.problems().is_empty()).then_some(checks)
}

/// Looks at a figure; what is amiss or in doubt is said beside its box.
fn fits(sheet: &mut Sheet, found: &Found, sure: bool, height: Altitude, units: Units) -> bool {
    match found.verdict(height, units) {
        Ok(verdict) => match verdict.and_then(|v| v.doubt) {
            Some(doubt) if !sure => {
                sheet.refuse(doubt.at.unwrap_or("reading"), doubt.sentence);
                false
            }
            _ => true,
        },
        Err(refusal) => {
            for amiss in refusal {
                sheet.refuse(amiss.at.unwrap_or("reading"), amiss.sentence);
            }
            false
        }
    }
}
