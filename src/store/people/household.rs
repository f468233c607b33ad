//! Who else acts for a member's card: people of the household, each with a sign-in of their own.

use crate::store::Question;
use crate::store::question::question;
use crate::store::{StoreError, Stored, WriteTx};
use crate::units::{Email, MemberId, MemberName, SignInName, UtcSecond, by_name};

/// Somebody who acts for a card, or a card that somebody acts for.
#[derive(Debug, Clone)]
pub struct Other {
    /// The other member.
    pub id: MemberId,
    /// Their name.
    pub name: MemberName,
    /// When it began, without a break since, whether with the letters or without.
    pub since: UtcSecond,
    /// Whether the card's letters and notices go to whoever acts for it, too.
    pub letters: bool,
}

macro_rules! acting {
    ($other:literal, $whose:literal, $member:expr) => {
        question!(
            Other,
            r#"select m.id as "id: MemberId", m.name as "name: MemberName",
            (select min(f.at) from household f where f.member_id = h.member_id and f.person_id = h.person_id and f.version >
              coalesce((select max(e.version) from household e where e.member_id = h.member_id and e.person_id = h.person_id
                and e.acts = 0), 0)) as "since!: UtcSecond", h.letters as "letters: bool"
            from household h join members m on m.id = h."#
                + $other
                + " where h."
                + $whose
                + " = ?1 and h.acts = 1 and m.left_at is null
            and h.version = (select max(v.version) from household v where v.member_id = h.member_id and v.person_id = h.person_id)
            order by m.number",
            $member
        )
        .map(|all| by_name(all, |other| ((), other.name.as_str())))
    };
}

/// The people who act for a card, by name; whoever has left is left out.
pub fn people_of(member: MemberId) -> Question<Vec<Other>> {
    acting!("person_id", "member_id", member)
}

/// Who gets the letters of a card, and at what address; whoever has left, or has no address, gets none.
pub fn letters_to(member: MemberId) -> Question<Vec<(MemberId, Email)>> {
    question!(r#"select m.id as "id: MemberId", m.email as "email!: Email" from household h join members m on m.id = h.person_id
        where h.member_id = ?1 and h.acts = 1 and h.letters = 1 and m.left_at is null and m.email is not null
        and h.version = (select max(v.version) from household v where v.member_id = h.member_id and v.person_id = h.person_id)
        order by m.number"#,
        member).map(|rows| rows.into_iter().map(|row| (row.id, row.email)).collect())
}

/// The name that a card's member signs in with, if there is an account, and the names of who else acts for the card.
pub fn who_acts(member: MemberId) -> Question<(Option<SignInName>, Vec<String>)> {
    question!(r#"select (select sign_in from accounts where member_id = ?1) as "sign_in?: SignInName",
        (select json_group_array(name) from (select m.name from household h join members m on m.id = h.person_id
          where h.member_id = ?1 and h.acts = 1 and m.left_at is null and h.version =
            (select max(v.version) from household v where v.member_id = h.member_id and v.person_id = h.person_id)
          order by m.number)) as "people!: String""#,
        member).one().try_map(|row| {let people: Vec<String> = serde_json::from_str(&row.people).map_err(|_| StoreError::Corrupt {
        what: "members.name",
        found: row.people.clone(),
    })?;
    Ok((row.sign_in, by_name(people, |name| ((), name.as_str()))))})
}

/// The cards that somebody acts for, by name; of whoever has left none.
pub fn cards_of(person: MemberId) -> Question<Vec<Other>> {
    acting!("member_id", "person_id", person)
}

/// One entry of whether a person acts for a card.
#[derive(Debug, Clone)]
pub struct Said {
    /// The person who acts, or does not any more.
    pub person_id: MemberId,
    /// That person's running number.
    pub number: i64,
    /// That person's name.
    pub name: MemberName,
    /// Number of the entry for this person and card.
    pub version: i64,
}

/// All entries ever made of who acts for a card.
pub fn said_of(member: MemberId) -> Question<Vec<Said>> {
    question!(
        Said,
        r#"select h.person_id as "person_id: MemberId", m.number, m.name as "name: MemberName", h.version as "version!: i64"
        from household h join members m on m.id = h.person_id where h.member_id = ?1 order by h.person_id, h.version"#,
        member
    )
}

/// The latest entry of whether somebody acts for a card.
#[derive(Debug, Clone, Copy, Default)]
pub struct Latest {
    /// Number of the entry; 0: there is none yet.
    pub version: i64,
    /// Whether it lets the person act for the card.
    pub acts: bool,
    /// Whether the person gets the card's letters and notices.
    pub letters: bool,
}

/// The latest entry of whether `person` acts for the card of `member`.
pub fn latest(member: MemberId, person: MemberId) -> Question<Latest> {
    question!(Latest,
        r#"select version as "version!: i64", acts as "acts: bool", letters as "letters: bool" from household where member_id = ?1 and person_id = ?2
        order by version desc limit 1"#,
        member,
        person).first().map(Option::unwrap_or_default)
}

/// Whether somebody acts for a card; neither of them has left.
pub fn acts(member: MemberId, person: MemberId) -> Question<bool> {
    question!(r#"select h.acts as "acts: bool" from household h join members c on c.id = h.member_id join members p on p.id = h.person_id
        where h.member_id = ?1 and h.person_id = ?2 and c.left_at is null and p.left_at is null order by h.version desc limit 1"#,
        member,
        person).first().map(|row| row.map(|row| row.acts)).map(|found| found.unwrap_or(false))
}

/// A card, who acts for it, and the version that says so.
pub type Acting = (MemberId, MemberId, i64);

/// The people who act for a member's card, and the cards that the member acts for.
pub fn of_either(id: MemberId) -> Question<Vec<Acting>> {
    question!(r#"select h.member_id as "member_id: MemberId", h.person_id as "person_id: MemberId", h.version as "version!: i64"
        from household h where (h.member_id = ?1 or h.person_id = ?1) and h.acts = 1 and h.version =
          (select max(v.version) from household v where v.member_id = h.member_id and v.person_id = h.person_id)"#,
        id).try_map(|rows| {let all = rows.into_iter();
    Ok(all
        .map(|row| (row.member_id, row.person_id, row.version))
        .collect())})
}

/// Says from when on somebody acts for a card and gets its letters, or does not any more.
pub async fn insert(
    tx: &mut WriteTx,
    (member, person): (MemberId, MemberId),
    says: Latest,
    (by, at): (MemberId, UtcSecond),
) -> Stored<()> {
    sqlx::query!(
        "insert into household (member_id, person_id, version, acts, letters, by_id, at) values (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        member,
        person,
        says.version,
        says.acts,
        says.letters,
        by,
        at
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}
