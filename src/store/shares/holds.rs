//! Lots held back and released, and complaints about lots.

use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, Stored};
use crate::units::{BoilId, MemberId, MemberName, UtcSecond};

/// An entry that holds or releases a lot.
#[derive(Debug, Clone)]
pub struct HoldRow {
    /// Number in its lot, from 1.
    pub number: i64,
    /// Whether the lot was held; else released.
    pub held: bool,
    /// Why it was held or released.
    pub why: String,
    /// Name of the steward who did it.
    pub by_name: MemberName,
    /// When it was held or released.
    pub at: UtcSecond,
}

/// A complaint about a lot.
#[derive(Debug, Clone)]
pub struct ComplaintRow {
    /// Number in its lot, from 1.
    pub number: i64,
    /// What is wrong, as it was told.
    pub says: String,
    /// Who complained, and how to reach them.
    pub from_whom: String,
    /// Name of who wrote it down.
    pub by_name: MemberName,
    /// When it was written down.
    pub at: UtcSecond,
}

/// A lot that is held.
#[derive(Debug, Clone)]
pub struct HeldLot {
    /// The boil.
    pub boil: BoilId,
    /// Why the lot is held.
    pub why: String,
}

/// The entries that held and released a lot, in order; the last one counts.
pub fn of_boil(boil: BoilId) -> Question<Vec<HoldRow>> {
    question!(
        HoldRow,
        r#"select h.number as "number!", h.held as "held: bool", h.why, m.name as "by_name: MemberName",
        h.at as "at: UtcSecond" from lot_holds h join members m on m.id = h.by_id
        where h.boil_id = ?1 order by h.number"#,
        boil
    )
}

/// Every lot that is held.
pub fn held() -> Question<Vec<HeldLot>> {
    question!(
        HeldLot,
        r#"select h.boil_id as "boil: BoilId", h.why from lot_holds h where h.held = 1
        and h.number = (select max(x.number) from lot_holds x where x.boil_id = h.boil_id)"#
    )
}

/// Holds a lot, or releases it.
pub async fn insert(
    conn: &mut Conn,
    boil: BoilId,
    held: bool,
    why: &str,
    by: MemberId,
    at: UtcSecond,
) -> Stored<()> {
    sqlx::query!(
        r#"insert into lot_holds (boil_id, number, held, why, by_id, at)
        select ?1, 1 + coalesce(max(number), 0), ?2, ?3, ?4, ?5 from lot_holds where boil_id = ?1"#,
        boil,
        held,
        why,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// The complaints about a lot, in order.
pub fn complaints(boil: BoilId) -> Question<Vec<ComplaintRow>> {
    question!(
        ComplaintRow,
        r#"select c.number as "number!", c.says, c.from_whom, m.name as "by_name: MemberName", c.at as "at: UtcSecond"
        from lot_complaints c join members m on m.id = c.by_id where c.boil_id = ?1 order by c.number"#,
        boil
    )
}

/// Writes a complaint down.
pub async fn insert_complaint(
    conn: &mut Conn,
    boil: BoilId,
    (says, from_whom): (&str, &str),
    by: MemberId,
    at: UtcSecond,
) -> Stored<()> {
    sqlx::query!(
        r#"insert into lot_complaints (boil_id, number, says, from_whom, by_id, at)
        select ?1, 1 + coalesce(max(number), 0), ?2, ?3, ?4, ?5 from lot_complaints where boil_id = ?1"#,
        boil,
        says,
        from_whom,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}
