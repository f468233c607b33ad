//! Recalls: what went into which lot, where the jars are, and what was asked and found.

use crate::calc::shares::recall::{Added, Pour};
use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, Stored};
use crate::units::{
    BoilId, Grams, LotCode, MemberId, MemberName, Phone, PressDate, RecallId, TicketId, UtcSecond,
    VesselId,
};

/// Every juice poured into a boil, in the version that counts.
pub fn pours() -> Question<Vec<Pour>> {
    question!(
        Pour,
        r#"select t.id as "ticket: TicketId", t.member_id as "member: MemberId", d.date as "day: PressDate",
        j.vessel_id as "vessel: VesselId", r.boil_id as "boil: BoilId"
        from draws r join juices j on j.id = r.juice_id join tickets t on t.id = j.ticket_id
        join press_days d on d.id = t.press_day_id
        where (r.amount_g > 0 or r.whole = 1) and r.version =
          (select max(x.version) from draws x where x.boil_id = r.boil_id and x.juice_id = r.juice_id)"#
    )
}

/// Everything ever added to a boil.
pub fn added() -> Question<Vec<Added>> {
    question!(
        Added,
        r#"select boil_id as "boil: BoilId", its_lot as pack from additions"#
    )
}

/// A boil with its lot code and press day.
#[derive(Debug, Clone)]
pub struct LotDay {
    /// The boil.
    pub boil: BoilId,
    /// Its lot code.
    pub lot: LotCode,
    /// Its press day.
    pub day: PressDate,
}

/// Every boil, in the order they were lit.
pub fn lots() -> Question<Vec<LotDay>> {
    question!(
        LotDay,
        r#"select b.id as "boil: BoilId", b.lot_code as "lot: LotCode", d.date as "day: PressDate"
        from boils b join press_days d on d.id = b.press_day_id order by b.lit_at, b.id"#
    )
}

/// Jars of one kind of one lot: filled, set aside for somebody, or gone on a receipt.
#[derive(Debug, Clone)]
pub struct JarRow {
    /// The boil.
    pub boil: BoilId,
    /// Name of the size.
    pub size_name: String,
    /// Net weight of syrup in each jar.
    pub net: Grams,
    /// Whether it is a part-jar.
    pub part: bool,
    /// The member whose they are; `None`: the mill's, or not said.
    pub member: Option<MemberId>,
    /// Number of the receipt; `None`: on none.
    pub receipt: Option<i64>,
    /// How many jars.
    pub count: i64,
}

/// Jars filled of some lots, a JSON array of boils' ids, in the version that counts.
pub fn filled(boils: &str) -> Question<Vec<JarRow>> {
    question!(
        JarRow,
        r#"select f.boil_id as "boil: BoilId", f.size_name, f.net_g as "net: Grams", f.part as "part: bool",
        null as "member: MemberId", null as "receipt: i64", f.count from fills f
        where f.boil_id in (select value from json_each(?1)) and f.count > 0 and f.version =
          (select max(v.version) from fills v where v.boil_id = f.boil_id and v.number = f.number)"#,
        boils
    )
}

/// Jars of some lots set aside by the division that counts.
pub fn aside(boils: &str) -> Question<Vec<JarRow>> {
    question!(
        JarRow,
        r#"select d.boil_id as "boil: BoilId", j.size_name, j.net_g as "net: Grams", j.part as "part: bool",
        s.member_id as "member: MemberId", null as "receipt: i64", j.count
        from latest_divisions d join share_jars j on j.division_id = d.id
        join shares s on s.division_id = j.division_id and s.place = j.place
        where d.boil_id in (select value from json_each(?1))"#,
        boils
    )
}

/// Jars of some lots that were handed over.
pub fn handed(boils: &str) -> Question<Vec<JarRow>> {
    question!(
        JarRow,
        r#"select h.boil_id as "boil!: BoilId", h.size_name as "size_name!", h.net_g as "net!: Grams",
        h.part as "part!: bool", o.member_id as "member: MemberId", o.number as "receipt?: i64", h.count as "count!"
        from hand_over_jars h join hand_overs o on o.id = h.hand_over_id
        where h.boil_id in (select value from json_each(?1)) order by o.number"#,
        boils
    )
}

/// A recall.
#[derive(Debug, Clone)]
pub struct RecallRow {
    /// Id of the recall.
    pub id: RecallId,
    /// Number of the recall.
    pub number: i64,
    /// Whether it is a drill, to practise.
    pub drill: bool,
    /// The word of what it started from.
    pub start: String,
    /// What it started from, in words.
    pub which: String,
    /// Why it was begun.
    pub why: String,
    /// Name of who began it.
    pub by_name: MemberName,
    /// When it was begun.
    pub at: UtcSecond,
    /// When it was ended; `None`: it is open.
    pub ended_at: Option<UtcSecond>,
}

macro_rules! recalls {
    ($rest:literal, $($bound:expr),*) => {
        question!(
            RecallRow,
            r#"select r.id as "id: RecallId", r.number, r.drill as "drill: bool", r.start, r.which, r.why,
            m.name as "by_name: MemberName", r.at as "at: UtcSecond", e.at as "ended_at?: UtcSecond"
            from recalls r join members m on m.id = r.by_id left join recall_ends e on e.recall_id = r.id "#
                + $rest,
            $($bound),*
        )
    };
}

/// The recall with this number.
pub fn find(number: i64) -> Question<Option<RecallRow>> {
    recalls!("where r.number = ?1", number).first()
}

/// Every recall, latest first.
pub fn list() -> Question<Vec<RecallRow>> {
    recalls!("order by r.number desc",)
}

/// A recall to be kept.
#[derive(Debug, Clone)]
pub struct NewRecallRow {
    /// Id of the recall.
    pub id: RecallId,
    /// Number of the recall.
    pub number: i64,
    /// Whether it is a drill, to practise.
    pub drill: bool,
    /// The word of what it starts from.
    pub start: &'static str,
    /// What it starts from, in words.
    pub which: String,
    /// Why it is begun.
    pub why: String,
    /// The member who begins it.
    pub by: MemberId,
    /// When it is begun.
    pub at: UtcSecond,
}

/// Keeps a new recall.
pub async fn insert(conn: &mut Conn, r: &NewRecallRow) -> Stored<()> {
    sqlx::query!(
        r#"insert into recalls (id, number, drill, start, which, why, by_id, at)
        values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)"#,
        r.id,
        r.number,
        r.drill,
        r.start,
        r.which,
        r.why,
        r.by,
        r.at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Jars of a recall to be kept.
#[derive(Debug, Clone)]
pub struct NewLine {
    /// Number of the line in the recall, from 1.
    pub line: i64,
    /// The call that it is dealt with in, from 1.
    pub call: i64,
    /// The jars.
    pub jars: JarRow,
    /// The word of where they were.
    pub place: &'static str,
}

/// Keeps jars of a recall.
pub async fn insert_line(conn: &mut Conn, recall: RecallId, l: &NewLine) -> Stored<()> {
    sqlx::query!(
        r#"insert into recall_jars (recall_id, line, call, boil_id, size_name, net_g, part, count, place, member_id,
        receipt) values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)"#,
        recall,
        l.line,
        l.call,
        l.jars.boil,
        l.jars.size_name,
        l.jars.net,
        l.jars.part,
        l.jars.count,
        l.place,
        l.jars.member,
        l.jars.receipt
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Jars of a recall, with whom to ask.
#[derive(Debug, Clone)]
pub struct LineRow {
    /// Number of the line in the recall.
    pub line: i64,
    /// The call that it is dealt with in.
    pub call: i64,
    /// The lot.
    pub lot: LotCode,
    /// Name of the size.
    pub size_name: String,
    /// Net weight of syrup in each jar.
    pub net: Grams,
    /// Whether it is a part-jar.
    pub part: bool,
    /// How many jars.
    pub count: i64,
    /// The word of where they were when it began.
    pub place: String,
    /// Name of the member whose they are; `None`: the mill's, or nobody's yet.
    pub member_name: Option<MemberName>,
    /// That member's telephone, as it is on the card today.
    pub phone: Option<Phone>,
    /// The receipt they left with.
    pub receipt: Option<i64>,
    /// Who took the jars, as typed.
    pub given_to: Option<MemberName>,
    /// When.
    pub handed_at: Option<UtcSecond>,
}

/// The jars of a recall, by line.
pub fn lines(recall: RecallId) -> Question<Vec<LineRow>> {
    question!(
        LineRow,
        r#"select j.line as "line!", j.call, b.lot_code as "lot: LotCode", j.size_name, j.net_g as "net: Grams",
        j.part as "part: bool", j.count, j.place, m.name as "member_name?: MemberName", m.phone as "phone?: Phone",
        j.receipt, o.signed_by as "given_to?: MemberName", o.at as "handed_at?: UtcSecond"
        from recall_jars j join boils b on b.id = j.boil_id left join members m on m.id = j.member_id
        left join hand_overs o on o.number = j.receipt where j.recall_id = ?1 order by j.line"#,
        recall
    )
}

/// A call made, or a shelf looked through.
#[derive(Debug, Clone)]
pub struct CallRow {
    /// Number of the call in the recall.
    pub call: i64,
    /// How many times the call was noted.
    pub number: i64,
    /// Whether somebody was reached, or the shelf was looked through.
    pub reached: bool,
    /// Remark.
    pub note: String,
    /// Name of who noted it.
    pub by_name: MemberName,
    /// When it was noted.
    pub at: UtcSecond,
}

/// The calls of a recall, each as it was noted last.
pub fn calls(recall: RecallId) -> Question<Vec<CallRow>> {
    question!(
        CallRow,
        r#"select c.call as "call!", c.number as "number!", c.reached as "reached: bool", c.note,
        m.name as "by_name: MemberName", c.at as "at: UtcSecond"
        from recall_calls c join members m on m.id = c.by_id where c.recall_id = ?1 and c.number =
          (select max(x.number) from recall_calls x where x.recall_id = c.recall_id and x.call = c.call)
        order by c.call"#,
        recall
    )
}

/// What the latest call said of one line.
#[derive(Debug, Clone, Copy)]
pub struct FoundRow {
    /// Number of the line.
    pub line: i64,
    /// Jars that are there.
    pub back: i64,
    /// Jars gone for good.
    pub gone: i64,
}

/// What the latest calls said of every line.
pub fn found(recall: RecallId) -> Question<Vec<FoundRow>> {
    question!(
        FoundRow,
        r#"select f.line as "line!", f.back as "back!", f.gone as "gone!" from recall_found f
        where f.recall_id = ?1 and f.number =
          (select max(x.number) from recall_calls x where x.recall_id = f.recall_id and x.call = f.call)"#,
        recall
    )
}

/// A call to be kept.
#[derive(Debug, Clone)]
pub struct NewCallRow<'a> {
    /// The recall.
    pub recall: RecallId,
    /// Number of the call in the recall.
    pub call: i64,
    /// How many times the call is noted, this time included.
    pub number: i64,
    /// Whether somebody was reached.
    pub reached: bool,
    /// Remark.
    pub note: &'a str,
    /// The member who notes it.
    pub by: MemberId,
    /// When it is noted.
    pub at: UtcSecond,
}

/// Keeps a call.
pub async fn insert_call(conn: &mut Conn, c: &NewCallRow<'_>) -> Stored<()> {
    sqlx::query!(
        r#"insert into recall_calls (recall_id, call, number, reached, note, by_id, at)
        values (?1, ?2, ?3, ?4, ?5, ?6, ?7)"#,
        c.recall,
        c.call,
        c.number,
        c.reached,
        c.note,
        c.by,
        c.at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Keeps what was said of a line in a call.
pub async fn insert_found(conn: &mut Conn, c: &NewCallRow<'_>, f: &FoundRow) -> Stored<()> {
    sqlx::query!(
        r#"insert into recall_found (recall_id, call, number, line, back, gone) values (?1, ?2, ?3, ?4, ?5, ?6)"#,
        c.recall,
        c.call,
        c.number,
        f.line,
        f.back,
        f.gone
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// The end of a recall.
#[derive(Debug, Clone)]
pub struct EndRow {
    /// Who answers for it, as typed.
    pub answers: MemberName,
    /// What was learned.
    pub says: String,
    /// Name of who wrote it.
    pub by_name: MemberName,
    /// When it was ended.
    pub at: UtcSecond,
}

/// The end of a recall; `None`: it is open.
pub fn end_of(recall: RecallId) -> Question<Option<EndRow>> {
    question!(EndRow,
        r#"select e.signed_by as "answers: MemberName", e.says, m.name as "by_name: MemberName", e.at as "at: UtcSecond"
        from recall_ends e join members m on m.id = e.by_id where e.recall_id = ?1"#,
        recall).first()
}

/// Ends a recall.
pub async fn insert_end(
    conn: &mut Conn,
    recall: RecallId,
    (answers, says): (&MemberName, &str),
    by: MemberId,
    at: UtcSecond,
) -> Stored<()> {
    sqlx::query!(
        r#"insert into recall_ends (recall_id, signed_by, says, by_id, at) values (?1, ?2, ?3, ?4, ?5)"#,
        recall,
        answers,
        says,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}
