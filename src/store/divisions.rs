//! Divided boils: the division, its shares and the jars set aside. Frozen: rows are added, never
//! changed.

use super::{Conn, StoreError, Stored};
use crate::calc::Basis;
use crate::units::{
    BasisPoints, BoilId, DivisionId, Grams, LotCode, MemberId, MemberName, PressDate, SeasonId,
    UtcSecond,
};

/// A division to be frozen.
#[derive(Debug, Clone)]
pub struct NewDivision {
    /// Id.
    pub id: DivisionId,
    /// The boil.
    pub boil_id: BoilId,
    /// What it was divided by.
    pub basis: Basis,
    /// The mill's part.
    pub toll: BasisPoints,
    /// In jars, altogether.
    pub jarred: Grams,
    /// Who divides.
    pub by_id: MemberId,
    /// When.
    pub at: UtcSecond,
}

/// A boil's division as it was frozen.
#[derive(Debug, Clone)]
pub struct DivisionRow {
    /// Id.
    pub id: DivisionId,
    /// The boil.
    pub boil_id: BoilId,
    /// What it was divided by.
    pub basis: Basis,
    /// The mill's part.
    pub toll: BasisPoints,
    /// In jars, altogether.
    pub jarred: Grams,
    /// Who divided.
    pub by_name: MemberName,
    /// When.
    pub at: UtcSecond,
}

/// One sharer's part of a division.
#[derive(Debug, Clone)]
pub struct ShareRow {
    /// Order on the page.
    pub place: i64,
    /// Whose; `None`: the mill's.
    pub member_id: Option<MemberId>,
    /// That member's name.
    pub name: Option<MemberName>,
    /// Whether that member may be named to others.
    pub named: Option<bool>,
    /// Brought, in the basis: g or mL.
    pub weight: i64,
    /// Dissolved solids brought.
    pub solids: Grams,
    /// Owed from before.
    pub carried: Grams,
    /// Entitled to.
    pub entitled: Grams,
    /// In jars set aside.
    pub jarred: Grams,
    /// Owed afterwards.
    pub carry: Grams,
}

/// Jars of one kind set aside for a sharer.
#[derive(Debug, Clone)]
pub struct ShareJarRow {
    /// The share they belong to.
    pub place: i64,
    /// Name of the size.
    pub size_name: String,
    /// Syrup in each.
    pub net: Grams,
    /// A part-jar.
    pub part: bool,
    /// How many.
    pub count: i64,
}

/// A boil in which a member has a share.
#[derive(Debug, Clone)]
pub struct LotOfMember {
    /// Its lot code.
    pub lot: LotCode,
    /// Its press day.
    pub press_date: PressDate,
}

struct Row {
    id: DivisionId,
    boil_id: BoilId,
    basis: String,
    toll: BasisPoints,
    jarred: Grams,
    by_name: MemberName,
    at: UtcSecond,
}

/// The division of a boil, if it is divided.
pub async fn of_boil(conn: &mut Conn, boil: BoilId) -> Stored<Option<DivisionRow>> {
    let row = sqlx::query_as!(
        Row,
        r#"select d.id as "id: DivisionId", d.boil_id as "boil_id: BoilId", d.basis,
        d.toll_bp as "toll: BasisPoints", d.jarred_g as "jarred: Grams", m.name as "by_name: MemberName", d.at as "at: UtcSecond"
        from divisions d join members m on m.id = d.by_id where d.boil_id = ?1"#,
        boil
    )
    .fetch_optional(conn)
    .await?;
    let Some(row) = row else { return Ok(None) };
    let basis = Basis::parse(&row.basis).map_err(|_| StoreError::Corrupt {
        what: "divisions.basis",
        found: row.basis,
    })?;
    Ok(Some(DivisionRow {
        id: row.id,
        boil_id: row.boil_id,
        basis,
        toll: row.toll,
        jarred: row.jarred,
        by_name: row.by_name,
        at: row.at,
    }))
}

/// The shares of a division, in order.
pub async fn shares(conn: &mut Conn, division: DivisionId) -> Stored<Vec<ShareRow>> {
    Ok(sqlx::query_as!(
        ShareRow,
        r#"select s.place, s.member_id as "member_id: MemberId", m.name as "name?: MemberName",
        m.named as "named?: bool", s.weight, s.solids_g as "solids: Grams", s.carried_g as "carried: Grams",
        s.entitled_g as "entitled: Grams", s.jarred_g as "jarred: Grams", s.carry_g as "carry: Grams"
        from shares s left join members m on m.id = s.member_id
        where s.division_id = ?1 order by s.place"#,
        division
    )
    .fetch_all(conn)
    .await?)
}

/// The jars set aside by a division, by share, largest first.
pub async fn share_jars(conn: &mut Conn, division: DivisionId) -> Stored<Vec<ShareJarRow>> {
    Ok(sqlx::query_as!(
        ShareJarRow,
        r#"select place, size_name, net_g as "net: Grams", part as "part: bool", count
        from share_jars where division_id = ?1 order by place, net_g desc, size_name, part"#,
        division
    )
    .fetch_all(conn)
    .await?)
}

/// When each sharer was last given more than was owed; `None`: the mill.
pub async fn favoured(conn: &mut Conn) -> Stored<Vec<(Option<MemberId>, UtcSecond)>> {
    let rows = sqlx::query!(
        r#"select s.member_id as "member_id: MemberId", max(d.at) as "at!: UtcSecond"
        from shares s join divisions d on d.id = s.division_id
        where s.carry_g < 0 and s.jarred_g > 0 group by s.member_id"#
    )
    .fetch_all(conn)
    .await?;
    Ok(rows.into_iter().map(|r| (r.member_id, r.at)).collect())
}

/// The boils of a season that entitle a member to something or give a jar, or that hold the member's
/// juice, in the order they were lit.
pub async fn lots_of_member(
    conn: &mut Conn,
    season: SeasonId,
    member: MemberId,
) -> Stored<Vec<LotOfMember>> {
    Ok(sqlx::query_as!(
        LotOfMember,
        r#"select b.lot_code as "lot: LotCode", p.date as "press_date: PressDate"
        from boils b join press_days p on p.id = b.press_day_id
        where b.season_id = ?1 and (exists (select 1 from divisions d join shares s on s.division_id = d.id
            where d.boil_id = b.id and s.member_id = ?2 and (s.entitled_g > 0 or s.jarred_g > 0))
          or exists (select 1 from draws r join juices j on j.id = r.juice_id join deliveries t on t.id = j.delivery_id
            where r.boil_id = b.id and t.member_id = ?2 and (r.amount_g > 0 or r.whole = 1) and r.version =
              (select max(x.version) from draws x where x.boil_id = r.boil_id and x.juice_id = r.juice_id)))
        order by b.lit_at, b.id"#,
        season,
        member
    )
    .fetch_all(conn)
    .await?)
}

/// Adds a division.
pub async fn insert(conn: &mut Conn, d: &NewDivision) -> Stored<()> {
    let basis = d.basis.word();
    sqlx::query!(
        r#"insert into divisions (id, boil_id, basis, toll_bp, jarred_g, by_id, at)
        values (?1, ?2, ?3, ?4, ?5, ?6, ?7)"#,
        d.id,
        d.boil_id,
        basis,
        d.toll,
        d.jarred,
        d.by_id,
        d.at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Adds a share.
pub async fn insert_share(conn: &mut Conn, division: DivisionId, s: &ShareRow) -> Stored<()> {
    sqlx::query!(
        r#"insert into shares (division_id, place, member_id, weight, solids_g, carried_g, entitled_g,
        jarred_g, carry_g) values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)"#,
        division,
        s.place,
        s.member_id,
        s.weight,
        s.solids,
        s.carried,
        s.entitled,
        s.jarred,
        s.carry
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
