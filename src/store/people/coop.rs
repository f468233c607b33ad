//! The co-op's own card: one row.

use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, StoreError, Stored};
use crate::units::{Units, Zone};

/// The co-op.
#[derive(Debug, Clone)]
pub struct Coop {
    /// Name of the co-op, as on labels.
    pub name: String,
    /// City, state and ZIP, as on labels.
    pub place: String,
    /// Its time zone: press dates and turn times are civil times there.
    pub zone: Zone,
    /// The units it reads and types in.
    pub units: Units,
    /// Height above sea level, m.
    pub altitude_m: f64,
    /// Whom to call; empty: none given.
    pub contact_phone: String,
    /// How to get to the mill, in words; empty: nothing was written.
    pub way: String,
    /// What to bring; empty: nothing was written.
    pub bring: String,
    /// Where the mill lies: degrees north and east, WGS 84.
    pub lies_at: Option<(f64, f64)>,
}

/// A time zone as the card has it.
pub(super) fn zone(word: &str) -> Stored<Zone> {
    Zone::parse(word).map_err(|_| StoreError::Corrupt {
        what: "coop.zone",
        found: word.to_owned(),
    })
}

/// The co-op, or `None` before set-up.
pub fn find() -> Question<Option<Coop>> {
    question!(
        r#"select name, place, zone, units as "units: Units", altitude_m, contact_phone, way, bring,
        latitude, longitude from coop"#
    )
    .first()
    .try_map(|row| {
        row.map(|row| {
            let zone = zone(&row.zone)?;
            Ok(Coop {
                name: row.name,
                place: row.place,
                zone,
                units: row.units,
                altitude_m: row.altitude_m,
                contact_phone: row.contact_phone,
                way: row.way,
                bring: row.bring,
                lies_at: row.latitude.zip(row.longitude),
            })
        })
        .transpose()
    })
}

/// Writes the co-op's card, new or changed.
pub async fn put(conn: &mut Conn, coop: &Coop) -> Stored<()> {
    let zone = coop.zone.name();
    let (north, east) = coop.lies_at.unzip();
    sqlx::query!(
        r#"insert into coop (id, name, place, zone, units, altitude_m, contact_phone, way, bring, latitude, longitude)
        values (1, ?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)
        on conflict (id) do update set name = ?1, place = ?2, zone = ?3, units = ?4, altitude_m = ?5,
        contact_phone = ?6, way = ?7, bring = ?8, latitude = ?9, longitude = ?10"#,
        coop.name,
        coop.place,
        zone,
        coop.units,
        coop.altitude_m,
        coop.contact_phone,
        coop.way,
        coop.bring,
        north,
        east
    )
    .execute(conn)
    .await?;
    Ok(())
}
