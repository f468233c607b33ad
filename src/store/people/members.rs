//! Members' cards.

use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, Stored, one_row};
use crate::units::{Email, Grams, MemberId, MemberName, Phone, Role, Units, UtcSecond, by_name};
use std::collections::BTreeSet;

/// A member's card.
#[derive(Debug, Clone)]
pub struct Member {
    /// Id of the member.
    pub id: MemberId,
    /// The co-op's own running number.
    pub number: i64,
    /// Name as on a statement.
    pub name: MemberName,
    /// The member's telephone.
    pub phone: Phone,
    /// The member's e-mail address, if given.
    pub email: Option<Email>,
    /// Units this person reads and types in.
    pub units: Units,
    /// Hours of the clock that this person reads times on: 12 or 24.
    pub clock: i64,
    /// Postal address; empty: none given.
    pub address: String,
    /// Agrees to boil together with others.
    pub pools: bool,
    /// Whether the name may stand on a lot's public page.
    pub named: bool,
    /// Whether others see the first name in a day's queue.
    pub in_queue: bool,
    /// Whom to ask for this member when there is no own telephone; empty: nobody.
    pub call_by: String,
    /// What the person may do.
    pub role: Role,
    /// When the member left; `None` while a member.
    pub left_at: Option<UtcSecond>,
    /// Number of the latest change, one more with each.
    pub version: i64,
}

/// One line of the list of members.
#[derive(Debug, Clone)]
pub struct MemberLine {
    /// Id of the member.
    pub id: MemberId,
    /// Running number.
    pub number: i64,
    /// The member's name.
    pub name: MemberName,
    /// The member's telephone.
    pub phone: Phone,
    /// What the person may do.
    pub role: Role,
    /// Whether the member agrees to pooling.
    pub pools: bool,
    /// Whether the member has left the co-op.
    pub left: bool,
    /// Whether the member has an account to sign in with.
    pub signs_in: bool,
}

/// The member with this id.
pub fn find(id: MemberId) -> Question<Option<Member>> {
    question!(Member,
        r#"select id as "id: MemberId", number, name as "name: MemberName", phone as "phone: Phone",
        email as "email: Email", units as "units: Units", clock, address, pools as "pools: bool", named as "named: bool",
        in_queue as "in_queue: bool", call_by, role as "role: Role", left_at as "left_at: UtcSecond", version
        from members where id = ?1"#,
        id).first()
}

/// Everybody, those who left last, by name.
pub fn list() -> Question<Vec<MemberLine>> {
    question!(
        MemberLine,
        r#"select m.id as "id: MemberId", m.number, m.name as "name: MemberName", m.phone as "phone: Phone",
        m.role as "role: Role", m.pools as "pools: bool", m.left_at is not null as "left!: bool",
        a.member_id is not null as "signs_in!: bool"
        from members m left join accounts a on a.member_id = m.id
        order by m.number"#
    )
    .map(|all| by_name(all, |line| (line.left, line.name.as_str())))
}

/// Everybody's number and name, as they stand, whether they read back as such or not.
pub fn called() -> Question<Vec<(MemberId, i64, String)>> {
    question!(r#"select id as "id: MemberId", number, name from members order by number"#)
        .map(|rows| rows.into_iter().map(|r| (r.id, r.number, r.name)).collect())
}

/// The members whose juice is boiled alone.
pub fn who_boil_alone() -> Question<BTreeSet<MemberId>> {
    question!(r#"select id as "id: MemberId" from members where pools = 0"#)
        .map(|rows| rows.into_iter().map(|row| row.id).collect())
}

/// The next running number: one above the last that was given, also by a file that a backup was put in the place of.
pub fn next_number() -> Question<i64> {
    question!(
        r#"select max((select coalesce(max(number), 0) from members),
        coalesce((select given from restore_gaps where what = 'members' and year = 0 order by restore desc limit 1), 0)) + 1 as "number!: i64""#
    )
        .one()
        .map(|row| row.number)
}

/// Adds a member.
pub async fn insert(conn: &mut Conn, m: &Member, at: UtcSecond) -> Stored<()> {
    sqlx::query!(
        r#"insert into members (id, number, name, phone, email, units, pools, named, role, made_at, in_queue,
        call_by, clock, address) values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14)"#,
        m.id,
        m.number,
        m.name,
        m.phone,
        m.email,
        m.units,
        m.pools,
        m.named,
        m.role,
        at,
        m.in_queue,
        m.call_by,
        m.clock,
        m.address
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Writes a changed card over the version it was read at; the caller has checked that version.
pub async fn update(conn: &mut Conn, m: &Member) -> Stored<()> {
    let done = sqlx::query!(
        r#"update members set name = ?2, phone = ?3, email = ?4, units = ?5, pools = ?6, named = ?7,
        role = ?8, left_at = ?9, in_queue = ?11, call_by = ?12, clock = ?13, address = ?14,
        version = version + 1 where id = ?1 and version = ?10"#,
        m.id,
        m.name,
        m.phone,
        m.email,
        m.units,
        m.pools,
        m.named,
        m.role,
        m.left_at,
        m.version,
        m.in_queue,
        m.call_by,
        m.clock,
        m.address
    )
    .execute(conn)
    .await?;
    one_row(&done, "update a member")
}

/// A name that a member bore, and since when.
#[derive(Debug, Clone)]
pub struct NameBorne {
    /// The name that was borne.
    pub name: MemberName,
    /// When the member began to bear it.
    pub at: UtcSecond,
}

/// A name that some member bears or bore.
#[derive(Debug, Clone)]
pub struct NameOfMember {
    /// The member.
    pub member_id: MemberId,
    /// Number of the member.
    pub number: i64,
    /// The name.
    pub name: MemberName,
    /// Whether it is on the card today.
    pub now: bool,
}

/// Every name that a member bears or bore, those of today first.
pub fn names_of_all() -> Question<Vec<NameOfMember>> {
    question!(
        NameOfMember,
        r#"select id as "member_id!: MemberId", number as "number!: i64", name as "name!: MemberName", 1 as "now!: bool" from members
        union all
        select n.member_id, m.number, n.name, 0 from member_names n join members m on m.id = n.member_id where n.name <> m.name"#
    )
}

/// Every name of a member, the present one first.
pub fn names(id: MemberId) -> Question<Vec<NameBorne>> {
    question!(
        NameBorne,
        r#"select name as "name: MemberName", at as "at: UtcSecond" from member_names
        where member_id = ?1 order by version desc"#,
        id
    )
}

/// The name of a member at a moment; that of the card, when it was made later.
pub fn name_at(id: MemberId, at: UtcSecond) -> Question<Option<MemberName>> {
    question!(
        r#"select name as "name: MemberName" from member_names where member_id = ?1
        and (at <= ?2 or version = 1) order by version desc limit 1"#,
        id,
        at
    )
    .first()
    .map(|row| row.map(|row| row.name))
}

/// Writes the name that a member bears from now on.
pub async fn insert_name(
    conn: &mut Conn,
    id: MemberId,
    name: &MemberName,
    (by, at): (MemberId, UtcSecond),
) -> Stored<()> {
    sqlx::query!(
        r#"insert into member_names (member_id, version, name, by_id, at)
        select ?1, coalesce(max(version), 0) + 1, ?2, ?3, ?4 from member_names where member_id = ?1"#,
        id,
        name,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// How many stewards with an account are left, not counting `other`.
pub fn stewards_besides(other: MemberId) -> Question<i64> {
    question!(
        r#"select count(*) as "n!: i64" from members m join accounts a on a.member_id = m.id
        where m.role = 'steward' and m.left_at is null and m.id <> ?1"#,
        other
    )
    .one()
    .map(|row| row.n)
}

/// The jar sizes a member likes best, by net weight, largest first.
pub fn wishes(id: MemberId) -> Question<Vec<Grams>> {
    question!(r#"select net_g as "net: Grams" from member_jar_wishes where member_id = ?1 order by net_g desc"#,
        id).map(|rows| rows.into_iter().map(|row| row.net).collect())
}

/// The jar sizes that members wish for: the member and the net weight.
pub fn all_wishes() -> Question<Vec<(MemberId, Grams)>> {
    question!(
        r#"select member_id as "member_id: MemberId", net_g as "net: Grams" from member_jar_wishes
        order by member_id, net_g desc"#
    )
    .map(|rows| rows.into_iter().map(|r| (r.member_id, r.net)).collect())
}

/// Forgets a member's wishes, before new ones are written.
pub async fn clear_wishes(conn: &mut Conn, id: MemberId) -> Stored<()> {
    sqlx::query!("delete from member_jar_wishes where member_id = ?1", id)
        .execute(conn)
        .await?;
    Ok(())
}

/// Adds one wish.
pub async fn insert_wish(conn: &mut Conn, id: MemberId, net: Grams) -> Stored<()> {
    sqlx::query!(
        "insert into member_jar_wishes (member_id, net_g) values (?1, ?2)",
        id,
        net
    )
    .execute(conn)
    .await?;
    Ok(())
}
