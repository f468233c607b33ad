//! Putting the day right from which a confirmed version of the rules holds.

use crate::actions::{Act, Done, Stop, begin};
use crate::calc::season::rules_days::{DependsOn, VersionInForce, may_hold_instead};
use crate::store::Together;
use crate::store::season::{rules_days, seasons};
use crate::units::{PressDate, RulesId, SeasonId};

/// Lets a confirmed version hold from another day, with the reason; both stand. Nothing may hang on it yet.
pub async fn put_right(
    act: &Act,
    season: SeasonId,
    number: i64,
    (to, why): (PressDate, String),
) -> Done<RulesId> {
    act.steward()?;
    let mut tx = begin!(act, "put_rules_day_right");
    let found = (seasons::find(season), seasons::rules_list(season)).together();
    let (of, versions) = found.ask(&mut tx).await?;
    let of = of.ok_or(Stop::Missing)?;
    let held = |r: &seasons::Rules| r.holds_from.map(|from| (r.number, from));
    let all: Vec<VersionInForce> = versions
        .iter()
        .filter_map(held)
        .map(|(number, from)| VersionInForce { number, from })
        .collect();
    let own = all.iter().find(|held| held.number == number);
    let own = *own.ok_or(Stop::Missing)?;
    let rules = versions.iter().find(|r| r.number == number);
    let rules = rules.ok_or(Stop::Missing)?.id;
    let hangs = (
        rules_days::boils_under(season, rules),
        rules_days::first_ticket_from(season, own.from),
    );
    let (boils, first_ticket) = hangs.together().ask(&mut tx).await?;
    let hangs = DependsOn {
        boils: &boils,
        first_ticket,
    };
    may_hold_instead(own, to, of.year, &all, hangs)?;
    if to != own.from {
        let by = (act.actor.id, act.at);
        rules_days::put_right(rules, to, &why, by)
            .ask(&mut tx)
            .await?;
    }
    act.finish(tx, "put_rules_day_right", rules).await
}
