//! A planting: what was sent, what was meant.

use crate::actions::season::plantings::NewPlanting;
use crate::store::season::plantings::Planting;
use crate::units::{Metres, PressDate, Refused, Units, one_line, plain_text, whole};
use crate::web::form::Sheet;

/// Reads every box, then decides.
pub(super) fn planting(sheet: &mut Sheet, units: Units) -> Option<NewPlanting> {
    let variety = sheet.read("variety", |text| one_line(text, 1, 60));
    let planted_on = sheet.read("planted_on", PressDate::parse);
    let row = sheet.read("row", |text| Metres::parse(text, units));
    let apart = sheet.read_optional("apart", |text| apart(text, units));
    let days = sheet.read("days", |text| whole(text, 0, 1000));
    let note = sheet.read("note", |text| plain_text(text, 0, 300));
    Some(NewPlanting {
        variety: variety?,
        planted_on: planted_on?,
        row: row?,
        apart: apart?,
        maturity_days: days?,
        note: note?,
    })
}

/// From row to row: rows of 36 to 40 in (common practice) up to wide tractor rows.
fn apart(text: &str, units: Units) -> Result<Metres, Refused> {
    let read = Metres::parse(text, units)?;
    if (0.2..=3.0).contains(&read.get()) {
        Ok(read)
    } else {
        Err(Refused::new(
            "Please write how far the rows are apart, 0.2 to 3 m (8 in to 9.8 ft), or leave it empty.",
        ))
    }
}

/// A planting as the form shows it.
pub(super) fn of(mut sheet: Sheet, p: &Planting, units: Units) -> Sheet {
    sheet
        .put("version", p.version.to_string())
        .put("variety", p.variety.as_str())
        .put("planted_on", p.planted_on.to_string())
        .put("row", p.row.typed(units))
        .put(
            "apart",
            p.apart.map_or_else(String::new, |m| m.typed(units)),
        )
        .put("days", p.maturity_days.to_string())
        .put("note", p.note.as_str());
    sheet
}
