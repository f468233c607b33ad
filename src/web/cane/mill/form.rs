//! The forms of the mill: what was sent, what was meant.

use crate::store::people::coop::Coop;
use crate::units::{
    Altitude, Grams, Millilitres, Phone, Refused, Units, Zone, one_line, plain_text,
};
use crate::web::as_shown::or_read;
use crate::web::form::Sheet;

/// Lowest place a co-op's card takes, m: the Dead Sea's shore lies lower than any mill.
const LOWEST_M: f64 = -300.0;

/// Reads the co-op's card; `stands` is the card that the form showed.
pub(super) fn coop(sheet: &mut Sheet, units: Units, stands: &Coop) -> Option<Coop> {
    let name = sheet.read("coop", |t| one_line(t, 1, 80));
    let place = sheet.read("place", |t| one_line(t, 1, 120));
    let zone = sheet.read("zone", Zone::parse);
    let own_units = sheet.read("units", Units::parse);
    let altitude_m = sheet.read("altitude", |t| altitude(t, units));
    let shown = typed_altitude(stands, units);
    let altitude_m = or_read(sheet, "altitude", (stands.altitude_m, &shown), altitude_m);
    let phone = sheet.read_optional("phone", Phone::parse);
    let way = sheet.read_optional("way", |t| plain_text(t, 1, 600));
    let bring = sheet.read_optional("bring", |t| plain_text(t, 1, 600));
    let lies_at = sheet.read_optional("lies_at", degrees);
    Some(Coop {
        name: name?,
        place: place?,
        zone: zone?,
        units: own_units?,
        altitude_m: altitude_m?,
        contact_phone: phone?.map_or_else(String::new, |p| p.to_string()),
        way: way?.unwrap_or_default(),
        bring: bring?.unwrap_or_default(),
        lies_at: lies_at?,
    })
}

/// Reads where the mill lies: degrees north and degrees east, as a map's own page writes them.
fn degrees(text: &str) -> Result<(f64, f64), Refused> {
    let read = || {
        let (north, east) = text.split_once(',')?;
        let north: f64 = north.trim().parse().ok()?;
        let east: f64 = east.trim().parse().ok()?;
        let on_earth = (-90.0..=90.0).contains(&north) && (-180.0..=180.0).contains(&east);
        on_earth.then_some((north, east))
    };
    read().ok_or_else(|| {
        Refused::new(
            "Please write two numbers with a comma between, degrees north and degrees east, like 35.8741, -83.5612.",
        )
    })
}

fn altitude(text: &str, units: Units) -> Result<f64, Refused> {
    let metres = Altitude::parse(text, units)?.get();
    if metres < LOWEST_M {
        return Err(Refused::new(
            "Please write a height above the sea from −300 to 5000 m (−980 to 16,400 ft).",
        ));
    }
    Ok(metres)
}

/// The height as its box shows it.
fn typed_altitude(coop: &Coop, units: Units) -> String {
    Altitude::new(coop.altitude_m).map_or_else(
        |_| String::new(),
        |a| {
            // Minus nought feet is nought feet.
            let typed = a.typed(units);
            if typed == "-0" { "0".to_owned() } else { typed }
        },
    )
}

/// The co-op's card as the form shows it.
pub(super) fn of(mut sheet: Sheet, coop: &Coop, units: Units) -> Sheet {
    let altitude = typed_altitude(coop, units);
    sheet
        .put("coop", coop.name.as_str())
        .put("place", coop.place.as_str())
        .put("zone", coop.zone.name())
        .put("units", coop.units.word())
        .put("altitude", altitude)
        .put("phone", coop.contact_phone.as_str())
        .put("way", coop.way.as_str())
        .put("bring", coop.bring.as_str())
        .put(
            "lies_at",
            coop.lies_at
                .map_or_else(String::new, |(north, east)| format!("{north}, {east}")),
        );
    sheet
}

/// A scale as a steward fills it in.
pub(super) struct NewScale {
    /// The scale's name at the mill.
    pub(super) name: String,
    /// One step of its display, g.
    pub(super) graduation_g: f64,
    /// The greatest weight that it can take.
    pub(super) capacity: Grams,
}

/// Reads a new scale.
pub(super) fn scale(sheet: &mut Sheet, units: Units) -> Option<NewScale> {
    let name = sheet.read("scale_name", |t| one_line(t, 1, 30));
    let graduation_g = sheet.read("graduation", |t| Grams::parse_step(t, units));
    let capacity = sheet.read("capacity", |t| Grams::parse(t, units));
    Some(NewScale {
        name: name?,
        graduation_g: graduation_g?,
        capacity: capacity?,
    })
}

/// Reads a new vessel: its name and what it holds.
pub(super) fn vessel(sheet: &mut Sheet, units: Units) -> Option<(String, Millilitres)> {
    let name = sheet.read("vessel_name", |t| one_line(t, 1, 30));
    let capacity = sheet.read("capacity", |t| Millilitres::parse(t, units));
    Some((name?, capacity?))
}
