//! Writing of boils: every row is added, none is changed.

use crate::calc::boil::fuel_burnt::FuelBurnt;
use crate::calc::physics::refractometer::Instrument;
use crate::store::question::change;
use crate::store::{Conn, Question, Stored};
use crate::units::{
    BoilId, BrixAt20C, BrixRead, Celsius, Cents, Grams, JuiceId, LotCode, MemberId, PanId,
    PressDayId, RulesId, SeasonId, UtcSecond,
};

/// A boil to be kept.
#[derive(Debug)]
pub struct NewBoilRow {
    /// Id of the boil.
    pub id: BoilId,
    /// Lot code.
    pub lot: LotCode,
    /// The season it belongs to.
    pub season_id: SeasonId,
    /// Version of the rules in force when it is lit.
    pub rules_id: RulesId,
    /// The press day it is lit on.
    pub press_day_id: PressDayId,
    /// The only member whose juice is in it; `None`: a pooled boil.
    pub solo_member_id: Option<MemberId>,
    /// Finish aimed at, °Bx at 20 °C.
    pub target: f64,
    /// Reading of boiling water, if taken.
    pub water_boil: Option<Celsius>,
    /// The pan it is made in, if it is known.
    pub pan_id: Option<PanId>,
    /// Remark.
    pub note: String,
}

/// A finish to be kept.
#[derive(Debug)]
pub struct NewFinishRow {
    /// Version of the finish, from 1.
    pub version: i64,
    /// Syrup drawn off.
    pub syrup: Grams,
    /// Brix as the refractometer showed it.
    pub brix: BrixRead,
    /// The instrument that it was read with.
    pub instrument: Instrument,
    /// Temperature of the cooled sample.
    pub sample: Celsius,
    /// Dissolved solids at 20 °C.
    pub brix_20: BrixAt20C,
    /// The pan's temperature when drawn off, if read.
    pub finish_temp: Option<Celsius>,
    /// Skimmings weighed.
    pub skimmed: Grams,
    /// Syrup spilt or scorched.
    pub spilt: Grams,
    /// Fuel burnt, if measured.
    pub burnt: Option<FuelBurnt>,
    /// When it was drawn off.
    pub finished_at: UtcSecond,
    /// Why this version is made; empty in the first.
    pub why: String,
}

/// A fill to be kept.
#[derive(Debug)]
pub struct NewFillRow {
    /// Number of the filling, from 1.
    pub number: i64,
    /// Version of the filling, from 1.
    pub version: i64,
    /// Name of the size.
    pub size_name: String,
    /// Net weight of syrup in each jar.
    pub net: Grams,
    /// How many jars; 0: crossed out.
    pub count: i64,
    /// Whether it is a part-jar.
    pub part: bool,
    /// Price of one empty jar.
    pub price: Cents,
    /// Why this version is made; empty in the first.
    pub why: String,
    /// When they were filled; `None`: as this is written down.
    pub filled_at: Option<UtcSecond>,
}

/// A draw to be kept.
#[derive(Debug)]
pub struct NewDrawRow {
    /// The juice.
    pub juice_id: JuiceId,
    /// Version of the draw, from 1.
    pub version: i64,
    /// Amount drawn; 0 and not whole: taken out again.
    pub amount: Grams,
    /// Whether all that was left was drawn.
    pub whole: bool,
    /// Why this version is made, or a remark.
    pub why: String,
}

/// A reading to be kept.
#[derive(Debug)]
pub struct NewReadingRow {
    /// Number of the reading, from 1.
    pub number: i64,
    /// When it was read.
    pub read_at: UtcSecond,
    /// Temperature of the pan.
    pub temp: Option<Celsius>,
    /// Brix as the refractometer showed it.
    pub brix: Option<BrixRead>,
    /// Remark.
    pub note: String,
    /// The reading this one puts right.
    pub replaces: Option<i64>,
}

/// Adds a boil, lit at `at` by its cook.
pub async fn insert(conn: &mut Conn, b: &NewBoilRow, cook: MemberId, at: UtcSecond) -> Stored<()> {
    sqlx::query!(
        r#"insert into boils (id, lot_code, season_id, rules_id, press_day_id, solo_member_id, target_bx,
        water_boil_c, pan_id, lit_at, cook_id, note)
        values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)"#,
        b.id,
        b.lot,
        b.season_id,
        b.rules_id,
        b.press_day_id,
        b.solo_member_id,
        b.target,
        b.water_boil,
        b.pan_id,
        at,
        cook,
        b.note
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Adds a version of a draw.
pub async fn insert_draw(
    conn: &mut Conn,
    boil: BoilId,
    d: &NewDrawRow,
    by: MemberId,
    at: UtcSecond,
) -> Stored<()> {
    sqlx::query!(
        r#"insert into draws (boil_id, juice_id, version, amount_g, whole, why, by_id, at)
        values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)"#,
        boil,
        d.juice_id,
        d.version,
        d.amount,
        d.whole,
        d.why,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Adds a reading.
pub fn insert_reading(
    boil: BoilId,
    r: &NewReadingRow,
    by: MemberId,
    at: UtcSecond,
) -> Question<()> {
    change!(
        r"insert into boil_readings (boil_id, number, read_at, temp_c, brix, note, replaces, by_id, at)
        values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
        boil,
        r.number,
        r.read_at,
        r.temp,
        r.brix,
        r.note,
        r.replaces,
        by,
        at
    )
}

/// Adds a version of the finish.
pub async fn insert_finish(
    conn: &mut Conn,
    boil: BoilId,
    f: &NewFinishRow,
    by: MemberId,
    at: UtcSecond,
) -> Stored<()> {
    let instrument = f.instrument.word();
    let fuel = f.burnt.map(|b| b.fuel.word());
    let amount = f.burnt.map(|b| b.amount);
    sqlx::query!(
        r#"insert into finishes (boil_id, version, syrup_g, brix, instrument, sample_c, brix_20c, finish_c,
        skimmed_g, spilt_g, fuel_kind, fuel_amount, finished_at, why, by_id, at)
        values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16)"#,
        boil,
        f.version,
        f.syrup,
        f.brix,
        instrument,
        f.sample,
        f.brix_20,
        f.finish_temp,
        f.skimmed,
        f.spilt,
        fuel,
        amount,
        f.finished_at,
        f.why,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Adds a version of a fill.
pub async fn insert_fill(
    conn: &mut Conn,
    boil: BoilId,
    f: &NewFillRow,
    by: MemberId,
    at: UtcSecond,
) -> Stored<()> {
    sqlx::query!(
        r#"insert into fills (boil_id, number, version, size_name, net_g, count, part, price_cents, why, by_id, at, filled_at)
        values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)"#,
        boil,
        f.number,
        f.version,
        f.size_name,
        f.net,
        f.count,
        f.part,
        f.price,
        f.why,
        by,
        at,
        f.filled_at
    )
    .execute(conn)
    .await?;
    Ok(())
}
