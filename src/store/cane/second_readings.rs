//! Second readings: what a second person read of a juice that was drawn by lot.

use crate::calc::physics::refractometer::Instrument;
use crate::store::{Conn, Stored};
use crate::units::{BrixRead, Celsius, JuiceId, MemberId, UtcSecond};

/// A second reading to be written.
#[derive(Debug)]
pub struct NewSecondReading<'a> {
    /// The juice that was read.
    pub juice: JuiceId,
    /// Brix as read.
    pub brix: BrixRead,
    /// Temperature of the drop.
    pub temp: Celsius,
    /// The instrument that it was read with.
    pub instrument: Instrument,
    /// Remark.
    pub note: &'a str,
    /// The member who read it.
    pub by: MemberId,
    /// When it was read.
    pub at: UtcSecond,
}

/// Adds a second reading after those that stand.
pub async fn insert(conn: &mut Conn, r: &NewSecondReading<'_>) -> Stored<()> {
    let instrument = r.instrument.word();
    sqlx::query!(
        "insert into second_readings (juice_id, number, brix, temp_c, instrument, note, by_id, at)
        values (?1, (select coalesce(max(number), 0) + 1 from second_readings where juice_id = ?1),
        ?2, ?3, ?4, ?5, ?6, ?7)",
        r.juice,
        r.brix,
        r.temp,
        instrument,
        r.note,
        r.by,
        r.at
    )
    .execute(conn)
    .await?;
    Ok(())
}
