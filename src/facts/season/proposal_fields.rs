//! The fields of a season's proposal: cane that waits for its day, and what a day off costs it.

use super::plantings::planned;
use super::seasons::SeasonRules;
use crate::calc::season::plantings::Ready;
use crate::calc::season::proposal::LEAST_PIECE_KG;
use crate::calc::season::ripeness::{FARTHEST_DAYS, PressedTurn, Steepness, learned};
use crate::calc::season::weights::Weights;
use crate::facts::cane::yields::juice_by_ticket;
use crate::facts::turns::turn_habit;
use crate::store::season::plantings::{self, Planting};
use crate::store::turns::{offers, turn};
use crate::store::{Conn, Stored};
use crate::units::{Grams, MemberId, Zone};
use std::collections::BTreeMap;

/// Cane of a planting that still waits for its day.
#[derive(Debug, Clone)]
pub struct Field {
    /// The planting.
    pub planting: Planting,
    /// When it is ready.
    pub ready: Ready,
    /// Cane expected of it, less what its member's turns and offers take already.
    pub cane: Grams,
}

/// What a day off costs, by the Brix of the season's juice and how far from ready each member's nearest planting was.
pub(super) async fn steepness(
    conn: &mut Conn,
    (season, weights): (&SeasonRules, &Weights),
    zone: &Zone,
) -> Stored<Steepness> {
    let id = season.season.id;
    let all = plantings::of_season(id).ask(conn).await?;
    let mut turns = Vec::new();
    for juice in juice_by_ticket(id).ask(conn).await?.into_values() {
        let date = zone.local(juice.pressed_at).0;
        let own = all.iter().filter(|p| p.member_id == juice.member_id);
        let nearest = own
            .map(|p| planned(p).ready().days_out(date))
            .min_by(|a, b| a.abs().total_cmp(&b.abs()));
        let brix = 100.0 * juice.solids.as_f64() / juice.mass.as_f64().max(1.0);
        // Who has no planting near the day brought other cane.
        if let Some(off) = nearest.filter(|off| off.abs() <= days_most()) {
            turns.push((juice.number, PressedTurn { off, brix }));
        }
    }
    // In the order of tickets, so that the same season gives the same figures to the last digit.
    turns.sort_by_key(|(number, _)| *number);
    let turns: Vec<PressedTurn> = turns
        .into_iter()
        .map(|(_, turn)| turn)
        .filter(|turn| turn.brix > 1.0)
        .collect();
    Ok(learned(&turns, Steepness::of(weights)))
}

#[expect(clippy::cast_precision_loss, reason = "a few weeks")]
fn days_most() -> f64 {
    FARTHEST_DAYS as f64
}

/// The season's plantings with the cane that waits: a member's turns and offers are taken off the plantings that
/// are ready first.
pub(super) async fn fields(conn: &mut Conn, season: &SeasonRules) -> Stored<Vec<Field>> {
    let id = season.season.id;
    let habit = turn_habit::of_season(conn, id).await?;
    let kg_per_m = turn_habit::yields_now(&season.rules, &habit).row_kg_per_m;
    let mut spoken: BTreeMap<MemberId, Grams> = BTreeMap::new();
    for turn in turn::held_of_season(id).ask(conn).await? {
        *spoken.entry(turn.member_id).or_default() += turn.cane;
    }
    for offer in offers::standing_of_season(id).ask(conn).await? {
        *spoken.entry(offer.member_id).or_default() += offer.cane;
    }
    let mut fields: Vec<Field> = plantings::of_season(id)
        .ask(conn)
        .await?
        .into_iter()
        .map(|planting| Field {
            ready: planned(&planting).ready(),
            cane: Grams::nearest(planting.row.get() * kg_per_m * 1000.0),
            planting,
        })
        .collect();
    fields.sort_by_key(|f| (f.ready.best, f.planting.id));
    for field in &mut fields {
        let spoken = spoken.entry(field.planting.member_id).or_default();
        let taken = field.cane.min(*spoken);
        *spoken -= taken;
        field.cane -= taken;
    }
    fields.retain(|f| f.cane.kg() >= LEAST_PIECE_KG);
    Ok(fields)
}
