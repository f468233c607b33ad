//! Divided boils: the division, its shares and the jars set aside. Frozen: rows are added, never
//! changed.

use crate::calc::Basis;
use crate::calc::shares::division::Way;
use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, StoreError, Stored, in_json};
use crate::units::{
    BasisPoints, BoilId, BrixAt20C, DivisionId, Grams, LotCode, MemberId, MemberName, SeasonId,
    UtcSecond,
};

/// A division to be frozen.
#[derive(Debug, Clone)]
pub struct NewDivision {
    /// Id of the division.
    pub id: DivisionId,
    /// The boil.
    pub boil_id: BoilId,
    /// Version of the division, from 1; the highest counts.
    pub version: i64,
    /// The basis that the syrup was divided by.
    pub basis: Basis,
    /// The mill's toll, in hundredths of a percent.
    pub toll: BasisPoints,
    /// Syrup in jars, altogether.
    pub jarred: Grams,
    /// Syrup out of the pan, and its Brix.
    pub finish: (Grams, BrixAt20C),
    /// The last line of the ledger before it.
    pub after_line: i64,
    /// The way in which it is divided.
    pub way: Way,
    /// The second person who signed; `None`: the rules do without.
    pub signed_by: Option<(MemberId, MemberName)>,
    /// The member who divides.
    pub by_id: MemberId,
    /// When it is divided.
    pub at: UtcSecond,
}

/// A boil's division as it was frozen.
#[derive(Debug, Clone)]
pub struct DivisionRow {
    /// Id of the division.
    pub id: DivisionId,
    /// The boil.
    pub boil_id: BoilId,
    /// Version of the division, from 1; the highest counts.
    pub version: i64,
    /// The basis that the syrup was divided by.
    pub basis: Basis,
    /// The mill's toll, in hundredths of a percent.
    pub toll: BasisPoints,
    /// Syrup in jars, altogether.
    pub jarred: Grams,
    /// Syrup out of the pan and its Brix, as measured then.
    pub finish: (Grams, BrixAt20C),
    /// The last line of the ledger before it.
    pub after_line: i64,
    /// The way in which it is divided.
    pub way: Way,
    /// How much of 100 its rules let a lot repay; `None`: no rule about it then.
    pub lots_repay_pct: Option<i64>,
    /// The second person who signed; `None`: nobody did.
    pub signed_by: Option<MemberName>,
    /// Why it was made again; empty in version 1.
    pub why: String,
    /// Name of who divided.
    pub by_name: MemberName,
    /// When it was divided.
    pub at: UtcSecond,
}

/// A boil opened to be put right.
#[derive(Debug, Clone)]
pub struct CorrectionRow {
    /// The version of the division that it leads to.
    pub version: i64,
    /// Why the boil was opened.
    pub why: String,
    /// Name of who opened it.
    pub by_name: MemberName,
    /// When it was opened.
    pub at: UtcSecond,
}

/// One sharer's part of a division.
#[derive(Debug, Clone)]
pub struct ShareRow {
    /// Place of the share in its division.
    pub place: i64,
    /// The member whose share it is; `None`: the mill.
    pub member_id: Option<MemberId>,
    /// What was brought, in the season's basis: g or mL.
    pub weight: i64,
    /// Dissolved solids that the sharer brought.
    pub solids: Grams,
    /// Grams owed to the sharer from before; below zero: had too much.
    pub carried: Grams,
    /// Grams that the boil entitled the sharer to.
    pub entitled: Grams,
    /// Syrup in jars set aside.
    pub jarred: Grams,
    /// Grams owed to the sharer afterwards; below zero: had too much.
    pub carry: Grams,
    /// When a lot had last given more than was owed; `None`: never.
    pub favoured_at: Option<UtcSecond>,
}

/// Jars of one kind set aside for a sharer.
#[derive(Debug, Clone)]
pub struct ShareJarRow {
    /// Place of the share that they belong to.
    pub place: i64,
    /// Name of the size.
    pub size_name: String,
    /// Net weight of syrup in each jar.
    pub net: Grams,
    /// Whether it is a part-jar.
    pub part: bool,
    /// How many jars.
    pub count: i64,
}

struct DivisionColumns {
    id: DivisionId,
    boil_id: BoilId,
    version: i64,
    basis: String,
    toll: BasisPoints,
    jarred: Grams,
    syrup: Grams,
    brix: BrixAt20C,
    after_line: i64,
    way: i64,
    lots_repay_pct: Option<i64>,
    signed_by: Option<MemberName>,
    why: String,
    by_name: MemberName,
    at: UtcSecond,
}

impl DivisionColumns {
    fn read(self) -> Stored<DivisionRow> {
        let basis = Basis::parse(&self.basis).map_err(|_| StoreError::Corrupt {
            what: "divisions.basis",
            found: self.basis,
        })?;
        Ok(DivisionRow {
            id: self.id,
            boil_id: self.boil_id,
            version: self.version,
            basis,
            toll: self.toll,
            jarred: self.jarred,
            finish: (self.syrup, self.brix),
            after_line: self.after_line,
            way: Way::of(self.way).ok_or_else(|| StoreError::Corrupt {
                what: "divisions.way",
                found: self.way.to_string(),
            })?,
            lots_repay_pct: self.lots_repay_pct,
            signed_by: self.signed_by,
            why: self.why,
            by_name: self.by_name,
            at: self.at,
        })
    }
}

macro_rules! divisions {
    ($rest:literal, $($bound:expr),*) => {
        question!(
            DivisionColumns,
            r#"select d.id as "id: DivisionId", d.boil_id as "boil_id: BoilId", d.version, d.basis,
            d.toll_bp as "toll: BasisPoints", d.jarred_g as "jarred: Grams", d.syrup_g as "syrup: Grams",
            d.brix_20c as "brix: BrixAt20C", d.after_line, d.way, u.lots_repay_pct,
            nullif(d.signed_by, '') as "signed_by: MemberName",
            coalesce(c.why, '') as "why!: String", m.name as "by_name: MemberName", d.at as "at: UtcSecond"
            from divisions d join members m on m.id = d.by_id
            left join rules_of_boils ro on ro.boil_id = d.boil_id left join season_rules u on u.id = ro.rules_id
            left join corrections c on c.boil_id = d.boil_id and c.version = d.version "#
                + $rest,
            $($bound),*
        )
        .try_map(|rows| rows.into_iter().map(DivisionColumns::read).collect::<Stored<Vec<DivisionRow>>>())
    };
}

/// Every version of a boil's division, the latest first.
pub fn versions(boil: BoilId) -> Question<Vec<DivisionRow>> {
    divisions!("where d.boil_id = ?1 order by d.version desc", boil)
}

/// The division of a boil that counts, if it is divided.
pub fn of_boil(boil: BoilId) -> Question<Option<DivisionRow>> {
    versions(boil).first()
}

/// The divisions that count of the boils of a JSON array of ids.
pub fn of_boils(boils: &str) -> Question<Vec<DivisionRow>> {
    divisions!(
        "where d.boil_id in (select value from json_each(?1))
        and d.version = (select max(v.version) from divisions v where v.boil_id = d.boil_id)",
        boils
    )
}

/// Every division there is, in the order they were made.
pub fn all() -> Question<Vec<DivisionRow>> {
    divisions!("order by d.after_line, d.at, d.id",)
}

/// The correction of a boil that is open, if one is.
pub fn open_correction(boil: BoilId) -> Question<Option<CorrectionRow>> {
    question!(CorrectionRow,
        r#"select c.version, c.why, m.name as "by_name: MemberName", c.at as "at: UtcSecond"
        from corrections c join members m on m.id = c.by_id where c.boil_id = ?1
        and not exists (select 1 from divisions d where d.boil_id = c.boil_id and d.version = c.version)"#,
        boil).first()
}

/// Opens a divided boil for a correction.
pub async fn insert_correction(
    conn: &mut Conn,
    boil: BoilId,
    version: i64,
    why: &str,
    by: MemberId,
    at: UtcSecond,
) -> Stored<()> {
    sqlx::query!(
        "insert into corrections (boil_id, version, why, by_id, at) values (?1, ?2, ?3, ?4, ?5)",
        boil,
        version,
        why,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// The shares of a division, in order.
pub fn shares(division: DivisionId) -> Question<Vec<ShareRow>> {
    shares_of(&in_json([division])).map(|all| all.into_iter().map(|(_, share)| share).collect())
}

/// The shares of the divisions of a JSON array of ids, in order.
pub fn shares_of(divisions: &str) -> Question<Vec<(DivisionId, ShareRow)>> {
    question!(r#"select s.division_id as "division_id: DivisionId", s.place, s.member_id as "member_id: MemberId", s.weight,
        s.solids_g as "solids: Grams", s.carried_g as "carried: Grams", s.entitled_g as "entitled: Grams",
        s.jarred_g as "jarred: Grams", s.carry_g as "carry: Grams", s.favoured_at as "favoured_at: UtcSecond"
        from shares s where s.division_id in (select value from json_each(?1)) order by s.division_id, s.place"#,
        divisions).try_map(|rows| {let share = rows.into_iter().map(|r| {
        let share = ShareRow {
            place: r.place,
            member_id: r.member_id,
            weight: r.weight,
            solids: r.solids,
            carried: r.carried,
            entitled: r.entitled,
            jarred: r.jarred,
            carry: r.carry,
            favoured_at: r.favoured_at,
        };
        (r.division_id, share)
    });
    Ok(share.collect())})
}

/// The jars set aside by a division, by share, largest first.
pub fn share_jars(division: DivisionId) -> Question<Vec<ShareJarRow>> {
    share_jars_of(&in_json([division])).map(|all| all.into_iter().map(|(_, jars)| jars).collect())
}

/// The jars set aside by the divisions of a JSON array of ids, by share, largest first.
pub fn share_jars_of(divisions: &str) -> Question<Vec<(DivisionId, ShareJarRow)>> {
    question!(r#"select division_id as "division_id: DivisionId", place, size_name, net_g as "net: Grams", part as "part: bool", count
        from share_jars where division_id in (select value from json_each(?1))
        order by division_id, place, net_g desc, size_name, part"#,
        divisions).try_map(|rows| {let jars = rows.into_iter().map(|r| {
        let jars = ShareJarRow {
            place: r.place,
            size_name: r.size_name,
            net: r.net,
            part: r.part,
            count: r.count,
        };
        (r.division_id, jars)
    });
    Ok(jars.collect())})
}

/// The time at which each sharer was last given more than was owed; `None`: the mill.
pub fn favoured() -> Question<Vec<(Option<MemberId>, UtcSecond)>> {
    question!(
        r#"select s.member_id as "member_id: MemberId", max(d.at) as "at!: UtcSecond"
        from shares s join latest_divisions d on d.id = s.division_id
        where s.carry_g < 0 and s.jarred_g > 0 group by s.member_id"#
    )
    .map(|rows| rows.into_iter().map(|r| (r.member_id, r.at)).collect())
}

/// The boils of a season that entitle a member to something or give a jar, or that hold the member's
/// juice, in the order they were lit.
pub fn lots_of_member(season: SeasonId, member: MemberId) -> Question<Vec<LotCode>> {
    question!(r#"select b.lot_code as "lot: LotCode" from boils b
        where b.season_id = ?1 and (b.id in (select d.boil_id from shares s join latest_divisions d on d.id = s.division_id
            where s.member_id = ?2 and (s.entitled_g > 0 or s.jarred_g > 0))
          or b.id in (select r.boil_id from tickets t join juices j on j.ticket_id = t.id join draws r on r.juice_id = j.id
            where t.member_id = ?2 and (r.amount_g > 0 or r.whole = 1) and r.version =
              (select max(x.version) from draws x where x.boil_id = r.boil_id and x.juice_id = r.juice_id)))
        order by b.lit_at, b.id"#,
        season,
        member).map(|rows| rows.into_iter().map(|row| row.lot).collect())
}

/// Adds a division.
pub async fn insert(conn: &mut Conn, d: &NewDivision) -> Stored<()> {
    let (basis, way) = (d.basis.word(), d.way.number());
    let (signed_id, signed_name) = match &d.signed_by {
        Some((id, name)) => (Some(*id), name.to_string()),
        None => (None, String::new()),
    };
    sqlx::query!(
        r#"insert into divisions (id, boil_id, version, basis, toll_bp, jarred_g, syrup_g, brix_20c, after_line,
        signed_by, by_id, at, signed_by_id, way) values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14)"#,
        d.id,
        d.boil_id,
        d.version,
        basis,
        d.toll,
        d.jarred,
        d.finish.0,
        d.finish.1,
        d.after_line,
        signed_name,
        d.by_id,
        d.at,
        signed_id,
        way
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Adds a share.
pub async fn insert_share(conn: &mut Conn, division: DivisionId, s: &ShareRow) -> Stored<()> {
    sqlx::query!(
        r#"insert into shares (division_id, place, member_id, weight, solids_g, carried_g, entitled_g,
        jarred_g, carry_g, favoured_at) values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)"#,
        division,
        s.place,
        s.member_id,
        s.weight,
        s.solids,
        s.carried,
        s.entitled,
        s.jarred,
        s.carry,
        s.favoured_at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// What the sharers of the divisions of a JSON array of ids wished for then: place and net weight.
pub fn wishes_of(divisions: &str) -> Question<Vec<(DivisionId, i64, Grams)>> {
    question!(r#"select division_id as "division_id: DivisionId", place, net_g as "net: Grams" from share_wishes
        where division_id in (select value from json_each(?1)) order by division_id, place, net_g desc"#,
        divisions).try_map(|rows| {let wish = rows.into_iter().map(|r| (r.division_id, r.place, r.net));
    Ok(wish.collect())})
}

/// Adds a wish to a share.
pub async fn insert_wish(
    conn: &mut Conn,
    division: DivisionId,
    place: i64,
    net: Grams,
) -> Stored<()> {
    sqlx::query!(
        "insert into share_wishes (division_id, place, net_g) values (?1, ?2, ?3)",
        division,
        place,
        net
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Adds jars to a share.
pub async fn insert_jar(conn: &mut Conn, division: DivisionId, j: &ShareJarRow) -> Stored<()> {
    sqlx::query!(
        r#"insert into share_jars (division_id, place, size_name, net_g, part, count)
        values (?1, ?2, ?3, ?4, ?5, ?6)"#,
        division,
        j.place,
        j.size_name,
        j.net,
        j.part,
        j.count
    )
    .execute(conn)
    .await?;
    Ok(())
}
