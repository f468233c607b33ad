//! A press day as a form: what was sent, what was meant.

use crate::actions::turns::press_days::NewPressDay;
use crate::store::turns::press_days::PressDay;
use crate::units::{Grams, MinuteOfDay, Minutes, PressDate, Units, plain_text, whole};
use crate::web::form::Sheet;

/// Reads every box, then decides. The date of a day that is being changed is fixed.
pub(in crate::web::turns) fn day(
    sheet: &mut Sheet,
    fixed: Option<PressDate>,
    units: Units,
) -> Option<NewPressDay> {
    let date = match fixed {
        Some(date) => Some(date),
        None => sheet.read("date", PressDate::parse),
    };
    let opens = sheet.read("opens", MinuteOfDay::parse);
    let closes = sheet.read("closes", MinuteOfDay::parse);
    let mill_per_h = sheet.read("mill_per_h", |t| Grams::parse(t, units));
    let changeover = sheet
        .read("changeover", |t| whole(t, 0, 120))
        .map(Minutes::new);
    let note = sheet.read("note", |t| plain_text(t, 0, 500));
    Some(NewPressDay {
        date: date?,
        opens: opens?,
        closes: closes?,
        mill_per_h: mill_per_h?,
        changeover: changeover?,
        note: note?,
    })
}

/// A new day, as the last one planned was.
pub(in crate::web::turns) fn like(mut sheet: Sheet, last: &PressDay, units: Units) -> Sheet {
    sheet
        .put("opens", last.opens.show())
        .put("closes", last.closes.show())
        .put("mill_per_h", last.mill_per_h.typed(units))
        .put("changeover", last.changeover.get().to_string());
    sheet
}

/// A day as the form shows it.
pub(super) fn of(sheet: Sheet, day: &PressDay, units: Units) -> Sheet {
    let mut sheet = like(sheet, day, units);
    sheet
        .put("version", day.version.to_string())
        .put("note", day.note.as_str());
    sheet
}
