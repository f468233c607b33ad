//! What a boil's jar labels and its public page need, by lot code: read only.

use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, Stored};
use crate::units::{BoilId, BrixAt20C, Grams, LotCode, MemberName, PressDate, TicketId, by_name};

/// A boil, as its jars name it.
#[derive(Debug, Clone)]
pub struct Lot {
    /// Its lot code.
    pub code: LotCode,
    /// The press day its cane was pressed on.
    pub pressed: PressDate,
    /// Dissolved solids of the finished syrup, the latest reading; `None` while it boils.
    pub solids: Option<BrixAt20C>,
}

/// Jars of one net weight filled from a boil.
#[derive(Debug, Clone)]
pub struct Filled {
    /// Name of the jar's size.
    pub size_name: String,
    /// Net weight of one jar.
    pub net: Grams,
    /// A part-jar: filled with what was left over.
    pub part: bool,
    /// How many jars, above 0.
    pub count: i64,
}

/// A ticket as it is named where something is looked for.
#[derive(Debug, Clone)]
pub struct NumberedTicket {
    /// Id of the ticket.
    pub id: TicketId,
    /// Its number in its season.
    pub number: i64,
    /// Name of the member whose cane it is.
    pub member_name: MemberName,
    /// Its press day.
    pub date: PressDate,
}

/// The tickets of that number, one in each season at most; latest season first.
pub fn tickets_numbered(number: i64) -> Question<Vec<NumberedTicket>> {
    question!(
        NumberedTicket,
        r#"select t.id as "id: TicketId", t.ticket as number, m.name as "member_name: MemberName",
        d.date as "date: PressDate" from tickets t join press_days d on d.id = t.press_day_id
        join members m on m.id = t.member_id where t.ticket = ?1 order by d.date desc limit 20"#,
        number
    )
}

/// Every lot code, latest first.
pub fn codes() -> Question<Vec<LotCode>> {
    question!(r#"select lot_code as "lot: LotCode" from boils order by lit_at desc, id desc"#)
        .map(|rows| rows.into_iter().map(|row| row.lot).collect())
}

/// The reason why a lot is held; `None`: it is not held.
pub async fn held(conn: &mut Conn, code: &LotCode) -> Stored<Option<String>> {
    Ok(sqlx::query_scalar!(
        r#"select h.why from lot_holds h join boils b on b.id = h.boil_id where b.lot_code = ?1 and h.held = 1
        and h.number = (select max(x.number) from lot_holds x where x.boil_id = h.boil_id)"#,
        code
    )
    .fetch_optional(conn)
    .await?)
}

/// The id of the boil of a lot code.
pub fn find_id(code: &LotCode) -> Question<Option<BoilId>> {
    question!(
        r#"select id as "id: BoilId" from boils where lot_code = ?1"#,
        code
    )
    .first()
    .map(|row| row.map(|row| row.id))
}

/// The boil of a lot code.
pub fn find(code: &LotCode) -> Question<Option<Lot>> {
    question!(
        Lot,
        r#"select b.lot_code as "code: LotCode", d.date as "pressed: PressDate",
        (select f.brix_20c from finishes f where f.boil_id = b.id order by f.version desc limit 1)
          as "solids?: BrixAt20C"
        from boils b join press_days d on d.id = b.press_day_id where b.lot_code = ?1"#,
        code
    )
    .first()
}

/// What was filled, whole jars before part-jars, largest first; fills that were crossed out are
/// left out.
pub fn filled(code: &LotCode) -> Question<Vec<Filled>> {
    question!(
        Filled,
        r#"select min(f.size_name) as "size_name!: String", f.net_g as "net!: Grams",
        f.part as "part!: bool", sum(f.count) as "count!: i64"
        from fills f join boils b on b.id = f.boil_id
        where b.lot_code = ?1 and f.version = (select max(v.version) from fills v
          where v.boil_id = f.boil_id and v.number = f.number)
        group by f.part, f.net_g having sum(f.count) > 0 order by f.part, f.net_g desc"#,
        code
    )
}

/// The growers whose juice is in the boil and who agreed to be named, by name.
pub fn named_growers(code: &LotCode) -> Question<Vec<MemberName>> {
    question!(
        r#"select distinct m.number, m.name as "name: MemberName"
        from boils b join draws r on r.boil_id = b.id join juices j on j.id = r.juice_id
        join tickets d on d.id = j.ticket_id join members m on m.id = d.member_id
        where b.lot_code = ?1 and m.named = 1 and (r.amount_g > 0 or r.whole = 1)
        and r.version = (select max(v.version) from draws v
          where v.boil_id = r.boil_id and v.juice_id = r.juice_id)
        order by m.number"#,
        code
    )
    .map(|rows| {
        by_name(rows, |row| ((), row.name.as_str()))
            .into_iter()
            .map(|row| row.name)
            .collect()
    })
}
