//! What became of jars after they were divided: brought back, broken, missing, found.

use crate::calc::shares::jar_places::{Became, Kind};
use crate::store::question::{Question, question};
use crate::store::shares::recalls::JarRow;
use crate::store::{Conn, StoreError, Stored};
use crate::units::{BoilId, Cents, Grams, LotCode, MemberId, MemberName, UtcSecond};

/// Jars of one kind of one lot, and what became of them.
#[derive(Debug, Clone)]
pub struct JarMove {
    /// Number of the entry, from 1.
    pub number: i64,
    /// What became of the jars.
    pub became: Became,
    /// Code of their lot.
    pub lot: LotCode,
    /// Name of the member whose jars they are; `None`: the mill's own.
    pub member_name: Option<MemberName>,
    /// The jars it is about.
    pub jars: JarRow,
    /// Why it is so, as it was told.
    pub why: String,
    /// Name of who wrote it.
    pub by_name: MemberName,
    /// When it was written.
    pub at: UtcSecond,
}

struct Columns {
    number: i64,
    kind: String,
    by_mistake: bool,
    lot: LotCode,
    member_name: Option<MemberName>,
    boil: BoilId,
    size_name: String,
    net: Grams,
    part: bool,
    member: Option<MemberId>,
    receipt: Option<i64>,
    count: i64,
    why: String,
    by_name: MemberName,
    at: UtcSecond,
}

impl Columns {
    fn read(self) -> Stored<JarMove> {
        let became = became(self.kind, self.by_mistake)?;
        Ok(JarMove {
            number: self.number,
            became,
            lot: self.lot,
            member_name: self.member_name,
            jars: JarRow {
                boil: self.boil,
                size_name: self.size_name,
                net: self.net,
                part: self.part,
                member: self.member,
                receipt: self.receipt,
                count: self.count,
            },
            why: self.why,
            by_name: self.by_name,
            at: self.at,
        })
    }
}

/// The word that the store keeps, and whether what is there again was noted as broken by mistake.
fn kept(became: Became) -> (&'static str, bool) {
    match became {
        Became::NotBroken => (Became::Found.word(), true),
        other => (other.word(), false),
    }
}

fn became(kind: String, by_mistake: bool) -> Stored<Became> {
    let all = Became::ALL.into_iter();
    let mut same = all.filter(|b| kept(*b) == (kind.as_str(), by_mistake));
    same.next().ok_or(StoreError::Corrupt {
        what: "jar_moves.kind",
        found: kind,
    })
}

macro_rules! moves {
    ($rest:literal, $($bound:expr),*) => {
        question!(
            Columns,
            r#"select v.number as "number!", v.kind, v.by_mistake as "by_mistake: bool", b.lot_code as "lot: LotCode", o.name as "member_name?: MemberName",
            v.boil_id as "boil: BoilId", v.size_name, v.net_g as "net: Grams", v.part as "part: bool",
            v.member_id as "member: MemberId", v.receipt, v.count, v.why, m.name as "by_name: MemberName",
            v.at as "at: UtcSecond" from jar_moves v join boils b on b.id = v.boil_id join members m on m.id = v.by_id
            left join members o on o.id = v.member_id "#
                + $rest,
            $($bound),*
        )
        .try_map(|rows| rows.into_iter().map(Columns::read).collect::<Stored<Vec<JarMove>>>())
    };
}

/// What became of the jars of some lots, a JSON array of boils' ids, in order.
pub fn of_lots(boils: &str) -> Question<Vec<JarMove>> {
    moves!(
        "where v.boil_id in (select value from json_each(?1)) order by v.number",
        boils
    )
}

/// What became of the jars of a receipt, in order.
pub fn of_receipt(receipt: i64) -> Question<Vec<JarMove>> {
    moves!("where v.receipt = ?1 order by v.number", receipt)
}

/// What became of jars that were on the shelf of a sharer (`None`: the mill), in order.
pub fn of_sharer(member: Option<MemberId>) -> Question<Vec<JarMove>> {
    moves!("where v.member_id is ?1 order by v.number", member)
}

struct GlassColumns {
    kind: String,
    by_mistake: bool,
    count: i64,
    cents: Cents,
}

/// The entries about a member's jars of a kind, in order, each with its count and what its lines about empty jars moved; what was taken
/// back counts as never written.
pub fn glass_of(member: MemberId, kind: &Kind) -> Question<Vec<(Became, i64, Cents)>> {
    let size_name = kind.size_name.as_str();
    question!(
        GlassColumns,
        r#"select v.kind, v.by_mistake as "by_mistake: bool", v.count, coalesce((select sum(l.cents
          + (select coalesce(sum(a.cents), 0) from ledger a where a.answers = l.number)) from ledger l
          where l.jar_move = v.number and l.kind = 'jar_price'), 0) as "cents!: Cents"
        from jar_moves v where v.kind in ('broken', 'missing', 'found') and v.member_id = ?1 and v.boil_id = ?2
          and v.size_name = ?3 and v.net_g = ?4 and v.part = ?5 order by v.number"#,
        member,
        kind.boil,
        size_name,
        kind.net,
        kind.part
    )
    .try_map(|rows| {
        let rows = rows.into_iter();
        rows.map(|row| Ok((became(row.kind, row.by_mistake)?, row.count, row.cents)))
            .collect()
    })
}

/// Writes down what became of jars, under the next number, and gives it.
pub async fn insert(
    conn: &mut Conn,
    (became, jars): (Became, &JarRow),
    why: &str,
    (by, at): (MemberId, UtcSecond),
) -> Stored<i64> {
    let (kind, by_mistake) = kept(became);
    let number = sqlx::query_scalar!(
        r#"insert into jar_moves (number, kind, boil_id, size_name, net_g, part, member_id, receipt, count, why, by_id, at,
        by_mistake) select 1 + coalesce(max(number), 0), ?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12 from jar_moves returning number as "number!""#,
        kind,
        jars.boil,
        jars.size_name,
        jars.net,
        jars.part,
        jars.member,
        jars.receipt,
        jars.count,
        why,
        by,
        at,
        by_mistake
    )
    .fetch_one(conn)
    .await?;
    Ok(number)
}
