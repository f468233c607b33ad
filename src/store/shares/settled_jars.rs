//! Syrup that was owed, settled in jars of the mill's own.

use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, Stored};
use crate::units::{MemberId, MemberName, SeasonId};

/// The balance that a receipt of the mill's jars settled.
#[derive(Debug, Clone)]
pub struct SettledRow {
    /// The member whose balance was settled.
    pub member_id: MemberId,
    /// That member's name.
    pub name: MemberName,
    /// The season whose statement it stands on.
    pub season_id: SeasonId,
}

/// The balance that the jars of a receipt settled; `None`: they settled none.
pub fn of_receipt(receipt: i64) -> Question<Option<SettledRow>> {
    question!(SettledRow,
        r#"select s.member_id as "member_id: MemberId", m.name as "name: MemberName", s.season_id as "season_id: SeasonId"
        from settled_jars s join members m on m.id = s.member_id where s.receipt = ?1"#,
        receipt).first()
}

/// Writes down which balance a receipt settled, with the member's line of the ledger.
pub async fn insert(
    conn: &mut Conn,
    receipt: i64,
    (member, season): (MemberId, SeasonId),
    line: i64,
) -> Stored<()> {
    sqlx::query!(
        "insert into settled_jars (receipt, member_id, season_id, line) values (?1, ?2, ?3, ?4)",
        receipt,
        member,
        season,
        line
    )
    .execute(conn)
    .await?;
    Ok(())
}
