//! Seasons, the numbered versions of their rules, and the jar sizes of each version.

use crate::calc::Basis;
use crate::calc::season::versions::Version;
use crate::calc::shares::losses::LossRule;
use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, StoreError, Stored};
use crate::units::{
    BasisPoints, Cents, Grams, MemberId, MemberName, MilliCents, Minutes, PressDate, RulesId,
    SeasonId, Units, UtcSecond,
};
use std::ops::Deref;

/// A season.
#[derive(Debug, Clone)]
pub struct Season {
    /// Id of the season.
    pub id: SeasonId,
    /// Its year.
    pub year: i64,
}

/// What a season's rules say: everything that a version may change, but for its jar sizes.
#[derive(Debug, Clone)]
pub struct Terms {
    /// The basis that syrup is divided by.
    pub basis: Basis,
    /// The mill's part of the syrup.
    pub toll: BasisPoints,
    /// The system that the rates below were voted in: per pound and gallon, or per kilogram and litre.
    pub rates_in: Units,
    /// Fee per pound or kilogram of cane.
    pub cane_rate: MilliCents,
    /// Fee per gallon or litre of juice.
    pub juice_rate: MilliCents,
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
    /// Price at which carried syrup is settled, per pound or kilogram; nothing: only in syrup.
    pub syrup_rate: MilliCents,
    /// The rule of who bears a scorched or spilled boil.
    pub loss: LossRule,
    /// Whether the margin goes back by solids brought.
    pub patronage: bool,
    /// Whether a second person signs each division.
    pub second_signature: bool,
    /// Whether the mill makes good what breaks or is lost on its shelf; else the owner of the jars bears it. `None`:
    /// voted before there was such a rule; the mill does.
    pub mill_mends: Option<bool>,
    /// How much of a lot in jars may repay members without juice in it, 0 to 100 percent. `None`: voted before there was such a
    /// rule; all of it may.
    pub lots_repay_pct: Option<i64>,
    /// Whether the trash found in a sample is taken off the cane's weight.
    pub trash_off: bool,
    /// One ticket in how many, drawn by lot, is read again by a second person; nought: none.
    pub read_again_one_in: i64,
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
    /// Weight of one stripped stalk.
    pub stalk: Grams,
    /// Hours before its start until which a member may move or cancel a turn.
    pub cutoff_h: i64,
    /// How long a turn is offered to one who waits before the next is asked.
    pub offer: Minutes,
    /// Remark: what changed and who voted it.
    pub note: String,
}

/// One version of a season's rules. Never changed; a boil keeps the version it was lit under. Its
/// terms are read as if they were its own fields.
#[derive(Debug, Clone)]
pub struct Rules {
    /// Id of the version.
    pub id: RulesId,
    /// The season.
    pub season_id: SeasonId,
    /// Version number, from 1.
    pub number: i64,
    /// The terms of this version.
    pub terms: Terms,
    /// The day from which it holds; `None`: a draft that nobody confirmed.
    pub holds_from: Option<PressDate>,
    /// When it was confirmed; `None`: a draft.
    pub confirmed_at: Option<UtcSecond>,
    /// Who made this version.
    pub made_by: MemberId,
    /// When this version was made.
    pub made_at: UtcSecond,
}

impl Rules {
    /// Whether this version was confirmed for that day or a day before.
    pub fn holds_on(&self, date: PressDate) -> bool {
        self.holds_from.is_some_and(|from| from <= date)
    }
}

impl Version for Rules {
    fn holds_from(&self) -> Option<PressDate> {
        self.holds_from
    }
    fn number(&self) -> i64 {
        self.number
    }
}

impl Deref for Rules {
    type Target = Terms;
    fn deref(&self) -> &Terms {
        &self.terms
    }
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
pub fn list() -> Question<Vec<Season>> {
    question!(
        Season,
        r#"select id as "id: SeasonId", year from seasons order by year desc"#
    )
}

/// The latest season; `None`: none was opened.
pub fn latest() -> Question<Option<Season>> {
    list().map(|all| all.into_iter().next())
}

/// The seasons that are not locked, latest first.
pub fn not_locked() -> Question<Vec<Season>> {
    question!(
        Season,
        r#"select id as "id: SeasonId", year from seasons where id not in (select season_id from locked_seasons)
        order by year desc"#
    )
}

/// The season of this year, if there is one.
pub fn of_year(year: i64) -> Question<Option<Season>> {
    question!(
        Season,
        r#"select id as "id: SeasonId", year from seasons where year = ?1"#,
        year
    )
    .first()
}

/// The season with this id.
pub fn find(id: SeasonId) -> Question<Option<Season>> {
    question!(
        Season,
        r#"select id as "id: SeasonId", year from seasons where id = ?1"#,
        id
    )
    .first()
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

fn corrupt(what: &'static str, found: &str) -> StoreError {
    let found = found.to_owned();
    StoreError::Corrupt { what, found }
}

/// Versions of rules, latest first: of a season, or the one of an id.
fn versions((season, id): (Option<SeasonId>, Option<RulesId>)) -> Question<Vec<Rules>> {
    question!(
        r#"select r.id as "id: RulesId", season_id as "season_id: SeasonId", number, basis,
        toll_bp as "toll: BasisPoints", rates_in as "rates_in: Units", cane_mc as "cane_rate: MilliCents",
        juice_mc as "juice_rate: MilliCents", jar_fee_cents as "jar_fee: Cents",
        least_cents as "least: Cents", boil_fee_cents as "boil_fee: Cents", hour_cents as "hour: Cents",
        hours_most, syrup_mc as "syrup_rate: MilliCents", loss, patronage as "patronage: bool",
        second_signature as "second_signature: bool", trash_off as "trash_off: bool", mill_mends as "mill_mends: bool", lots_repay_pct,
        exists (select 1 from rules_not_voted v where v.rules_id = r.id and v.rule = 'mill_mends') as "mends_not_voted!: bool",
        target_bx, floor_bx, hold_amber_min as "hold_amber: Minutes", hold_red_min as "hold_red: Minutes", cane_warn_days, yield_amber_pct, yield_red_pct, recovery_pct, juice_pct, row_kg_per_m, stalk_g as "stalk: Grams", read_again_one_in, cutoff_h, offer_min as "offer: Minutes", note, made_by as "made_by: MemberId",
        made_at as "made_at: UtcSecond", c.holds_from as "holds_from?: PressDate", c.at as "confirmed_at?: UtcSecond"
        from season_rules r left join rules_held c on c.rules_id = r.id
        where season_id = ?1 or r.id = ?2 order by number desc"#,
        season,
        id
    )
    .try_map(|rows| {
        rows.into_iter()
        .map(|row| {
            let (basis, loss) = (Basis::parse(&row.basis), LossRule::parse(&row.loss));
            let terms = Terms {
                basis: basis.map_err(|_| corrupt("season_rules.basis", &row.basis))?,
                toll: row.toll,
                rates_in: row.rates_in,
                cane_rate: row.cane_rate,
                juice_rate: row.juice_rate,
                jar_fee: row.jar_fee,
                least: row.least,
                boil_fee: row.boil_fee,
                hour: row.hour,
                hours_most: row.hours_most,
                syrup_rate: row.syrup_rate,
                loss: loss.map_err(|_| corrupt("season_rules.loss", &row.loss))?,
                patronage: row.patronage,
                second_signature: row.second_signature,
                trash_off: row.trash_off,
                mill_mends: (!row.mends_not_voted).then_some(row.mill_mends),
                lots_repay_pct: row.lots_repay_pct,
                read_again_one_in: row.read_again_one_in,
                target_bx: row.target_bx,
                floor_bx: row.floor_bx,
                hold_amber: row.hold_amber,
                hold_red: row.hold_red,
                cane_warn_days: row.cane_warn_days,
                yield_amber_pct: row.yield_amber_pct,
                yield_red_pct: row.yield_red_pct,
                recovery_pct: row.recovery_pct,
                juice_pct: row.juice_pct,
                row_kg_per_m: row.row_kg_per_m,
                stalk: row.stalk,
                cutoff_h: row.cutoff_h,
                offer: row.offer,
                note: row.note,
            };
            Ok(Rules {
                id: row.id,
                season_id: row.season_id,
                number: row.number,
                terms,
                holds_from: row.holds_from,
                confirmed_at: row.confirmed_at,
                made_by: row.made_by,
                made_at: row.made_at,
            })
        })
        .collect()
    })
}

/// All versions of a season's rules, latest first, drafts too.
pub fn rules_list(season: SeasonId) -> Question<Vec<Rules>> {
    versions((Some(season), None))
}

/// The version of the rules with this id.
pub fn rules(id: RulesId) -> Question<Option<Rules>> {
    versions((None, Some(id))).first()
}

/// Confirms a version: it holds from that day.
pub async fn confirm_rules(
    conn: &mut Conn,
    rules: RulesId,
    holds_from: PressDate,
    (by, at): (MemberId, UtcSecond),
) -> Stored<()> {
    sqlx::query!(
        "insert into rules_confirmed (rules_id, holds_from, by_id, at) values (?1, ?2, ?3, ?4)",
        rules,
        holds_from,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// The people who made and confirmed a version of the rules.
#[derive(Debug, Clone)]
pub struct Maker {
    /// Name of who made it.
    pub made_by: MemberName,
    /// Name of who confirmed it; `None`: it is a draft.
    pub confirmed_by: Option<MemberName>,
}

/// The people who made and confirmed each version of a season's rules, the latest version first.
pub fn rules_makers(season: SeasonId) -> Question<Vec<Maker>> {
    question!(
        Maker,
        r#"select m.name as "made_by: MemberName", w.name as "confirmed_by?: MemberName" from season_rules r
        join members m on m.id = r.made_by left join rules_held c on c.rules_id = r.id
        left join members w on w.id = c.by_id where r.season_id = ?1 order by r.number desc"#,
        season
    )
}

/// Adds a version of the rules.
pub async fn insert_rules(conn: &mut Conn, r: &Rules) -> Stored<()> {
    let (basis, loss) = (r.basis.word(), r.loss.word());
    let mends = r.mill_mends.unwrap_or(true);
    sqlx::query!(
        r#"insert into season_rules (id, season_id, number, basis, toll_bp, cane_mc, juice_mc,
        jar_fee_cents, least_cents, target_bx, floor_bx, hold_amber_min, hold_red_min, cane_warn_days,
        yield_amber_pct, yield_red_pct, recovery_pct, juice_pct, row_kg_per_m, stalk_g, note, made_by, made_at,
        boil_fee_cents, hour_cents, hours_most, syrup_mc, loss, patronage, cutoff_h, offer_min, rates_in,
        read_again_one_in, second_signature, trash_off, mill_mends, lots_repay_pct)
        values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19, ?20,
        ?21, ?22, ?23, ?24, ?25, ?26, ?27, ?28, ?29, ?30, ?31, ?32, ?33, ?34, ?35, ?36, ?37)"#,
        r.id,
        r.season_id,
        r.number,
        basis,
        r.terms.toll,
        r.terms.cane_rate,
        r.terms.juice_rate,
        r.terms.jar_fee,
        r.terms.least,
        r.terms.target_bx,
        r.terms.floor_bx,
        r.terms.hold_amber,
        r.terms.hold_red,
        r.terms.cane_warn_days,
        r.terms.yield_amber_pct,
        r.terms.yield_red_pct,
        r.terms.recovery_pct,
        r.terms.juice_pct,
        r.terms.row_kg_per_m,
        r.terms.stalk,
        r.terms.note,
        r.made_by,
        r.made_at,
        r.terms.boil_fee,
        r.terms.hour,
        r.terms.hours_most,
        r.terms.syrup_rate,
        loss,
        r.terms.patronage,
        r.terms.cutoff_h,
        r.terms.offer,
        r.terms.rates_in,
        r.terms.read_again_one_in,
        r.terms.second_signature,
        r.terms.trash_off,
        mends,
        r.terms.lots_repay_pct
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// The jar sizes of a version, in its order: largest first.
pub fn jar_sizes(rules: RulesId) -> Question<Vec<JarSize>> {
    question!(
        JarSize,
        r#"select name, net_g as "net: Grams", price_cents as "price: Cents"
        from jar_sizes where rules_id = ?1 order by position"#,
        rules
    )
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
