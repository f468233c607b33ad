//! Full jars on the scale: tares of empty jars, and the weights of some jars of a lot.

use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, Stored};
use crate::units::{BoilId, Grams, LotCode, MemberId, MemberName, SeasonId, UtcSecond};

/// Weight of an empty jar of one kind, with its lid.
#[derive(Debug, Clone)]
pub struct TareRow {
    /// Name of the size.
    pub size_name: String,
    /// Weight of the empty jar, g.
    pub tare_g: f64,
}

/// Weights of empty jars, each kind in its latest version.
pub fn tares() -> Question<Vec<TareRow>> {
    question!(
        TareRow,
        r#"select size_name as "size_name!", tare_g as "tare_g!" from jar_tares t where version =
        (select max(x.version) from jar_tares x where x.size_name = t.size_name) order by size_name"#
    )
}

/// Notes what an empty jar of a kind weighs.
pub async fn insert_tare(
    conn: &mut Conn,
    size: &str,
    tare_g: f64,
    by: MemberId,
    at: UtcSecond,
) -> Stored<()> {
    sqlx::query!(
        r#"insert into jar_tares (size_name, version, tare_g, by_id, at)
        select ?1, 1 + coalesce(max(version), 0), ?2, ?3, ?4 from jar_tares where size_name = ?1"#,
        size,
        tare_g,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Jars of a kind of a lot that were weighed together.
#[derive(Debug, Clone)]
pub struct CheckRow {
    /// The boil.
    pub boil_id: BoilId,
    /// Its lot code.
    pub lot: LotCode,
    /// Number of the weighing in its lot.
    pub number: i64,
    /// Name of the size.
    pub size_name: String,
    /// Net weight that the label declares.
    pub declared: Grams,
    /// Weight of the empty jar, taken off every weight, g.
    pub tare_g: f64,
    /// One step of the scale, g.
    pub graduation_g: f64,
    /// Name of who weighed them.
    pub by_name: MemberName,
    /// When they were weighed.
    pub at: UtcSecond,
}

/// The weight of one full jar, as a scale showed it.
#[derive(Debug, Clone, Copy)]
pub struct WeightRow {
    /// The boil.
    pub boil_id: BoilId,
    /// Number of the weighing in its lot.
    pub number: i64,
    /// Weight that the scale showed, g.
    pub gross_g: f64,
}

macro_rules! checks {
    ($rest:literal, $($bound:expr),*) => {
        question!(
            CheckRow,
            r#"select c.boil_id as "boil_id: BoilId", b.lot_code as "lot: LotCode", c.number as "number!", c.size_name,
            c.declared_g as "declared: Grams", c.tare_g, c.graduation_g, m.name as "by_name: MemberName",
            c.at as "at: UtcSecond" from jar_checks c join boils b on b.id = c.boil_id
            join members m on m.id = c.by_id "#
                + $rest,
            $($bound),*
        )
    };
}

/// Everything weighed of a lot, in order.
pub fn of_boil(boil: BoilId) -> Question<Vec<CheckRow>> {
    checks!("where c.boil_id = ?1 order by c.number", boil)
}

/// Everything weighed of a season's lots, in the order they were lit.
pub fn of_season(season: SeasonId) -> Question<Vec<CheckRow>> {
    checks!(
        "where b.season_id = ?1 order by b.lit_at, b.id, c.number",
        season
    )
}

/// The weights of a season's lots.
pub fn weights(season: SeasonId) -> Question<Vec<WeightRow>> {
    question!(
        WeightRow,
        r#"select w.boil_id as "boil_id: BoilId", w.number as "number!", w.gross_g as "gross_g!" from jar_weights w
        join boils b on b.id = w.boil_id where b.season_id = ?1 order by w.boil_id, w.number, w.place"#,
        season
    )
}

/// Jars of a kind to be kept as weighed.
#[derive(Debug, Clone)]
pub struct NewCheckRow<'a> {
    /// The boil.
    pub boil: BoilId,
    /// Number of the weighing in its lot.
    pub number: i64,
    /// Name of the size.
    pub size_name: &'a str,
    /// Net weight that the label declares.
    pub declared: Grams,
    /// Weight of the empty jar, taken off every weight, g.
    pub tare_g: f64,
    /// One step of the scale, g.
    pub graduation_g: f64,
    /// The member who weighs them.
    pub by: MemberId,
    /// When they are weighed.
    pub at: UtcSecond,
}

/// Keeps a weighing of jars.
pub async fn insert(conn: &mut Conn, c: &NewCheckRow<'_>) -> Stored<()> {
    sqlx::query!(
        r#"insert into jar_checks (boil_id, number, size_name, declared_g, tare_g, graduation_g, by_id, at)
        values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)"#,
        c.boil,
        c.number,
        c.size_name,
        c.declared,
        c.tare_g,
        c.graduation_g,
        c.by,
        c.at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Keeps the weight of one jar.
pub async fn insert_weight(
    conn: &mut Conn,
    c: &NewCheckRow<'_>,
    place: i64,
    gross_g: f64,
) -> Stored<()> {
    sqlx::query!(
        "insert into jar_weights (boil_id, number, place, gross_g) values (?1, ?2, ?3, ?4)",
        c.boil,
        c.number,
        place,
        gross_g
    )
    .execute(conn)
    .await?;
    Ok(())
}
