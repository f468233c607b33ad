//! The forms of measuring juice: what was sent, what was meant.

use crate::actions::cane::juice::{JuiceFix, JuiceMeasure, NewJuice};
use crate::calc::cane::juice::Amount;
use crate::calc::cane::press_times::PressTimes;
use crate::calc::cane::went_home::AFTER_ALL;
use crate::calc::physics::refractometer::Instrument;
use crate::store::cane::juice::JuiceRow;
use crate::units::{
    BrixRead, Celsius, Grams, Millilitres, Refused, Units, UtcSecond, VesselId, plain_text,
};
use crate::web::cane::pressed_times;
use crate::web::form::Sheet;

/// Reads every box of a new juice, then decides.
pub(super) fn juice(sheet: &mut Sheet, units: Units, times: &PressTimes<'_>) -> Option<NewJuice> {
    let vessel = sheet.read("vessel", |text| {
        VesselId::parse(text.trim()).ok_or_else(|| Refused::new("Please choose the vessel."))
    });
    let taken = taken(sheet, units);
    let pressed_at = pressed(sheet, times);
    Some(NewJuice {
        vessel: vessel?,
        taken: taken?,
        pressed_at: pressed_at?,
        vessel_empty: sheet.ticked("vessel_empty"),
        after_all: sheet.ticked(AFTER_ALL),
    })
}

/// The figures of a juice that are read back.
pub(super) const LOOKED_AT: [&str; 4] = ["amount", "temp", "brix_1", "brix_2"];

/// Reads what was measured, of a new juice or of a correction.
fn taken(sheet: &mut Sheet, units: Units) -> Option<JuiceMeasure> {
    let temp = sheet.read("temp", |text| Celsius::parse(text, units));
    let kind = sheet.read("kind", |text| match text {
        "mass" => Ok(true),
        "volume" => Ok(false),
        _ => Err(Refused::new(
            "Please choose whether it was weighed or gauged.",
        )),
    });
    // With no kind or temperature the number itself can still be looked at.
    let weighed = kind.unwrap_or(true);
    let at = temp.or_else(|| Celsius::new(20.0).ok())?;
    let amount = sheet.read("amount", |text| amount(text, weighed, at, units));
    let sediment = sheet.read_optional("sediment", |text| amount_of(text, weighed, at, units));
    let instrument = sheet.read("instrument", |text| {
        Instrument::parse(text).ok_or_else(|| Refused::new("Please choose the refractometer."))
    });
    let first = sheet.read("brix_1", BrixRead::parse);
    let second = sheet.read("brix_2", BrixRead::parse);
    let third = sheet.read_optional("brix_3", BrixRead::parse);
    let mut readings = vec![first?, second?];
    readings.extend(third?);
    kind?;
    Some(JuiceMeasure {
        amount: amount?,
        sediment: sediment?.filter(|s| !nothing(*s)),
        temp: temp?,
        instrument: instrument?,
        readings,
        sure: sheet.confirmed(&LOOKED_AT),
    })
}

pub(super) fn amount_of(
    text: &str,
    weighed: bool,
    at: Celsius,
    units: Units,
) -> Result<Amount, Refused> {
    if weighed {
        Grams::parse(text, units).map(Amount::Weight)
    } else {
        Millilitres::parse(text, units).map(|ml| Amount::Volume(ml, at))
    }
}

fn amount(text: &str, weighed: bool, at: Celsius, units: Units) -> Result<Amount, Refused> {
    let read = amount_of(text, weighed, at, units)?;
    if nothing(read) {
        return Err(Refused::new("Please write how much juice there is."));
    }
    Ok(read)
}

fn nothing(amount: Amount) -> bool {
    match amount {
        Amount::Weight(g) => g <= Grams::ZERO,
        Amount::Volume(ml, _) => ml <= Millilitres::ZERO,
    }
}

/// When it was pressed, a time of the press day; empty means just now, but only on the day itself.
#[expect(
    clippy::option_option,
    reason = "outer: was it readable; inner: was it filled in"
)]
fn pressed(sheet: &mut Sheet, times: &PressTimes<'_>) -> Option<Option<UtcSecond>> {
    let at = pressed_times::read(sheet, "pressed", times)?;
    if at.is_some() || times.running() {
        return Some(at);
    }
    let asked = format!(
        "Please write at what time of {} it was pressed: the juice’s clock starts there.",
        times.day.show()
    );
    sheet.refuse("pressed", asked);
    None
}

/// Reads a correction.
pub(super) fn fix(sheet: &mut Sheet, units: Units, times: &PressTimes<'_>) -> Option<JuiceFix> {
    let taken = taken(sheet, units);
    let pressed_at = pressed_times::read(sheet, "pressed", times);
    let why = sheet.read("why", |text| plain_text(text, 1, 200));
    Some(JuiceFix {
        taken: taken?,
        pressed_at: pressed_at?,
        void: sheet.ticked("void"),
        after_all: sheet.ticked(AFTER_ALL),
        why: why?,
        seen: sheet.typed("seen").parse().unwrap_or(0),
    })
}

/// A juice as the form of its correction shows it.
pub(super) fn of(mut sheet: Sheet, juice: &JuiceRow, units: Units) -> Sheet {
    let typed = |amount: Amount| match amount {
        Amount::Weight(g) => g.typed(units),
        Amount::Volume(ml, _) => ml.typed(units),
    };
    let kind = match juice.amount {
        Amount::Weight(_) => "mass",
        Amount::Volume(..) => "volume",
    };
    sheet
        .put("seen", juice.version.to_string())
        .put("kind", kind)
        .put("amount", typed(juice.amount))
        .put("sediment", juice.sediment.map_or_else(String::new, typed))
        .put("temp", juice.temp.typed(units))
        .put("instrument", juice.instrument.word())
        .put("void", if juice.void { "yes" } else { "" });
    for (name, read) in ["brix_1", "brix_2", "brix_3"].iter().zip(&juice.readings) {
        sheet.put(name, typed_brix(*read));
    }
    sheet
}

/// A Brix as it was read, without zeros at the end.
fn typed_brix(read: BrixRead) -> String {
    let text = format!("{:.2}", read.get());
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
