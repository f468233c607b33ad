//! A pan: what was sent, what was meant.

use crate::calc::boil::boil_plan::RATE_START_L_M2_H;
use crate::calc::boil::pan::{Settings, parse_efficiency, parse_rate, rate_typed};
use crate::calc::physics::energy::Fuel;
use crate::units::{Millilitres, Refused, SquareMetres, Units, plain_text};
use crate::web::form::Sheet;

/// The form with the defaults a mill starts from.
pub(super) fn blank(mut sheet: Sheet, units: Units) -> Sheet {
    sheet
        .put("pan_rate", rate_typed(RATE_START_L_M2_H, units))
        .put("fuel", Fuel::Wood.word());
    sheet
}

fn fuel(text: &str) -> Result<Fuel, Refused> {
    Fuel::parse(text).ok_or_else(|| Refused::new("Please choose what burns under the pan."))
}

/// Reads every box of the form; `None` when one cannot be read.
pub(super) fn pan(sheet: &mut Sheet, units: Units) -> Option<(String, Settings)> {
    let name = sheet.read("pan_name", |t| plain_text(t, 1, 60));
    let area = sheet.read("pan_area", |t| SquareMetres::parse(t, units));
    let least = sheet.read("least", |t| Millilitres::parse(t, units));
    let most = sheet.read("most", |t| Millilitres::parse(t, units));
    let rate = sheet.read("pan_rate", |t| parse_rate(t, units));
    let fuel = sheet.read("fuel", fuel);
    let guess = fuel.unwrap_or(Fuel::Wood);
    let efficiency = sheet.read("efficiency", |t| parse_efficiency(t, guess));
    let settings = Settings {
        area: area?,
        least: least?,
        most: most?,
        rate_l_m2_h: rate?,
        fuel: fuel?,
        efficiency_pct: efficiency?,
    };
    let name = name?;
    match settings.sound(units) {
        Ok(()) => Some((name, settings)),
        Err(refusal) => {
            for amiss in refusal {
                sheet.refuse(amiss.at.unwrap_or("pan_name"), amiss.sentence);
            }
            None
        }
    }
}
