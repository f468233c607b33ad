//! A planting: what was sent, what was meant.

use crate::actions::season::plantings::NewPlanting;
use crate::calc::season::dates::{has_come, of_a_season, of_season};
use crate::calc::season::plantings::{maturity, some_row};
use crate::store::season::plantings::Planting;
use crate::store::season::seasons::Season;
use crate::units::{Metres, PressDate, Refused, Units, one_line, plain_text, whole};
use crate::web::as_shown::or_read;
use crate::web::form::Sheet;

/// The season or seasons that a planting's date must fit.
pub(super) enum Fits<'a> {
    /// It is a new planting: any season that was opened.
    Seasons(&'a [Season]),
    /// It is in the record: its own season; the date it has stays possible, as one that was taken over.
    Stood(&'a Planting),
}

/// A date on which something was planted.
fn planted(text: &str, today: PressDate, fits: &Fits<'_>) -> Result<PressDate, Refused> {
    if text.trim().is_empty() {
        return Err(Refused::new("Please say when it was planted."));
    }
    let date = PressDate::parse(text)?;
    match fits {
        Fits::Stood(before) if before.planted_on == date => Ok(date),
        Fits::Stood(before) => of_season(has_come(date, today)?, before.year),
        Fits::Seasons(all) => {
            let years: Vec<i64> = all.iter().map(|season| season.year).collect();
            of_a_season(has_come(date, today)?, &years)
        }
    }
}

/// Reads every box, then decides: what cannot be read and what cannot be are told together.
pub(super) fn planting(
    sheet: &mut Sheet,
    units: Units,
    (today, fits): (PressDate, &Fits<'_>),
) -> Option<NewPlanting> {
    let variety = sheet.read("variety", |text| one_line(text, 1, 60));
    let planted_on = sheet.read("planted_on", |text| planted(text, today, fits));
    let row = sheet.read("row", |text| some_row(Metres::parse(text, units)?));
    let apart = sheet.read_optional("apart", |text| apart(text, units));
    let (row, apart) = match fits {
        Fits::Seasons(_) => (row, apart),
        Fits::Stood(was) => (
            or_read(sheet, "row", (was.row, &was.row.typed(units)), row),
            or_read(sheet, "apart", (was.apart, &typed_apart(was, units)), apart),
        ),
    };
    let days = sheet.read("days", |text| maturity(whole(text, 0, 1000)?));
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

/// Reads the distance from row to row: from rows of 36 to 40 in (common practice) up to wide tractor rows.
fn apart(text: &str, units: Units) -> Result<Metres, Refused> {
    let read = Metres::parse(text, units)?;
    if (0.2..=3.0).contains(&read.get()) {
        Ok(read)
    } else {
        Err(Refused::new(match units {
            Units::Us => {
                "Please write how far the rows are apart, 8 in to 9.8 ft, or leave it empty."
            }
            Units::Metric => {
                "Please write how far the rows are apart, 0.2 to 3 m, or leave it empty."
            }
        }))
    }
}

fn typed_apart(p: &Planting, units: Units) -> String {
    p.apart.map_or_else(String::new, |m| m.typed(units))
}

/// A planting as the form shows it.
pub(super) fn of(mut sheet: Sheet, p: &Planting, units: Units) -> Sheet {
    sheet
        .put("version", p.version.to_string())
        .put("variety", p.variety.as_str())
        .put("planted_on", p.planted_on.to_string())
        .put("row", p.row.typed(units))
        .put("apart", typed_apart(p, units))
        .put("days", p.maturity_days.to_string())
        .put("note", p.note.as_str());
    sheet
}
