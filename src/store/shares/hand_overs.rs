//! Jars leaving the mill: what was set aside for whom, and the receipts of what was handed over.

use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, Stored};
use crate::units::{
    BoilId, Grams, HandOverId, LotCode, MemberId, MemberName, Phone, PressDate, SeasonId,
    UtcSecond, by_name,
};

/// Jars of one lot and kind that belong to one sharer.
#[derive(Debug, Clone)]
pub struct AsideRow {
    /// The boil they were filled from.
    pub boil_id: BoilId,
    /// Its lot code.
    pub lot: LotCode,
    /// Its press day.
    pub press_date: PressDate,
    /// Name of the size.
    pub size_name: String,
    /// Net weight of syrup in each jar.
    pub net: Grams,
    /// Whether it is a part-jar.
    pub part: bool,
    /// How many the division set aside.
    pub set_aside: i64,
    /// How many are no longer on the shelf: handed over and not brought back, broken, or missing.
    pub gone: i64,
}

impl AsideRow {
    /// How many are still at the mill.
    pub fn left(&self) -> i64 {
        self.set_aside - self.gone
    }
}

/// A sharer with jars at the mill.
#[derive(Debug, Clone)]
pub struct WaitingRow {
    /// The member whose jars wait; `None`: the mill.
    pub member_id: Option<MemberId>,
    /// That member's name.
    pub name: Option<MemberName>,
    /// How many jars are still on the shelf.
    pub count: i64,
}

/// A hand-over to be written.
#[derive(Debug, Clone)]
pub struct NewHandOverRow {
    /// Id of the hand-over.
    pub id: HandOverId,
    /// Number on the receipt.
    pub number: i64,
    /// The member whose jars they are; `None`: the mill's own jars.
    pub member_id: Option<MemberId>,
    /// The person at the door, as typed: nobody signed with it.
    pub given_to: MemberName,
    /// Remark.
    pub note: String,
    /// The member who hands the jars over.
    pub by_id: MemberId,
    /// When they are handed over.
    pub at: UtcSecond,
}

/// A hand-over.
#[derive(Debug, Clone)]
pub struct HandOverRow {
    /// Id of the hand-over.
    pub id: HandOverId,
    /// Number on the receipt.
    pub number: i64,
    /// The member whose jars they are; `None`: the mill's own jars.
    pub member_id: Option<MemberId>,
    /// That member's name.
    pub member_name: Option<MemberName>,
    /// Whose balance the mill's jars settled; `None`: they settled none.
    pub settled_for: Option<MemberName>,
    /// The person at the door, as typed: nobody signed with it.
    pub given_to: MemberName,
    /// Remark.
    pub note: String,
    /// Name of who handed the jars over.
    pub by_name: MemberName,
    /// Who typed it in, when it was written on paper first.
    pub typed_by: Option<MemberName>,
    /// When it was typed in.
    pub typed_at: Option<UtcSecond>,
    /// When they were handed over.
    pub at: UtcSecond,
}

/// Jars of one lot and kind on a receipt.
#[derive(Debug, Clone)]
pub struct HandOverJar {
    /// Number of the receipt.
    pub number: i64,
    /// When they were handed over.
    pub at: UtcSecond,
    /// Lot code of the boil they were filled from.
    pub lot: LotCode,
    /// Name of the size.
    pub size_name: String,
    /// Net weight of syrup in each jar.
    pub net: Grams,
    /// Whether it is a part-jar.
    pub part: bool,
    /// How many were handed over.
    pub count: i64,
    /// How many of them came back, or never left.
    pub back: i64,
}

/// All jars ever set aside for a sharer (`None`: the mill), in the order they were filled.
pub fn jars_set_aside(member: Option<MemberId>) -> Question<Vec<AsideRow>> {
    question!(
        AsideRow,
        r#"select a.boil_id as "boil_id: BoilId", b.lot_code as "lot: LotCode", p.date as "press_date: PressDate",
        a.size_name, a.net_g as "net!: Grams", a.part as "part!: bool", a.set_aside as "set_aside!: i64", a.gone as "gone!: i64"
        from jars_set_aside a join boils b on b.id = a.boil_id join press_days p on p.id = b.press_day_id
        where a.member_id is ?1 order by b.lit_at, b.id, a.net_g desc, a.size_name, a.part"#,
        member
    )
}

/// Jars on somebody's shelf.
#[derive(Debug, Clone)]
pub struct ShelfRow {
    /// The member whose shelf it is; `None`: the mill.
    pub member_id: Option<MemberId>,
    /// That member's name.
    pub name: Option<MemberName>,
    /// The jars.
    pub jars: AsideRow,
}

/// Every jar on every shelf: the mill's own first, then by name, in the order they were filled.
pub fn shelf() -> Question<Vec<ShelfRow>> {
    question!(r#"select a.member_id as "member_id: MemberId", m.name as "name?: MemberName", a.boil_id as "boil_id: BoilId",
        b.lot_code as "lot: LotCode", p.date as "press_date: PressDate", a.size_name, a.net_g as "net!: Grams",
        a.part as "part!: bool", a.set_aside as "set_aside!: i64", a.gone as "gone!: i64"
        from jars_set_aside a join boils b on b.id = a.boil_id join press_days p on p.id = b.press_day_id
        left join members m on m.id = a.member_id where a.set_aside > a.gone
        order by m.number, b.lit_at, b.id, a.net_g desc, a.size_name, a.part"#).map(|rows| rows
        .into_iter()
        .map(|r| ShelfRow {
            member_id: r.member_id,
            name: r.name,
            jars: AsideRow {
                boil_id: r.boil_id,
                lot: r.lot,
                press_date: r.press_date,
                size_name: r.size_name,
                net: r.net,
                part: r.part,
                set_aside: r.set_aside,
                gone: r.gone,
            },
        })
        .collect())
        .map(|all: Vec<ShelfRow>| by_name(all, |row| (row.name.is_some(), row.name.as_ref().map_or("", MemberName::as_str))))
}

/// Everybody with jars at the mill, by name, the mill's own first.
pub fn waiting() -> Question<Vec<WaitingRow>> {
    question!(
        WaitingRow,
        r#"select a.member_id as "member_id: MemberId", m.name as "name?: MemberName", sum(a.set_aside - a.gone) as "count!: i64"
        from jars_set_aside a left join members m on m.id = a.member_id where a.set_aside > a.gone
        group by a.member_id order by m.number"#
    )
    .map(|all| by_name(all, |row| (row.name.is_some(), row.name.as_ref().map_or("", MemberName::as_str))))
}

macro_rules! hand_overs {
    ($rest:literal, $($bound:expr),*) => {
        question!(
            HandOverRow,
            r#"select o.id as "id: HandOverId", o.number, o.member_id as "member_id: MemberId",
            m.name as "member_name?: MemberName", sm.name as "settled_for?: MemberName", o.signed_by as "given_to: MemberName", o.note, w.name as "by_name: MemberName", y.name as "typed_by?: MemberName", t.typed_at as "typed_at?: UtcSecond",
            o.at as "at: UtcSecond"
            from hand_overs o join members w on w.id = o.by_id left join members m on m.id = o.member_id
            left join typed_in t on t.action = 'hand_over' and t.record = cast(o.number as text)
            left join members y on y.id = t.typed_by
            left join settled_jars sj on sj.receipt = o.number left join members sm on sm.id = sj.member_id "#
                + $rest,
            $($bound),*
        )
    };
}

/// The hand-over of that receipt number.
pub fn find(number: i64) -> Question<Option<HandOverRow>> {
    hand_overs!("where o.number = ?1", number).first()
}

/// The hand-overs to a member, by number.
pub fn of_member(member: MemberId) -> Question<Vec<HandOverRow>> {
    hand_overs!("where o.member_id = ?1 order by o.number", member)
}

/// The latest hand-overs, at most `most`.
pub fn recent(most: i64) -> Question<Vec<HandOverRow>> {
    hand_overs!("order by o.number desc limit ?1", most)
}

macro_rules! jars {
    ($rest:literal, $($bound:expr),*) => {
        question!(
            HandOverJar,
            r#"select o.number, o.at as "at: UtcSecond", b.lot_code as "lot: LotCode", h.size_name,
            h.net_g as "net!: Grams", h.part as "part!: bool", h.count,
            coalesce((select sum(v.count) from jar_moves v where v.receipt = o.number and v.boil_id = h.boil_id
              and v.size_name = h.size_name and v.net_g = h.net_g and v.part = h.part), 0) as "back!: i64"
            from hand_over_jars h join hand_overs o on o.id = h.hand_over_id join boils b on b.id = h.boil_id "#
                + $rest,
            $($bound),*
        )
    };
}

/// The jars of a receipt, by lot.
pub fn jars(id: HandOverId) -> Question<Vec<HandOverJar>> {
    jars!(
        "where o.id = ?1 order by b.lit_at, b.id, h.net_g desc, h.size_name, h.part",
        id
    )
}

/// The jars of a season's boils that were handed over to a member and did not come back, by receipt.
pub fn jars_of_member(season: SeasonId, member: MemberId) -> Question<Vec<HandOverJar>> {
    jars!(
        "where b.season_id = ?1 and o.member_id = ?2
        order by o.number, b.lit_at, b.id, h.net_g desc, h.size_name, h.part",
        season,
        member
    )
    .map(|rows| {
        rows.into_iter()
            .map(|row| HandOverJar {
                count: row.count - row.back,
                ..row
            })
            .filter(|row| row.count > 0)
            .collect()
    })
}

/// Jars of one boil and kind that are no longer on a sharer's shelf.
#[derive(Debug, Clone)]
pub struct GoneRow {
    /// The member whose jars they were; `None`: the mill.
    pub member_id: Option<MemberId>,
    /// Name of the size.
    pub size_name: String,
    /// Net weight of syrup in each jar.
    pub net: Grams,
    /// Whether it is a part-jar.
    pub part: bool,
    /// How many jars.
    pub count: i64,
}

/// The jars of a boil that are no longer on the shelf, by sharer and kind: handed over, broken or missing.
pub fn gone_of_boil(boil: BoilId) -> Question<Vec<GoneRow>> {
    question!(
        GoneRow,
        r#"select g.member_id as "member_id: MemberId", g.size_name, g.net_g as "net!: Grams", g.part as "part!: bool",
        sum(g.count) as "count!: i64" from jars_gone g
        where g.boil_id = ?1 group by g.member_id, g.size_name, g.net_g, g.part"#,
        boil
    )
}

/// Jars of a boil that left on a receipt, with who took them.
#[derive(Debug, Clone)]
pub struct LotReceipt {
    /// Number of the receipt.
    pub number: i64,
    /// Name of the member whose jars they are; `None`: the mill's own.
    pub member_name: Option<MemberName>,
    /// That member's telephone, as it is on the card today.
    pub phone: Option<Phone>,
    /// The person at the door, as typed.
    pub given_to: MemberName,
    /// When.
    pub at: UtcSecond,
    /// Name of the size.
    pub size_name: String,
    /// Net weight of syrup in each jar.
    pub net: Grams,
    /// Whether it is a part-jar.
    pub part: bool,
    /// How many were handed over.
    pub count: i64,
    /// How many of them came back, or never left.
    pub back: i64,
}

/// The jars of a boil that were handed over, by receipt.
pub fn receipts_of_boil(boil: BoilId) -> Question<Vec<LotReceipt>> {
    question!(
        LotReceipt,
        r#"select o.number, m.name as "member_name?: MemberName", m.phone as "phone?: Phone",
        o.signed_by as "given_to: MemberName", o.at as "at: UtcSecond", h.size_name as "size_name!",
        h.net_g as "net!: Grams", h.part as "part!: bool", h.count as "count!",
        coalesce((select sum(v.count) from jar_moves v where v.receipt = o.number
          and v.boil_id = h.boil_id and v.size_name = h.size_name and v.net_g = h.net_g and v.part = h.part), 0) as "back!: i64"
        from hand_over_jars h join hand_overs o on o.id = h.hand_over_id
        left join members m on m.id = o.member_id where h.boil_id = ?1
        order by o.number, h.net_g desc, h.size_name, h.part"#,
        boil
    )
}

/// The number of the next receipt: one above the last that was given, also by a file that a backup was put in the place of.
pub fn next_number() -> Question<i64> {
    question!(
        r#"select max((select coalesce(max(number), 0) from hand_overs),
        coalesce((select given from restore_gaps where what = 'hand_overs' and year = 0 order by restore desc limit 1), 0)) + 1 as "n!: i64""#
    )
        .one()
        .map(|row| row.n)
}

/// Adds a hand-over.
pub async fn insert(conn: &mut Conn, o: &NewHandOverRow) -> Stored<()> {
    sqlx::query!(
        r#"insert into hand_overs (id, number, member_id, signed_by, note, by_id, at)
        values (?1, ?2, ?3, ?4, ?5, ?6, ?7)"#,
        o.id,
        o.number,
        o.member_id,
        o.given_to,
        o.note,
        o.by_id,
        o.at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Adds `count` jars of a kind set aside to a hand-over.
pub async fn insert_jar(conn: &mut Conn, id: HandOverId, of: &AsideRow, count: i64) -> Stored<()> {
    sqlx::query!(
        r#"insert into hand_over_jars (hand_over_id, boil_id, size_name, net_g, part, count)
        values (?1, ?2, ?3, ?4, ?5, ?6)"#,
        id,
        of.boil_id,
        of.size_name,
        of.net,
        of.part,
        count
    )
    .execute(conn)
    .await?;
    Ok(())
}
