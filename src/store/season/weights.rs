//! What counts how much when a season's turns are proposed, for each version of its rules.

use crate::calc::season::weights::Weights;
use crate::store::question::question;
use crate::store::{Conn, Question, Stored, in_json};
use crate::units::{Grams, RulesId};

/// The figures of some versions; a version that was made before there were any has none.
pub fn of_versions(rules: impl IntoIterator<Item = RulesId>) -> Question<Vec<(RulesId, Weights)>> {
    let ids = in_json(rules);
    let rows = question!(
        r#"select rules_id as "rules_id: RulesId", day_g as "day: Grams", person_g as "person: Grams", short_pct, wait_pct,
        move_pct, step_pct, edge_pct, early_pct, late_pct, frost_pct from season_weights
        where rules_id in (select value from json_each(?1))"#,
        ids
    );
    rows.map(|rows| {
        let weights = rows.into_iter().map(|row| {
            let of = Weights {
                day: row.day,
                person: row.person,
                short_pct: row.short_pct,
                wait_pct: row.wait_pct,
                move_pct: row.move_pct,
                step_pct: row.step_pct,
                edge_pct: row.edge_pct,
                early_pct: row.early_pct,
                late_pct: row.late_pct,
                frost_pct: row.frost_pct,
            };
            (row.rules_id, of)
        });
        weights.collect()
    })
}

/// The figures of one version; those to start from where it has none.
pub fn of_rules(rules: RulesId) -> Question<Weights> {
    let found = of_versions([rules]);
    found.map(|found| found.first().map_or(Weights::DEFAULT, |(_, own)| *own))
}

/// Adds the figures of a version.
pub async fn insert(conn: &mut Conn, rules: RulesId, w: &Weights) -> Stored<()> {
    sqlx::query!(
        "insert into season_weights (rules_id, day_g, person_g, short_pct, wait_pct, move_pct, step_pct, edge_pct,
        early_pct, late_pct, frost_pct) values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)",
        rules,
        w.day,
        w.person,
        w.short_pct,
        w.wait_pct,
        w.move_pct,
        w.step_pct,
        w.edge_pct,
        w.early_pct,
        w.late_pct,
        w.frost_pct
    )
    .execute(conn)
    .await?;
    Ok(())
}
