//! Boils moved to another version of the rules than they were lit under.

use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, Stored};
use crate::units::{BoilId, MemberId, MemberName, RulesId, UtcSecond};
use std::collections::{BTreeMap, BTreeSet};

/// The latest move of a boil to another version of the rules.
#[derive(Debug, Clone)]
pub struct Moved {
    /// Why the boil was moved to other rules.
    pub why: String,
    /// Name of the steward who moved it.
    pub by_name: MemberName,
    /// When it was moved.
    pub at: UtcSecond,
}

/// The latest move of a boil; `None`: it has the rules it was lit under.
pub fn latest(boil: BoilId) -> Question<Option<Moved>> {
    question!(Moved,
        r#"select r.why, m.name as "by_name: MemberName", r.at as "at: UtcSecond" from boil_rules r join members m on m.id = r.by_id
        where r.boil_id = ?1 order by r.version desc limit 1"#,
        boil).first()
}

/// The latest move of each boil of a JSON array of ids that was moved.
pub fn latest_of(boils: &str) -> Question<BTreeMap<BoilId, Moved>> {
    question!(r#"select r.boil_id as "boil_id: BoilId", r.why, m.name as "by_name: MemberName", r.at as "at: UtcSecond"
        from boil_rules r join members m on m.id = r.by_id where r.boil_id in (select value from json_each(?1))
        order by r.boil_id, r.version"#,
        boils).map(|rows| {
        let moved = rows.into_iter().map(|r| {
            let moved = Moved { why: r.why, by_name: r.by_name, at: r.at };
            (r.boil_id, moved)
        });
        moved.collect()
    })
}

/// Those boils of a JSON array of ids that were divided, be they open for a correction.
pub fn divided_of(boils: &str) -> Question<BTreeSet<BoilId>> {
    question!(
        r#"select distinct boil_id as "boil_id: BoilId" from divisions
        where boil_id in (select value from json_each(?1))"#,
        boils
    )
    .map(|rows| rows.into_iter().map(|row| row.boil_id).collect())
}

/// Whether a boil has been divided, be it open for a correction.
pub fn was_divided(boil: BoilId) -> Question<bool> {
    question!(
        r#"select exists (select 1 from divisions where boil_id = ?1) as "yes!: bool""#,
        boil
    )
    .one()
    .map(|row| row.yes)
}

/// Moves a boil to a confirmed version.
pub async fn insert(
    conn: &mut Conn,
    (boil, rules): (BoilId, RulesId),
    why: &str,
    (by, at): (MemberId, UtcSecond),
) -> Stored<()> {
    sqlx::query!(
        r#"insert into boil_rules (boil_id, version, rules_id, why, by_id, at)
        select ?1, 1 + coalesce(max(version), 0), ?2, ?3, ?4, ?5 from boil_rules where boil_id = ?1"#,
        boil,
        rules,
        why,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}
