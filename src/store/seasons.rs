//! Seasons, the numbered versions of their rules, and the jar sizes of each version.

use super::{Conn, StoreError, Stored};
use crate::calc::Basis;
use crate::calc::losses::LossRule;
use crate::units::{
    BasisPoints, Cents, Grams, MemberId, MemberName, MilliCents, Minutes, RulesId, SeasonId,
    UtcSecond,
};

/// A season.
#[derive(Debug, Clone)]
pub struct Season {
    /// Id.
    pub id: SeasonId,
    /// Its year.
    pub year: i64,
}

/// One version of a season's rules. Never changed; a boil keeps the version it was lit under.
#[derive(Debug, Clone)]
pub struct Rules {
    /// Id.
    pub id: RulesId,
    /// The season.
    pub season_id: SeasonId,
    /// Version number, from 1.
    pub number: i64,
    /// What syrup is split by.
    pub basis: Basis,
    /// The mill's part of the syrup.
    pub toll: BasisPoints,
    /// Fee per kilogram of cane.
    pub cane_per_kg: MilliCents,
    /// Fee per litre of juice.
    pub juice_per_l: MilliCents,
    /// Fee per jar filled.
    pub jar_fee: Cents,
    /// Least charge per member and boil.
    pub least: Cents,
    /// Fee of a boil, borne by its members.
    pub boil_fee: Cents,
    /// Credit for an hour worked.
    pub hour: Cents,
    /// Most hours credited, per member and season.
    pub hours_most: i64,
    /// Price at which carried syrup is settled, per kilogram; nothing: only in syrup.
    pub syrup_per_kg: MilliCents,
    /// Who bears a scorched or spilled boil.
    pub loss: LossRule,
    /// Whether the margin goes back by solids brought.
    pub patronage: bool,
    /// Finish target, °Bx at 20 °C.
    pub target_bx: f64,
    /// Juice below this is warned about, °Bx.
    pub floor_bx: f64,
    /// Juice older than this is amber.
    pub hold_amber: Minutes,
    /// Juice older than this is red.
    pub hold_red: Minutes,
    /// Cane cut longer ago than this is warned about, days.
    pub cane_warn_days: i64,
    /// Juice per 100 of cane below this is amber.
    pub yield_amber_pct: f64,
    /// Juice per 100 of cane below this is red.
    pub yield_red_pct: f64,
    /// Solids expected in jars, per 100 in juice.
    pub recovery_pct: f64,
    /// Juice expected per 100 of cane.
    pub juice_pct: f64,
    /// Stripped cane expected per metre of row, kg.
    pub row_kg_per_m: f64,
    /// One stripped stalk.
    pub stalk: Grams,
    /// Hours before its start until which a member may move or cancel a turn.
    pub cutoff_h: i64,
    /// Remark.
    pub note: String,
    /// Who made this version.
    pub made_by: MemberId,
    /// When.
    pub made_at: UtcSecond,
}

/// A size of jar in one version of the rules.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JarSize {
    /// Its name, such as “pint”.
    pub name: String,
    /// Net weight of syrup.
    pub net: Grams,
    /// Price of the empty jar.
    pub price: Cents,
}

/// All seasons, latest first.
pub async fn list(conn: &mut Conn) -> Stored<Vec<Season>> {
    Ok(sqlx::query_as!(
        Season,
        r#"select id as "id: SeasonId", year from seasons order by year desc"#
    )
    .fetch_all(conn)
    .await?)
}

/// The season of that year.
pub async fn of_year(conn: &mut Conn, year: i64) -> Stored<Option<Season>> {
    Ok(sqlx::query_as!(
        Season,
        r#"select id as "id: SeasonId", year from seasons where year = ?1"#,
        year
    )
    .fetch_optional(conn)
    .await?)
}

/// The season of that id.
pub async fn find(conn: &mut Conn, id: SeasonId) -> Stored<Option<Season>> {
    Ok(sqlx::query_as!(
        Season,
        r#"select id as "id: SeasonId", year from seasons where id = ?1"#,
        id
    )
    .fetch_optional(conn)
    .await?)
}

/// Adds a season.
pub async fn insert(conn: &mut Conn, season: &Season, at: UtcSecond) -> Stored<()> {
    sqlx::query!(
        "insert into seasons (id, year, opened_at) values (?1, ?2, ?3)",
        season.id,
        season.year,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

struct RulesRow {
    id: RulesId,
    season_id: SeasonId,
    number: i64,
    basis: String,
    toll: BasisPoints,
    cane_per_kg: MilliCents,
    juice_per_l: MilliCents,
    jar_fee: Cents,
    least: Cents,
    boil_fee: Cents,
    hour: Cents,
    hours_most: i64,
    syrup_per_kg: MilliCents,
    loss: String,
    patronage: bool,
    target_bx: f64,
    floor_bx: f64,
    hold_amber: Minutes,
    hold_red: Minutes,
    cane_warn_days: i64,
    yield_amber_pct: f64,
    yield_red_pct: f64,
    recovery_pct: f64,
    juice_pct: f64,
    row_kg_per_m: f64,
    stalk: Grams,
    cutoff_h: i64,
    note: String,
    made_by: MemberId,
    made_at: UtcSecond,
}

impl RulesRow {
    fn read(self) -> Stored<Rules> {
        let basis = Basis::parse(&self.basis).map_err(|_| StoreError::Corrupt {
            what: "season_rules.basis",
            found: self.basis,
        })?;
        let loss = LossRule::parse(&self.loss).map_err(|_| StoreError::Corrupt {
            what: "season_rules.loss",
            found: self.loss,
        })?;
        Ok(Rules {
            id: self.id,
            season_id: self.season_id,
            number: self.number,
            basis,
            toll: self.toll,
            cane_per_kg: self.cane_per_kg,
            juice_per_l: self.juice_per_l,
            jar_fee: self.jar_fee,
            least: self.least,
            boil_fee: self.boil_fee,
            hour: self.hour,
            hours_most: self.hours_most,
            syrup_per_kg: self.syrup_per_kg,
            loss,
            patronage: self.patronage,
            target_bx: self.target_bx,
            floor_bx: self.floor_bx,
            hold_amber: self.hold_amber,
            hold_red: self.hold_red,
            cane_warn_days: self.cane_warn_days,
            yield_amber_pct: self.yield_amber_pct,
            yield_red_pct: self.yield_red_pct,
            recovery_pct: self.recovery_pct,
            juice_pct: self.juice_pct,
            row_kg_per_m: self.row_kg_per_m,
            stalk: self.stalk,
            cutoff_h: self.cutoff_h,
            note: self.note,
            made_by: self.made_by,
            made_at: self.made_at,
        })
    }
}

/// All versions of a season's rules, latest first. The first is the one in force.
pub async fn rules_list(conn: &mut Conn, season: SeasonId) -> Stored<Vec<Rules>> {
    let rows = sqlx::query_as!(
        RulesRow,
        r#"select id as "id: RulesId", season_id as "season_id: SeasonId", number, basis,
        toll_bp as "toll: BasisPoints", cane_mc_per_kg as "cane_per_kg: MilliCents",
        juice_mc_per_l as "juice_per_l: MilliCents", jar_fee_cents as "jar_fee: Cents",
        least_cents as "least: Cents", boil_fee_cents as "boil_fee: Cents", hour_cents as "hour: Cents", hours_most,
        syrup_mc_per_kg as "syrup_per_kg: MilliCents", loss, patronage as "patronage: bool", target_bx, floor_bx, hold_amber_min as "hold_amber: Minutes",
        hold_red_min as "hold_red: Minutes", cane_warn_days, yield_amber_pct, yield_red_pct, recovery_pct,
        juice_pct, row_kg_per_m, stalk_g as "stalk: Grams", cutoff_h, note, made_by as "made_by: MemberId",
        made_at as "made_at: UtcSecond"
        from season_rules where season_id = ?1 order by number desc"#,
        season
    )
    .fetch_all(conn)
    .await?;
    rows.into_iter().map(RulesRow::read).collect()
}

/// The version of that id.
pub async fn rules(conn: &mut Conn, id: RulesId) -> Stored<Option<Rules>> {
    let row = sqlx::query_as!(
        RulesRow,
        r#"select id as "id: RulesId", season_id as "season_id: SeasonId", number, basis,
        toll_bp as "toll: BasisPoints", cane_mc_per_kg as "cane_per_kg: MilliCents",
        juice_mc_per_l as "juice_per_l: MilliCents", jar_fee_cents as "jar_fee: Cents",
        least_cents as "least: Cents", boil_fee_cents as "boil_fee: Cents", hour_cents as "hour: Cents", hours_most,
        syrup_mc_per_kg as "syrup_per_kg: MilliCents", loss, patronage as "patronage: bool", target_bx, floor_bx, hold_amber_min as "hold_amber: Minutes",
        hold_red_min as "hold_red: Minutes", cane_warn_days, yield_amber_pct, yield_red_pct, recovery_pct,
        juice_pct, row_kg_per_m, stalk_g as "stalk: Grams", cutoff_h, note, made_by as "made_by: MemberId",
        made_at as "made_at: UtcSecond"
        from season_rules where id = ?1"#,
        id
    )
    .fetch_optional(conn)
    .await?;
    row.map(RulesRow::read).transpose()
}

/// The version in force in a season: its latest.
pub async fn rules_in_force(conn: &mut Conn, season: SeasonId) -> Stored<Rules> {
    rules_list(conn, season)
        .await?
        .into_iter()
        .next()
        .ok_or(StoreError::Corrupt {
            what: "season_rules",
            found: "no version".to_owned(),
        })
}

/// Who made each version of a season's rules, by its number, latest first.
pub async fn rules_makers(conn: &mut Conn, season: SeasonId) -> Stored<Vec<(i64, MemberName)>> {
    let rows = sqlx::query!(
        r#"select r.number, m.name as "name: MemberName" from season_rules r
        join members m on m.id = r.made_by where r.season_id = ?1 order by r.number desc"#,
        season
    )
    .fetch_all(conn)
    .await?;
    Ok(rows.into_iter().map(|row| (row.number, row.name)).collect())
}

/// Adds a version.
pub async fn insert_rules(conn: &mut Conn, r: &Rules) -> Stored<()> {
    let (basis, loss) = (r.basis.word(), r.loss.word());
    sqlx::query!(
        r#"insert into season_rules (id, season_id, number, basis, toll_bp, cane_mc_per_kg, juice_mc_per_l,
        jar_fee_cents, least_cents, target_bx, floor_bx, hold_amber_min, hold_red_min, cane_warn_days,
        yield_amber_pct, yield_red_pct, recovery_pct, juice_pct, row_kg_per_m, stalk_g, note, made_by, made_at,
        boil_fee_cents, hour_cents, hours_most, syrup_mc_per_kg, loss, patronage, cutoff_h)
        values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19, ?20,
        ?21, ?22, ?23, ?24, ?25, ?26, ?27, ?28, ?29, ?30)"#,
        r.id,
        r.season_id,
        r.number,
        basis,
        r.toll,
        r.cane_per_kg,
        r.juice_per_l,
        r.jar_fee,
        r.least,
        r.target_bx,
        r.floor_bx,
        r.hold_amber,
        r.hold_red,
        r.cane_warn_days,
        r.yield_amber_pct,
        r.yield_red_pct,
        r.recovery_pct,
        r.juice_pct,
        r.row_kg_per_m,
        r.stalk,
        r.note,
        r.made_by,
        r.made_at,
        r.boil_fee,
        r.hour,
        r.hours_most,
        r.syrup_per_kg,
        loss,
        r.patronage,
        r.cutoff_h
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// The jar sizes of a version, in its order: largest first.
pub async fn jar_sizes(conn: &mut Conn, rules: RulesId) -> Stored<Vec<JarSize>> {
    Ok(sqlx::query_as!(
        JarSize,
        r#"select name, net_g as "net: Grams", price_cents as "price: Cents"
        from jar_sizes where rules_id = ?1 order by position"#,
        rules
    )
    .fetch_all(conn)
    .await?)
}

/// Adds a jar size to a version.
pub async fn insert_jar_size(
    conn: &mut Conn,
    rules: RulesId,
    position: i64,
    size: &JarSize,
) -> Stored<()> {
    sqlx::query!(
        "insert into jar_sizes (rules_id, position, name, net_g, price_cents) values (?1, ?2, ?3, ?4, ?5)",
        rules,
        position,
        size.name,
        size.net,
        size.price
    )
    .execute(conn)
    .await?;
    Ok(())
}
