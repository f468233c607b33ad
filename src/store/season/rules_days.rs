//! The days from which confirmed versions of the rules hold, put right.

use crate::store::Question;
use crate::store::question::{change, question};
use crate::units::{LotCode, MemberId, PressDate, RulesId, SeasonId, UtcSecond};

/// The boils of a season that hang on a version: lit under it, or moved to it.
pub fn boils_under(season: SeasonId, rules: RulesId) -> Question<Vec<LotCode>> {
    question!(
        r#"select b.lot_code as "lot: LotCode" from boils b where b.season_id = ?1 and (b.rules_id = ?2
          or exists (select 1 from boil_rules m where m.boil_id = b.id and m.rules_id = ?2))
        order by b.lit_at, b.id"#,
        season,
        rules
    )
    .map(|rows| rows.into_iter().map(|row| row.lot).collect())
}

/// The first day of a season, from a day on, on which a ticket was opened.
pub fn first_ticket_from(season: SeasonId, from: PressDate) -> Question<Option<PressDate>> {
    question!(
        r#"select min(d.date) as "first: PressDate" from press_days d where d.season_id = ?1 and d.date >= ?2
        and exists (select 1 from tickets t where t.press_day_id = d.id)"#,
        season,
        from
    )
    .one()
    .map(|row| row.first)
}

/// Puts the day right from which a confirmed version holds.
pub fn put_right(
    rules: RulesId,
    holds_from: PressDate,
    why: &str,
    (by, at): (MemberId, UtcSecond),
) -> Question<()> {
    change!(
        "insert into rules_days (rules_id, number, holds_from, why, by_id, at)
        select ?1, 1 + coalesce(max(number), 0), ?2, ?3, ?4, ?5 from rules_days where rules_id = ?1",
        rules,
        holds_from,
        why,
        by,
        at
    )
}
