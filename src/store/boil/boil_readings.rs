//! Readings of a boil on the fire.

use crate::store::Question;
use crate::store::question::question;
use crate::units::{BoilId, BrixRead, Celsius, MemberName, SeasonId, UtcSecond};

/// One reading of a boil.
#[derive(Debug, Clone)]
pub struct ReadingRow {
    /// Number of the reading, from 1.
    pub number: i64,
    /// When it was read.
    pub read_at: UtcSecond,
    /// Temperature of the pan, if read.
    pub temp: Option<Celsius>,
    /// Brix as the refractometer showed it, if it was read.
    pub brix: Option<BrixRead>,
    /// Remark: skimmed, fire drawn …
    pub note: String,
    /// The reading this one puts right.
    pub replaces: Option<i64>,
    /// Name of who read it.
    pub by_name: MemberName,
    /// Who typed it in, when it was written on paper first.
    pub typed_by: Option<MemberName>,
    /// When this was written down.
    pub at: UtcSecond,
}

/// The readings of a boil in order of time, without those that another one puts right.
pub fn of_boil(boil: BoilId) -> Question<Vec<ReadingRow>> {
    question!(
        ReadingRow,
        r#"select r.number, r.read_at as "read_at: UtcSecond", r.temp_c as "temp: Celsius",
        r.brix as "brix: BrixRead", r.note, r.replaces, m.name as "by_name: MemberName",
        (select w.name from typed_in t join members w on w.id = t.typed_by where t.record = r.boil_id
          and t.typed_at = r.at and t.measured_by = r.by_id and t.action = 'read_boil' limit 1)
          as "typed_by?: MemberName", r.at as "at: UtcSecond"
        from boil_readings r join members m on m.id = r.by_id
        where r.boil_id = ?1 and not exists
          (select 1 from boil_readings x where x.boil_id = r.boil_id and x.replaces = r.number)
        order by r.read_at, r.number"#,
        boil
    )
}

/// The next number of a reading of a boil.
pub fn next_number(boil: BoilId) -> Question<i64> {
    question!(
        r#"select coalesce(max(number), 0) + 1 as "n!: i64" from boil_readings where boil_id = ?1"#,
        boil
    )
    .one()
    .map(|row| row.n)
}

/// One temperature of a pan.
#[derive(Debug, Clone, Copy)]
pub struct TempRow {
    /// The boil.
    pub boil_id: BoilId,
    /// When it was read.
    pub read_at: UtcSecond,
    /// The temperature.
    pub temp: Celsius,
}

/// The temperatures read over all boils of a season, boil by boil in order of time, without those
/// that another reading puts right.
pub fn temps_of_season(season: SeasonId) -> Question<Vec<TempRow>> {
    question!(
        TempRow,
        r#"select r.boil_id as "boil_id: BoilId", r.read_at as "read_at: UtcSecond", r.temp_c as "temp!: Celsius"
        from boil_readings r join boils b on b.id = r.boil_id
        where b.season_id = ?1 and r.temp_c is not null and not exists
          (select 1 from boil_readings x where x.boil_id = r.boil_id and x.replaces = r.number)
        order by r.boil_id, r.read_at, r.number"#,
        season
    )
}
