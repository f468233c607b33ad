//! Boils: each with its lot code and its latest finish; what was poured in, its fills.
//! Only reads; writing stands in `boils_write`.

use crate::calc::boil::fuel_burnt::FuelBurnt;
use crate::calc::physics::energy::Fuel;
use crate::calc::physics::refractometer::Instrument;
use crate::store::Question;
use crate::store::question::question;
use crate::store::{StoreError, Stored, in_json};
use crate::units::{
    BoilId, BrixAt20C, BrixRead, Celsius, Cents, Grams, LotCode, MemberId, MemberName, PanId,
    PressDate, PressDayId, RulesId, SeasonId, UtcSecond,
};

pub use super::draws::{
    DrawRow, DrawnThen, draw_version, draws, draws_beside, draws_of_day, draws_of_juice,
    draws_of_juices, draws_of_season, draws_then, draws_with,
};

/// A boil, with the latest version of its finish.
#[derive(Debug, Clone)]
pub struct BoilRow {
    /// Id of the boil.
    pub id: BoilId,
    /// Lot code, which stands on every jar of the boil.
    pub lot: LotCode,
    /// Its season.
    pub season_id: SeasonId,
    /// The rules in force when it was lit; kept for good.
    pub rules_id: RulesId,
    /// Its press day.
    pub press_day_id: PressDayId,
    /// The date of that day.
    pub press_date: PressDate,
    /// The only member whose juice is in it; `None`: a pooled boil.
    pub solo_member: Option<(MemberId, MemberName)>,
    /// The finish aimed at, °Bx at 20 °C.
    pub target: f64,
    /// What the cook's thermometer showed in boiling water that day, if it was read.
    pub water_boil: Option<Celsius>,
    /// The pan it is made in; `None`: nobody wrote it down.
    pub pan_id: Option<PanId>,
    /// When the fire was lit under it.
    pub lit_at: UtcSecond,
    /// The member who was the cook.
    pub cook_id: MemberId,
    /// The cook's name.
    pub cook_name: MemberName,
    /// Remark.
    pub note: String,
    /// The finish in its latest version; `None` while it boils.
    pub finish: Option<FinishRow>,
    /// When it was divided, or lost whole; `None`: not yet.
    pub divided_at: Option<UtcSecond>,
    /// Whether the whole boil was lost.
    pub lost: bool,
}

/// The finish of a boil as measured.
#[derive(Debug, Clone)]
pub struct FinishRow {
    /// Version, from 1; the highest counts.
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
    /// The pan's temperature when it was drawn off, if read.
    pub finish_temp: Option<Celsius>,
    /// Skimmings taken off and weighed.
    pub skimmed: Grams,
    /// Syrup spilt or scorched.
    pub spilt: Grams,
    /// Fuel burnt, if it was measured.
    pub burnt: Option<FuelBurnt>,
    /// When it was drawn off.
    pub finished_at: UtcSecond,
    /// Name of who measured it.
    pub by_name: MemberName,
    /// Who typed it in, when it was written on paper first.
    pub typed_by: Option<MemberName>,
    /// When this was written down.
    pub at: UtcSecond,
    /// Why this version was made; empty in the first.
    pub why: String,
}

/// Jars of one size filled from a boil, in the latest version.
#[derive(Debug, Clone)]
pub struct FillRow {
    /// Number of the filling, from 1.
    pub number: i64,
    /// Version, from 1; the highest counts.
    pub version: i64,
    /// Name of the size.
    pub size_name: String,
    /// Syrup in each jar.
    pub net: Grams,
    /// How many jars; 0: crossed out.
    pub count: i64,
    /// Whether it is a part-jar, with its own weight.
    pub part: bool,
    /// Price of one empty jar.
    pub price: Cents,
    /// Why this version was made; empty in the first.
    pub why: String,
    /// The member who filled or corrected.
    pub by: MemberId,
    /// That person's name.
    pub by_name: MemberName,
    /// Who typed it in, when it was written on paper first.
    pub typed_by: Option<MemberName>,
    /// When they were filled.
    pub filled_at: UtcSecond,
    /// When this was written down.
    pub at: UtcSecond,
}

impl FillRow {
    /// Syrup in all jars of this fill.
    pub fn grams(&self) -> Grams {
        Grams::new(self.net.get() * self.count)
    }
}

struct BoilColumns {
    id: BoilId,
    lot: LotCode,
    season_id: SeasonId,
    rules_id: RulesId,
    press_day_id: PressDayId,
    press_date: PressDate,
    solo_id: Option<MemberId>,
    solo_name: Option<MemberName>,
    target: f64,
    water_boil: Option<Celsius>,
    pan_id: Option<PanId>,
    lit_at: UtcSecond,
    cook_id: MemberId,
    cook_name: MemberName,
    note: String,
    version: Option<i64>,
    syrup: Option<Grams>,
    brix: Option<BrixRead>,
    instrument: Option<String>,
    sample: Option<Celsius>,
    brix_20: Option<BrixAt20C>,
    finish_temp: Option<Celsius>,
    skimmed: Option<Grams>,
    spilt: Option<Grams>,
    fuel: Option<String>,
    burnt: Option<f64>,
    finished_at: Option<UtcSecond>,
    by_name: Option<MemberName>,
    typed_by: Option<MemberName>,
    at: Option<UtcSecond>,
    why: Option<String>,
    divided_at: Option<UtcSecond>,
    lost: bool,
}

fn instrument(word: String) -> Stored<Instrument> {
    Instrument::parse(&word).ok_or(StoreError::Corrupt {
        what: "finishes.instrument",
        found: word,
    })
}

fn burnt(fuel: Option<String>, amount: Option<f64>) -> Stored<Option<FuelBurnt>> {
    let Some((word, amount)) = fuel.zip(amount) else {
        return Ok(None);
    };
    let fuel = Fuel::parse(&word).ok_or(StoreError::Corrupt {
        what: "finishes.fuel_kind",
        found: word,
    })?;
    Ok(Some(FuelBurnt { fuel, amount }))
}

impl BoilColumns {
    fn read(self) -> Stored<BoilRow> {
        let gap = || StoreError::Corrupt {
            what: "finishes",
            found: "half a row".to_owned(),
        };
        let finish = match self.version {
            None => None,
            Some(version) => Some(FinishRow {
                version,
                syrup: self.syrup.ok_or_else(gap)?,
                brix: self.brix.ok_or_else(gap)?,
                instrument: instrument(self.instrument.ok_or_else(gap)?)?,
                sample: self.sample.ok_or_else(gap)?,
                brix_20: self.brix_20.ok_or_else(gap)?,
                finish_temp: self.finish_temp,
                skimmed: self.skimmed.ok_or_else(gap)?,
                spilt: self.spilt.ok_or_else(gap)?,
                burnt: burnt(self.fuel, self.burnt)?,
                finished_at: self.finished_at.ok_or_else(gap)?,
                by_name: self.by_name.ok_or_else(gap)?,
                typed_by: self.typed_by,
                at: self.at.ok_or_else(gap)?,
                why: self.why.ok_or_else(gap)?,
            }),
        };
        Ok(BoilRow {
            id: self.id,
            lot: self.lot,
            season_id: self.season_id,
            rules_id: self.rules_id,
            press_day_id: self.press_day_id,
            press_date: self.press_date,
            solo_member: self.solo_id.zip(self.solo_name),
            target: self.target,
            water_boil: self.water_boil,
            pan_id: self.pan_id,
            lit_at: self.lit_at,
            cook_id: self.cook_id,
            cook_name: self.cook_name,
            note: self.note,
            finish,
            divided_at: self.divided_at,
            lost: self.lost,
        })
    }
}

macro_rules! boils {
    ($which:literal, $($arg:expr),*) => {
        question!(
            BoilColumns,
            r#"select b.id as "id: BoilId", b.lot_code as "lot: LotCode", b.season_id as "season_id: SeasonId",
            ro.rules_id as "rules_id!: RulesId", b.press_day_id as "press_day_id: PressDayId",
            p.date as "press_date: PressDate", b.solo_member_id as "solo_id: MemberId",
            s.name as "solo_name?: MemberName", b.target_bx as target, b.water_boil_c as "water_boil: Celsius",
            b.pan_id as "pan_id: PanId", b.lit_at as "lit_at: UtcSecond", b.cook_id as "cook_id: MemberId", c.name as "cook_name: MemberName",
            b.note, f.version as "version?: i64", f.syrup_g as "syrup?: Grams", f.brix as "brix?: BrixRead",
            f.instrument as "instrument?: String", f.sample_c as "sample?: Celsius",
            f.brix_20c as "brix_20?: BrixAt20C", f.finish_c as "finish_temp?: Celsius",
            f.skimmed_g as "skimmed?: Grams", f.spilt_g as "spilt?: Grams", f.fuel_kind as "fuel?: String",
            f.fuel_amount as "burnt?: f64", f.finished_at as "finished_at?: UtcSecond",
            w.name as "by_name?: MemberName",
            (select y.name from typed_in t join members y on y.id = t.typed_by where t.record = b.id
              and t.typed_at = f.at and t.measured_by = f.by_id and t.action = 'finish_boil' limit 1) as "typed_by?: MemberName",
            f.at as "at?: UtcSecond", f.why as "why?: String", coalesce(d.at, case when l.boil_id is not null then
              coalesce((select c.at from loss_changes c where c.boil_id = b.id order by c.number desc limit 1), l.at) end) as "divided_at?: UtcSecond",
            d.id is null and l.boil_id is not null as "lost!: bool"
            from boils b join rules_of_boils ro on ro.boil_id = b.id
            join press_days p on p.id = b.press_day_id join members c on c.id = b.cook_id
            left join members s on s.id = b.solo_member_id
            left join finishes f on f.boil_id = b.id
              and f.version = (select max(v.version) from finishes v where v.boil_id = b.id)
            left join members w on w.id = f.by_id
            left join divisions d on d.boil_id = b.id
              and d.version = (select max(v.version) from divisions v where v.boil_id = b.id)
              and not exists (select 1 from corrections c where c.boil_id = b.id and c.version > d.version)
            left join losses l on l.boil_id = b.id and coalesce((select c.whole from loss_changes c
              where c.boil_id = b.id order by c.number desc limit 1), l.whole) = 1 "#
                + $which,
            $($arg),*
        )
    };
}

/// The boil of that lot code.
pub fn find(lot: &LotCode) -> Question<Option<BoilRow>> {
    boils!("where b.lot_code = ?1", lot)
        .first()
        .try_map(|row| row.map(BoilColumns::read).transpose())
}

/// The boils of a JSON array of ids, in the order they were lit.
pub fn of_ids(ids: &str) -> Question<Vec<BoilRow>> {
    boils!(
        "where b.id in (select value from json_each(?1)) order by b.lit_at, b.id",
        ids
    )
    .try_map(|rows| rows.into_iter().map(BoilColumns::read).collect())
}

/// The boils of a JSON array of lot codes, in the order they were lit.
pub fn of_codes(codes: &str) -> Question<Vec<BoilRow>> {
    boils!(
        "where b.lot_code in (select value from json_each(?1)) order by b.lit_at, b.id",
        codes
    )
    .try_map(|rows| rows.into_iter().map(BoilColumns::read).collect())
}

/// The boil with this id.
pub fn of_id(id: BoilId) -> Question<Option<BoilRow>> {
    boils!("where b.id = ?1", id)
        .first()
        .try_map(|row| row.map(BoilColumns::read).transpose())
}

/// The boils of a press day, in the order they were lit.
pub fn of_day(day: PressDayId) -> Question<Vec<BoilRow>> {
    boils!("where b.press_day_id = ?1 order by b.lit_at, b.id", day)
        .try_map(|rows| rows.into_iter().map(BoilColumns::read).collect())
}

/// The boils of a season, in the order they were lit.
pub fn of_season(season: SeasonId) -> Question<Vec<BoilRow>> {
    boils!("where b.season_id = ?1 order by b.lit_at, b.id", season)
        .try_map(|rows| rows.into_iter().map(BoilColumns::read).collect())
}

/// The boils of a season that hold juice of a member, in the order they were lit.
pub fn of_member(season: SeasonId, member: MemberId) -> Question<Vec<BoilRow>> {
    boils!("where b.season_id = ?1 and b.id in (select r.boil_id from tickets t join juices j on j.ticket_id = t.id
        join draws r on r.juice_id = j.id where t.member_id = ?2
        and (r.amount_g > 0 or r.whole = 1) and r.version =
          (select max(x.version) from draws x where x.boil_id = r.boil_id and x.juice_id = r.juice_id))
        order by b.lit_at, b.id",
        season,
        member).try_map(|rows| rows.into_iter().map(BoilColumns::read).collect())
}

/// The jars filled from a boil, largest first, part-jars last: latest versions, without those
/// crossed out.
pub fn fills(boil: BoilId) -> Question<Vec<FillRow>> {
    fills_of(&in_json([boil])).map(|all| all.into_iter().map(|(_, fill)| fill).collect())
}

/// As [`fills`], for several boils; `boils`: a JSON array of their ids.
pub fn fills_of(boils: &str) -> Question<Vec<(BoilId, FillRow)>> {
    question!(r#"select f.boil_id as "boil_id: BoilId", f.number, f.version, f.size_name, f.net_g as "net: Grams", f.count,
        f.part as "part: bool", f.price_cents as "price: Cents", f.why, f.by_id as "by: MemberId", m.name as "by_name: MemberName",
        (select w.name from typed_in t join members w on w.id = t.typed_by where t.record = f.boil_id
          and t.typed_at = f.at and t.measured_by = f.by_id and t.action = 'fill_jars' limit 1) as "typed_by?: MemberName",
        coalesce(f.filled_at, f.at) as "filled_at!: UtcSecond", f.at as "at: UtcSecond"
        from fills f join members m on m.id = f.by_id
        where f.boil_id in (select value from json_each(?1)) and f.count > 0 and f.version =
          (select max(v.version) from fills v where v.boil_id = f.boil_id and v.number = f.number)
        order by f.boil_id, f.part, f.net_g desc, f.number"#,
        boils).try_map(|rows| {let fill = rows.into_iter().map(|r| {
        let fill = FillRow {
            number: r.number,
            version: r.version,
            size_name: r.size_name,
            net: r.net,
            count: r.count,
            part: r.part,
            price: r.price,
            why: r.why,
            by: r.by,
            by_name: r.by_name,
            typed_by: r.typed_by,
            filled_at: r.filled_at,
            at: r.at,
        };
        (r.boil_id, fill)
    });
    Ok(fill.collect())})
}

/// All versions of one fill, latest first; empty when there is no fill with this number.
pub fn fill_versions(boil: BoilId, number: i64) -> Question<Vec<FillRow>> {
    question!(
        FillRow,
        r#"select f.number, f.version, f.size_name, f.net_g as "net: Grams", f.count, f.part as "part: bool",
        f.price_cents as "price: Cents", f.why, f.by_id as "by: MemberId", m.name as "by_name: MemberName",
        (select w.name from typed_in t join members w on w.id = t.typed_by where t.record = f.boil_id
          and t.typed_at = f.at and t.measured_by = f.by_id and t.action = 'fill_jars' limit 1) as "typed_by?: MemberName",
        coalesce(f.filled_at, f.at) as "filled_at!: UtcSecond", f.at as "at: UtcSecond"
        from fills f join members m on m.id = f.by_id
        where f.boil_id = ?1 and f.number = ?2 order by f.version desc"#,
        boil,
        number
    )
}

/// The next number of a fill of a boil.
pub fn next_fill(boil: BoilId) -> Question<i64> {
    question!(
        r#"select coalesce(max(number), 0) + 1 as "n!: i64" from fills where boil_id = ?1"#,
        boil
    )
    .one()
    .map(|row| row.n)
}
