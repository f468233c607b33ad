//! Payments: the day, how, and the number on the receipt. The money stands in the ledger's line.

use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, Stored};
use crate::units::{Cents, MemberId, MemberName, PressDate, UtcSecond};

/// A payment with its ledger line.
#[derive(Debug, Clone)]
pub struct PaymentRow {
    /// Number on the receipt, from 1.
    pub receipt: i64,
    /// Number of the ledger's line.
    pub line: i64,
    /// The member who paid or was paid.
    pub member_id: MemberId,
    /// That member's name.
    pub member_name: MemberName,
    /// The word of how it was paid.
    pub kind: String,
    /// The day it was made.
    pub paid_on: PressDate,
    /// Below nought: received from the member; above: paid out.
    pub cents: Cents,
    /// The line as it is printed.
    pub says: String,
    /// The line that takes it back; `None`: it stands.
    pub taken_back: Option<i64>,
    /// Name of who noted it.
    pub by_name: MemberName,
    /// When it was noted.
    pub at: UtcSecond,
}

/// The payment of a receipt's number.
pub fn find(receipt: i64) -> Question<Option<PaymentRow>> {
    question!(PaymentRow,
        r#"select p.receipt, p.line as "line!", l.member_id as "member_id!: MemberId", m.name as "member_name!: MemberName",
        p.kind, p.paid_on as "paid_on: PressDate", l.cents as "cents: Cents", l.says,
        (select a.number from ledger a where a.answers = l.number) as "taken_back: i64",
        w.name as "by_name: MemberName", l.at as "at: UtcSecond"
        from payments p join ledger l on l.number = p.line join members m on m.id = l.member_id
        join members w on w.id = l.by_id where p.receipt = ?1"#,
        receipt).first()
}

/// The number of the next receipt: one above the last that was given, also by a file that a backup was put in the place of.
pub fn next_receipt() -> Question<i64> {
    question!(
        r#"select max((select coalesce(max(receipt), 0) from payments),
        coalesce((select given from restore_gaps where what = 'payments' and year = 0 order by restore desc limit 1), 0)) + 1 as "n!: i64""#
    )
        .one()
        .map(|row| row.n)
}

/// Adds what a ledger line's payment was.
pub async fn insert(
    conn: &mut Conn,
    (line, receipt): (i64, i64),
    kind: &str,
    paid_on: PressDate,
) -> Stored<()> {
    sqlx::query!(
        "insert into payments (line, receipt, kind, paid_on) values (?1, ?2, ?3, ?4)",
        line,
        receipt,
        kind,
        paid_on
    )
    .execute(conn)
    .await?;
    Ok(())
}
